import "./look/tokens.css";
import "./look/base.css";
import { mount } from "svelte";
import House from "./house/House.svelte";

const target = document.getElementById("pages");
if (target) mount(House, { target });

// The pages open without reception, where the browser allows it: on this machine, or over TLS.
if (import.meta.env.PROD && "serviceWorker" in navigator) {
  addEventListener(
    "load",
    () => void navigator.serviceWorker.register("/service-worker.js").catch(() => undefined),
  );
}
