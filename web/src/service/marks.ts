/** What a page says of itself to whoever measures it; see `docs/pages.md`. */
export type Mark =
  /** The answer to a question for zones was taken in. */
  | "zones told"
  /** A map was given to be drawn, with the zones that were told last. */
  | "map shown"
  /** The map was drawn as it was last given. */
  | "map drawn";

/** Tells whoever listens on the window. Marks of the browser's own timeline cost a tenth of a drag's time. */
export function mark(name: Mark): void {
  dispatchEvent(new CustomEvent("mark", { detail: name }));
}
