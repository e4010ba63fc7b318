import { expect, test } from "vitest";
import { limitOf } from "./sending";

test("a delivery may take as long as its size, and twice as long after each try whose time ran out", () => {
  const counts = { body: { pest: "ants" } };
  expect(Math.round(limitOf(counts) / 1000)).toBe(20);
  const photo = { body: undefined, picture: { kind: "image/jpeg", bytes: new ArrayBuffer(800_000) } };
  expect(limitOf(photo)).toBe(120_000);
  expect(limitOf({ ...photo, slow: 1 })).toBe(240_000);
  // A photo of 0.8 MB goes at some 400 bytes a second in the end.
  expect(limitOf({ ...photo, slow: 40 })).toBe(16 * 120_000);
});
