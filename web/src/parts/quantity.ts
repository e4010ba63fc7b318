// Quantities in words. The server computes; here a figure gets the unit that its reader likes.
import { house } from "../words/house";

export type Units = "us" | "metric";

/** Exact by definition: 1 ft = 0.3048 m, 1 US gal = 231 cu in, 1 lb = 453.59237 g, 1 mi = 1609.344 m. */
const FOOT_M = 0.3048;
const GALLON_L = 3.785411784;
const FLUID_OUNCE_ML = (GALLON_L * 1000) / 128;
const OUNCE_G = 453.59237 / 16;
const MILE_M = 1609.344;
const INCH_M = 0.0254;

/** A number with so many significant digits, thousands apart. */
export function digits(value: number, significant = 3): string {
  if (value === 0) return "0";
  const places = Math.max(0, significant - 1 - Math.floor(Math.log10(Math.abs(value))));
  return fixed(value, Math.min(places, 6));
}

const formats = new Map<number, Intl.NumberFormat>();

/** A number with so many decimals, thousands apart. */
export function fixed(value: number, decimals: number): string {
  // Making a format takes far longer than using it, and a plan has hundreds of figures.
  const format =
    formats.get(decimals) ??
    new Intl.NumberFormat(house.language, {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
    });
  formats.set(decimals, format);
  return format.format(value);
}

export function area(m2: number, units: Units): string {
  const value = units === "us" ? m2 / FOOT_M ** 2 : m2;
  return `${value >= 100 ? fixed(value, 0) : digits(value)} ${units === "us" ? "sq ft" : "m²"}`;
}

export function length(m: number, units: Units): string {
  return units === "us" ? `${digits(m / FOOT_M)} ft` : `${digits(m)} m`;
}

export function spray(litres: number, units: Units): string {
  return units === "us" ? `${fixed(litres / GALLON_L, 2)} gal` : `${fixed(litres, 2)} L`;
}

/** How many decimals the marks of a measure show. */
function decimalsOf(graduation: number): number {
  for (let decimals = 0; decimals < 4; decimals += 1) {
    if (Math.abs(graduation * 10 ** decimals - Math.round(graduation * 10 ** decimals)) < 1e-9)
      return decimals;
  }
  return 4;
}

/** Product as it is measured: by the marks of the measure, with the other system beside it. */
export function product(of: {
  ml?: number | null | undefined;
  g?: number | null | undefined;
  mark?: number | null | undefined;
}): string {
  const mark = of.mark ?? undefined;
  if (of.ml !== null && of.ml !== undefined) {
    const told = mark === undefined ? digits(of.ml) : fixed(of.ml, decimalsOf(mark));
    return `${told} mL (${digits(of.ml / FLUID_OUNCE_ML)} fl oz)`;
  }
  if (of.g !== null && of.g !== undefined) {
    const told = mark === undefined ? digits(of.g) : fixed(of.g, decimalsOf(mark));
    return `${told} g (${digits(of.g / OUNCE_G)} oz by weight)`;
  }
  return "";
}

export function temperature(celsius: number, units: Units): string {
  return units === "us" ? `${fixed((celsius * 9) / 5 + 32, 0)} °F` : `${fixed(celsius, 0)} °C`;
}

export const speedUnit = (units: Units) => (units === "us" ? "mph" : "km/h");

export function speed(mPerS: number, units: Units): number {
  return units === "us" ? (mPerS * 3600) / MILE_M : mPerS * 3.6;
}

export function rain(metres: number, units: Units): string {
  return units === "us" ? `${fixed(metres / INCH_M, 2)} in` : `${fixed(metres * 1000, 1)} mm`;
}

const WINDS = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];

/** Where wind comes from, as one of eight winds. */
export function wind(degrees: number): string {
  return WINDS[Math.round(degrees / 45) % 8]!;
}

/** A figure with its unit as the label prints it. */
export function figure(of: { value: number; symbol: string } | null | undefined): string {
  return of ? `${digits(of.value)}${of.symbol ? ` ${of.symbol}` : ""}` : "";
}

/** The hour and minute of a moment by the clock on the wall, `up` to the next full minute. */
export function clock(moment: string, up = false): string {
  const [hours, minutes, seconds] = moment.slice(11, 19).split(":").map(Number) as [number, number, number];
  const whole = hours * 60 + minutes + (up && seconds > 0 ? 1 : 0);
  const two = (value: number) => String(value).padStart(2, "0");
  return `${two(Math.floor(whole / 60) % 24)}:${two(whole % 60)}`;
}

/** A stretch of time in hours and minutes, never shorter than it is. */
export function minutes(of: number): string {
  const whole = Math.ceil(of - 1e-9);
  const hours = Math.floor(whole / 60);
  return hours === 0 ? `${whole} min` : `${hours} h ${whole % 60} min`;
}
