import { expect, test } from "vitest";
import { areaM2 } from "./area";
import {
  errorsOf,
  lineScatterOf,
  linesOf,
  lowerCorners,
  meansRound,
  moreCounts,
  mostNeeded,
  upperCorners,
  walk,
  type Plan,
} from "./reckon";

/** Means round a threshold in their middle. */
const plan = (lower: number, upper: number, k: number, least: number, most: number): Plan => {
  const threshold = Math.sqrt(lower * upper);
  return { lower, threshold, upper, k, treatInVain: 0.1, leaveWrongly: 0.1, least, most };
};

/** A k at which counts scatter as chance alone has it, to seven digits. */
const CHANCE = 1e8;

// The lines of 4 against 8 by chance alone are 5.77 n + 3.17 and, at half of beta, 5.77 n - 4.17.
test("a line is met, and never before the least number; all counts together decide", () => {
  const chance = plan(4, 8, CHANCE, 3, 10);
  expect(linesOf(chance).slope).toBeCloseTo(4 / Math.log(2), 6);
  expect(linesOf(chance).upperIntercept).toBeCloseTo(Math.log(9) / Math.log(2), 6);
  expect(linesOf(chance).lowerIntercept).toBeCloseTo(-Math.log(18) / Math.log(2), 6);
  expect(walk(chance, [100, 0])).toEqual({ stop: "count-on", at: 2 });
  expect(walk(chance, [30, 30, 30])).toEqual({ stop: "treat", at: 3 });
  expect(walk(chance, [4, 5, 4])).toEqual({ stop: "do-not-treat", at: 3 });
  expect(walk(chance, [4, 5, 4, 9, 9])).toEqual({ stop: "count-on", at: 5 });
  expect(walk(chance, new Array<number>(12).fill(6))).toEqual({ stop: "most-reached-treat", at: 10 });
  expect(walk(chance, new Array<number>(20).fill(6))).toEqual({ stop: "treat", at: 14 });
});

test("the order of counts changes no verdict", () => {
  const usual: Plan = { ...plan(2, 4, 2, 5, 50), ...meansRound(4, 0.707) };
  const falling = [...new Array<number>(5).fill(6), ...new Array<number>(9).fill(0)];
  const rising = [...new Array<number>(7).fill(0), ...new Array<number>(7).fill(12)];
  expect(walk(usual, falling.slice(0, 5)).stop).toBe("treat");
  expect(walk(usual, falling)).toEqual({ stop: "do-not-treat", at: 11 });
  expect(walk(usual, [...falling].reverse())).toEqual({ stop: "do-not-treat", at: 5 });
  expect(walk(usual, rising.slice(0, 5)).stop).toBe("do-not-treat");
  expect(walk(usual, rising)).toEqual({ stop: "treat", at: 12 });
  expect(walk(usual, [...rising].reverse())).toEqual({ stop: "treat", at: 5 });
});

test("lines go by the k that is told, else by the clumped end of what is likely", () => {
  expect(lineScatterOf([0, 3, 9, 1], 1.5)).toMatchObject({ k: 1.5, by: "told" });
  const believed = lineScatterOf([0, 3, 9, 1], null);
  expect(believed.by).toBe("believed");
  expect(believed.k).toBeLessThan(0.6);
  expect(believed.moreClumped).toBeLessThan(believed.k);
  // 15 % of all of the belief, as crates/scouting has it.
  expect(lineScatterOf([], null).k).toBeGreaterThan(0.232);
  expect(lineScatterOf([], null).k).toBeLessThan(0.242);
  expect(lineScatterOf(new Array<number>(20).fill(2), 1.5).by).toBe("counted");
  expect(lineScatterOf(new Array<number>(20).fill(0), 1.5).by).toBe("told");
  const clumped = lineScatterOf([0, 0, 9, 1, 14, 2, 0, 0, 3, 7, 0, 1, 22, 0, 4], null);
  const even = lineScatterOf(new Array<number>(20).fill(6), null);
  expect(clumped.k).toBeLessThan(0.6);
  expect(even.k).toBeGreaterThan(3);
});

test("a slip of many digits is reckoned with at once", () => {
  const slip = [0, 3, 1, 0, 4, 2, 0, 0, 3, 7, 0, 1, 2, 0, 4_000_000_000];
  const found = lineScatterOf(slip, null);
  expect(found.by).toBe("counted");
  expect(found.k).toBeLessThan(0.2);
});

test("lines err more where pests are more clumped than they take them for, and say so", () => {
  const assumed = plan(2, 4, 1, 5, 50);
  const [right, more] = [errorsOf(assumed, 1)!, errorsOf(assumed, 0.3)!];
  expect(right.inVain).toBeLessThan(0.07);
  expect(right.wrongly).toBeLessThan(0.1);
  expect(more.inVain).toBeGreaterThan(0.13);
  expect(more.wrongly).toBeGreaterThan(0.25);
});

test("no line crosses the threshold, and at the most counts the mean is held against it", () => {
  // 10.2 n - 4.17 lies above 10 n from the 21st count on.
  const even: Plan = { ...plan(7.07, 14.14, CHANCE, 5, 50), ...meansRound(10, 0.707) };
  expect(walk(even, new Array<number>(40).fill(10))).toEqual({ stop: "count-on", at: 40 });
  expect(walk(even, new Array<number>(50).fill(10))).toEqual({ stop: "most-reached-treat", at: 50 });
  const hardly = [...new Array<number>(49).fill(10), 9];
  expect(walk(even, hardly).stop).toBe("do-not-treat");
  const [turn, total] = lowerCorners(linesOf(even), 5, 40).at(-2)!;
  expect(total).toBeCloseTo(10 * turn, 9);
  expect(upperCorners(linesOf(even), 5, 40).length).toBe(2);
});

test("with as many counts as are needed neither error is passed", () => {
  const clumped: Plan = { ...plan(2, 4, 0.3, 5, 50), ...meansRound(3, 0.707) };
  expect(errorsOf(clumped, 0.3)!.wrongly).toBeGreaterThan(0.1);
  // As crates/scouting has it.
  expect(mostNeeded(clumped)).toBe(83);
  const enough = errorsOf({ ...clumped, most: 83 }, 0.3)!;
  expect(Math.max(enough.inVain, enough.wrongly)).toBeLessThanOrEqual(0.1);
  expect(mostNeeded({ ...plan(4, 4.4, 0.3, 5, 50), leaveWrongly: 0.001 })).toBeNull();
});

test("where there is nothing few counts tell it, by a line of their own", () => {
  const clumped = plan(2, 4, 0.25, 5, 50);
  expect(walk(clumped, new Array<number>(20).fill(0))).toEqual({ stop: "do-not-treat", at: 7 });
  const corners = lowerCorners(linesOf(clumped), 5, 40);
  expect(corners.length).toBe(3);
  expect(corners[0]![1]).toBeCloseTo(0, 9);
});

test("of how many more counts it takes something is known, or nothing is said", () => {
  expect(moreCounts(plan(2, 4, 1, 5, 50), [2, 5, 1, 4, 3])).toBeGreaterThan(0);
  expect(moreCounts(plan(5e8, 1e9, 1, 5, 50), [3, 4, 5])).toBeNull();
  // Lines so far apart that several totals stand for one.
  expect(moreCounts(plan(150, 300, 0.12, 5, 50), [200, 300, 4])).toBeGreaterThan(5);
});

test("areas are read by their units, and nothing else is", () => {
  expect(areaM2("1 sq yd")).toBeCloseTo(0.83612736, 12);
  expect(areaM2("Sq. ft.")).toBeCloseTo(0.09290304, 12);
  expect(areaM2("0.25 acre")! / areaM2("1 sq ft")!).toBeCloseTo(10_890, 6);
  expect(areaM2("6,320 sq ft")! / areaM2("1 sq ft")!).toBeCloseTo(6320, 9);
  expect(areaM2("6,32 sq ft")).toBeNull();
  for (const none of ["", "1", "flush", "0 sq ft", "-1 sq ft", "1 yard"]) expect(areaM2(none)).toBeNull();
});
