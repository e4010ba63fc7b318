import { expect, test } from "vitest";
import { idOf, newFeature, type PropertyMap } from "./document";
import { differences, merged, onlyChanger } from "./merge";

const map = (ids: Record<string, number>): PropertyMap => ({
  members: {},
  features: Object.entries(ids).map(([id, value]) =>
    newFeature({ type: "Feature", id, properties: { value }, geometry: null }),
  ),
});

test("what only one side changed is theirs or mine, and what both changed is for a person", () => {
  const base = map({ lot: 1, house: 1, bed: 1, walk: 1 });
  const mine = map({ lot: 1, house: 2, bed: 2, pond: 1 });
  const theirs = map({ lot: 1, house: 1, bed: 3, walk: 1, tree: 1 });
  const found = differences(base, mine, theirs);
  expect(found.map((one) => [one.id, onlyChanger(one)])).toEqual([
    ["house", "mine"],
    ["bed", null],
    ["walk", "mine"],
    ["tree", "theirs"],
    ["pond", "mine"],
  ]);
  const chosen = new Map(found.map((one) => [one.id, onlyChanger(one) ?? "theirs"] as const));
  const result = merged(mine, theirs, chosen);
  expect(
    result.features.map((one, at) => [idOf(one, at + 1), (one.json.properties as { value: number }).value]),
  ).toEqual([
    ["lot", 1],
    ["house", 2],
    ["bed", 3],
    ["tree", 1],
    ["pond", 1],
  ]);
});

test("the same change on both sides is no difference", () => {
  expect(differences(map({ a: 1 }), map({ a: 2 }), map({ a: 2 }))).toEqual([]);
  expect(differences(map({ a: 1 }), map({}), map({}))).toEqual([]);
});
