import { expect, test } from "vitest";
import { emptyCounting, meanOf, surveyOf } from "./counting";

const station = (count: number, isCheck = false) => ({ count, isCheck, spot: null });

test("a survey says all that is missing at once", () => {
  const empty = { ...emptyCounting("J. Example", "2026-07-07"), area: " " };
  expect(surveyOf("p", empty)).toEqual({ survey: null, missing: ["pest", "area", "stations"] });
});

test("what was counted stands in the survey, empty texts do not", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: " grasshopper " };
  counting.stations = [
    { count: 3, isCheck: false, spot: { longitude: -97.6, latitude: 38.8, accuracyM: 4 } },
  ];
  const { survey } = surveyOf("p", counting);
  expect(survey?.pest).toBe("grasshopper");
  expect(survey?.stage).toBeNull();
  expect(survey?.stations).toEqual([
    { count: 3, is_check: false, position: { longitude: -97.6, latitude: 38.8 } },
  ]);
});

test("untreated ground does not count in the mean", () => {
  expect(meanOf([station(2), station(3), station(90, true)])).toBe("2.50");
  expect(meanOf([station(9, true)])).toBe("nothing");
});
