// What counts call for, while they come in: held against a threshold, on the device.
import type { Key, Pest } from "../../key/reckon";
import { areaM2 } from "../../stop-lines/area";
import { basisOf } from "../../stop-lines/basis";
import { kOfProfile, type Clumping } from "../../stop-lines/profile-k";
import { isOtherStage } from "../../stop-lines/stage";
import {
  MOST_STATIONS,
  USUAL,
  errorsOf,
  isTooWide,
  lineScatterOf,
  meansRound,
  moreCounts,
  mostNeeded,
  walk,
  type LineScatter,
  type Plan,
  type Stop,
} from "../../stop-lines/reckon";
import { rangeTaken } from "../../stop-lines/published";
import { stopLines as words } from "../../words/stop-lines";
import type { Counting, Method } from "./counting";

/** A threshold as it is written down. */
export interface Threshold {
  /** Which of the profile's it is, by its place there; `own` for one that a person states, `none` for none. */
  from: string;
  count: string;
  /** On what: an area, or `flush`, `trap`, `plant`. */
  per: string;
  /** Where it was published, and for which place. */
  source: string;
  /** The life stage that it holds for; none where it holds for all of them. */
  stage?: string | null;
  /** Whether it counts live mounds: up to so many they are treated one by one. */
  ofMounds?: boolean;
}

export const noThreshold: Threshold = { from: "none", count: "", per: "1 sq yd", source: "" };

/** What a threshold counts: one that nobody says it of counts what the method does. */
export function countedBy({ ofMounds }: Threshold, method: Method): "mounds" | "animals" {
  return (ofMounds ?? method === "mounds") ? "mounds" : "animals";
}

/** A threshold that is whole, as surveys and questions tell it; null where nothing is chosen, or a part is missing. */
export function thresholdTold(threshold: Threshold, method: Method): ThresholdTold | null {
  const { from, count, per, source, stage } = threshold;
  const number = Number(count.trim() === "" ? Number.NaN : count);
  const isWhole = number > 0 && Number.isFinite(number) && per.trim() !== "" && source.trim() !== "";
  if (from === "none" || !isWhole) return null;
  const of = countedBy(threshold, method);
  return { count: number, of, per: per.trim(), source: source.trim(), ...(stage ? { stage } : {}) };
}

interface ThresholdTold {
  count: number;
  of: "mounds" | "animals";
  per: string;
  source: string;
  stage?: string;
}

/** How sure a decision is to be, as it is written down: shares in per cent, counts as whole numbers. */
export interface StatedAim {
  /** At so many per cent of the threshold treating is in vain; leaving is wrong as far above it. */
  inVainAt: string;
  /** In so many of a hundred cases it may be treated at the one. */
  treatInVain: string;
  /** In so many of a hundred cases it may be left at the other. */
  leaveWrongly: string;
  least: string;
  most: string;
}

export const usualAim: StatedAim = {
  inVainAt: String(USUAL.inVainAt * 100),
  treatInVain: String(USUAL.treatInVain * 100),
  leaveWrongly: String(USUAL.leaveWrongly * 100),
  least: String(USUAL.least),
  most: String(USUAL.most),
};

export type Aim = Pick<Plan, "treatInVain" | "leaveWrongly" | "least" | "most"> & { inVainAt: number };

/** What was written as numbers, with the fields that are none or out of bounds. */
export function aimOf(stated: StatedAim): { aim: Aim | null; wrong: (keyof StatedAim)[] } {
  const number = (text: string) => Number(text.trim() === "" ? Number.NaN : text.trim().replace(",", "."));
  // 70.7 of a hundred is 0.707, and not that and a last bit.
  const share = (text: string) => Number((number(text) / 100).toPrecision(12));
  const aim: Aim = {
    inVainAt: share(stated.inVainAt),
    treatInVain: share(stated.treatInVain),
    leaveWrongly: share(stated.leaveWrongly),
    least: number(stated.least),
    most: number(stated.most),
  };
  const isWithin = (value: number, most: number) => value > 0 && value < most;
  const isCount = (value: number) => Number.isInteger(value) && value >= 1 && value <= MOST_STATIONS;
  const wrong: (keyof StatedAim)[] = [];
  if (!isWithin(aim.inVainAt, 1)) wrong.push("inVainAt");
  if (!isWithin(aim.treatInVain, 0.5)) wrong.push("treatInVain");
  if (!isWithin(aim.leaveWrongly, 0.5)) wrong.push("leaveWrongly");
  if (!isCount(aim.least)) wrong.push("least");
  if (!isCount(aim.most) || (isCount(aim.least) && aim.most < aim.least)) wrong.push("most");
  return { aim: wrong.length === 0 ? aim : null, wrong };
}

/** What keeps counts from being held against a threshold. */
export type Lack =
  | "threshold"
  | "count"
  | "per"
  | "source"
  | "area"
  | "basis"
  | "mounds"
  | "animals"
  | "stage"
  | "aim"
  | "wide";

/** What live mounds call for. */
export interface Mounds {
  call: "leave-be" | "mounds-alone" | "broadcast";
  /** In all, on the ground that was walked. */
  found: number;
  perAcre: number;
  levelPerAcre: number;
}

export interface Decided {
  plan: Plan;
  scatter: LineScatter;
  /** How clumped the profile says that counts are; the lines go by it where it is of counts like these. */
  clumping: Clumping | null;
  /** The counts of ground that is to be judged. */
  counts: number[];
  /** The threshold as a mean of one station. */
  level: number;
  stop: Stop;
  /** At which count the walk ended; all of them while it goes on. */
  at: number;
  /** How many more it takes on average; `null` once it is decided, or where that cannot be said. */
  more: number | null;
}

/** The thresholds of a profile, each as it is written down. Of a range the lower figure, and the range is told: ground that
 * stands least. */
export function thresholdsOf(pest: Pest | undefined): Threshold[] {
  return (pest?.thresholds ?? []).map((one, place) => {
    const cite = pest?.sources.find(({ id }) => id === one.source)?.cite ?? one.source;
    return {
      from: String(place),
      count: String(one.low),
      per: one.per,
      source: `${[rangeTaken(one), one.place, one.host, one.note].filter((said) => said).join("; ")}: ${cite}`,
      stage: one.stage ?? null,
      ofMounds: one.of === "mounds",
    };
  });
}

/** What the counts say, or what is missing for it. */
export function decide(
  counting: Counting,
  key: Key | null,
): { decided: Decided | null; lack: Lack | null; mounds: Mounds | null } {
  const { threshold, method, area } = counting;
  const lacks = (lack: Lack) => ({ decided: null, lack, mounds: null });
  if (threshold.from === "none") return lacks("threshold");
  const count = Number(threshold.count.trim() === "" ? Number.NaN : threshold.count);
  if (!(count > 0 && Number.isFinite(count))) return lacks("count");
  const per = basisOf(threshold.per);
  if (per === null) return lacks("per");
  if (threshold.source.trim() === "") return lacks("source");
  const each = basisOf(area);
  if (each === null) return lacks("area");
  const of = countedBy(threshold, method);
  if (of === "mounds" && method !== "mounds") return lacks("mounds");
  if (of === "animals" && method === "mounds") return lacks("animals");
  if (method === "mounds" && per.kind !== "area") return lacks("basis");
  if (method === "mounds" && each.kind !== "area") return lacks("area");
  if (threshold.stage && isOtherStage(counting.stage, threshold.stage)) return lacks("stage");
  if (method === "mounds") {
    return {
      decided: null,
      lack: null,
      mounds: moundsOf(counting, { count, per: per.size, each: each.size }),
    };
  }
  let level = count;
  if (each.kind === per.kind) level = (count * each.size) / per.size;
  // What was counted on ground is not held against what was counted in traps; a flush on known ground is a flush.
  else if (!(per.kind === "flush" && method === "soap flush" && each.kind === "area")) return lacks("basis");
  const { aim } = aimOf(counting.aim);
  if (aim === null) return lacks("aim");
  const counts = counting.stations.filter((station) => !station.isCheck).map((station) => station.count);
  const clumping = key?.pest(counting.profile)?.clumping ?? null;
  const scatter = lineScatterOf(counts, kOfProfile(clumping, each));
  const { inVainAt, ...rest } = aim;
  const plan: Plan = { ...meansRound(level, inVainAt), k: scatter.k, ...rest };
  if (isTooWide(plan)) return lacks("wide");
  const { stop, at } = walk(plan, counts);
  const more = stop === "count-on" && counts.length > 0 ? moreCounts(plan, counts) : null;
  return { decided: { plan, scatter, clumping, counts, level, stop, at, more }, lack: null, mounds: null };
}

/** By which k the lines go; where that is a belief, how often they err at it, and were the pests more clumped still. */
export function scatterOf({ plan, scatter, clumping, counts }: Decided): string {
  const { k, by, moreClumped } = scatter;
  const figure = (value: number) => value.toFixed(2);
  const ground = clumping && words.scatter.ground(clumping.unit_area, clumping.place, clumping.host);
  if (by === "told") return words.scatter.told(figure(k), ground ?? "");
  if (by === "counted") return words.scatter.counted(figure(k));
  const errors = [k, moreClumped].map((one) => errorsOf(plan, one));
  const percent = (share: number) => `${(share * 100).toFixed(0)} %`;
  const told = errors.map((one) => one && ([percent(one.inVain), percent(one.wrongly)] as const));
  const [here, more] = told;
  const times = [figure(plan.lower / plan.threshold), figure(plan.upper / plan.threshold)] as const;
  const warning = here && more ? words.scatter.errs(here, times, figure(moreClumped), more) : "";
  const leftOut = clumping && ground && words.scatter.leftOut(figure(clumping.k), ground);
  return `${words.scatter.believed(counts.length, figure(k), leftOut)} ${warning}`.trim();
}

/**
 * Where the lines err more often than stated, though the counts or a profile tell k, and with how many counts they would not; in
 * words, and nothing where they do not.
 */
export function errsMore({ plan, scatter }: Decided): string {
  if (scatter.by === "believed") return "";
  const errors = errorsOf(plan, plan.k);
  if (errors === null) return "";
  const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
  const stating = (share: number) => `${Math.round(share * 1000) / 10} %`;
  const both = [
    [words.errsMore.inVain, errors.inVain, plan.treatInVain, plan.lower],
    [words.errsMore.wrongly, errors.wrongly, plan.leaveWrongly, plan.upper],
  ] as const;
  const over = both.filter(([, found, stated]) => found > stated);
  if (over.length === 0) return "";
  const needed = mostNeeded(plan);
  const told = over.map(([says, found, stated, mean]) =>
    says({
      found: percent(found),
      stated: stating(stated),
      most: plan.most,
      k: plan.k.toFixed(2),
      times: (mean / plan.threshold).toFixed(2),
    }),
  );
  const kept =
    needed === null
      ? words.errsMore.never(MOST_STATIONS)
      : words.errsMore.kept(Math.max(needed, plan.most + 1));
  return [...told, kept].join(" ");
}

const ACRE_M2 = areaM2("1 acre")!;

/** Live mounds against the level, whose source says "more than": at the level they are treated one by one. */
function moundsOf(
  counting: Counting,
  { count, per, each }: { count: number; per: number; each: number },
): Mounds | null {
  const parts = counting.stations.filter((station) => !station.isCheck).map((station) => station.count);
  if (parts.length === 0) return null;
  const found = parts.reduce((sum, one) => sum + one, 0);
  const ground = each * parts.length;
  const isMore = found - (count * ground) / per > 1e-9;
  const call = found === 0 ? "leave-be" : isMore ? "broadcast" : "mounds-alone";
  return { call, found, perAcre: (found * ACRE_M2) / ground, levelPerAcre: (count * ACRE_M2) / per };
}

/** What to do, in a few words. */
export function statusOf({ stop, more }: Decided): string {
  return more === null ? words.statuses[stop] : `${words.statuses[stop]}: ${words.more(more)}`;
}
