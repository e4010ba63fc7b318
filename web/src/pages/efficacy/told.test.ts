import { expect, test } from "vitest";
import {
  byTreatment,
  elsewhere,
  isSure,
  judgedOf,
  pestsOf,
  workedOf,
  type Efficacy,
  type Treatment,
  type Untold,
} from "./told";

const treatment = (more: Partial<Treatment>): Treatment =>
  ({
    property: "Lot",
    pest: "grasshopper",
    treated: "2026-07-07",
    counted: "2026-07-14",
    group: "3A",
    products: ["Brackwater 1 SC"],
    record: null,
    control: 0.9,
    interval: [0.7, 0.98],
    finding: "reduced",
    against_expected: "reached",
    ...more,
  }) as Treatment;

test("what counts tell is one of few words, and more pests is never less control", () => {
  const words = [
    treatment({}),
    treatment({ finding: "none-left" }),
    treatment({ against_expected: "perhaps-below" }),
    treatment({ against_expected: "below" }),
    treatment({ finding: "not-shown", against_expected: "below" }),
    treatment({ finding: "increased", against_expected: "below" }),
  ].map(workedOf);
  expect(words).toEqual(["worked", "worked", "perhaps", "below", "not-shown", "more"]);
  expect([isSure(treatment({}), 0.8), isSure(treatment({ interval: [0.85, 0.98] }), 0.8)]).toEqual([
    false,
    true,
  ]);
});

test("a treatment stands once with all counts after it, the newest treatment first", () => {
  const untold = { ...treatment({ treated: "2026-08-01" }), why: ["nobody counted"], count_next: [] };
  const all = {
    treatments: [
      treatment({}),
      treatment({ counted: "2026-07-21" }),
      treatment({ pest: "grub", treated: "2026-06-01" }),
    ],
    untold: [untold as unknown as Untold],
  } as Efficacy;
  expect(
    byTreatment(all).map(({ treated, counts, untold }) => [treated, counts.length, untold !== null]),
  ).toEqual([
    ["2026-08-01", 0, true],
    ["2026-07-07", 2, false],
    ["2026-06-01", 1, false],
  ]);
  const [, twice] = byTreatment(all);
  // The count a week after it judges, and not one when pests are back.
  expect(judgedOf([...twice!.counts].reverse())?.counted).toBe("2026-07-14");
  expect(judgedOf([])).toBeUndefined();
  expect(pestsOf(all)).toEqual(["grasshopper", "grub"]);
});

test("what is to be known of an interval stands beside it, and not once more at the end", () => {
  const problem = (code: string) =>
    ({ code, severity: "warning", found: code }) as Efficacy["problems"][number];
  const wide = problem("scouting::control-interval-wide");
  const names = problem("scouting::names-differ");
  const of = (treatments: Treatment[], problems: Efficacy["problems"]) =>
    elsewhere({ treatments, resistance: [], problems } as unknown as Efficacy).map(({ code }) => code);
  expect(of([treatment({ interval_doubt: wide })], [names, wide])).toEqual(["scouting::names-differ"]);
  // Of no interval on the page it is told here.
  expect(of([treatment({})], [wide])).toEqual(["scouting::control-interval-wide"]);
});
