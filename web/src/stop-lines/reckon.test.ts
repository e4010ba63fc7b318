import { expect, test } from "vitest";
import { areaM2 } from "./area";
import { dispersionOf, linesOf, moreCounts, walk, type Plan } from "./reckon";

const plan = (lower: number, upper: number, k: number | null, least: number, most: number): Plan => {
  return { lower, upper, k, treatInVain: 0.1, leaveWrongly: 0.1, least, most };
};

// The lines of 4 against 8 by chance alone are 5.77 n ± 3.17.
test("a line is met, and never before the least number; all counts together decide", () => {
  const chance = plan(4, 8, null, 3, 10);
  expect(linesOf(chance).slope).toBeCloseTo(4 / Math.log(2), 12);
  expect(linesOf(chance).upperIntercept).toBeCloseTo(Math.log(9) / Math.log(2), 12);
  expect(walk(chance, [100, 0])).toEqual({ stop: "count-on", at: 2 });
  expect(walk(chance, [30, 30, 30])).toEqual({ stop: "treat", at: 3 });
  expect(walk(chance, [4, 5, 4])).toEqual({ stop: "do-not-treat", at: 3 });
  expect(walk(chance, [4, 5, 4, 9, 9])).toEqual({ stop: "count-on", at: 5 });
  expect(walk(chance, new Array<number>(12).fill(6))).toEqual({ stop: "most-reached-treat", at: 10 });
  expect(walk(chance, new Array<number>(20).fill(6))).toEqual({ stop: "treat", at: 14 });
});

test("the order of counts changes no verdict", () => {
  const usual = plan(2, 4, 1, 5, 50);
  const falling = [6, 5, 5, 5, 6, ...new Array<number>(9).fill(0)];
  const rising = [...new Array<number>(7).fill(0), ...new Array<number>(7).fill(12)];
  expect(walk(usual, falling.slice(0, 5)).stop).toBe("treat");
  expect(walk(usual, falling)).toEqual({ stop: "do-not-treat", at: 14 });
  expect(walk(usual, [...falling].reverse())).toEqual({ stop: "do-not-treat", at: 5 });
  expect(walk(usual, rising.slice(0, 5)).stop).toBe("do-not-treat");
  expect(walk(usual, rising)).toEqual({ stop: "treat", at: 11 });
  expect(walk(usual, [...rising].reverse())).toEqual({ stop: "treat", at: 5 });
});

test("k is fitted from fifteen counts on, and what is not clumped has none", () => {
  expect(dispersionOf([0, 3, 9, 1], 1.5)).toEqual({ k: 1.5, by: "told" });
  expect(dispersionOf([0, 3, 9, 1], null)).toEqual({ k: 1, by: "default" });
  expect(dispersionOf(new Array<number>(20).fill(2), 1.5)).toEqual({ k: null, by: "not-clumped" });
  expect(dispersionOf(new Array<number>(20).fill(0), 1.5).by).toBe("told");
  expect(dispersionOf([0, 0, 9, 1, 14, 2, 0, 0, 3, 7, 0, 1, 22, 0, 4], null).by).toBe("fitted");
});

test("a slip of many digits is reckoned with at once", () => {
  const slip = [0, 3, 1, 0, 4, 2, 0, 0, 3, 7, 0, 1, 2, 0, 4_000_000_000];
  const found = dispersionOf(slip, null);
  expect(found.by).toBe("fitted");
  expect(found.k).toBeLessThan(0.2);
});

test("of how many more counts it takes something is known, or nothing is said", () => {
  expect(moreCounts(plan(2, 4, 1, 5, 50), [2, 5, 1, 4, 3])).toBeGreaterThan(0);
  expect(moreCounts(plan(5e8, 1e9, 1, 5, 50), [3, 4, 5])).toBeNull();
});

test("areas are read by their units, and nothing else is", () => {
  expect(areaM2("1 sq yd")).toBeCloseTo(0.83612736, 12);
  expect(areaM2("Sq. ft.")).toBeCloseTo(0.09290304, 12);
  expect(areaM2("0.25 acre")! / areaM2("1 sq ft")!).toBeCloseTo(10_890, 6);
  for (const none of ["", "1", "flush", "0 sq ft", "-1 sq ft", "1 yard"]) expect(areaM2(none)).toBeNull();
});
