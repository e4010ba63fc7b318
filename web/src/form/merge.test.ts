import { expect, test } from "vitest";
import { apart, differences, joined, keyOf, type Entered } from "./merge";

type Fields = Record<string, unknown>;
const entered = (fields: Fields, beside: Record<string, string> = { note: "" }): Entered => ({
  fields: { format: "tussock.equipment/1", ...fields },
  beside,
});
const lawn = (area: string): Fields => ({ name: "lawn", method: "test-area", area });
const pump = (changed: Fields = {}): Fields => ({
  id: "pump",
  tank: "2 gal",
  calibration: [lawn("250 sq ft")],
  ...changed,
});
const told = (found: ReturnType<typeof differences>) =>
  found.map(({ path, proposed }) => [path.join(" "), proposed]);

test("what one of two changed is proposed, what both changed is asked", () => {
  const base = entered({ equipment: [pump()] });
  const mine = entered(
    { equipment: [pump({ tank: "3 gal", calibration: [lawn("300 sq ft")] })] },
    { note: "m" },
  );
  const theirs = entered({
    equipment: [
      pump({ flow: "0.3 gal/min", calibration: [lawn("200 sq ft"), { ...lawn("90 sq ft"), name: "wall" }] }),
      { id: "drop" },
    ],
  });
  const found = differences(base, mine, theirs);
  expect(told(found)).toEqual([
    ["equipment [pump] tank", "mine"],
    ["equipment [pump] calibration [lawn]", null],
    ["equipment [pump] calibration [wall]", "theirs"],
    ["equipment [pump] flow", "theirs"],
    ["equipment [drop]", "theirs"],
    ["beside note", "mine"],
  ]);
  const isMine = new Set(
    found.filter(({ proposed }) => proposed !== "theirs").map(({ path }) => keyOf(path)),
  );
  const put = joined(base, mine, theirs, isMine);
  expect(put).toEqual(
    entered(
      {
        equipment: [
          pump({
            tank: "3 gal",
            flow: "0.3 gal/min",
            calibration: [lawn("300 sq ft"), { ...lawn("90 sq ft"), name: "wall" }],
          }),
          { id: "drop" },
        ],
      },
      { note: "m" },
    ),
  );
});

test("all mine is mine and all theirs is theirs, what was taken away included", () => {
  const base = entered({ equipment: [pump(), { id: "drop" }], restraints: { wind: { at_most: "10 mph" } } });
  const mine = entered({ equipment: [pump()], restraints: {} });
  const theirs = entered({
    equipment: [{ id: "drop", hopper: "20 lb" }],
    restraints: { wind: { at_most: "8 mph" } },
  });
  const found = differences(base, mine, theirs);
  expect(told(found)).toEqual([
    ["equipment [drop]", null],
    ["equipment [pump]", "theirs"],
    ["restraints wind", null],
  ]);
  expect(joined(base, mine, theirs, new Set())).toEqual(theirs);
  expect(joined(base, mine, theirs, new Set(found.map(({ path }) => keyOf(path))))).toEqual(mine);
});

test("a sentence and its figure are one part, and sentences without names one list", () => {
  const wind = (text: string, at_most: string) => ({ restraints: { wind: { text, at_most } } });
  const base = entered({ ...wind("Below 10 mph.", "10 mph"), precaution: [{ text: "A" }, { text: "B" }] });
  const mine = entered({ ...wind("Below 10 mph!", "10 mph"), precaution: [{ text: "A" }, { text: "C" }] });
  const theirs = entered({ ...wind("Below 10 mph.", "8 mph"), precaution: [{ text: "A" }, { text: "B" }] });
  const found = differences(base, mine, theirs);
  expect(told(found)).toEqual([
    ["restraints wind", null],
    ["precaution", "mine"],
  ]);
  expect(apart(found[0]!)).toEqual({
    base: { text: "Below 10 mph.", at_most: "10 mph" },
    mine: { text: "Below 10 mph!", at_most: "10 mph" },
    theirs: { text: "Below 10 mph.", at_most: "8 mph" },
  });
  expect(apart(found[1]!)).toEqual({ base: [{ text: "B" }], mine: [{ text: "C" }], theirs: [{ text: "B" }] });
});

test("another order, and two entries of one name, make the list one part", () => {
  const base = entered({ equipment: [pump(), { id: "drop" }] });
  const turned = entered({ equipment: [{ id: "drop" }, pump()] });
  const twice = entered({ equipment: [pump(), pump()] });
  expect(told(differences(base, turned, base))).toEqual([["equipment", "mine"]]);
  expect(joined(base, turned, base, new Set([keyOf(["equipment"])]))).toEqual(turned);
  expect(told(differences(base, twice, entered({ equipment: [pump()] })))).toEqual([["equipment", null]]);
});

test("two who write the same agree", () => {
  const base = entered({ equipment: [pump()] });
  const both = entered({ equipment: [pump({ tank: "3 gal" })] });
  expect(differences(base, both, structuredClone(both))).toEqual([]);
  expect(joined(base, both, both, new Set())).toEqual(both);
});
