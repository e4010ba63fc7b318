import { expect, test } from "vitest";
import { EMPTY_VISIT, type State } from "./editor.svelte";
import { differences, findingOf, joined, taskOf } from "./merge";
import type { TaskFields } from "./request";

const task = (id: string, rate: string): TaskFields => ({
  id,
  method: "broadcast",
  label: "a",
  rate,
  equipment: "pump",
  target: { site: "turf" },
});
const state = (changed: Record<string, unknown>, files: Record<string, string> = {}): State => ({
  fields: { ...structuredClone(EMPTY_VISIT), name: "Lot", task: [task("lawn", "lowest")], ...changed },
  files,
});

test("what only one of two changed is proposed, and what both changed is asked", () => {
  const base = state({ state: "KS" });
  const mine = state({ state: "NC", name: "Mine", task: [task("lawn", "lowest"), task("bed", "lowest")] });
  const theirs = state({ state: "KS", name: "Theirs", task: [task("lawn", "0.3 fl oz/gal")] });
  const found = differences(base, mine, theirs);
  expect(found.map(({ part, proposed }) => [part, proposed])).toEqual([
    ["name", null],
    ["state", "mine"],
    ["task/lawn", "theirs"],
    ["task/bed", "mine"],
  ]);
  const put = joined(mine, theirs, new Set(["state", "task/bed"]));
  expect([put.fields.name, put.fields.state]).toEqual(["Theirs", "NC"]);
  expect(put.fields.task.map(({ id, rate }) => [id, rate])).toEqual([
    ["lawn", "0.3 fl oz/gal"],
    ["bed", "lowest"],
  ]);
  expect(differences(theirs, put, theirs).map(({ part }) => part)).toEqual(["state", "task/bed"]);
});

test("all theirs is theirs and all mine is mine, tasks that were taken away included", () => {
  const base = state({ task: [task("lawn", "lowest"), task("bed", "lowest")] });
  const mine = state({ task: [task("bed", "lowest")], state: undefined });
  const theirs = state({ task: [task("lawn", "lowest"), task("bed", "highest lawful")], state: "KS" });
  expect(joined(mine, theirs, new Set())).toEqual(theirs);
  const parts = new Set(differences(base, mine, theirs).map(({ part }) => part));
  expect(parts).toEqual(new Set(["state", "task/bed", "task/lawn"]));
  const put = joined(mine, theirs, parts);
  expect(differences(base, put, mine)).toEqual([]);
});

test("a forecast of another text under the same name is a difference, and its text goes along", () => {
  const one = state({ forecast: "forecast.csv" }, { "forecast.csv": "one" });
  const other = state({ forecast: "forecast.csv" }, { "forecast.csv": "other" });
  expect(differences(one, one, other).map(({ part, proposed }) => [part, proposed])).toEqual([
    ["forecast", "theirs"],
  ]);
  expect(joined(one, other, new Set(["forecast"])).files).toEqual({ "forecast.csv": "one" });
  expect(joined(one, other, new Set()).files).toEqual({ "forecast.csv": "other" });
});

test("tasks without names of their own are one part", () => {
  const twice = state({ task: [task("lawn", "lowest"), task("lawn", "0.3 fl oz/gal")] });
  const once = state({});
  const [found] = differences(once, twice, once);
  expect([found?.part, taskOf("task"), taskOf("task/lawn")]).toEqual(["task", null, "lawn"]);
  expect(joined(twice, once, new Set(["task"])).fields.task).toHaveLength(2);
});

test("a map of one side's own goes along with its text and the version that it was drawn on", () => {
  const base = state({ property: "books:property/Lot" });
  const mine = {
    ...state({ property: "drawn.geojson" }, { "drawn.geojson": "a map" }),
    drawnOn: '"1"',
  };
  const theirs = state({ property: "books:property/Lot", name: "Theirs" });
  expect(differences(base, mine, theirs).map(({ part, proposed }) => [part, proposed])).toEqual([
    ["name", "theirs"],
    ["property", "mine"],
  ]);
  const put = joined(mine, theirs, new Set(["property"]));
  expect(put.files).toEqual({ "drawn.geojson": "a map" });
  expect(put.drawnOn).toBe('"1"');
  expect(joined(mine, theirs, new Set()).drawnOn).toBeUndefined();
});

test("of several findings each is a part, by its name or its pest, and the text of its survey goes along", () => {
  const grub = { pest: "white grub", basis: "seen" };
  const bug = { id: "bugs", pest: "chinch bug", survey: "bugs.toml" };
  const base = state({ finding: grub });
  const mine = state({ finding: [{ ...grub, id: "white grub" }, bug] }, { "bugs.toml": "counts" });
  const theirs = state({ finding: { ...grub, basis: "dug up" } });
  const found = differences(base, mine, theirs);
  expect(found.map(({ part, proposed }) => [part, proposed])).toEqual([
    ["finding/white grub", "theirs"],
    ["finding/bugs", "mine"],
  ]);
  expect([findingOf("finding/bugs"), findingOf("finding"), taskOf("finding/bugs")]).toEqual([
    "bugs",
    null,
    null,
  ]);
  const put = joined(mine, theirs, new Set(["finding/bugs"]));
  expect(put.fields.finding).toEqual([{ ...grub, basis: "dug up", id: "white grub" }, bug]);
  expect(put.files).toEqual({ "bugs.toml": "counts" });
  // Gone on one side, and taken from it, it is gone.
  const without = joined(theirs, mine, new Set(["finding/bugs"]));
  expect(without.fields.finding).toEqual({ ...grub, id: "white grub" });
  // One finding is one part, whatever its pest becomes.
  const other = state({ finding: { pest: "billbug" } });
  expect(differences(base, other, base).map(({ part }) => part)).toEqual(["finding"]);
});
