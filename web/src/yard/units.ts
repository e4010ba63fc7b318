// Figures as this person writes them: in the units of the settings.
import type { Settings } from "../house/settings.svelte";

type System = Settings["units"];

/** A unit with its word as the server reads it, and how many of the plan's units it is. */
interface Unit {
  word: string;
  per: number;
}

/** US gallons and square feet by their definition (NIST Handbook 44, appendix C). */
export const UNITS: Record<"spray" | "area", Record<System, Unit>> = {
  spray: { us: { word: "gal", per: 3.785411784 }, metric: { word: "L", per: 1 } },
  area: { us: { word: "sq ft", per: 0.09290304 }, metric: { word: "m²", per: 1 } },
};

export const WEATHER: Record<"wind" | "temperature", Record<System, string>> = {
  wind: { us: "mph", metric: "km/h" },
  temperature: { us: "°F", metric: "°C" },
};

/** A figure of the plan as it is shown. */
export function shown(value: number, unit: Unit): string {
  const number = value / unit.per;
  const digits = number >= 100 ? 0 : number >= 10 ? 1 : 2;
  return `${number.toFixed(digits)} ${unit.word}`;
}

/** A number that a person wrote; `null` for nothing, `NaN` for what is none. */
export function written(text: string): number | null {
  const bare = text.trim();
  if (bare === "") return null;
  return /^-?(\d+(\.\d*)?|\.\d+)$/.test(bare) ? Number(bare) : Number.NaN;
}
