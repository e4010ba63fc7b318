import { expect, test } from "vitest";
import { Plane, distance } from "./plane";

const RADIUS_M = 6_378_137;
const E2 = (2 - 1 / 298.257223563) / 298.257223563;
const rad = (degrees: number) => (degrees * Math.PI) / 180;

test("a place falls where the published worked case has it", () => {
  // IOGP Guidance Note 7-2, 4.1.2: U -189013.869, V -128642.040 for a height of 73 m, which is taken off here.
  const [longitude, latitude] = [2 + 7 / 60 + 46.38 / 3600, 53 + 48 / 60 + 33.82 / 3600];
  const height = 73;
  const across = RADIUS_M / Math.sqrt(1 - E2 * Math.sin(rad(latitude)) ** 2);
  const turn = rad(longitude - 5);
  const east = -189013.869 * (across / (across + height));
  const lift =
    Math.cos(rad(55)) * Math.sin(rad(latitude)) -
    Math.sin(rad(55)) * Math.cos(rad(latitude)) * Math.cos(turn);
  const [found, north] = new Plane([5, 55]).spot([longitude, latitude]);
  expect(found).toBeCloseTo(east, 2);
  expect(north).toBeCloseTo(-128642.04 - height * lift, 2);
});

test("a spot and its position lead back to each other", () => {
  for (const origin of [
    [-97.62, 38.84],
    [151.2, -33.8],
    [20, 69],
  ]) {
    const plane = new Plane(origin);
    for (const spot of [
      [0, 0],
      [33.5, 39.6],
      [-4000, 2500],
    ] as const) {
      expect(distance(plane.spot(plane.position(spot)), spot)).toBeLessThan(1.2e-4);
    }
  }
});
