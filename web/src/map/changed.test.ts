import { expect, test } from "vitest";
import MultiPolygon from "ol/geom/MultiPolygon";
import Point from "ol/geom/Point";
import Polygon from "ol/geom/Polygon";
import { changedExtent } from "./changed";

const square = (west: number, south: number, side: number) => [
  [west, south],
  [west + side, south],
  [west + side, south + side],
  [west, south + side],
  [west, south],
];
const lawn = square(0, 0, 100);
const bed = square(10, 10, 5);
/** A house of which the north-east corner was moved. */
const house = (east: number, north: number) => [
  [40, 40],
  [60, 40],
  [east, north],
  [40, 60],
  [40, 40],
];

test("of areas that are nearly the same only the edges count that one of them has alone", () => {
  const was = new Polygon([lawn, bed, house(60, 60)]);
  expect(changedExtent(was, new Polygon([lawn, bed, house(63, 61)]), false)).toEqual([40, 40, 63, 61]);
  // Wherever the ring begins, whichever way it goes, and in whichever part it stands.
  const turned = [...lawn.slice(2), lawn[1]!, lawn[2]!];
  const is = new MultiPolygon([[bed], [turned, [...house(60, 60)].reverse()]]);
  expect(changedExtent(was, is, false).every(Number.isFinite)).toBe(false);
});

test("a corner of a long ring that moves leaves the rest of it as it is drawn", () => {
  const notch = (depth: number) => [
    ...lawn.slice(0, 2),
    [100, 50],
    [100 - depth, 55],
    [100, 60],
    ...lawn.slice(2),
  ];
  const extent = changedExtent(new Polygon([notch(5)]), new Polygon([notch(8)]), false);
  expect(extent).toEqual([92, 50, 100, 60]);
  // Dashes run on behind a change.
  expect(changedExtent(new Polygon([notch(5)]), new Polygon([notch(8)]), true)).toEqual([0, 0, 100, 100]);
});

test("rings that come or go count whole, as does what is no area", () => {
  const [one, other] = [new Polygon([lawn]), new Polygon([lawn, bed])];
  expect(changedExtent(one, other, false)).toEqual([10, 10, 15, 15]);
  expect(changedExtent(other, one, true)).toEqual([10, 10, 15, 15]);
  expect(changedExtent(new Point([1, 2]), new Point([3, 1]), false)).toEqual([1, 1, 3, 2]);
});
