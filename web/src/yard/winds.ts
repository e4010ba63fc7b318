// Where wind comes from, by the sixteen points of the compass.

export const WINDS = [
  "N",
  "NNE",
  "NE",
  "ENE",
  "E",
  "ESE",
  "SE",
  "SSE",
  "S",
  "SSW",
  "SW",
  "WSW",
  "W",
  "WNW",
  "NW",
  "NNW",
];

/** The degrees of a point, clockwise from north; `undefined` for what is none. */
export function pointOf(name: string): number | undefined {
  const at = WINDS.indexOf(name);
  return at < 0 ? undefined : (at * 360) / WINDS.length;
}

/** The point that is nearest to so many degrees. */
export const nearestPoint = (degrees: number): string =>
  WINDS[Math.round((((degrees % 360) + 360) % 360) / (360 / WINDS.length)) % WINDS.length] ?? "";
