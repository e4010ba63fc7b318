import { expect, test } from "vitest";
import { emptyCounting, meanOf, surveyOf } from "./counting";
import { aimOf, decide, usualAim } from "./deciding";

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
  expect(survey?.threshold).toBeNull();
  expect(survey?.stations).toEqual([
    { count: 3, is_check: false, position: { longitude: -97.6, latitude: 38.8 } },
  ]);
});

test("untreated ground does not count in the mean", () => {
  expect(meanOf([station(2), station(3), station(90, true)])).toBe("2.50");
  expect(meanOf([station(9, true)])).toBe("nothing");
});

const own = { from: "own", count: "8", per: " 1 sq yd", source: "rangeland; invented" };

test("the threshold that was chosen stands in the survey, and one that is not whole does not", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "grasshopper", threshold: own };
  counting.stations = [station(1)];
  expect(surveyOf("p", counting).survey?.threshold).toEqual({
    count: 8,
    per: "1 sq yd",
    source: "rangeland; invented",
  });
  for (const wrong of [{ count: "many" }, { count: "0" }, { source: " " }, { from: "none" }]) {
    counting.threshold = { ...own, ...wrong };
    expect(surveyOf("p", counting).survey?.threshold).toBeNull();
  }
});

test("errors and numbers of counts are those that are stated, or nothing is decided", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), threshold: own };
  counting.stations = [9, 9, 9, 9].map((count) => station(count));
  // Fewer than the usual five counts decide nothing, two do where two are enough.
  expect(decide(counting, null).decided?.stop).toBe("count-on");
  counting.aim = { ...usualAim, least: "2", treatInVain: "5", inVainAt: "25" };
  const { decided } = decide(counting, null);
  expect(decided?.stop).toBe("treat");
  expect([decided?.plan.treatInVain, decided?.plan.lower, decided?.plan.least]).toEqual([
    0.05,
    decided!.level * 0.25,
    2,
  ]);
  counting.aim = { ...usualAim, least: "60" };
  expect(decide(counting, null)).toEqual({ decided: null, lack: "aim" });
  expect(
    aimOf({ inVainAt: "100", treatInVain: "50", leaveWrongly: " ", least: "1.5", most: "501" }).wrong,
  ).toEqual(["inVainAt", "treatInVain", "leaveWrongly", "least", "most"]);
});
