/** Words of the shelf: labels, sprayers, stock. */
export const shelfWords = {
  title: "Shelf",
  labels: "Labels",
  noLabel: "No label is kept.",
  enterLabel: "Enter a label",
  equipment: "Sprayers and spreaders",
  noEquipment: "No sprayer is kept.",
  search: "Words in the name of a label or a sprayer",
  find: "Look",
  all: "Show all",
  noneFound: (text: string) => `None has “${text}” in its name.`,
  moreLabels: "More labels",
  moreEquipment: "More sprayers and spreaders",
  enterEquipment: "Enter a sprayer",
  stock: "Stock",
  toStock: "Stock, lot by lot",
  kept: (version: number, day: string) => `version ${version}, kept ${day}`,
  newLabel: "New label",
  labelLaw:
    "The label on the container in hand is the law. What is entered here only repeats it, word for word.",
  takeFile: "Take in a label file",
  takeEquipmentFile: "Take in an equipment file",
  takeSays: "A file as docs/label-file.md says; it takes the place of what stands here.",
  exportFile: "Save as a file",
  loading: "It is being fetched.",
  gone: "There is no such thing on the shelf",
  keepLabel: "Keep the label",
  keepEquipment: "Keep the equipment",
  keeping: "It is being kept.",
  allKept: "All is kept.",
  unkept: "Not kept yet. It stays on this device meanwhile.",
  unkeptLost: "Not kept yet, and not kept on this device either: keep it before this page is closed.",
  restored: (when: string) => `What was typed until ${when} was found on this device.`,
  second: "Another window of this browser has this page open, and what is typed there is kept on the device.",
  back: "Drop what was typed",
  dropSure: "Drop what was typed and is not in the books?",
  goOn: "Go on with it",
  drafts: "Not kept yet, on this device",
  usable: "Plans can use it.",
  notUsable: "Plans cannot use it yet.",
  check: "The check",
  checking: "It is being checked.",
  problems: "What is wrong",
  questions: "Open questions",
  noQuestions: "No question is open.",
  goTo: (what: string) => `Go to ${what}`,
  questionsSay: "Each is for a person to look at with the printed label at hand.",
  wanted: "wanted",
  sections: "Sections",
  toMend: (count: number) => `${count} to mend`,
  more: "More",
  add: "Add",
  addWhat: "Add what the label says on",
  addOne: (what: string) => `Add ${what}`,
  takeAway: (what: string) => `Take ${what} away`,
  oneALine: "One a line.",
  choose: "Choose one",
  optional: "where it is told",
  container: "The container in hand",
  comparedOn: "Held against the container on",
  comparedBy: "By whom",
  note: "Note",
  readOut: "The label as it was read",
  readSays: "What plans take from each sentence.",
  compare: "Compare with another version",
  compareSays:
    "Each container is governed by its own label: the two are shown side by side, and never blended.",
  older: "The older",
  olderFile: "Or a file of the older version",
  versionOf: (version: number, day: string) => `version ${version} of ${day}`,
  otherLabel: (title: string) => `another kept label: ${title}`,
  compareNow: "Compare",
  same: "The two say the same.",
  section: "Section",
  subject: "Subject",
  olderSays: "The older says",
  newerSays: "This one says",
  change: "What changed",
  changes: { added: "added", removed: "left out", changed: "changed" } as Record<string, string>,
  silent: "silent",
  name: "Called",
  newEquipment: "New sprayer",
  calibrationResult: (name: string) => `What ${name || "this calibration"} gives`,
  output: "Output",
  runs: "Runs",
  variation: "Variation of the runs",
  covers: "A full tank or hopper covers",
  mayUse: "It may be used.",
  mayNot: "It may not be used.",
  runsWait: "The runs are not complete yet.",
  lot: "Lot",
  label: "Label",
  received: "Received",
  used: "Used",
  adjusted: "Adjusted",
  left: "Left",
  noLot: "No lot is kept.",
  odd: "What does not add up",
  receive: "Take a lot in",
  lotNumber: "Lot number, as printed",
  receivedOn: "Received on",
  amount: "How much",
  amountHint: "With its unit, such as 1 gal or 25 lb.",
  supplier: "From whom",
  useUntil: "To be used until",
  takeIn: "Take it in",
  takenIn: "The lot is in the books.",
  adjust: "Correct the stock",
  whichLot: "Which lot",
  day: "Day",
  direction: "There is",
  directions: { less: "less than reckoned", more: "more than reckoned" } as const,
  by: "By how much",
  reason: "Why",
  reasonHint: "Counted anew, spilled, returned, disposed of.",
  correct: "Correct it",
  corrected: "The correction is in the books.",
  price: "What it cost in all",
  otherLot: "Another label or lot number is another lot, and no version of it.",
  otherCorrection: "A correction of another lot is one of its own, and no version of it.",
  newLot: "A lot that is taken in",
  newCorrection: "A correction of the stock",
  conflict: "Somebody kept another version meanwhile",
  conflictSays: (who: string, version: number) =>
    `${who} kept version ${version} while you worked. Nothing was overwritten: choose, part by part, what holds. Of each part only what differs is shown.`,
  conflictSame: "It says the same as yours.",
  otherPrinting: (mine: string, theirs: string) =>
    `The two tell of different labels: yours ${mine}, theirs ${theirs}. A container is governed by its own label, so take one whole, unless one of them was entered wrong.`,
  joined: "Both are put together here. Look it through, and keep it to have it in the books.",
  unanswered:
    "This was sent, and no answer came. Keeping it again asks for that answer first, so that it is there once; what was changed since becomes its next version.",
  changeOfSent: "The books have what was sent; what was typed since is a change of it, and not kept yet.",
  nothing: "nothing",
  noneOfThis: "none of this",
  yes: "yes",
  no: "no",
};

/** What fields of label and equipment files are called; those that are not here are called as the file calls them. */
export const fieldWords: Record<string, string> = {
  id: "Short name",
  label_version: "Version of the label",
  label_date: "Date of the label",
  registered_in: "Registered in (states)",
  use_class: "Use class",
  signal_word: "Signal word",
  registration_number: "Registration number",
  establishment_number: "Establishment number",
  net_contents: "Net contents",
  active_ingredient: "Active ingredient",
  precaution: "Precautions",
  first_aid: "First aid",
  storage_and_disposal: "Storage and disposal",
  restraints: "What binds every use",
  use: "Use",
  text: "The label's own sentence",
  page: "Page",
  strength: "How far it binds",
  scope: "What it applies to",
  state: "State",
  not_applicable: "Does not arise for this label",
  pest: "Pest",
  pests_excluded: "Pests that are excluded",
  only_these_pests: "Only these pests",
  at_least: "At least",
  at_most: "At most",
  ppe: "Protective equipment",
  cap: "Most over a window",
  product: "Product",
  of: "Of which active ingredient",
  water_ph: "Acidity of the water (pH)",
  calibration: "Calibration",
  kind: "Kind",
  maximum_single: "Most in one application",
  minimum_interval_days: "Days between applications",
  harvest_interval_days: "Days to harvest",
  reseeding_interval_days: "Days to seeding",
  restricted_entry: "Restricted entry (agricultural)",
  group: "Mode-of-action group",
};

/** What a field of a label or equipment file is called. */
export function called(field: string): string {
  const plain = field.replace(/\[\d+\]$/, "");
  const words = fieldWords[plain] ?? plain.replaceAll("_", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** What is kept beside a file, by the name of its field. */
const besideWords: Record<string, string> = {
  name: shelfWords.name,
  note: shelfWords.note,
  compared_on: shelfWords.comparedOn,
  compared_by: shelfWords.comparedBy,
};

/** What a part is called: fields by their words, entries of lists as they call themselves. */
export function calledAt([first, ...rest]: readonly string[]): string {
  if (first === "beside") return rest.map((name) => besideWords[name] ?? called(name)).join(": ");
  return [first ?? "", ...rest].reduce((before, step) => {
    const own = /^\[(.*)\]$/.exec(step)?.[1];
    if (own !== undefined) return `${before} ${own}`;
    return before === "" ? called(step) : `${before}: ${called(step)}`;
  }, "");
}

/** What a value says, as who compares two of them reads it: a sentence first, each entry of a list on a line. */
export function saidOf(value: unknown): string {
  if (value === undefined || value === null || value === "") return shelfWords.nothing;
  if (typeof value === "boolean") return value ? shelfWords.yes : shelfWords.no;
  if (Array.isArray(value)) {
    if (value.length === 0) return shelfWords.noneOfThis;
    return value.map(saidOf).join(value.some((one) => typeof one === "object") ? "\n" : ", ");
  }
  if (typeof value !== "object") return String(value as string | number);
  const { text, ...others } = value as Record<string, unknown>;
  const said = Object.entries(others).map(([name, one]) => `${called(name)} ${saidOf(one)}`);
  if (text !== undefined) said.unshift(`“${String(text as string)}”`);
  return said.length === 0 ? shelfWords.noneOfThis : said.join("; ");
}
