import { describe, expect, test } from "vitest";
import { EMPTY_MAP, idOf, partsOf, type MapFeature, type PropertyMap } from "./document";
import {
  CannotEdit,
  addFeature,
  cutHole,
  insertCorner,
  moveCorners,
  moveFeature,
  rectangle,
  removeCorner,
  setEdge,
  sharers,
} from "./edit";
import { Plane, type Spot } from "./plane";
import { split } from "./split";
import { again, back, begun, onward } from "./steps";

const plane = new Plane([-97.62, 38.84]);

function two(): { map: PropertyMap; west: string; east: string } {
  const first = addFeature(EMPTY_MAP, plane, "turf", "area", rectangle([0, 0], 10, 10));
  const second = addFeature(first.map, plane, "paved", "area", rectangle([10, 0], 5, 10));
  return { map: second.map, west: first.key, east: second.key };
}

const feature = (map: PropertyMap, key: string): MapFeature => map.features.find((one) => one.key === key)!;

function spots(map: PropertyMap, key: string, run = 0): [number, number][] {
  return partsOf(feature(map, key))[0]!.runs[run]!.map((position) => {
    const [east, north] = plane.spot(position);
    return [Math.round(east * 100) / 100 + 0, Math.round(north * 100) / 100 + 0];
  });
}

/** The shoelace formula, on spots to the centimetre. */
function area(corners: readonly Spot[]): number {
  const sum = corners.reduce((total, [x, y], at) => {
    const [u, v] = corners[(at + 1) % corners.length]!;
    return total + x * v - u * y;
  }, 0);
  return Math.abs(sum) / 2;
}

describe("corners", () => {
  test("shared by two features move together, and what did not move keeps its digits", () => {
    const { map, west, east } = two();
    expect(sharers(map, plane, west, [10, 10])).toBe(1);
    const moved = moveCorners(map, plane, [10, 10], [12, 11]);
    expect(spots(moved, west)).toEqual([
      [0, 0],
      [10, 0],
      [12, 11],
      [0, 10],
    ]);
    expect(spots(moved, east)).toEqual([
      [10, 0],
      [15, 0],
      [15, 10],
      [12, 11],
    ]);
    expect(partsOf(feature(moved, west))[0]!.runs[0]![0]).toBe(partsOf(feature(map, west))[0]!.runs[0]![0]);
  });

  test("put on a shared edge are put into both", () => {
    const { map, west, east } = two();
    const put = insertCorner(map, plane, west, { part: 0, run: 0, corner: 1 }, [10, 4]);
    expect(spots(put, west)).toEqual([
      [0, 0],
      [10, 0],
      [10, 4],
      [10, 10],
      [0, 10],
    ]);
    expect(spots(put, east)).toEqual([
      [10, 0],
      [15, 0],
      [15, 10],
      [10, 10],
      [10, 4],
    ]);
  });

  test("are put no nearer than a map can tell", () => {
    let { map } = two();
    const west = map.features[0]!.key;
    const halve = () => {
      for (let turn = 0; turn < 40; turn += 1) {
        const [, east] = spots(map, west).map(([x]) => x);
        map = insertCorner(map, plane, west, { part: 0, run: 0, corner: 0 }, [east! / 2, 0]);
      }
    };
    expect(halve).toThrow("edge-too-short");
    expect(spots(map, west).length).toBeLessThan(20);
  });

  test("are taken away down to three", () => {
    const { map, west } = two();
    const three = removeCorner(map, west, { part: 0, run: 0, corner: 3 });
    expect(spots(three, west)).toHaveLength(3);
    expect(() => removeCorner(three, west, { part: 0, run: 0, corner: 0 })).toThrow(CannotEdit);
  });

  test("follow a length that is typed", () => {
    const { map, west, east } = two();
    const longer = setEdge(map, plane, west, { part: 0, run: 0, corner: 0 }, 12.5);
    expect(spots(longer, west)[1]).toEqual([12.5, 0]);
    expect(spots(longer, east)[0]).toEqual([12.5, 0]);
  });

  test("of a whole feature move without the neighbour's", () => {
    const { map, west, east } = two();
    const moved = moveFeature(map, plane, east, [1, -2]);
    expect(spots(moved, east)[0]).toEqual([11, -2]);
    expect(spots(moved, west)[1]).toEqual([10, 0]);
  });
});

test("a hole is cut inside and refused outside or in another hole", () => {
  const { map, west } = two();
  const cut = cutHole(map, plane, west, rectangle([2, 2], 3, 3));
  expect(spots(cut, west, 1)).toEqual([
    [2, 2],
    [5, 2],
    [5, 5],
    [2, 5],
  ]);
  const refused = (hole: Spot[]) => {
    try {
      cutHole(cut, plane, west, hole);
      return "done";
    } catch (error) {
      return (error as CannotEdit).obstacle;
    }
  };
  expect(refused(rectangle([8, 8], 5, 1))).toBe("hole-outside");
  expect(refused(rectangle([3, 3], 1, 1))).toBe("hole-in-hole");
  expect(refused(rectangle([6, 6], 1, 1))).toBe("done");
  expect(
    partsOf(feature(removeCorner(cut, west, { part: 0, run: 1, corner: 0 }), west))[0]!.runs[1],
  ).toHaveLength(3);
});

describe("a split", () => {
  test.each([
    [
      "across",
      [
        [4, -3],
        [4, 14],
      ],
    ],
    [
      "between two outlines it was snapped to",
      [
        [4, 0],
        [4, 10],
      ],
    ],
    [
      "from corner to corner",
      [
        [0, 0],
        [10, 10],
      ],
    ],
    [
      "with a bend inside",
      [
        [3, -1],
        [5, 5],
        [3, 11],
      ],
    ],
  ] as [string, Spot[]][])("%s makes two that cover the one", (_, cut) => {
    const { map, west, east } = two();
    const done = split(map, plane, west, cut);
    const [one, other] = [spots(done.map, west), spots(done.map, done.key)];
    expect(area(one) + area(other)).toBeCloseTo(100, 6);
    expect(Math.min(area(one), area(other))).toBeGreaterThan(30);
    expect(idOf(feature(done.map, done.key), 2)).toBe("turf-2");
    expect(spots(done.map, east)).toEqual(spots(map, east));
  });

  test("gives the neighbour its corner on a shared edge", () => {
    const { map, west, east } = two();
    const done = split(map, plane, west, [
      [-1, 5],
      [11, 5],
    ]);
    expect(spots(done.map, east)).toContainEqual([10, 5]);
  });

  test("leaves each hole in its piece", () => {
    const { map, west } = two();
    const cut = cutHole(map, plane, west, rectangle([1, 1], 2, 2));
    const done = split(cut, plane, west, [
      [5, -1],
      [5, 11],
    ]);
    const holes = [west, done.key].map((key) => partsOf(feature(done.map, key))[0]!.runs.length - 1);
    expect(holes.sort()).toEqual([0, 1]);
    expect(() =>
      split(cut, plane, west, [
        [2, -1],
        [2, 11],
      ]),
    ).toThrow("cut-hole");
  });

  test("that misses is refused", () => {
    const { map, west } = two();
    expect(() =>
      split(map, plane, west, [
        [-5, -5],
        [-5, 20],
      ]),
    ).toThrow("cut-misses");
    expect(() =>
      split(map, plane, west, [
        [-1, 2],
        [11, 2],
        [11, 4],
        [-1, 4],
      ]),
    ).toThrow("cut-many");
  });

  test("of a line is at the crossing", () => {
    const added = addFeature(EMPTY_MAP, plane, "water", "line", [
      [0, 0],
      [10, 0],
      [20, 0],
    ]);
    const done = split(added.map, plane, added.key, [
      [12, -1],
      [12, 1],
    ]);
    expect([spots(done.map, added.key), spots(done.map, done.key)]).toEqual([
      [
        [0, 0],
        [10, 0],
        [12, 0],
      ],
      [
        [12, 0],
        [20, 0],
      ],
    ]);
  });
});

test("steps go back and forth, and a new one drops what was taken back", () => {
  let steps = begun(0);
  for (let at = 1; at <= 40; at += 1) steps = onward(steps, at);
  for (let at = 0; at < 30; at += 1) steps = back(steps);
  expect(steps.now).toBe(10);
  expect(again(steps).now).toBe(11);
  steps = onward(steps, 99);
  expect([again(steps).now, back(steps).now]).toEqual([99, 10]);
  expect(back(begun(1)).now).toBe(1);
});
