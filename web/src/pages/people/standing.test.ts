import { expect, test } from "vitest";
import { SOON_DAYS, daysBetween, isStale, standing } from "./standing";

test("a certificate holds through its last day, is due before it, and counts for nothing before its first", () => {
  const until = (valid_until: string, valid_from: string | null = null) =>
    standing({ valid_from, valid_until }, "2026-07-07");
  expect(until("2026-07-06")).toEqual({ is: "over", days: 1 });
  expect(until("2026-07-07")).toEqual({ is: "soon", days: 0 });
  expect(until("2026-10-05")).toEqual({ is: "soon", days: SOON_DAYS });
  expect(until("2026-10-06")).toEqual({ is: "holds", days: SOON_DAYS + 1 });
  expect(until("2026-10-06", "2026-07-08")).toEqual({ is: "not-yet" });
  expect(until("2026-10-06", "2026-07-07").is).toBe("holds");
});

test("days are counted over a change of clocks and a leap day", () => {
  expect(daysBetween("2026-03-28", "2026-03-30")).toBe(2);
  expect(daysBetween("2028-02-28", "2028-03-01")).toBe(2);
});

test("training is good for twelve months, the day a year ago among them", () => {
  expect(isStale("2025-07-07", "2026-07-07")).toBe(false);
  expect(isStale("2025-07-06", "2026-07-07")).toBe(true);
  expect(isStale("2027-02-28", "2028-02-29")).toBe(false);
  expect(isStale("2027-02-27", "2028-02-29")).toBe(true);
});
