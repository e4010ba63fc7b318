// Line drawings of states of the key, made for it: where a drawing tells more than words. The words always stand beside.
// Each is drawn in a box of 72 by 54; the animal looks to the left.

export interface Drawing {
  /** Lines of ink. */
  lines: string;
  /** What is filled with ink. */
  solid?: string;
}

const MAGGOT = "M12 28C12 16 60 18 60 29S12 40 12 28ZM24 20V37M34 19V38M44 19V38";
const THIN_LEG = "M8 16L30 32L46 14L52 42L62 44";
const HEAD = "M28 36A9 9 0 1 0 10 36A9 9 0 1 0 28 36ZM28 32C40 25 68 28 68 38C68 46 40 46 27 41";
const ABOVE = "M10 27C10 15 62 15 62 27S10 39 10 27ZM22 18.5V35.5";
const LOOP =
  "M20 42C6 30 14 8 36 8S62 30 52 42C46 46 42 40 46 34C52 24 46 18 36 18S24 26 28 34C31 40 26 46 20 42Z";
const TAIL = "M14 8C14 40 22 48 36 48S58 40 58 8";
const ANT = "M6 27A7 6 0 1 0 20 27A7 6 0 1 0 6 27Z";
const GASTER = "M46 27C46 14 68 14 68 27S46 40 46 27Z";
const TURF = "M4 46H68";
const LEAF = "M6 46C8 22 26 8 62 8C62 36 44 48 18 44ZM6 46L46 20";
const THIGH = "M6 34C6 22 40 12 66 20C60 30 30 44 6 34Z";

export const DRAWINGS: Readonly<Record<string, Readonly<Record<string, Drawing>>>> = {
  legs: {
    none: { lines: MAGGOT },
    six: {
      lines:
        "M16 27C16 17 60 17 60 27S16 37 16 27ZM28 20L22 6M37 19V5M46 20L53 6M28 34L22 48M37 35V49M46 34L53 48",
    },
    "six-and-stumps": {
      lines:
        "M6 24C6 14 66 14 66 25S6 36 6 24ZM16 15V34M12 32L8 43M18 34L15 44M24 34.500L22 44M36 35V42H41V35M46 35V42H51V35M56 33V40H61V32",
    },
    eight: {
      lines:
        "M22 27A14 12 0 1 0 50 27A14 12 0 1 0 22 27ZM26 19L12 8M32 16L26 4M40 16L46 4M46 19L60 8M26 35L12 46M32 38L26 50M40 38L46 50M46 35L60 46",
    },
  },
  "hind-legs": {
    jumping: {
      lines: "M6 30C4 20 40 20 64 26C50 36 10 38 6 30ZM14 35L9 48M25 36L23 48M50 8L60 48L66 48",
      solid: "M38 32L48 8L53 8L46 32Z",
    },
    plain: { lines: "M6 26C6 16 62 16 62 26S6 36 6 26ZM18 34L12 47M34 36V48M50 34L57 47" },
    "no-legs": { lines: MAGGOT },
  },
  "front-legs": {
    digging: {
      lines: "M4 32L26 24C36 12 48 12 51 18L62 10L57 21L68 20L59 28L68 34L56 34C48 46 34 44 26 38L4 42Z",
    },
    plain: { lines: THIN_LEG },
    "no-legs": { lines: MAGGOT },
  },
  "front-claws": {
    "v-gap": { lines: "M8 50V26L24 6L35 40L47 6L63 26V50" },
    "u-gap": { lines: "M6 50V26L15 6L23 32C25 42 46 42 48 32L56 6L65 26V50" },
    "not-digging": { lines: THIN_LEG },
  },
  feelers: {
    "short-thread": { lines: `${HEAD}M16 28Q14 14 5 10M21 27Q22 13 15 6` },
    "long-thread": { lines: `${HEAD}M16 28Q16 2 68 6M22 28Q26 10 70 16` },
    elbowed: { lines: `${HEAD}M15 28L13 14L3 16M21 27L24 12L13 5` },
    "fan-or-knob": {
      lines: `${HEAD}M16 28L13 17M13 17L3 14M13 17L5 8M13 17L11 5M21 27L27 15M27 15L22 4M27 15L31 4M27 15L38 8`,
    },
    tiny: { lines: HEAD },
  },
  wings: {
    none: { lines: `${ABOVE}M32 17V37M42 17V37M52 19V35` },
    pads: {
      lines: `${ABOVE}M24 20C32 17 38 20 38 24C34 26 26 25 24 25M24 34C32 37 38 34 38 30C34 28 26 29 24 29M46 17V37M54 20V34`,
    },
    "straight-leathery": {
      lines: "M8 27C8 20 18 19 24 19H66L68 27L66 35H24C18 35 8 34 8 27ZM20 19V35M20 27H68M26 23H64M26 31H64",
    },
    "short-leathery": { lines: `${ABOVE}M22 18V36L38 34V27H22M38 27V20L22 18M46 17V37M54 20V34` },
    "hard-covers": {
      lines: "M8 27C8 20 14 18 20 18V36C14 36 8 34 8 27ZM20 16C40 8 66 14 66 27S40 46 20 38ZM20 27H66",
    },
    crossed: {
      lines:
        "M8 27C8 20 14 18 20 18V36C14 36 8 34 8 27ZM20 16C40 10 66 16 66 27S40 44 20 38ZM20 17L44 27L20 37M44 27L62 18M44 27L62 36",
    },
    "roof-or-clear": {
      lines: "M8 46L36 8L64 46M36 8V40M16 46C22 36 28 40 36 40S50 36 56 46M28 22L22 42M44 22L50 42",
    },
    lacy: { lines: "M14 8H58V46H14ZM14 18H58M14 28H58M14 37H58M24 8V46M36 8V46M48 8V46" },
  },
  "body-shape": {
    "long-side-high": {
      lines:
        "M6 24C4 12 12 10 18 10L64 20L68 26L20 40C8 42 6 34 6 24ZM20 10V40M12 18A2 2 0 1 0 12.100 18M42 34L52 8L60 46",
    },
    "cricket-flat-back": {
      lines: "M6 28A9 9 0 1 1 24 28A9 9 0 1 1 6 28ZM22 18H60C68 18 68 40 60 40H22M34 18V40M48 38L56 12L64 44",
    },
    "c-curved": { lines: LOOP },
    "straight-worm": {
      lines:
        "M4 27C4 19 12 20 14 20H62C70 20 70 34 62 34H14C10 34 4 34 4 27ZM14 20V34M24 20V34M34 20V34M44 20V34M54 20V34",
    },
    "short-legless-grub": { lines: "M18 28C18 14 56 12 56 27S18 42 18 28ZM28 20V36M38 17V38M47 18V37" },
    domed: { lines: "M8 38C10 10 62 10 64 38ZM36 17V38M14 38L10 46M30 38V47M48 38L52 46" },
    "flat-oval": { lines: "M8 29C8 22 64 22 64 29S8 36 8 29ZM20 35L16 42M36 35V43M52 35L56 42" },
    "narrow-waist": {
      lines: `${ANT}M20 27C24 20 34 20 36 27M20 27C24 34 34 34 36 27M36 27C38 23 42 23 42 27S38 31 36 27M42 27H46${GASTER}`,
    },
    "pear-soft": { lines: "M14 28C14 22 24 24 30 20C44 10 62 16 62 28S44 46 30 36C24 32 14 34 14 28Z" },
    "long-flat": { lines: "M4 26H68V30H4ZM14 30L10 40M30 30V41M46 30L52 40" },
    "side-flat": {
      lines: "M20 8C34 2 54 16 54 32C54 44 44 50 36 46C22 40 14 18 20 8ZM30 46L26 52M40 46L44 52M52 38L62 46",
    },
  },
  "rear-end": {
    plain: { lines: "M4 14C30 10 56 16 56 27S30 44 4 40M20 13V41M36 14V40" },
    pincers: {
      lines:
        "M4 14C24 12 40 18 40 27S24 42 4 40M40 22C52 10 66 16 66 26C60 20 50 22 44 26M40 32C52 44 66 38 66 28",
    },
    spear: { lines: "M4 14C24 12 40 18 40 27S24 42 4 40M40 26L68 25L68 28L40 29" },
    "two-tubes": { lines: "M4 12C30 6 54 14 54 27S30 48 4 42M44 13L60 4L63 8L50 17M44 41L60 50L63 46L50 37" },
    "fleshy-lobes": {
      lines:
        "M24 27A12 12 0 1 0 48 27A12 12 0 1 0 24 27ZM28 17L22 6L34 14M38 14L50 6L45 18M47 22L62 20L48 31M44 37L52 48L37 39M33 39L22 48L27 36M25 31L10 30L24 23",
      solid: "M31 27A5 5 0 1 0 41 27A5 5 0 1 0 31 27Z",
    },
    "hair-pattern": { lines: `${TAIL}M28 22L30 28M36 20V26M44 22L42 28M26 32L29 37M36 31V37M46 32L43 37` },
    "white-tufts": {
      lines:
        "M14 6H58V34C58 46 14 46 14 34ZM36 6V42M14 12H6M14 20H6M14 28H6M58 12H66M58 20H66M58 28H66M28 44V52M44 44V52",
    },
  },
  "grub-hairs": {
    "short-v": { lines: `${TAIL}M28 18L31 26M44 18L41 26M30 28L34 35M42 28L38 35` },
    zipper: { lines: `${TAIL}M32 12V17M32 20V25M32 28V33M32 36V41M40 12V17M40 20V25M40 28V33M40 36V41` },
    "open-zipper": {
      lines: `${TAIL}M35 10V15M38 10V15M33 18L32 23M41 18L42 23M30 27L28 32M43 27L45 32M26 35L23 40M47 35L50 40`,
    },
    "short-rows": { lines: `${TAIL}M32 22V27M32 31V36M40 22V27M40 31V36` },
    scattered: {
      lines: `${TAIL}M24 14L26 18M40 12V17M50 18L47 22M30 24L33 27M44 28L41 32M26 34L29 37M37 36V41M36 20L34 23`,
    },
    "two-pads": {
      lines: `${TAIL}M24 14L26 18M40 12V17M30 22L33 25M46 22L43 26M24 36A5 4 0 1 0 34 36A5 4 0 1 0 24 36ZM38 36A5 4 0 1 0 48 36A5 4 0 1 0 38 36Z`,
    },
    "not-such-a-grub": { lines: MAGGOT },
  },
  "tail-slit": {
    "y-slit": { lines: `${TAIL}M24 18L36 30L48 18M36 30V42` },
    across: { lines: `${TAIL}M20 26Q36 36 52 26` },
    "not-such-a-grub": { lines: MAGGOT },
  },
  waist: {
    "two-bumps": {
      lines: `${ANT}M20 27C24 20 30 20 32 27M20 27C24 34 30 34 32 27M32 27C33 20 38 20 39 27C40 20 45 20 46 27M32 29H46${GASTER}`,
    },
    "one-bump-even-back": {
      lines: `${ANT}M20 27C22 14 34 14 38 26M20 27C24 34 32 32 38 28M38 27C39 16 44 16 45 27M38 29H46${GASTER}`,
    },
    "one-bump-uneven-back": {
      lines: `${ANT}M20 27C22 16 28 16 29 22C32 18 36 22 38 26M20 27C24 34 32 32 38 28M38 27Q41 24 45 27M38 29H46${GASTER}`,
    },
    "not-an-ant": { lines: ABOVE },
  },
  "hind-thigh": {
    herringbone: {
      lines: `${THIGH}M14 28L20 33L22 38M22 24L29 30L31 38M31 20L38 26L40 35M41 18L47 23L49 31M51 17L56 21L57 27`,
    },
    "stripe-along": { lines: THIGH, solid: "M10 32C20 26 44 20 62 21.500C46 25 24 32 10 34Z" },
    "dark-bands": { lines: THIGH, solid: "M18 25L26 22L30 39L21 38ZM38 17.500L46 16.500L50 30L42 34Z" },
    plain: { lines: THIGH },
    "no-jumping-thigh": { lines: THIN_LEG },
  },
  damage: {
    "ragged-leaves": {
      lines:
        "M6 46C8 30 14 22 22 16L26 24L32 12L40 16L46 9L62 8C62 18 58 24 54 30L46 28L46 38L36 36L32 46L18 44ZM6 46L44 22",
    },
    "clipped-low": {
      lines: `${TURF}M10 46L9 38H13M20 46L18 39H22M30 46V37H34M42 46L40 39H45M52 46V38H56M62 46L60 39H64M58 30L66 22M46 26L50 16`,
    },
    "spreading-patches": {
      lines:
        "M8 20C8 8 30 8 30 18C40 12 50 20 44 28C60 26 66 42 52 44C40 50 34 42 34 34C20 44 4 34 8 20ZM16 18H22M18 26H26M42 36H50M34 22H38",
    },
    "loose-turf": {
      lines:
        "M4 46H40M8 46V36H40C56 36 62 26 58 16C54 8 44 12 46 20M40 46V36M14 36L12 28M22 36V27M30 36L32 28M39 36L42 29M40 46L36 50M30 46L27 50M20 46L17 50",
    },
    ridges: {
      lines: `${TURF}M6 46C10 30 20 30 24 46M26 46C30 26 42 26 46 46M48 46C52 32 60 32 64 46M35 36A4 4 0 1 0 35.100 36`,
    },
    mounds: {
      lines: "M4 46H68M12 46C18 12 54 12 60 46M26 36L27 37M36 28L37 29M44 38L45 39M32 42L33 43M48 30L49 31",
    },
    skeletonised: {
      lines: `${LEAF}M18 36L20 22M28 30L32 14M38 25L44 10M18 36L34 40M28 30L46 36M38 25L56 28M20 28L30 24M32 20L44 16M30 36L42 30`,
    },
    stippled: {
      lines: `${LEAF}M20 26H21M28 20H29M36 14H37M46 13H47M54 16H55M50 24H51M44 30H45M36 34H37M28 38H29M22 40H23M30 28H31M40 20H41`,
    },
    "sticky-sooty": {
      lines: `${LEAF}M60 36C56 42 56 46 60 48C64 46 64 42 60 36Z`,
      solid:
        "M24 22A4 3 0 1 0 24.100 22ZM40 14A5 3 0 1 0 40.100 14ZM34 36A5 3 0 1 0 34.100 36ZM50 24A4 3 0 1 0 50.100 24Z",
    },
    "stripped-twigs": {
      lines:
        "M4 10C24 6 48 8 68 14M20 8L26 2M44 9L50 3M34 9V18M34 18C26 26 28 44 34 50C40 44 42 26 34 18ZM30 30H38M29 38H39M56 12L60 22",
    },
    "round-spots": {
      lines:
        "M6 18A12 9 0 1 0 30 18A12 9 0 1 0 6 18ZM38 34A14 11 0 1 0 66 34A14 11 0 1 0 38 34ZM44 34A8 6 0 1 0 60 34A8 6 0 1 0 44 34ZM12 18H16M20 16H24M18 21H22",
    },
    "bands-or-strips": {
      lines:
        "M12 4V50M24 4V50M44 4V50M56 4V50M15 10H21M15 20H21M15 30H21M15 40H21M47 10H53M47 20H53M47 30H53M47 40H53",
    },
    "general-thin": { lines: `${TURF}M10 46L7 30M24 46L27 34M40 46L38 28M54 46L58 36M64 46L65 34` },
    "wood-or-house": {
      lines: "M4 46H68M12 46V22L36 6L60 22V46M30 46V30H42V46M50 40L51 41M54 43L55 44M47 44L48 45M56 38L57 39",
    },
    none: {
      lines: `${TURF}M8 46L6 26M14 46L18 24M22 46L20 22M30 46L34 24M38 46L36 22M46 46L50 24M54 46L52 22M62 46L65 26`,
    },
  },
};

/** The drawing of a state, where there is one. */
export function drawingOf(character: string, state: string): Drawing | undefined {
  return DRAWINGS[character]?.[state];
}
