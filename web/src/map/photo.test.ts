import { expect, test } from "vitest";
import { pixelOfSpot, spotOfPixel } from "./backdrop";
import { laid, middleOf, moved, scaledByTwo, turned, worldPlacement } from "./photo";
import { Plane, distance } from "./plane";

const picture = { width: 400, height: 200 };

test("two places of a photo come as far apart as they are said to be, and the first stays", () => {
  const placed = turned(laid(picture, [5, 5], 80), [0, 0], 30);
  const [one, other] = [spotOfPixel(placed, 20, 30), spotOfPixel(placed, 220, 130)];
  const scaled = scaledByTwo(placed, one, other, 12);
  expect(distance(spotOfPixel(scaled, 20, 30), one)).toBeLessThan(1e-9);
  expect(distance(spotOfPixel(scaled, 20, 30), spotOfPixel(scaled, 220, 130))).toBeCloseTo(12, 9);
  const [x, y] = pixelOfSpot(scaled, spotOfPixel(scaled, 7, 9));
  expect([x, y].map((value) => Math.round(value * 1e6) / 1e6)).toEqual([7, 9]);
});

test("a photo is turned clockwise about its middle, and moved", () => {
  const placed = laid(picture, [10, 20], 40);
  const quarter = turned(placed, middleOf(placed, picture), 90);
  // What was at the middle of the upper edge lies to the east.
  const [east, north] = spotOfPixel(quarter, 200, 0);
  expect([east, north].map((value) => Math.round(value * 1e6) / 1e6)).toEqual([20, 20]);
  expect(middleOf(moved(quarter, [1, -2]), picture).map((value) => Math.round(value * 1e6) / 1e6)).toEqual([
    11, 18,
  ]);
});

test("a world file in degrees lays the middle of its first pixel where it says", () => {
  const plane = new Plane([-97.62, 38.84]);
  const placed = worldPlacement("0.000001\n0\n0\n-0.000001\n-97.6199995\n38.8403995\n", plane, 0.5);
  if (typeof placed === "string") throw new Error(placed);
  // Half as large as when the file was written: its first pixel's middle is a quarter of a pixel in.
  const first = spotOfPixel(placed, 0.25, 0.25);
  expect(distance(first, plane.spot([-97.6199995, 38.8403995]))).toBeLessThan(1e-4);
  expect(worldPlacement("0.25\n0\n0\n-0.25\n620000\n4300000", plane, 1)).toBe("not-degrees");
  expect(worldPlacement("1 2 3", plane, 1)).toBe("lines");
});
