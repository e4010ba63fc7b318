import { expect, test } from "vitest";
import { readLength, showLength } from "./lengths";

test("a length is read in the units that people write", () => {
  for (const [text, units, metres] of [
    ["10", "us", 3.048],
    ["10", "metric", 10],
    [" 12.5 ft", "metric", 3.81],
    ["12 ft 6 in", "us", 3.81],
    ["12' 6\"", "us", 3.81],
    ["381 cm", "us", 3.81],
    ["−4", "metric", -4],
    ["-2 ft", "metric", -0.6096],
  ] as const) {
    expect(readLength(text, units), text).toBeCloseTo(metres, 9);
  }
  for (const wrong of ["", "ten", "1,5", "3 miles", "4 ft x", "--1"])
    expect(readLength(wrong, "us"), wrong).toBeNull();
});

test("a length is shown in the unit that comes first", () => {
  expect([showLength(3.048, "us"), showLength(3.048, "metric"), showLength(-1e-9, "us")]).toEqual([
    "10.00",
    "3.05",
    "0.00",
  ]);
});
