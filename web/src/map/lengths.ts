import type { Settings } from "../house/settings.svelte";

const METRES = { ft: 0.3048, in: 0.0254, m: 1, cm: 0.01, yd: 0.9144 } as const;
type Unit = keyof typeof METRES;
const WORDS: Record<string, Unit> = {
  ft: "ft",
  feet: "ft",
  foot: "ft",
  "'": "ft",
  "′": "ft",
  in: "in",
  inch: "in",
  inches: "in",
  '"': "in",
  "″": "in",
  m: "m",
  metre: "m",
  metres: "m",
  meter: "m",
  meters: "m",
  cm: "cm",
  yd: "yd",
};

/** The unit of a bare number. */
export function unitOf(units: Settings["units"]): "ft" | "m" {
  return units === "us" ? "ft" : "m";
}

/**
 * A length in metres from what a person types: `12.5` in the unit that comes first, `12 ft 6 in`, `3.81 m`, `-4`. Null
 * where it is none.
 */
export function readLength(text: string, units: Settings["units"]): number | null {
  const plain = text.trim().toLowerCase().replace(/^[−–]/, "-");
  if (/^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain)) return Number(plain) * METRES[unitOf(units)];
  const whole = /^(-?)\s*((?:(?:\d+\.?\d*|\.\d+)\s*(?:[a-z]+|['"′″])\s*)+)$/.exec(plain);
  if (!whole) return null;
  let metres = 0;
  for (const [, number, word] of whole[2]!.matchAll(/(\d+\.?\d*|\.\d+)\s*([a-z]+|['"′″])/g)) {
    const unit = WORDS[word!];
    if (!unit) return null;
    metres += Number(number) * METRES[unit];
  }
  return whole[1] === "-" ? -metres : metres;
}

/** Metres as a number of the unit that comes first, to the hundredth or the centimetre. */
export function showLength(metres: number, units: Settings["units"]): string {
  const shown = (metres / METRES[unitOf(units)]).toFixed(2);
  return shown === "-0.00" ? "0.00" : shown;
}
