import { expect, test } from "vitest";
import type { Problem } from "../service/problem";
import { isInBooks, pageOf, recordKept } from "./in-books";

const told = (code: string, mend?: string) => ({
  problems: [{ code, severity: "error", found: "", mend } as Problem],
});

test("the record that is kept is named by the way to mend it", () => {
  const thing = "0197b3c2-5f00-7d3e-8a11-0c2f4b6d8e90";
  expect(recordKept(told("trade::recorded-already", `amend the record ${thing}`))).toBe(thing);
  expect(recordKept(told("trade::recorded-already", "amend it"))).toBeNull();
  expect(recordKept(told("record::not-yet", `amend the record ${thing}`))).toBeNull();
  expect(recordKept({ problems: [] })).toBeNull();
});

test("what came under its key before is in the books, and is looked up where its kind stands", () => {
  expect([isInBooks(told("ledger::key-reused")), isInBooks(told("ledger::conflict"))]).toEqual([true, false]);
  const counts = { what: "counts", title: "Lot, ants", body: { property: "p" } } as const;
  expect(pageOf(counts)).toBe("/properties/p/efficacy");
  expect(pageOf({ what: "record", title: "Alder & Bend", body: {} })).toBe(
    "/records?text=Alder%20%26%20Bend",
  );
});
