/** Words of looking who applied what near a place, and of what lies where. */
export const near = {
  title: "Who applied what near a place",
  intro:
    "For whoever complains, and for whoever answers: every application within a distance of a place and between two times, with the wind that was seen, and whether the place lay downwind.",
  place: "The place",
  property: "On the map of",
  noProperty: "No map",
  tap: "Tap the map where the place is, or write where it is.",
  map: "Map round the place",
  mapTold: "What the map shows is told in words below.",
  latitude: "Latitude, degrees north",
  longitude: "Longitude, degrees east; west is negative",
  within: "Within",
  from: "From",
  until: "Until",
  clock: "By the clock that stands at",
  clockHint: "Hours and minutes from universal time, such as -05:00",
  look: "Look",
  none: "The books hold no application there at that time.",
  found: (count: number) =>
    count === 1 ? "One task was carried out there." : `${count} tasks were carried out there.`,
  heading: (task: string, property: string, day: string) => `${task} of ${property}, ${day}`,
  distance: "How far",
  on: "The place lies on the treated ground.",
  away: (distance: string, toward: string) =>
    `${distance} away: the treated ground lies ${toward} of the place.`,
  times: "When",
  between: (from: string, until: string) => `From ${from} until ${until}.`,
  timesNotKnown: "Not both times are recorded: the whole day was taken.",
  notRecorded: "not recorded",
  none_: "none",
  by: "Applied by",
  what: "What",
  product: (name: string, number: string, amount: string) => `${name} (${number}): ${amount}`,
  numberNotRecorded: "number not recorded",
  at: { start: "Wind at the start", end: "Wind at the end" },
  atTank: (tank: number) => `Wind at tank ${tank}`,
  wind: (speed: string | null, from: string | null, gust: string | null) =>
    `${from === null ? "Where it came from is not recorded" : `From ${from}`}${speed === null ? ", speed not recorded" : `, ${speed}`}${gust === null ? "" : `, gusts ${gust}`}.`,
  calm: "Calm.",
  point: (name: string, degrees: number) => `${name} (${Math.round(degrees)}°)`,
  is: {
    "on-treated-ground": "The place itself was treated.",
    inside: (distance: string, angle: number) =>
      `The place lay downwind: treated ground lies upwind of it, within ${angle}° of the wind's line, the nearest ${distance} away.`,
    outside: (angle: number) =>
      `The place did not lie downwind: no treated ground lies within ${angle}° of the wind's line.`,
    calm: "It was calm: what hung in the air may have drifted any way.",
    unknown: "Whether the place lay downwind is not known: no direction is recorded.",
  },
  angle: (angle: number) =>
    `Ground counts as upwind within ${angle}° to each side of the wind's line: common practice, no source.`,
  show: (task: string) => `Show ${task} on the map`,
  shown: "On the map",
  byWind: "By the wind",
  record: "Read the record",
};

export const totals = {
  title: "What lies where",
  intro:
    "What each piece of ground has had of each active ingredient and product, across labels and tasks. Only what the books hold is counted.",
  property: "Property",
  all: "All properties",
  from: "From",
  until: "Until",
  look: "Look",
  none: "Nothing was put down on drawn ground in these days.",
  counted: (first: string, last: string) => `Counted from ${first} until ${last}.`,
  complete: (property: string, since: string) =>
    `${property}: all applications since ${since} are in the books.`,
  notComplete: (property: string) =>
    `${property}: nobody has said since when all applications are in the books. Each sum may be too low.`,
  place: "Place",
  called: "Called",
  size: "Size",
  ingredient: "Active ingredient",
  product: "Product",
  amount: "How much lies there",
  times: "Days",
  last: "Last",
  perArea: (trade: string, metric: string) => `${trade} (${metric})`,
  atLeast: (amount: string, products: string) => `at least ${amount}, and what ${products} brought`,
  without: (products: string) =>
    `No active ingredient is recorded of ${products}: each sum may be too low by it.`,
  number: (number: number) => `Place ${number}`,
  map: "Map of what was treated; the places are numbered as below",
  layers: "What was put down, oldest first",
  off: "On walls, and on places that are not drawn",
  day: "Day",
  task: "Task",
  records: "Records that are counted",
};
