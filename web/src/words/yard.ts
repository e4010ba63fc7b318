/** An offset from universal time in words. */
const utc = (offset: string) => `UTC${offset.replace("-", "−")}`;

/** Words of the work in the yard. */
export const yard = {
  title: "In the yard",
  intro:
    "What is taken along opens here without reception. What you do is kept on this device, and sent when there is any.",
  along: "Taken along",
  nothingAlong: "Nothing is taken along yet.",
  takeDay: "Take a day's visits along",
  day: "Day",
  take: "Take along",
  when: (day: string, time: string, offset: string | null) =>
    offset === null
      ? `${day}, ${time} by this device's clock`
      : `${day}, ${time} at the property (${utc(offset)})`,
  takenAt: (when: string) => `as it was on ${when}`,
  tookVisits: (count: number) =>
    count === 0
      ? "No visit is kept for that day."
      : `${count === 1 ? "One visit is" : `${count} visits are`} taken along.`,
  notTookVisits: (count: number) =>
    count === 1
      ? "One visit could not be taken along. What was taken of it before stays as it was."
      : `${count} visits could not be taken along. What was taken of them before stays as it was.`,
  toVisit: (title: string) => `Look at the visit: ${title}`,
  newer: (since: string) => `Planned anew since it was taken along, as it was on ${since}. What changed:`,
  tookNewer: (since: string) => `Taken along anew, as it is now. What changed since ${since}:`,
  takeNewer: "Take the new plan",
  takeNewerSays:
    "What you have written stays. Whatever does not fit the new plan is shown here, to write it again.",
  newerBegun: "Its record is begun, and keeps the plan it was begun with. Open it to take the new one.",
  seen: "I have seen it",
  looking: "Looking whether there is anything newer.",
  notLooked: (title: string) => `Whether ${title} is newer could not be found out:`,
  nobody: "nobody",
  noStart: "no start inside lawful hours",
  changed: {
    name: (was: string, is: string) => `It is called ${is}, and no longer ${was}.`,
    day: (was: string, is: string) => `It is planned for ${is}, and no longer for ${was}.`,
    verdict: (was: string, is: string) => `Its verdict: ${is} (before: ${was}).`,
    windows: (was: string, is: string) => `Start between: ${is} (before: ${was}).`,
    forecast: "The forecast is another.",
    applicator: (was: string, is: string) => `Who applies: ${is} (before: ${was}).`,
    taskGone: (task: string) => `${task} is no longer planned.`,
    taskNew: (task: string) => `${task} is planned in addition.`,
    ofTask: (task: string, what: string, was: string, is: string) =>
      `${task}, ${what}: ${is} (before: ${was}).`,
    product: "product",
    rate: "rate",
    ground: "ground and wall",
    equipment: "equipment",
    tanks: "tanks",
    sentences: (all: readonly string[]) => `New to look at: ${all.join(" ")}`,
    else: "Something else of the plan: look at the sheet.",
  },
  takeProperty: "Take a property along",
  property: "Property",
  noProperty: "The books keep no property yet.",
  aside: (title: string) => `Lay aside: ${title}`,
  asideShort: "Lay aside",
  asideAsk: (title: string) => `Lay “${title}” aside?`,
  asideSays:
    "It does not open here without reception any more, until it is taken along again. What was written and what waits stay.",
  count: "Count here",
  countOn: (title: string) => `Count here: ${title}`,
  record: "Mix and record",
  recordOf: (title: string) => `Mix and record: ${title}`,
  waits: "Waits on this device",
  nothingWaits: "Nothing waits: the server has everything.",
  sending: "Being sent.",
  whatItIs: { counts: "Counts", record: "Record", photo: "Photo" },
  made: (when: string) => `made on ${when}`,
  waiting: "waits for reception",
  waitingSignIn: "waits until you sign in",
  signIn: "Sign in to deliver",
  behind: "goes after what it belongs to",
  ofSomebody: (who: string) => `made by ${who}, and sent when they sign in`,
  refused: "The server refused it; nothing was kept of it. Look, and decide.",
  broken: (times: number) =>
    `The server broke off on it, ${times === 1 ? "once" : `${times} times`} by now. It is kept here and tried again, and the rest goes before it.`,
  mend: "Mend it",
  inTheWay: {
    begun:
      "Another form of the same name is begun, and would be written over. Finish or drop that one first; this one waits here.",
    elsewhere:
      "A form of the same name is open in another window of this browser. Finish it there, or close it; this one waits here.",
  },
  openBegun: (title: string) => `Open the form that is begun: ${title}`,
  replace: "Drop what is begun, and mend this one",
  replaceAsk: "Drop the form that is begun?",
  replaceSays: (title: string) =>
    `What stands in it is removed from this device, and nobody else has it. What was written of “${title}” and refused stands in its place.`,
  keepBegun: "Keep what is begun",
  again: "Send it again",
  drop: "Give it up",
  dropAsk: (title: string) => `Give up “${title}”?`,
  dropSays: "It is removed from this device, with the photos that belong to it, and the server never had it.",
  dropBroken:
    "It is removed from this device, with the photos that belong to it. The server broke off on it and may have it or not: look in the books first, and save what waits to a file.",
  keepIt: "Keep it",
  sendNow: "Send now",
  save: "Save what waits to a file",
  readBack: "Read such a file back",
  notAFile: "This is no file of what waits.",
  notAFileMend: "Pick a file that was saved here, such as tussock-yard-2026-07-07.json.",
  tookIn: (count: number) =>
    count === 0
      ? "Everything in the file is here, or was delivered, already."
      : `${count} taken from the file.`,
  delivered: "Delivered",
  passedBy: (text: string, tasks: string) => `${tasks}: ${text}`,
  nothingDelivered: "Nothing was delivered from this device yet.",
  deliveredAt: (when: string) => `delivered on ${when}`,
  notKept: {
    draft: "This device does not keep what you write: it is full, or refuses.",
    deed: "This device did not keep it, and nothing was sent: it is full, or refuses.",
  },
  notKeptMend: {
    draft: "Do not close this page. Write it down on paper, make room on the device, and write on.",
    deed: "It still stands here: do not close this page. Write it down on paper, make room on the device, and press again.",
  },
  notAlong: "This device did not keep what it took along: it is full, or refuses.",
  notAlongMend: "Make room on the device, and take it along again before you go.",
  notTaken: "This is not taken along, and the server does not answer.",
  notTakenMend: "Take it along where there is reception, before you go.",
  second: "Another window of this browser has this open. Go on there; or close it, and load this page again.",
  back: "Back to the yard",
};

/** Words of counting. */
export const counts = {
  title: (property: string) => `Counts on ${property}`,
  how: "What is counted",
  pest: "Pest",
  stage: "Life stage",
  method: "Sampled with",
  methods: {
    frame: "Frame",
    "float can": "Float can",
    "soap flush": "Soap flush",
    "sod cut": "Sod cut",
    trap: "Traps",
    drag: "Drag cloth",
    mounds: "Live mounds, walked over",
  },
  area: "Area of one count",
  areaHint: "With its unit, such as 1 sq ft; of mounds, the lawn's. Or 3 trap nights, 100 ft of drag.",
  by: "Counted by",
  day: "Day",
  here: "The next station",
  fewer: "One fewer",
  more: "One more",
  number: "Count",
  isCheck: "On ground that is left untreated, to compare with later",
  place: "Place",
  noPlace: "Not marked. Tap the map, or stand there and press “Where I stand”.",
  placed: (longitude: number, latitude: number, accuracy: number | null) =>
    `${latitude.toFixed(6)}, ${longitude.toFixed(6)}${accuracy === null ? "" : `, to about ${Math.round(accuracy)} m`}`,
  stand: "Where I stand",
  standing: "Listening for the position. Stand still.",
  placedLater: (number: number, accuracy: number) =>
    `Station ${number} has its place, to about ${Math.round(accuracy)} m.`,
  awaitingPlace: "The place of a kept station is still listened for.",
  keeping: "The counts are being kept.",
  keepingToPlan: "The counts are being kept. The visit is opened once the server has them.",
  otherPest: (named: string) => `Is it ${named} that was counted?`,
  otherPestSays: (stations: number, begun: string, named: string) =>
    `${stations === 0 ? "A count" : stations === 1 ? "One station" : `${stations} stations`} of ${begun} ${stations > 1 ? "are" : "is"} begun here. If ${named} is another count, finish this one first.`,
  goOnCounting: (begun: string) => `Go on counting ${begun}`,
  countsAreOf: (named: string) => `These counts are of ${named}`,
  noStand: "This device does not tell its position here.",
  noStandMend: "Allow the position for this address, or tap the map.",
  unplace: "Without a place",
  add: "Keep this count",
  added: (number: number, count: number) => `Station ${number}: ${count} kept.`,
  stations: "Stations",
  none: "No station yet.",
  station: "Station",
  check: "Untreated",
  yes: "yes",
  no: "no",
  remove: (number: number) => `Remove station ${number}`,
  removeShort: "Remove",
  sum: (stations: number, mean: string, area: string) =>
    `${stations} ${stations === 1 ? "station" : "stations"}, ${mean} on each ${area} on average, untreated ones left out.`,
  photos: "Photos",
  photo: "Add a photo",
  photoOf: (number: number) => `Photo ${number}`,
  notAPhoto: "This file is no picture that the browser can read.",
  notAPhotoMend: "Pick a JPEG, PNG or WebP picture.",
  note: "Anything else",
  done: "Counting is done",
  plan: "Keep it, and plan a visit from this count",
  efficacy: "Did earlier treatments work?",
  unkept: "One count is not kept yet",
  unkeptSays: (count: number, isPlaced: boolean) =>
    `${count} stands on the counter${isPlaced ? ", with a place" : ""}, and is no station yet.`,
  unkeptUnread: (count: string) =>
    count === ""
      ? "A place is marked, and no count stands on the counter: a whole number from 0 up would be kept with it."
      : `“${count}” stands on the counter: a whole number from 0 up can be kept.`,
  keepToo: "Keep this count too",
  leaveOut: "Leave it out",
  countOn: "Go on counting",
  doneSays: "The counts are kept on this device until the server has them.",
  missing: "Something is missing.",
  needs: {
    pest: "Say which pest was counted.",
    area: "Say the area of one count.",
    stations: "Keep one station or more.",
  },
  map: "Map of the property; tap where you counted",
  fingers: "One finger moves the page, two fingers move the map.",
};

/** Words of mixing and recording. */
export const asApplied = {
  title: (visit: string) => `Mix and record: ${visit}`,
  planned: (day: string) => `Planned for ${day}.`,
  otherUnits: {
    us: "Figures of this form were begun in US units, and stay in them: gallons, square feet, mph, °F. The settings say metric now.",
    metric:
      "Figures of this form were begun in metric units, and stay in them: L, m², km/h, °C. The settings say US units now.",
  },
  unfit: (tasks: string) =>
    `The plan was made anew since this was begun, and what was written of ${tasks} does not fit it. It stands here as it was written: write it again where it belongs.`,
  unfitDone: "It is written again",
  unfitThen: (task: string) =>
    `The plan has other figures of ${task} than when this was said of its tanks. What was told tank by tank is told otherwise now, with the figures of then; what was told with all the rest is asked anew. It was said:`,
  unfitUnknown: (task: string) =>
    `An earlier version of these pages kept this of ${task}, without what was planned when it was said. Look whether the plan is still that one, and say it again:`,
  plannedThen: (filling: string) => `planned then: ${filling}`,
  forArea: (area: string) => `for ${area}`,
  refusedPlan: "This visit is refused as planned. Do not carry it out; its reasons stand below.",
  care: "Before you mix",
  wear: "Wear",
  keepOff: "Keep people and pets off",
  forecastStood: "As the forecast stood when it was taken along: judge by the weather on the spot.",
  noWindow: "The plan knows no lawful hours: judge by the label on the spot.",
  who: "Day and people",
  day: "Day of the work",
  otherDay: (planned: string, day: string) =>
    `Planned for ${planned}: the record will say ${day}. Mend the day if the work was done on another.`,
  applicator: "Who applied it, if another than planned",
  applicatorHint: (planned: string | null) =>
    planned === null ? "The plan names nobody." : `Left empty, the record says ${planned}, as planned.`,
  certification: "Number of their certificate",
  certificationHint: (planned: string | null) =>
    planned === null ? "As it is printed there" : `Left empty, the record says ${planned}, as planned.`,
  noCertification: "They have none",
  supervisor: "Who supervised the work",
  nobodySupervised: "Nobody supervised",
  times: "When",
  started: "Work began",
  ended: "Work ended",
  now: "Now",
  clock: (offset: string | null, device: string | null) =>
    offset === null
      ? "All times are by the clock of the visit's forecast."
      : `All times are by the clock at the property, ${utc(offset)}, as its forecast has it.${device === null ? "" : ` This device's clock stands at ${utc(device)}; “Now” writes the time at the property.`}`,
  timeHint: (offset: string | null) =>
    offset === null ? "By the clock of the forecast" : `By the clock at the property, ${utc(offset)}`,
  weather: "Weather on the spot",
  atStart: "At the start",
  atEnd: "At the end",
  wind: "Wind",
  gust: "Gusts",
  from: "Wind from",
  notSaid: "Not said",
  calm: "Calm: from nowhere",
  inDegrees: "In degrees",
  point: (name: string, degrees: number) => `${name} (${degrees}°)`,
  degrees: "Degrees clockwise from north",
  temperature: "Temperature",
  task: (id: string, product: string) => `${id}: ${product}`,
  rate: (rate: string) => `At ${rate}.`,
  tank: "Tank",
  water: "Spray",
  product: "Product",
  covers: "Should cover",
  filled: "Filled",
  asPlanned: "As planned",
  otherwise: "Otherwise",
  asWritten: "With what stands below",
  notFilled: "Not filled",
  spray: (number: number) => `Tank ${number}: spray in it`,
  amount: (number: number, product: string) => `Tank ${number}: ${product} in it`,
  covered: (number: number) => `Tank ${number}: area covered`,
  filledAt: (number: number) => `Tank ${number}: filled at`,
  emptiedAt: (number: number) => `Tank ${number}: emptied at`,
  left: (number: number) => `Tank ${number}: spray left in it`,
  /** Of a tank, or of a task without any. */
  leftAmount: (number: number | null, product: string) =>
    number === null ? `${product} left over` : `Tank ${number}: ${product} left of it`,
  way: (number: number | null) =>
    number === null ? "What became of what was left" : `Tank ${number}: what became of what was left`,
  ways: {
    stayed: "It stayed in the tank, under the next mix",
    applied: "Put down on other ground, a task of its own",
    kept: "Kept for the next use",
    "handed-in": "Handed in to a disposal programme",
    other: "Something else",
  },
  stayedSays: (next: number) =>
    `It counts to what goes out of tank ${next}. What is told as filled into tank ${next} is the new mix alone.`,
  appliedSays: (task: string) => `It is the task ${task} of the record.`,
  becameOf: (way: "kept" | "handed-in" | "other") =>
    ({
      kept: "Where it is kept, closed and labelled",
      "handed-in": "Who took it",
      other: "What became of it",
    })[way],
  hasWeather: (number: number) => `The weather had changed with tank ${number}`,
  goOn: (percent: string) => `${percent} of what it should cover: go on.`,
  stop: (percent: string) =>
    `${percent} of what it should cover: more than a tenth off. Stop, and look at pace, nozzle and pressure before the next tank.`,
  notDone: "This task was not carried out",
  lot: "Lot numbers on the container",
  leftover: "Left over",
  became: "What became of it",
  becameHint:
    "Never into a drain, a gutter, a ditch or water: put it down within its label, or keep it closed and labelled.",
  order: "Order of mixing",
  unexpected: "Anything unexpected: spill, exposure, drift",
  nothing: "Nothing of the kind",
  disposal: "What was disposed of, and how",
  sign: "Sign put up",
  signWhere: "Where the sign stands",
  signWhen: "When it was put up",
  done: "Work is done",
  doneSays: "The record is kept on this device until the server has it.",
  restTitle: "All else",
  rest: "What is not told above",
  restPlanned: "All went as planned",
  restOtherwise: "Not all of it went as planned",
  restWords: "What went otherwise, and where",
  restWordsHint: "It stands in the record in your words. Its figures can be put right in the record.",
  restToRecord: (text: string) => `Otherwise than planned, and not told in figures: ${text}`,
  means: "If you say that all went as planned, the record says:",
  stillMeans: "The record says all the same, beside your words:",
  open: "Nobody has told, and the record leaves open:",
  appliedAsPlanned: (applicator: string, certificate: string | null) =>
    `${applicator} applied it${certificate === null ? "" : `, under the certificate ${certificate}`}.`,
  groundAsPlanned: (task: string, products: readonly string[], place: string, equipment: string) =>
    `${task}: ${products.join(" and ")} on all of its place as planned${place === "" ? "" : `, ${place}`}, with ${equipment}.`,
  ofGround: (area: string) => `${area} of ground`,
  ofWall: (area: string) => `${area} of wall`,
  ofSpray: (spray: string) => `${spray} of spray`,
  tanksAsPlanned: (task: string, numbers: readonly number[], filling: string) =>
    `${task}, ${numbers.length === 1 ? "tank" : "tanks"} ${numbers.join(", ")}: filled as planned, ${numbers.length === 1 ? "" : "each "}${filling}.`,
  nothingLeft: "Nothing was left over.",
  unread: (fields: number) =>
    fields === 1
      ? "One field is missing or cannot be read. Nothing was kept yet."
      : `${fields} fields are missing or cannot be read. Nothing was kept yet.`,
  wrong: (found: string, expected: string) =>
    found === "" ? `Missing: ${expected}.` : `“${found}” cannot be read: ${expected}.`,
  halfTyped: "a time of which a part is missing",
  halfDay: "a day of which a part is missing",
  halfMoment: "a day and time of which a part is missing",
  expects: {
    figure: (unit: string) =>
      `a number in ${unit}, with a point and no unit or thousands sign, such as 4 or 1210.5`,
    bearing: "degrees clockwise from north, from 0 to 360",
    time: "a time such as 07:05",
    day: "the day of the work",
    moment: "a whole day and time, such as 07/06/2026, 05:30 PM",
    certification: "the number, or that they have none; the planned person's would be untrue",
    signWhere: "where the sign stands that was put up at that time",
    rest: "say whether all that is not told above went as planned",
    restWords: "what went otherwise, in a few words",
    fill: "whether it was filled as planned, otherwise or not at all",
    became: "where it is, or who took it, in a few words",
  },
};
