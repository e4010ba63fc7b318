import { expect, test } from "vitest";
import {
  NoMap,
  cornerOf,
  formOf,
  geometryOf,
  idOf,
  kindOf,
  partsOf,
  readMap,
  withId,
  withProperties,
  writeMap,
} from "./document";

const ring = [
  [-97.6200000000001, 38.84],
  [-97.619, 38.84],
  [-97.619, 38.841],
  [-97.6200000000001, 38.84],
];
const text = JSON.stringify({
  type: "FeatureCollection",
  name: "a place",
  somebody: { else: 1 },
  features: [
    {
      type: "Feature",
      id: 7,
      properties: { kind: "Bare_soil", colour: "#123" },
      geometry: { type: "Polygon", coordinates: [ring] },
    },
    { type: "Feature", properties: null, geometry: { type: "Circle" } },
    {
      type: "Feature",
      properties: { id: "hives", kind: "hive" },
      geometry: {
        type: "MultiPoint",
        coordinates: [
          [-97.62, 38.8, 12],
          [-97.61, 38.9],
        ],
      },
    },
  ],
});

test("a map is written as it was read, whatever stands in it", () => {
  const map = readMap(text);
  expect(JSON.parse(writeMap(map))).toEqual(JSON.parse(text));
  expect(
    map.features.map((feature, at) => [idOf(feature, at + 1), kindOf(feature), formOf(feature)]),
  ).toEqual([
    ["7", "bare-soil", "area"],
    ["feature-2", "", null],
    ["hives", "hive", "point"],
  ]);
});

test("parts lose the closing position and get it back", () => {
  const [first, , third] = readMap(text).features;
  expect(partsOf(first!)[0]!.runs[0]).toHaveLength(3);
  expect(geometryOf(partsOf(first!))).toEqual(first!.json.geometry);
  expect(geometryOf(partsOf(third!))).toEqual(third!.json.geometry);
});

test("a change of an id or a property leaves the rest alone", () => {
  const [first, , third] = readMap(text).features;
  expect(withId(third!, "bees").json.properties).toEqual({ id: "bees", kind: "hive" });
  expect(withId(first!, "bed").json).toMatchObject({ id: "bed", properties: { colour: "#123" } });
  expect(withProperties(first!, { colour: undefined }).json.properties).toEqual({ kind: "Bare_soil" });
});

test("the corner is that of the boundary where there is one", () => {
  const map = readMap(text);
  expect(cornerOf(map)).toEqual([-97.6200000000001, 38.8]);
  const boundary = withProperties(map.features[0]!, { kind: "boundary" });
  expect(cornerOf({ ...map, features: [boundary, map.features[2]!] })).toEqual([-97.6200000000001, 38.84]);
});

test("what is no map says so", () => {
  for (const wrong of [
    "%PDF-1.7",
    "[]",
    '{"type":"Topology"}',
    '{"type":"FeatureCollection","features":[1]}',
  ]) {
    expect(() => readMap(wrong)).toThrow(NoMap);
  }
});
