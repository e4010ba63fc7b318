import { expect, test } from "vitest";
import { Plane } from "../../map/plane";
import { sectorRing } from "./sector";

test("the ground upwind of a place lies to each side of where the wind came from", () => {
  const at = [-97.62, 38.84];
  const plane = new Plane(at);
  // A west wind: the sector opens to the west, from south-west to north-west.
  const ring = sectorRing(plane, at, 270, 45, 100).map((position) => plane.spot(position));
  const [apex, first, ...rest] = ring as [[number, number], [number, number], ...[number, number][]];
  const last = rest.at(-2)!;
  expect(apex.map((value) => Math.round(value))).toEqual([0, 0]);
  expect(first.map((value) => Math.round(value))).toEqual([-71, -71]);
  expect(last.map((value) => Math.round(value))).toEqual([-71, 71]);
  for (const [east, north] of rest.slice(0, -1)) expect(Math.hypot(east, north)).toBeCloseTo(100, 2);
});
