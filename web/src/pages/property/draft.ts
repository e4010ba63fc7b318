import type { Placement } from "../../map/backdrop";
import type { Position } from "../../map/plane";
import type { KeptSketch } from "./pencil.svelte";
import type { Fields } from "./fields";

/** What is begun and not yet in the books. */
export interface Draft {
  origin: Position | null;
  map: string;
  fields: Fields;
  sketch: KeptSketch | null;
  /** The version that it was begun on, with what that held; null for a new property. */
  base: { tag: string; map: string; fields: Fields } | null;
}

/** The photo under a property, which is no part of what is saved. */
export interface KeptPhoto {
  file: Blob;
  /** By how much it was made smaller. */
  scale: number;
  placed: Placement;
  strength: number;
}

export const draftName = (thing: string) => `property/${thing}`;
export const photoName = (thing: string) => `photo/${thing}`;
export const NEW = "new";
