import type { Position, Spot } from "./plane";

/** A reading of the device: where it says that it is, and how far off that may be (95 of 100 times, W3C). */
export interface Reading {
  readonly position: Position;
  readonly accuracyM: number;
}

/** What readings at one stop come to. */
export interface Stop {
  readonly spot: Spot;
  readonly count: number;
  /** The best accuracy that a reading claimed: errors of one stop go together, so averaging promises no more. */
  readonly accuracyM: number;
  /** How far the readings lie from their mean, root of the mean square. */
  readonly spreadM: number;
}

/** The mean of readings at one stop, each weighing by one over the square of its accuracy; null without any. */
export function averaged(readings: readonly { spot: Spot; accuracyM: number }[]): Stop | null {
  if (readings.length === 0) return null;
  let [weight, east, north] = [0, 0, 0];
  for (const { spot, accuracyM } of readings) {
    // A device that claims to be exact is not.
    const share = 1 / Math.max(accuracyM, 0.1) ** 2;
    weight += share;
    east += spot[0] * share;
    north += spot[1] * share;
  }
  const spot: Spot = [east / weight, north / weight];
  const squares = readings.reduce(
    (sum, one) => sum + (one.spot[0] - spot[0]) ** 2 + (one.spot[1] - spot[1]) ** 2,
    0,
  );
  return {
    spot,
    count: readings.length,
    accuracyM: Math.min(...readings.map((one) => one.accuracyM)),
    spreadM: Math.sqrt(squares / readings.length),
  };
}

/** Why the device tells no position. */
export type NoPosition = "insecure" | "missing" | "forbidden" | "unknown";

/** Follows the device until it is told to stop. */
export function follow(told: (reading: Reading) => void, failed: (why: NoPosition) => void): () => void {
  if (!("geolocation" in navigator)) {
    failed(isSecureContext ? "missing" : "insecure");
    return () => {};
  }
  const watch = navigator.geolocation.watchPosition(
    ({ coords }) => told({ position: [coords.longitude, coords.latitude], accuracyM: coords.accuracy }),
    (error) => {
      if (!isSecureContext) failed("insecure");
      else failed(error.code === error.PERMISSION_DENIED ? "forbidden" : "unknown");
    },
    { enableHighAccuracy: true, maximumAge: 0 },
  );
  return () => navigator.geolocation.clearWatch(watch);
}
