import { expect, test } from "vitest";
import { areaM2 } from "../../stop-lines/area";
import { basisOf } from "../../stop-lines/basis";
import { emptyCounting, meanOf, ringArea, surveyOf, withMethod } from "./counting";
import { stopLines as words } from "../../words/stop-lines";
import type { Pest } from "../../key/reckon";
import { aimOf, decide, errsMore, thresholdsOf, usualAim } from "./deciding";

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
    of: "animals",
    per: "1 sq yd",
    source: "rangeland; invented",
  });
  // Of a threshold that a person states nobody says what it counts: what the method does.
  const walked = surveyOf("p", { ...counting, method: "mounds", area: "0.25 acre" }).survey;
  expect(walked?.threshold?.of).toBe("mounds");
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
  expect(decided?.plan).toMatchObject({
    treatInVain: 0.05,
    lower: decided!.level * 0.25,
    threshold: decided!.level,
    upper: decided!.level * 4,
    least: 2,
  });
  counting.aim = { ...usualAim, least: "60" };
  expect(decide(counting, null)).toEqual({ decided: null, lack: "aim", mounds: null });
  expect(
    aimOf({ inVainAt: "100", treatInVain: "50", leaveWrongly: " ", least: "1.5", most: "501" }).wrong,
  ).toEqual(["inVainAt", "treatInVain", "leaveWrongly", "least", "most"]);
});

test("live mounds are treated one by one up to the level, and the lawn is broadcast above it", () => {
  const level = { from: "0", count: "5", per: "0.25 acre", source: "invented", ofMounds: true };
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), threshold: level };
  counting.method = "mounds";
  const walked = (area: string, ...counts: number[]) => {
    counting.area = area;
    counting.stations = counts.map((count) => station(count));
    return decide(counting, null).mounds;
  };
  // 12 on 0.1451 acre are 82.7 an acre, of 20.
  const many = walked("0.1451 acre", 12)!;
  expect(many.call).toBe("broadcast");
  expect(many.perAcre).toBeCloseTo(82.7, 1);
  expect(many.levelPerAcre).toBeCloseTo(20, 9);
  expect([
    walked("0.25 acre", 5)!.call,
    walked("0.25 acre", 6)!.call,
    walked("0.25 acre", 0)!.call,
    walked("0.125 acre", 2, 3)!.call,
  ]).toEqual(["mounds-alone", "broadcast", "leave-be", "mounds-alone"]);
  expect(walked("0.25 acre")).toBeNull();
  // Three on 0.1451 acre are over five on a quarter acre, and fewer than five.
  const few = walked("0.1451 acre", 3)!;
  expect([few.call, few.isByReckoning, many.isByReckoning, walked("0.05 acre", 1, 0)!.isByReckoning]).toEqual(
    ["broadcast", true, false, false],
  );
  // What was walked may be a part of the lawn: the page knows no more of it.
  expect([few.parts, walked("0.01 acre", 9, 8, 7)!.parts]).toEqual([1, 3]);
  expect(
    [words.mounds.ofPart(1), words.mounds.ofPart(3)].map((one) => one.includes("this part alone")),
  ).toEqual([true, false]);
  // What counts animals is not held against mounds, and the other way round.
  counting.method = "frame";
  expect(decide(counting, null).lack).toBe("mounds");
  counting.method = "mounds";
  counting.threshold = { ...level, ofMounds: false };
  expect(decide(counting, null).lack).toBe("animals");
});

test("the stage that a threshold holds for stands in the survey", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "grub" };
  counting.threshold = { ...own, stage: "larva" };
  counting.stations = [station(1)];
  expect(surveyOf("p", counting).survey?.threshold).toEqual({
    count: 8,
    of: "animals",
    per: "1 sq yd",
    source: "rangeland; invented",
    stage: "larva",
  });
});

test("a threshold for another stage, or of mounds where animals are counted, is not held against the counts", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "grub", area: "1 sq ft" };
  counting.stations = [station(9)];
  counting.threshold = { ...own, stage: "nymphs" };
  counting.stage = "adult";
  expect(decide(counting, null).lack).toBe("stage");
  for (const stage of ["nymph", "nymphs and adults", "crawler", ""])
    expect(decide({ ...counting, stage }, null).lack, stage).toBeNull();
  // Nor is it kept with them, where nobody could tell any more what it counts.
  const kept = (ofMounds: boolean, method: "frame" | "mounds") => {
    const said = { ...counting, method, threshold: { ...own, ofMounds } };
    return surveyOf("p", said).survey?.threshold ?? null;
  };
  expect([kept(true, "frame"), kept(false, "mounds")]).toEqual([null, null]);
  expect([kept(true, "mounds"), kept(false, "frame")].every((one) => one !== null)).toBe(true);
});

test("the profile by which counts were judged stands in the survey", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "grub" };
  counting.stations = [station(1)];
  expect(surveyOf("p", counting).survey?.profile).toBeNull();
  counting.profile = "bluegrass-billbug";
  expect(surveyOf("p", counting).survey?.profile).toBe("bluegrass-billbug");
});

test("what is no ground, or no plan that could be reckoned with, is not held against a threshold", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "mole cricket" };
  counting.stations = [station(3)];
  counting.method = "soap flush";
  counting.threshold = { ...own, count: "2", per: "flush" };
  expect(decide({ ...counting, area: "4 sq ft" }, null).lack).toBeNull();
  // A flush whose ground nobody can read is kept by no books; a trap is no flush.
  expect(decide({ ...counting, area: "four feet" }, null).lack).toBe("area");
  expect(decide({ ...counting, area: "trap" }, null).lack).toBe("basis");
  counting.threshold = { ...own, count: "1e12", per: "1 sq ft" };
  expect(decide({ ...counting, area: "4 sq ft" }, null).lack).toBe("wide");
});

test("lines that err more often than stated say so, once the counts tell how clumped the pests are", () => {
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "grub", threshold: own };
  const errs = (counts: number[], perFoot: string) => {
    counting.stations = counts.map((count) => station(count));
    counting.threshold = { ...own, count: perFoot, per: "1 sq ft" };
    return errsMore(decide(counting, null).decided!);
  };
  const clumped = [0, 0, 9, 1, 14, 2, 0, 0, 3, 7, 0, 1, 22, 0, 4];
  expect(errs(clumped, "1")).toMatch(
    /^With 50 counts at most and k 0\.\d\d the lines .* at 1\.41 times the threshold, where 10 % is stated\. With \d+ counts at most they keep what is stated\.$/,
  );
  expect(errs([8, 9, 7, 8, 10, 9, 8, 9, 7, 8, 10, 9, 8, 9, 7, 8], "4")).toBe("");
  // Where only a belief tells k, that is said instead.
  expect(errs([8, 9, 7], "4")).toBe("");
});

test("of a published range the range is told, and what is noted of it", () => {
  const grub = {
    thresholds: [
      {
        low: 8,
        high: 15,
        per: "1 sq ft",
        of: "animals",
        stage: "larva",
        place: "a place",
        host: "turf",
        note: "lawns stand less",
        source: "one",
      },
    ],
    sources: [{ id: "one", cite: "A Table 21" }],
  };
  const [offered] = thresholdsOf(grub as unknown as Pest);
  expect([offered?.count, offered?.source]).toEqual([
    "8",
    "8 to 15 (the lower is taken); a place; turf; lawns stand less: A Table 21",
  ]);
});

test("those who do not see the picture are told both lower lines", () => {
  const lines = { slope: "2.9", above: "4.4", below: "4.4", cleanSlope: "1.3", cleanBelow: "2.2" };
  const told = words.inPicture(5, 12, lines);
  expect(told).toContain("lower line: 2.9 for each count less 4.4, and where there is next to nothing");
  expect(told).toContain("1.3 for each count less 2.2");
});

test("no method but a frame begins with the ground of one", () => {
  const begun = emptyCounting("J. Example", "2026-07-07");
  expect(begun.area).toBe("1 sq ft");
  for (const method of ["float can", "soap flush", "sod cut", "mounds"] as const) {
    const chosen = { ...begun, ...withMethod(begun, method) };
    expect(chosen.area, method).toBe("");
    // Until somebody writes it, nothing is held against a threshold, and nothing is kept.
    const webworms = { ...chosen, pest: "webworm", stations: [6, 7, 5, 6, 6].map((count) => station(count)) };
    const threshold = { ...own, count: "15", per: "1 sq yd", ofMounds: method === "mounds" };
    expect(decide({ ...webworms, threshold }, null).lack, method).toBe("area");
    expect(surveyOf("p", webworms).missing, method).toEqual(["area"]);
    expect(withMethod(chosen, "frame").area, method).toBe("1 sq ft");
  }
});

test("the ground of a can follows from how wide it is", () => {
  // 6 in across are 28.27 sq in, or 0.196 sq ft.
  expect(ringArea(" 6 ")).toBe("28.27 sq in");
  expect(areaM2(ringArea("6"))! / areaM2("1 sq ft")!).toBeCloseTo(0.1963, 4);
  expect([ringArea("3"), ringArea("12"), ringArea("4,5")]).toEqual([
    "7.07 sq in",
    "113.10 sq in",
    "15.90 sq in",
  ]);
  for (const none of ["", "wide", "2.9", "12.1", "-6"]) expect(ringArea(none), none).toBe("");
});

test("traps and drags are held against thresholds that are told so", () => {
  const level = { from: "own", count: "0.5", per: "trap night", source: "invented" };
  const counting = { ...emptyCounting("J. Example", "2026-07-07"), pest: "billbug", threshold: level };
  Object.assign(counting, withMethod(counting, "trap"));
  expect(counting.area).toBe("1 trap night");
  counting.area = "6 trap nights";
  counting.stations = [station(4)];
  expect(decide(counting, null).decided?.level).toBe(3);
  const { survey } = surveyOf("p", counting);
  expect([survey?.count_per, survey?.count_area]).toEqual(["6 trap nights", null]);
  counting.threshold = { ...level, per: "1 sq yd" };
  expect(decide(counting, null).lack).toBe("basis");
  counting.threshold = { ...level, count: "5", per: "100 m of drag" };
  counting.area = "25 m of drag";
  expect(decide(counting, null).decided?.level).toBe(1.25);
  // A flush on known ground is one, and has that ground as well.
  counting.method = "soap flush";
  counting.area = "4 sq ft";
  counting.threshold = { ...level, count: "2", per: "flush" };
  expect(decide(counting, null).decided?.level).toBe(2);
  // What a person wrote stays theirs.
  expect(withMethod(counting, "mounds").area).toBe("4 sq ft");
  expect(withMethod({ ...counting, area: "1 sq ft" }, "mounds").area).toBe("");
  // Whoever counts by metres begins with them.
  const metric = emptyCounting("J. Example", "2026-07-07", "metric");
  expect(metric.area).toBe("0.1 m²");
  expect(basisOf(withMethod(metric, "drag", "metric").area)).toEqual(basisOf("30 m of drag"));
  expect(withMethod({ ...metric, area: "100 ft of drag" }, "frame", "metric").area).toBe("0.1 m²");
});
