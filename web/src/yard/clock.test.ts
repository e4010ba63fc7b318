import { expect, test } from "vitest";
import { clock, momentAt, offsetOfPlan, today } from "./clock";

const now = new Date("2026-07-07T03:30:10Z");

test("a moment is told by the clock of the place", () => {
  expect(momentAt("-05:00", now)).toBe("2026-07-06T22:30:10-05:00");
  expect(momentAt("+05:45", now)).toBe("2026-07-07T09:15:10+05:45");
  expect(today("-05:00", now)).toBe("2026-07-06");
  expect(clock("+00:00", now)).toBe("03:30");
});

test("the clock of a visit is that of its forecast", () => {
  const plan = (hours: { start: string }[], start_windows: { first: string }[] = []) => ({
    visit: { hours, start_windows },
  });
  expect(offsetOfPlan(plan([{ start: "2026-07-07T07:00:00-05:00" }]))).toBe("-05:00");
  expect(offsetOfPlan(plan([], [{ first: "2026-07-07T07:00:00Z" }]))).toBe("+00:00");
  expect(offsetOfPlan(plan([]))).toBeNull();
  expect(offsetOfPlan(undefined)).toBeNull();
});
