import { expect, test } from "vitest";
import { basisOf } from "./basis";
import { kOfProfile } from "./profile-k";

test("a k of one area is not taken for counts on another", () => {
  const clumping = {
    k: 1.5,
    unit_area: "1 sq ft",
    unit_area_m2: 0.09290304,
    place: "nowhere",
    host: "invented ground",
    note: null,
    source: "a",
  };
  const on = (area: string) => kOfProfile(clumping, basisOf(area));
  expect([on("1 sq ft"), on("0.09 sq m"), on("0.9 sq ft")]).toEqual([1.5, 1.5, 1.5]);
  for (const other of [
    "0.2 sq ft",
    "0.89 sq ft",
    "1.12 sq ft",
    "1 sq yd",
    "flush",
    "trap",
    "plant",
    "no area",
  ]) {
    expect(on(other), other).toBeNull();
  }
  expect(kOfProfile(null, basisOf("1 sq ft"))).toBeNull();
});
