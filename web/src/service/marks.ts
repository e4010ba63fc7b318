/** What a page says of itself to whoever measures it; see `docs/pages.md`. */
export type Mark =
  /** The answer to a question for a plan was taken in. */
  | "plan told"
  /** A map was given to be drawn, with the zones of the last plan that was told. */
  | "map shown"
  /** The map was drawn as it was last given. */
  | "map drawn";

/** Leaves a mark on the browser's timeline. Observers see it; it is not kept, so that a long day costs no memory. */
export function mark(name: Mark): void {
  performance.mark(name);
  performance.clearMarks(name);
}
