import type { Form } from "./document";

/** How a fill is hatched. The pattern names the kind; the colour only helps. */
export type Pattern =
  | "dots"
  | "slashes"
  | "crosses"
  | "waves"
  | "bricks"
  | "solid"
  | "ticks"
  | "chips"
  | "rings"
  | "pluses"
  | "diamonds"
  | "bars"
  | "grid"
  | "backslashes"
  | "paper";

/** The outline of the sign that stands for a point. */
export type Sign =
  "hexagon" | "triangle" | "circle" | "ring" | "grate" | "dome" | "plus" | "diamond" | "crown" | "barred";

/** What a kind looks like, and what it may be drawn as; `docs/map.md` says what the words mean. */
export interface Kind {
  readonly word: string;
  readonly forms: readonly Form[];
  /** What is drawn later lies above. */
  readonly order: number;
  /** Fill: exact Okabe-Ito colours, and a light grey for paving; null lets the ground show through. */
  readonly fill: string | null;
  readonly pattern: Pattern;
  /** Ink of the pattern where it is not the dark one. */
  readonly ink?: string;
  /** Dashes of the outline; whole when left out. */
  readonly dashes?: readonly number[];
  readonly sign?: Sign;
  /** Whether it is drawn without an outline of its own, or with a heavy one. */
  readonly outline?: "none" | "heavy";
  /** Whether it may carry a state of bloom. */
  readonly blooms?: boolean;
}

const area = ["area"] as const;
const anywhere = ["area", "line", "point"] as const;
const place = ["point", "area"] as const;

/** One table for the map, its key and what is printed. */
export const KINDS: readonly Kind[] = [
  { word: "boundary", forms: area, order: 0, fill: null, pattern: "paper" },
  { word: "turf", forms: area, order: 10, fill: "#009E73", pattern: "dots", blooms: true },
  { word: "ornamental", forms: area, order: 40, fill: "#E69F00", pattern: "slashes", blooms: true },
  { word: "edible", forms: area, order: 50, fill: "#CC79A7", pattern: "crosses", blooms: true },
  { word: "structure", forms: area, order: 80, fill: null, pattern: "solid" },
  { word: "paved", forms: area, order: 70, fill: "#D0D0D0", pattern: "bricks" },
  { word: "bare-soil", forms: area, order: 20, fill: "#FFFFFF", pattern: "ticks" },
  { word: "mulch", forms: area, order: 30, fill: "#F0E442", pattern: "chips" },
  { word: "water", forms: ["area", "line"], order: 60, fill: "#0072B2", pattern: "waves", ink: "#FFFFFF" },
  { word: "drain", forms: anywhere, order: 120, fill: "#FFFFFF", pattern: "grid", sign: "grate" },
  { word: "well", forms: place, order: 121, fill: "#56B4E9", pattern: "rings", sign: "ring" },
  { word: "hive", forms: place, order: 125, fill: "#F0E442", pattern: "rings", sign: "hexagon" },
  {
    word: "play-area",
    forms: place,
    order: 100,
    fill: null,
    pattern: "pluses",
    dashes: [3, 4],
    sign: "plus",
  },
  {
    word: "pet-area",
    forms: place,
    order: 101,
    fill: null,
    pattern: "diamonds",
    dashes: [3, 4],
    sign: "diamond",
  },
  { word: "tree", forms: place, order: 90, fill: null, pattern: "rings", sign: "crown", blooms: true },
  {
    word: "no-go",
    forms: anywhere,
    order: 110,
    fill: null,
    pattern: "bars",
    dashes: [10, 6],
    sign: "barred",
  },
  { word: "entry-point", forms: anywhere, order: 124, fill: "#FFFFFF", pattern: "paper", sign: "triangle" },
  { word: "mound", forms: place, order: 123, fill: "#D55E00", pattern: "dots", sign: "dome" },
];

/** Ground that a visit treats: above what lies below it. */
export const TREATED: Kind = {
  word: "treated",
  forms: area,
  order: 75,
  fill: "#D55E00",
  pattern: "backslashes",
};
/** Ground that a visit leaves out for the sake of what lies beside it. */
export const KEPT_OUT: Kind = {
  word: "kept-out",
  forms: area,
  order: 76,
  fill: null,
  pattern: "bars",
  dashes: [10, 6],
};
/** A place where something was counted. */
export const COUNT: Kind = {
  word: "count",
  forms: ["point"],
  order: 130,
  fill: "#FFFFFF",
  pattern: "paper",
  sign: "circle",
};
/** Turf where a threshold may be reached, and where it is more likely than not. */
export const POSSIBLE: Kind = {
  word: "possible",
  forms: area,
  order: 11,
  fill: "#F0E442",
  pattern: "pluses",
  outline: "none",
};
export const LIKELY: Kind = {
  word: "likely",
  forms: area,
  order: 12,
  fill: "#D55E00",
  pattern: "grid",
  outline: "none",
};
/** The smallest ground to treat, by counts. */
export const HOT_SPOT: Kind = {
  word: "hot-spot",
  forms: area,
  order: 77,
  fill: null,
  pattern: "paper",
  dashes: [16, 6],
  outline: "heavy",
};
/** A place where a count would tell most. */
export const NEXT_COUNT: Kind = {
  word: "next-count",
  forms: ["point"],
  order: 131,
  fill: "#FFFFFF",
  pattern: "paper",
  sign: "diamond",
};
/** A place of which somebody complains. */
export const COMPLAINT: Kind = {
  word: "complaint",
  forms: ["point"],
  order: 132,
  fill: "#D55E00",
  pattern: "paper",
  sign: "diamond",
};
/** Where the wind came from, seen from such a place: ground in it is upwind. */
export const UPWIND: Kind = {
  word: "upwind",
  forms: area,
  order: 78,
  fill: null,
  pattern: "ticks",
  dashes: [4, 6],
};
/** What has no kind, or one that is not known. */
export const UNKNOWN: Kind = {
  word: "",
  forms: anywhere,
  order: 35,
  fill: "#FFFFFF",
  pattern: "paper",
  dashes: [2, 4],
  sign: "circle",
};

const byWord = new Map(
  [...KINDS, TREATED, KEPT_OUT, COUNT, POSSIBLE, LIKELY, HOT_SPOT, NEXT_COUNT, COMPLAINT, UPWIND].map(
    (kind) => [kind.word, kind],
  ),
);

/** The kind of a word; `ornamental-in-bloom` looks as `ornamental` does. */
export function kindOfWord(word: string): Kind {
  return byWord.get(word === "ornamental-in-bloom" ? "ornamental" : word) ?? UNKNOWN;
}
