import { expect, test } from "vitest";
import { WINDS, nearestPoint, pointOf } from "./winds";

test("sixteen points go round the compass", () => {
  expect(WINDS.map(pointOf)).toEqual(WINDS.map((_, at) => at * 22.5));
  expect(pointOf("SSW")).toBe(202.5);
  expect(pointOf("calm")).toBeUndefined();
  for (const point of WINDS) expect(nearestPoint(pointOf(point)! + 11)).toBe(point);
  expect(nearestPoint(349)).toBe("N");
  expect(nearestPoint(360)).toBe("N");
});
