// The key and the stop lines as the page reckons them, held against the server's answers.
import { afterAll, beforeAll, expect, test, vi } from "vitest";
import { Key, type Answer, type KeyDocument } from "../src/key/reckon";
import { areaM2 } from "../src/stop-lines/area";
import { emptyCounting, surveyOf, type Counting, type Method } from "../src/pages/counts/counting";
import {
  aimOf,
  decide,
  errsMore,
  thresholdsOf,
  thresholdTold,
  usualAim,
  type Lack,
} from "../src/pages/counts/deciding";
import {
  errorsOf,
  lineScatterOf,
  linesOf,
  meansRound,
  moreCounts,
  mostNeeded,
  walk,
} from "../src/stop-lines/reckon";
import type { components } from "../src/service/api";
import { asked, house, type House } from "./support";

/** Several hundred questions, on a machine that may have other work. */
vi.setConfig({ testTimeout: 300_000 });

type Identification = components["schemas"]["IdentificationJson"];
type Scouting = components["schemas"]["ScoutingJson"];

let home: House;
let key: Key;

beforeAll(async () => {
  home = await house();
  key = new Key((await asked(home.origin, "/api/key")) as unknown as KeyDocument);
});
afterAll(() => home.stop());

/** Draws of a fixed seed (mulberry32): the same on every run. */
let state = 20_260_706;
function draw(): number {
  state = (state + 0x6d2b79f5) | 0;
  let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
  mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
  return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
}
const below = (most: number) => Math.floor(draw() * most);
const one = <Of>(of: readonly Of[]): Of => of[below(of.length)]!;

async function answer<Told>(path: string, body: unknown): Promise<Told> {
  const response = await fetch(home.origin + path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  const told: unknown = await response.json();
  if (!response.ok) throw new Error(JSON.stringify(told));
  return told as Told;
}

/** Answers as a person may give them who has one of the profiles before them, or who guesses. */
function answers(): Answer[] {
  const truth = draw() < 0.7 ? one(key.document.profiles) : null;
  const open = [...key.document.characters];
  return Array.from({ length: below(14) }, () => {
    const [character] = open.splice(below(open.length), 1);
    const told = truth?.characters.find((seen) => seen.character === character!.id);
    const guess = () => one(character!.states).id;
    const kind = draw();
    const states =
      kind < 0.1
        ? []
        : kind < 0.25
          ? [...new Set([guess(), guess()])]
          : [told && draw() < 0.9 ? one(told.states) : guess()];
    return { character: character!.id, states };
  });
}

const NEEDS = ["specimen", "damage", "place", "time", "trap-or-flush"];

test("the page's key says what the server's says, over random answers", async () => {
  const seen = { named: 0, group: 0, refused: 0 };
  for (let round = 0; round < 500; round += 1) {
    const given = answers();
    const has = draw() < 0.5 ? NEEDS : NEEDS.filter(() => draw() < 0.6);
    const named_from = one([0.6, 0.9, 0.99]);
    const told = await answer<Identification>("/api/identification", { answers: given, has, named_from });
    const found = key.identify(given, has, named_from);
    const what = JSON.stringify({ given, has, named_from });
    expect(found.verdict.kind, what).toBe(told.verdict);
    if (found.verdict.kind === "named") expect(found.verdict.pest.id, what).toBe(told.profile);
    if (found.verdict.kind === "group") expect(found.verdict.group, what).toBe(told.group);
    seen[found.verdict.kind] += 1;
    const chances = new Map(found.candidates.map((candidate) => [candidate.pest.id, candidate]));
    expect(chances.size).toBe(told.candidates.length);
    for (const { profile, chance, against } of told.candidates) {
      expect(Math.abs(chances.get(profile)!.chance - chance), what).toBeLessThan(1e-9);
      expect(chances.get(profile)!.against, what).toEqual(against);
    }
    expect(
      found.next.map(({ character }) => character.id),
      what,
    ).toEqual(told.next.map(({ character }) => character));
    found.next.forEach(({ gain }, at) =>
      expect(Math.abs(gain - told.next[at]!.gain_bits), what).toBeLessThan(1e-9),
    );
    // How the likeliest is told from the next is the same, too.
    const [first, second] = told.candidates;
    if (Math.abs(first!.chance - second!.chance) > 1e-9 && found.candidates[0]!.pest.id === first!.profile) {
      const apart = key.toldApart(key.pest(first!.profile)!, key.pest(second!.profile)!);
      expect(apart ?? null, what).toBe(second!.told_apart ?? null);
    }
  }
  // Random answers that are never named, or always, would hold nothing.
  expect(Math.min(seen.named, seen.group, seen.refused), JSON.stringify(seen)).toBeGreaterThan(20);
});

test("the page's stop lines are the server's, over random walks", async () => {
  const seen = new Map<string, number>();
  for (let round = 0; round < 300; round += 1) {
    const [level, per, area] = [
      one([0.5, 2, 5, 8, 20]),
      one(["1 sq yd", "1 sq ft", "m²", "4 sq ft"]),
      one(["1 sq ft", "0.5 sq ft", "1 sq yd", "100 sq in"]),
    ];
    const mean = level * (areaM2(area)! / areaM2(per)!) * (0.2 + draw() * 1.4);
    const spread = one([0, 1, 3]);
    const slip = draw() < 0.05 ? 4_000 + below(40_000) : 0;
    const counts = Array.from({ length: 1 + below(55) }, () =>
      Math.round(mean * (draw() * 2) ** spread + (draw() < 0.3 ? below(3) : 0)),
    );
    if (slip > 0) counts.push(slip);
    const k = draw() < 0.5 ? 0.3 + draw() * 4 : null;
    const survey = {
      format: "tussock.kept-survey/1",
      property: "01890000-0000-7000-8000-000000000000",
      date: "2026-07-06",
      pest: "invented",
      method: "frame",
      count_area: area,
      by: "J. Example",
      stations: counts.map((count) => ({ count, is_check: false })),
    };
    // As a person states it, or as usual.
    const stated =
      draw() < 0.5
        ? usualAim
        : {
            inVainAt: one(["50", "70", "85"]),
            treatInVain: one(["1", "5", "20", "49"]),
            leaveWrongly: one(["2", "10", "33.3"]),
            least: one(["1", "3", "8"]),
            most: one(["8", "20", "60", "120"]),
          };
    const aim = aimOf(stated).aim!;
    const order = {
      survey,
      threshold: { count: level, per, source: "invented" },
      in_vain_at: aim.inVainAt,
      treat_in_vain: aim.treatInVain,
      leave_wrongly: aim.leaveWrongly,
      least: aim.least,
      most: aim.most,
      ...(k === null ? {} : { k }),
    };
    const told = await answer<Scouting>("/api/scouting", order);
    const scatter = lineScatterOf(counts, k);
    const { inVainAt, ...rest } = aim;
    const threshold = (level * areaM2(area)!) / areaM2(per)!;
    const plan = { ...meansRound(threshold, inVainAt), k: scatter.k, ...rest };
    const found = walk(plan, counts);
    const what = JSON.stringify(order);
    expect([found.stop, found.at, scatter.by], what).toEqual([
      told.stop,
      told.decided_at,
      told.stop_lines!.k_by,
    ]);
    const near = (ours: number, theirs: number) =>
      expect(Math.abs(ours - theirs), what).toBeLessThan(1e-9 * Math.max(1, Math.abs(theirs)));
    near(threshold, told.threshold.per_station);
    // Nothing is treated below the threshold, and nothing left at it or above.
    if (told.treat != null) expect(told.treat, what).toBe(told.threshold.share >= 1 - 1e-9);
    near(scatter.k, told.stop_lines!.k);
    const lines = linesOf(plan);
    near(lines.slope, told.stop_lines!.slope);
    near(lines.lowerIntercept, told.stop_lines!.lower_intercept);
    near(lines.upperIntercept, told.stop_lines!.upper_intercept);
    near(lines.cleanSlope, told.stop_lines!.clean_slope);
    near(lines.cleanIntercept, told.stop_lines!.clean_intercept);
    const more = told.stop_lines!.if_more_clumped;
    if (more) {
      const errs = errorsOf(plan, scatter.moreClumped)!;
      near(scatter.moreClumped, more.k);
      expect(Math.abs(errs.inVain - more.treats_in_vain), what).toBeLessThan(1e-6);
      expect(Math.abs(errs.wrongly - more.leaves_wrongly), what).toBeLessThan(1e-6);
    }
    expect(found.stop === "count-on" ? moreCounts(plan, counts) : null, what).toBe(told.more_counts ?? null);
    const needed = mostNeeded(plan);
    expect(needed, what).toBe(told.stop_lines!.most_needed ?? null);
    if (needed === null) seen.set("never", (seen.get("never") ?? 0) + 1);
    else if (needed > plan.most) seen.set("more needed", (seen.get("more needed") ?? 0) + 1);
    seen.set(found.stop, (seen.get(found.stop) ?? 0) + 1);
    seen.set(scatter.by, (seen.get(scatter.by) ?? 0) + 1);
  }
  const kinds = ["treat", "do-not-treat", "count-on", "told", "believed", "counted", "never", "more needed"];
  for (const kind of kinds) expect(seen.get(kind) ?? 0, kind).toBeGreaterThan(5);
});

/** By which of the server's codes a lack of the page is told. */
const CODES: Record<Lack, readonly string[]> = {
  threshold: ["scouting::no-threshold"],
  count: ["scouting::threshold"],
  per: ["scouting::count-basis"],
  source: ["scouting::threshold-source"],
  area: ["kept::quantity", "survey::count-area", "scouting::count-basis"],
  basis: ["scouting::basis", "survey::threshold-of"],
  mounds: ["survey::threshold-of"],
  animals: ["survey::threshold-of"],
  stage: ["scouting::other-stage"],
  aim: ["scouting::in-vain-at", "scouting::stop-errors", "scouting::stop-stations"],
  wide: ["scouting::stop-width"],
};

const METHODS: readonly Method[] = ["frame", "float can", "soap flush", "sod cut", "trap", "drag", "mounds"];
const EACH: Record<Method, readonly string[]> = {
  frame: ["1 sq ft", "Sq yd", "0.25 m²", "6,320 sq ft"],
  "float can": ["0.2 sq ft", "100 sq in"],
  "soap flush": ["4 sq ft", "1 sq yd", "flush"],
  "sod cut": ["0.25 sq ft", "1 sq ft"],
  trap: ["1 trap night", "trap", "6 trap nights"],
  drag: ["100 ft of drag", "25 m of drag"],
  mounds: ["0.1451 acre", "6,320 sq ft", "500 sq ft", "1 ha"],
};
const PERS = ["1 sq yd", "sq ft", "0.25 acre", "flush", "Trap night", "trap", "100 m of drag", "plant"];
const STAGES = ["", "nymph", "Nymphs", "adult", "larva", "small grubs", "nymphs and adults", "crawler"];

/** What a person may have written down while counting: mostly sound, at times with a slip. */
function counting(): { counting: Counting; slip: Lack | null } {
  const method = one(METHODS);
  const of: Counting = { ...emptyCounting("J. Example", "2026-07-06"), pest: "invented", method };
  of.area = one(draw() < 0.85 ? EACH[method] : EACH[one(METHODS)]);
  of.stage = one(STAGES);
  const pest = draw() < 0.3 ? one(key.document.profiles).pest : undefined;
  const published = thresholdsOf(pest);
  const natural = { trap: ["trap night"], drag: ["100 m of drag"], mounds: ["0.25 acre"] };
  of.threshold =
    published.length > 0
      ? one(published)
      : {
          from: "own",
          count: one(["0.5", "2", "5", "8"]),
          per: draw() < 0.5 ? one(natural[method as "trap"] ?? ["1 sq yd", "sq ft"]) : one(PERS),
          source: "invented",
          ...(draw() < 0.5 ? {} : { stage: one(STAGES) }),
          ...(draw() < 0.6 ? {} : { ofMounds: draw() < (method === "mounds" ? 0.8 : 0.2) }),
        };
  const level = one([0, 0, 0.4, 1, 2.5, 6]);
  const stations = 1 + below(method === "mounds" ? 6 : 25);
  of.stations = Array.from({ length: stations }, (_, at) => ({
    count: level === 0 ? 0 : Math.round(level * (draw() * 2) ** 2),
    isCheck: at > 0 && draw() < 0.1,
    spot: null,
  }));
  const slip =
    draw() < 0.15
      ? one(["threshold", "count", "source", "per", "area", "aim", "aim", "aim", "aim", "wide"] as const)
      : null;
  if (pest !== undefined && slip !== "threshold") of.profile = pest.id;
  if (slip === "threshold") of.threshold = { ...of.threshold, from: "none" };
  if (slip === "count") of.threshold = { ...of.threshold, count: one(["0", "-3"]) };
  if (slip === "source") of.threshold = { ...of.threshold, source: " " };
  if (slip === "per")
    of.threshold = { ...of.threshold, per: one(["a yard", "0 sq ft", "0 trap nights", "bucket"]) };
  if (slip === "area") of.area = one(["a foot", "1 yard", "0 sq ft", "0 trap nights"]);
  if (slip === "wide") of.threshold = { ...of.threshold, count: "1e13" };
  if (slip === "aim")
    of.aim = {
      ...usualAim,
      ...one([{ inVainAt: "100" }, { treatInVain: "50" }, { least: "60" }, { most: "501" }]),
    };
  return { counting: of, slip };
}

test("what the page decides is what the server decides, over random surveys", async () => {
  // The same surveys whichever tests ran before.
  state = 20_260_706;
  const seen = new Map<string, number>();
  const saw = (what: string) => seen.set(what, (seen.get(what) ?? 0) + 1);
  const property = "01890000-0000-7000-8000-000000000000";
  for (let round = 0; round < 600; round += 1) {
    const { counting: of, slip } = counting();
    const { decided, lack, mounds } = decide(of, key);
    const survey = { ...surveyOf(property, of).survey!, threshold: null };
    const { from, count, per, source, stage } = of.threshold;
    // A threshold that is not whole is no part of a survey; it is asked about as it was written.
    const stated = thresholdTold(of.threshold, of.method) ?? {
      count: Number(count),
      per,
      source,
      ...(stage ? { stage } : {}),
    };
    const number = (text: string) => Number((Number(text) / 100).toPrecision(12));
    const order = {
      survey,
      ...(from === "none" ? {} : { threshold: stated }),
      ...(of.profile === "" ? {} : { pest: of.profile }),
      in_vain_at: number(of.aim.inVainAt),
      treat_in_vain: number(of.aim.treatInVain),
      leave_wrongly: number(of.aim.leaveWrongly),
      least: Number(of.aim.least),
      most: Number(of.aim.most),
    };
    const what = JSON.stringify({ order, lack });
    const response = await fetch(`${home.origin}/api/scouting`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(order),
    });
    const told = (await response.json()) as Scouting;
    const codes = told.problems.map(({ code }) => code);
    expect(response.ok ? 200 : response.status, `${what} ${codes.join(" ")}`).toBe(lack === null ? 200 : 422);
    const isAllZero = of.stations.every((station) => station.isCheck || station.count === 0);
    if (lack !== null) {
      // Of several faults at once the page tells one at a time.
      if (slip === null || slip === lack)
        expect(
          CODES[lack].some((code) => codes.includes(code)),
          `${what} ${codes.join(" ")}`,
        ).toBe(true);
      saw(lack);
      if (isAllZero) saw(`${lack} of nothing`);
    } else if (of.method === "mounds") {
      const [found, theirs] = [mounds!, told.mounds!];
      expect([found.call, found.found], what).toEqual([theirs.call, theirs.found]);
      expect(Math.abs(found.perAcre / theirs.per_acre - 1) < 1e-9 || found.found === 0, what).toBe(true);
      expect(Math.abs(found.levelPerAcre / theirs.level_per_acre - 1), what).toBeLessThan(1e-9);
      saw(found.call);
    } else {
      const found = decided!;
      expect([found.stop, found.at, found.scatter.by], what).toEqual([
        told.stop,
        told.decided_at ?? null,
        told.stop_lines!.k_by,
      ]);
      expect(found.more, what).toBe(told.more_counts ?? null);
      expect(Math.abs(found.level / told.threshold.per_station - 1), what).toBeLessThan(1e-9);
      const errs = errsMore(found);
      expect(errs !== "", what).toBe(codes.includes("scouting::errs-more"));
      const needed = told.stop_lines!.most_needed ?? null;
      if (errs !== "" && needed !== null)
        expect(errs, what).toContain(
          `With ${Math.max(needed, found.plan.most + 1)} counts at most they keep what is stated.`,
        );
      saw(found.stop);
      if (errs !== "") saw("errs more");
    }
  }
  const [stops, calls] = [
    ["treat", "do-not-treat", "count-on"],
    ["leave-be", "mounds-alone", "broadcast"],
  ];
  const refused = [...Object.keys(CODES), "basis of nothing", "stage of nothing", "animals of nothing"];
  for (const kind of [...stops!, ...calls!, ...refused, "errs more"])
    expect(seen.get(kind) ?? 0, `${kind} in ${JSON.stringify([...seen])}`).toBeGreaterThan(2);
});
