import { expect, test } from "vitest";
import { stateOf } from "./visit-state";

const visit = { thing: "0190a0b0-0000-7000-8000-000000000001", date: "2026-07-07" };
const record = (kept: string) => ({ what: "record" as const, body: { kept } });

test("a visit is planned until its day is over", () => {
  expect(stateOf(visit, [], "2026-07-06")).toBe("planned");
  expect(stateOf(visit, [], "2026-07-07")).toBe("planned");
  expect(stateOf(visit, [], "2026-07-08")).toBe("past");
  expect(stateOf({ thing: visit.thing }, [], "2026-07-08")).toBe("planned");
});

test("a record that waits on the device is of one visit", () => {
  expect(stateOf(visit, [record(visit.thing)], "2026-07-08")).toBe("waits");
  expect(stateOf(visit, [record("another")], "2026-07-08")).toBe("past");
  expect(stateOf(visit, [{ what: "counts", body: { kept: visit.thing } }], "2026-07-08")).toBe("past");
});

test("what the books hold goes before what waits", () => {
  const records = [{ thing: "0190a0b0-0000-7000-8000-000000000002", date: "2026-07-09" }];
  expect(stateOf({ ...visit, records }, [record(visit.thing)], "2026-07-10")).toBe("recorded");
});
