import { expect, test, vi } from "vitest";
import { changedIn, readSettings, showDay, showDayOf, showMoment } from "./settings.svelte";

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

test("of two windows each keeps what was changed in it, and nothing else", () => {
  const usual = readSettings(null);
  const kept = { ...usual, units: "metric" as const };
  expect(changedIn(kept, usual, { ...usual, look: "sun" })).toEqual({ ...kept, look: "sun" });
  expect(changedIn(kept, usual, usual)).toEqual(kept);
});

test("the day of a moment is that of this device's clock", () => {
  vi.stubEnv("TZ", "America/Chicago");
  expect(showDayOf("2026-07-08T01:30:00Z")).toBe("July 7, 2026");
  expect(showMoment("2026-07-08T01:30:00Z")).toBe("July 7, 2026, 20:30");
  vi.stubEnv("TZ", "Pacific/Auckland");
  expect(showDayOf("2026-07-07T20:00:00Z")).toBe("July 8, 2026");
  vi.unstubAllEnvs();
  expect(showDayOf("some time")).toBe("some time");
});
