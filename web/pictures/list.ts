// Every page of the house, each with the state that makes it worth seeing. A page that comes is added here.
import type { Pictured } from "./pictured";
import { HOUSE } from "./house";
import { PROPERTIES } from "./properties";
import { RECORDS } from "./records";
import { SHELF } from "./shelf";
import { VISITS } from "./visits";
import { YARD } from "./yard";

export const PICTURED: readonly Pictured[] = [
  ...HOUSE,
  ...PROPERTIES,
  ...VISITS,
  ...SHELF,
  ...YARD,
  ...RECORDS,
];

/** Where the pictures lie. */
export const FOLDER = new URL("../../docs/pictures/pages/", import.meta.url);
export const ENDING = ".webp";
