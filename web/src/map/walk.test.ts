import { expect, test } from "vitest";
import { averaged } from "./walk";

test("readings of a stop are averaged by their accuracy", () => {
  const stop = averaged([
    { spot: [0, 0], accuracyM: 2 },
    { spot: [3, 0], accuracyM: 4 },
  ]);
  // Weights 1/4 and 1/16: the mean lies a fifth of the way to the worse reading.
  expect(stop!.spot[0]).toBeCloseTo(0.6, 12);
  expect(stop).toMatchObject({ count: 2, accuracyM: 2 });
  expect(stop!.spreadM).toBeCloseTo(Math.sqrt((0.6 ** 2 + 2.4 ** 2) / 2), 12);
  expect(averaged([])).toBeNull();
});
