import { expect, test } from "vitest";
import { readSettings, showDay } from "./settings.svelte";

test("what is not known is as usual, and the rest is kept", () => {
  const usual = { look: "day", units: "us", dates: "words", size: "usual" };
  expect(readSettings(null)).toEqual(usual);
  expect(readSettings("{")).toEqual(usual);
  expect(readSettings("[]")).toEqual(usual);
  expect(readSettings('{"look":"moon","units":"metric"}')).toEqual({ ...usual, units: "metric" });
});

test("a day is the same day in either form", () => {
  expect(showDay("2026-07-07", "words")).toBe("July 7, 2026");
  expect(showDay("2026-07-07", "figures")).toBe("2026-07-07");
  expect(showDay("some day", "words")).toBe("some day");
});
