// Stop lines, reckoned on the device as the server reckons them (crates/scouting): where there is no reception.

/** The k of the negative binomial that stop lines go by, and one that is more clumped still and may be the true one. */
export interface LineScatter {
  k: number;
  by: "told" | "believed" | "counted";
  moreClumped: number;
}

export type Stop = "treat" | "do-not-treat" | "count-on" | "most-reached-treat" | "most-reached-do-not-treat";

/** What a walk of counts is to tell apart; means are those of one station. */
export interface Plan {
  lower: number;
  upper: number;
  k: number;
  treatInVain: number;
  leaveWrongly: number;
  least: number;
  most: number;
}

/** Half of the threshold, one error in ten either way, 5 to 50 counts (common practice, no source). */
export const USUAL = { inVainAt: 0.5, treatInVain: 0.1, leaveWrongly: 0.1, least: 5, most: 50 } as const;

/** With fewer counts k is not fitted. */
const COUNTS_TO_FIT = 15;

/** Before anything is counted: the likeliest k, how far off it may be, and how likely counts are not clumped at all. */
const [LIKELY_K, K_SPREAD, NOT_CLUMPED] = [2 / 3, 1.2, 0.1];
/** Steps of the grid in one unit of the logarithm of k, and its ends in steps. */
const [STEPS, FIRST, LAST] = [4, -10, 24];
/** The shares of the chance below the k of the lines, and below one that is more clumped still. */
const [CLUMPED_END, MORE_CLUMPED] = [0.15, 0.05];

/** Ground with so much of the lower mean has next to nothing; the share of beta that the line for it may spend. */
const [CLEAN, CLEAN_ERROR] = [0.2, 0.5];

/** Totals between the lines that are carried one by one, and how many there may be at most. */
const [MOST_TOTALS, MOST_WIDTH] = [1_000, 1e5];

export interface Lines {
  slope: number;
  lowerIntercept: number;
  upperIntercept: number;
  /** Of the lower line for ground with next to nothing; the higher lower line counts. */
  cleanSlope: number;
  cleanIntercept: number;
}

/** ln Γ by Stirling's series from ten on (Abramowitz and Stegun 1964, 6.1.41); below by Γ(x) = Γ(x + 1) / x. */
function lnGamma(x: number): number {
  let [at, product] = [x, 1];
  for (; at < 10; at += 1) product *= at;
  const square = 1 / (at * at);
  const series =
    (1 / 12 -
      square *
        (1 / 360 -
          square * (1 / 1260 - square * (1 / 1680 - square * (1 / 1188 - (square * 691) / 360360))))) /
    at;
  return (at - 0.5) * Math.log(at) - at + Math.log(2 * Math.PI) / 2 + series - Math.log(product);
}

const lnBeta = (a: number, b: number) => lnGamma(a) + lnGamma(b) - lnGamma(a + b);

/** How likely each k of the grid is after counts, over all means (crates/scouting/src/scatter.rs). */
function likelyKs(counts: readonly number[]): { lnK: number; weight: number }[] {
  const total = counts.reduce((sum, count) => sum + count, 0);
  const height = (1 - NOT_CLUMPED) / (K_SPREAD * Math.sqrt(2 * Math.PI) * STEPS);
  const ways = Array.from({ length: LAST - FIRST + 1 }, (_, index) => {
    const lnK = (FIRST + index) / STEPS;
    const k = Math.exp(lnK);
    const clumped = height * Math.exp(-(((lnK - Math.log(LIKELY_K)) / K_SPREAD) ** 2) / 2);
    const prior = Math.log(clumped + (FIRST + index === LAST ? NOT_CLUMPED : 0));
    const each = counts.reduce((sum, count) => sum + lnGamma(count + k), 0) - counts.length * lnGamma(k);
    const mean = total === 0 ? lnK / 2 + lnBeta(0.5, counts.length * k) : lnBeta(total, counts.length * k);
    return { lnK, log: counts.length === 0 ? prior : prior + each + mean };
  });
  const highest = Math.max(...ways.map(({ log }) => log));
  const likely = ways
    .map(({ lnK, log }) => ({ lnK, weight: Math.exp(log - highest) }))
    .filter(({ weight }) => weight > 1e-6);
  const all = likely.reduce((sum, { weight }) => sum + weight, 0);
  return likely.map(({ lnK, weight }) => ({ lnK, weight: weight / all }));
}

/**
 * The k that stop lines go by: the one that is told, while the counts are too few to fit it; else one at the clumped end of
 * what they make likely.
 */
export function lineScatterOf(counts: readonly number[], toldK: number | null): LineScatter {
  const likely = likelyKs(counts);
  const at = (share: number) => {
    let below = 0;
    for (const { lnK, weight } of likely) {
      if (below + weight >= share) return Math.exp(lnK + ((share - below) / weight - 0.5) / STEPS);
      below += weight;
    }
    return Math.exp(likely.at(-1)!.lnK);
  };
  const isTold = counts.length >= COUNTS_TO_FIT && counts.filter((count) => count > 0).length >= 2;
  const moreClumped = at(MORE_CLUMPED);
  if (!isTold && toldK !== null) return { k: toldK, by: "told", moreClumped };
  return { k: at(CLUMPED_END), by: isTold ? "counted" : "believed", moreClumped };
}

/**
 * The lines of Wald (1947, Sequential Analysis): total = slope · stations + intercept; and the same for ground with next to
 * nothing.
 */
export function linesOf({ lower, upper, k, treatInVain, leaveWrongly }: Plan): Lines {
  const ratio = (against: number): [number, number] => [
    Math.log((upper * (against + k)) / (against * (upper + k))),
    k * Math.log((upper + k) / (against + k)),
  ];
  const [perPest, perStation] = ratio(lower);
  const [cleanPest, cleanStation] = ratio(lower * CLEAN);
  return {
    slope: perStation / perPest,
    lowerIntercept: Math.log(leaveWrongly / (1 - treatInVain)) / perPest,
    upperIntercept: Math.log((1 - leaveWrongly) / treatInVain) / perPest,
    cleanSlope: cleanStation / cleanPest,
    cleanIntercept: Math.log(leaveWrongly * CLEAN_ERROR) / cleanPest,
  };
}

/** The higher of the lower lines. */
export function lowerAt(lines: Lines, stations: number): number {
  return Math.max(
    lines.slope * stations + lines.lowerIntercept,
    lines.cleanSlope * stations + lines.cleanIntercept,
  );
}

/** The corners of the lower lines, the higher each time, from where it is above nothing: stations and totals. */
export function lowerCorners(lines: Lines, from: number, to: number): [number, number][] {
  const above = Math.min(-lines.cleanIntercept / lines.cleanSlope, -lines.lowerIntercept / lines.slope);
  const begins = Math.min(Math.max(above, from), to);
  const meet = (lines.lowerIntercept - lines.cleanIntercept) / (lines.cleanSlope - lines.slope);
  const corners = begins < meet && meet < to ? [begins, meet, to] : [begins, to];
  return corners.map((at) => [at, lowerAt(lines, at)]);
}

/** How many totals lie between the lines at one number of stations, at most. */
function widthOf(plan: Plan): number {
  const { slope, upperIntercept, lowerIntercept } = linesOf(plan);
  return Math.max(slope * plan.least + upperIntercept, upperIntercept - lowerIntercept);
}

/** Whether lines lie too far apart to be reckoned with: the server refuses such a plan. */
export const isTooWide = (plan: Plan): boolean => !(widthOf(plan) <= MOST_WIDTH);

/** What a total of so many stations says. */
function stopAt(plan: Plan, lines: Lines, stations: number, total: number): Stop {
  const middle = lines.slope * stations;
  if (stations >= plan.least) {
    if (total >= middle + lines.upperIntercept) return "treat";
    if (total <= lowerAt(lines, stations)) return "do-not-treat";
  }
  if (stations < plan.most) return "count-on";
  return total >= middle ? "most-reached-treat" : "most-reached-do-not-treat";
}

/**
 * What counts say, all of them together, and from which count on they say it; all of them while it goes on. Whoever counts
 * past the first line that was met knows more than there: the total decides, in whatever order they were made.
 */
export function walk(plan: Plan, counts: readonly number[]): { stop: Stop; at: number } {
  const lines = linesOf(plan);
  let total = 0;
  let [stop, since]: [Stop, number] = ["count-on", 0];
  for (const [index, count] of counts.entries()) {
    total += count;
    const now = stopAt(plan, lines, index + 1, total);
    if (now !== stop) [stop, since] = [now, index + 1];
  }
  return { stop, at: stop === "count-on" ? counts.length : since };
}

/**
 * How a plan does where a station has a mean and the counts a k, after counts that came to a total: the chance of every total
 * that still lies between the lines is carried from station to station. `null` where that is too much to reckon.
 */
function reckoned(
  plan: Plan,
  [counted, total]: [number, number],
  mean: number,
  k: number,
): { treats: number; stations: number } | null {
  const lines = linesOf(plan);
  const upper = (station: number) => lines.slope * Math.max(station, plan.least) + lines.upperIntercept;
  const width = widthOf(plan);
  if (isTooWide(plan)) return null;
  // Lines that lie far apart are reckoned in steps of several pests, which is little beside their width.
  const step = Math.max(1, Math.ceil(width / MOST_TOTALS));
  const top = (station: number) => Math.max(0, Math.ceil(upper(station) / step));
  let first = Math.round(total / step);
  const widest = Math.max(top(plan.most), first);
  if (widest * step > 1e6) return null;
  const one = chances(widest, mean, k, step);
  const upTo: number[] = [];
  one.reduce((sum, chance, count) => (upTo[count] = sum + chance), 0);
  let here = [1];
  let surely = 0;
  let [treats, stations] = [0, 0];
  for (let station = counted + 1; station <= plan.most; station += 1) {
    const end = Math.max(top(station), first + 1);
    const next = new Array<number>(end - first).fill(0);
    here.forEach((chance, index) => {
      if (chance <= 0) return;
      const room = end - first - index;
      for (let more = 0; more < room; more += 1) next[index + more]! += chance * one[more]!;
      surely += chance * Math.max(0, 1 - upTo[room - 1]!);
    });
    const steps = station - counted;
    if (station >= plan.least) {
      treats += surely;
      stations += surely * steps;
      surely = 0;
    }
    next.forEach((chance, index) => {
      const stop = stopAt(plan, lines, station, (first + index) * step);
      if (stop === "count-on") return;
      stations += chance * steps;
      if (stop === "treat" || stop === "most-reached-treat") treats += chance;
      next[index] = 0;
    });
    const kept = next.findIndex((chance) => chance !== 0);
    const ended = kept === -1 ? next.length - 1 : kept;
    here = next.slice(ended);
    first += ended;
  }
  return { treats, stations };
}

/** How many more counts it takes on average, were the true mean that of the counts. */
export function moreCounts(plan: Plan, counts: readonly number[]): number | null {
  const total = counts.reduce((sum, count) => sum + count, 0);
  const ahead = reckoned(plan, [counts.length, total], total / counts.length, plan.k);
  return ahead === null ? null : Math.max(1, Math.ceil(ahead.stations));
}

/** How often lines treat at the lower mean and leave at the upper one, where the counts have a k. */
export function errorsOf(plan: Plan, k: number): { inVain: number; wrongly: number } | null {
  const [low, high] = [plan.lower, plan.upper].map((mean) => reckoned(plan, [0, 0], mean, k));
  return low && high ? { inVain: low.treats, wrongly: 1 - high.treats } : null;
}

/** The chances of 0, 1, 2, … steps of pests at a station: each step has the counts that are nearest to it. */
function chances(most: number, mean: number, k: number, step: number): number[] {
  const told = new Array<number>(most + 1).fill(0);
  if (mean === 0) {
    told[0] = 1;
    return told;
  }
  // By logarithms: the chance of none may be less than a number can hold.
  let log = -k * Math.log1p(mean / k);
  for (let count = 0; ; count += 1) {
    const nearest = Math.floor((count + step / 2) / step);
    if (nearest > most) return told;
    told[nearest]! += Math.exp(log);
    log += Math.log(((count + k) / (count + 1)) * (mean / (k + mean)));
  }
}
