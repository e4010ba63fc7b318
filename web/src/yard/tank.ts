// A tank held against what it should cover, on the spot and without reception: the one figure that cannot wait.

/** Beyond a tenth off, the work stops (common practice, no source). */
export const STOP_BEYOND = 0.1;

export interface Covered {
  /** What was covered, as a share of what the spray in the tank should cover. */
  share: number;
  stop: boolean;
}

/** `null` where a figure is missing or is nothing. */
export function held(
  planned: { spray_l: number; covers_m2: number },
  spray_l: number | null,
  covered_m2: number | null,
): Covered | null {
  const spray = spray_l ?? planned.spray_l;
  if (covered_m2 === null || !(spray > 0) || !(planned.covers_m2 > 0) || !(planned.spray_l > 0)) return null;
  const expected = (planned.covers_m2 * spray) / planned.spray_l;
  const share = covered_m2 / expected;
  // A hair's breadth for the conversion of units.
  return { share, stop: Math.abs(share - 1) > STOP_BEYOND + 1e-9 };
}
