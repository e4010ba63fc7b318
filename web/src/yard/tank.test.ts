import { expect, test } from "vitest";
import { held } from "./tank";

const tank = { spray_l: 7.570823568, covers_m2: 92.90304 };

// 2 gal at 2 gal per 1,000 sq ft cover 1,000 sq ft (92.903 square metres).
test("a tank that covers more than a tenth more or less says stop", () => {
  expect(held(tank, null, 92.90304)).toEqual({ share: 1, stop: false });
  expect(held(tank, null, 92.90304 * 1.1)?.stop).toBe(false);
  expect(held(tank, null, 92.90304 * 1.11)?.stop).toBe(true);
  expect(held(tank, null, 92.90304 * 0.89)?.stop).toBe(true);
});

test("half the spray should cover half the ground", () => {
  expect(held(tank, 7.570823568 / 2, 46.45152)?.share).toBeCloseTo(1, 12);
  expect(held(tank, 7.570823568 / 2, 92.90304)?.stop).toBe(true);
});

test("what is not told is not judged", () => {
  expect(held(tank, null, null)).toBeNull();
  expect(held(tank, 0, 50)).toBeNull();
});
