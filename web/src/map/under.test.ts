import { expect, test } from "vitest";
import { EMPTY_MAP, newFeature, withParts, type Form, type PropertyMap } from "./document";
import { Plane, type Spot } from "./plane";
import { keyAt } from "./under";

const plane = new Plane([-97.62, 38.84]);

function drawn(...shapes: [Form, Spot[][]][]): PropertyMap {
  const features = shapes.map(([form, runs]) => {
    const placed = runs.map((run) => run.map((spot) => plane.position(spot)));
    return withParts(newFeature({ type: "Feature", properties: {} }), [{ form, runs: placed }]);
  });
  return { ...EMPTY_MAP, features };
}
const box = (e: number, n: number, w: number, d: number): Spot[] => [
  [e, n],
  [e + w, n],
  [e + w, n + d],
  [e, n + d],
];

test("of what lies under a press the smallest is meant, and paper is nothing", () => {
  const map = drawn(["area", [box(0, 0, 30, 30)]], ["area", [box(5, 5, 10, 10)]], ["point", [[[9, 9]]]]);
  const [lot, house, tree] = map.features.map(({ key }) => key);
  expect(keyAt(map, plane, [20, 20], 0.5)).toBe(lot);
  expect(keyAt(map, plane, [6, 12], 0.5)).toBe(house);
  expect(keyAt(map, plane, [9.3, 9.3], 0.5)).toBe(tree);
  expect(keyAt(map, plane, [40, 40], 0.5)).toBeNull();
});

test("a press within reach of an outline is on it, and one in a hole is not", () => {
  const map = drawn(
    ["area", [box(0, 0, 20, 20), box(5, 5, 10, 10)]],
    [
      "line",
      [
        [
          [30, 0],
          [30, 20],
        ],
      ],
    ],
  );
  const [ring, fence] = map.features.map(({ key }) => key);
  expect(keyAt(map, plane, [10, 10], 0.5)).toBeNull();
  expect(keyAt(map, plane, [10, 20.4], 0.5)).toBe(ring);
  expect(keyAt(map, plane, [10, 20.6], 0.5)).toBeNull();
  expect(keyAt(map, plane, [30.4, 10], 0.5)).toBe(fence);
  expect(keyAt(map, plane, [30, 20.6], 0.5)).toBeNull();
});
