import "./look/tokens.css";
import "./look/base.css";
import { mount } from "svelte";
import House from "./house/House.svelte";

const target = document.getElementById("pages");
if (target) mount(House, { target });
