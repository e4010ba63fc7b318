/** Words where two people's versions of one thing meet. */
export const meetingWords = {
  allMine: "All mine",
  allTheirs: "All theirs",
  mine: (says?: string) => (says === undefined ? "Mine" : `Mine: ${says}`),
  theirs: (says?: string) => (says === undefined ? "Theirs" : `Theirs: ${says}`),
  before: (says: string) => `Before: ${says}`,
  notAllChosen: "Choose for each what holds.",
  join: "Put it together",
  later: "Decide later",
};
