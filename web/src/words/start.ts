/** Words of the first page. */
export const start = {
  title: "Start",
  hello: (name: string) => `Kept for ${name}.`,
  first: "Three steps to a first plan",
  done: "done",
  open: "to do",
  steps: {
    property: "Draw your property, or take in a map that you have.",
    shelf: "Put the label in hand and your sprayer on the shelf.",
    visit: "Say what was found, and plan the visit.",
  },
  deeds: {
    property: "Draw a property",
    label: "Enter a label",
    equipment: "Enter a sprayer",
    visit: (title: string) => `Plan a visit at ${title}`,
    visits: "Plan a visit",
  },
  demo: "Take the invented demo property",
  demoTitle: "Or look at a plan first",
  demoSays:
    "The demo property, its labels, its people and what was counted there are invented, for practice only. It stands beside your own, and says that it is invented.",
  demoBusy: "The demo is being put into the books.",
  properties: "Properties",
  noProperty: "The books keep no property yet.",
  visits: "Visits",
  noVisit: "No visit is planned.",
  records: "Records",
  noRecord: "Nothing is recorded yet.",
  version: (number: number) => `version ${number}`,
  more: "There are more; the list shows the first.",
};
