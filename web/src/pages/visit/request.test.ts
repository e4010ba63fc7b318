import { expect, test } from "vitest";
import { filledIn, isSame } from "../../form/value";
import {
  aimOf,
  aimedAt,
  findingFrom,
  findingsOf,
  freshTask,
  numbersOf,
  usualAim,
  type VisitFields,
} from "./request";

const request: VisitFields = {
  format: "tussock.visit-request/1",
  name: "Lawn",
  date: "2026-07-07",
  property: "books:property/Lawn",
  labels: ["thing:a"],
  equipment: "thing:b",
  history: "books:history",
  task: [],
};

test("what was left blank is left out, and a false or a zero is no blank", () => {
  const sent = filledIn({
    ...request,
    state: " ",
    applicator: { name: "", certified: false },
    finding: { pest: "", threshold: { count: 0, area: "" } },
  });
  expect(sent).toEqual({
    ...request,
    task: undefined,
    applicator: { certified: false },
    finding: { threshold: { count: 0 } },
  });
  expect(filledIn({ feature: { hedge: { in_bloom: undefined } } })).toEqual({});
});

test("every aim is read back as what it is", () => {
  for (const aim of [
    "turf",
    "hot-spots",
    "structures",
    "features",
    "entry-points",
    "places",
    "ground",
  ] as const) {
    expect(aimOf(aimedAt(aim))).toBe(aim);
  }
  expect([usualAim("perimeter"), usualAim("granular-broadcast"), usualAim("mound")]).toEqual([
    "structures",
    "turf",
    "places",
  ]);
});

test("one finding stands alone, several each have a name that no other has", () => {
  const [grub, bug] = [{ pest: "white grub" }, { pest: "chinch bug", id: "bugs" }];
  expect(findingsOf({})).toEqual([]);
  expect(findingsOf({ finding: grub })).toEqual([grub]);
  expect(findingFrom([])).toBeUndefined();
  expect(findingFrom([grub])).toEqual(grub);
  const several = findingFrom([grub, bug, { pest: "white grub" }, {}, { id: "finding" }]);
  expect(findingsOf({ finding: several! }).map(({ id }) => id)).toEqual([
    "white grub",
    "bugs",
    "white grub 2",
    "finding 2",
    "finding",
  ]);
});

test("counts are numbers, or the words that the server will refuse", () => {
  expect(numbersOf("2, 1 3;0")).toEqual([2, 1, 3, 0]);
  expect(numbersOf("2, many")).toBe("2, many");
  expect(numbersOf("")).toEqual([]);
});

test("a task gets a name of its own", () => {
  const tasks = [{ id: "turf" }, { id: "turf-2" }] as never[];
  expect([freshTask(tasks, "turf"), freshTask(tasks, "hedge")]).toEqual(["turf-3", "hedge"]);
});
