/** Words of the first page. */
export const start = {
  title: "Start",
  hello: (name: string) => `Kept for ${name}.`,
  first: "Three steps to a first plan",
  soFar: "Properties are drawn on these pages. Planning and recording are done with the commands so far.",
  steps: [
    "Draw your property, or take in a map that you have.",
    "Put the label in hand and your sprayer on the shelf.",
    "Say what was found, and plan the visit.",
  ],
  demo: "Take the invented demo property instead",
  demoSays: "The demo property, its labels and its people are invented, for practice only.",
  demoKept: "The demo is in the books: an invented property, three labels and a sprayer.",
  properties: "Properties",
  noProperty: "The books keep no property yet.",
  visits: "Planned visits",
  noVisit: "No visit is planned.",
  records: "Records",
  noRecord: "Nothing is recorded yet.",
  version: (number: number) => `version ${number}`,
  more: "There are more; the list shows the first.",
};
