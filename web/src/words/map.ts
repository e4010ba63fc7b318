/** What kinds are called; the words that the map writes stand in `docs/map.md`. */
const KIND_NAMES: Record<string, string> = {
  boundary: "Boundary of the lot",
  turf: "Turf",
  ornamental: "Ornamental bed or hedge",
  edible: "Food plants",
  structure: "Building",
  paved: "Paving",
  "bare-soil": "Bare soil",
  mulch: "Mulch",
  water: "Water",
  drain: "Storm drain",
  well: "Well",
  hive: "Hives",
  "play-area": "Play area",
  "pet-area": "Pet area",
  tree: "Tree",
  "no-go": "Keep off",
  "entry-point": "Entry point",
  mound: "Ant mound",
  treated: "Treated",
  "kept-out": "Left out: too near",
  count: "Counted here",
  possible: "The threshold is reached with a chance of 10 to 50 %",
  likely: "The threshold is reached with a chance of over 50 %",
  "hot-spot": "To treat, by the counts",
  "next-count": "Count here next",
  complaint: "The place that is asked of",
  upwind: "Upwind of the place: the wind came from here",
};

/** Words of maps, on whatever page they stand. */
export const mapWords = {
  kind: (word: string) =>
    word === "ornamental-in-bloom"
      ? "Ornamental, in bloom"
      : (KIND_NAMES[word] ?? (word === "" ? "No kind" : `Unknown kind: ${word}`)),
  key: "What the patterns mean",
  square: (count: number, units: "us" | "metric") =>
    `A square is ${count} ${units === "us" ? "ft" : "m"} wide. North is up.`,
  nearer: "Nearer",
  farther: "Farther",
  all: "All of it",
};
