/** Words of lists that may be longer than what is shown at once: to search them, and to choose from them. */
export const choosing = {
  words: "Words in the name",
  from: "From",
  until: "Until",
  look: "Look",
  search: (what: string) => `${what}: words in the name`,
  more: (shown: number) =>
    `${shown} are offered below, and there are more. Type words of the name to find another.`,
  fit: (shown: number) => (shown === 1 ? "One has these words." : `${shown} have these words.`),
  tooMany: (shown: number) =>
    `The first ${shown} that have these words are offered; type more of the name to find another.`,
  none: "None has these words.",
  lost: "no longer in the books",
  unknown: "the name cannot be told now",
};
