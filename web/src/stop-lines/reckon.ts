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
  /** Below the threshold, where treating is in vain. */
  lower: number;
  threshold: number;
  /** Above the threshold, where leaving is wrong. */
  upper: number;
  k: number;
  treatInVain: number;
  leaveWrongly: number;
  least: number;
  most: number;
}

/**
 * Means of which one is half of the other, the threshold in their middle, one error in ten either way, 5 to 50 counts (common
 * practice, no source).
 */
export const USUAL = { inVainAt: 0.707, treatInVain: 0.1, leaveWrongly: 0.1, least: 5, most: 50 } as const;

/** The means as far below a threshold as above it. */
export function meansRound(threshold: number, inVainAt: number): Pick<Plan, "lower" | "threshold" | "upper"> {
  return { lower: threshold * inVainAt, threshold, upper: threshold / inVainAt };
}

/** The most counts that are walked; the server takes no more. */
export const MOST_STATIONS = 500;

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
/** The same where walks of hundreds of stations are looked through. */
const TOTALS_OF_LONG_WALKS = 500;

export interface Lines {
  slope: number;
  lowerIntercept: number;
  upperIntercept: number;
  /** Of the lower line for ground with next to nothing; the higher lower line counts. */
  cleanSlope: number;
  cleanIntercept: number;
  /** The threshold as a mean of a station: no line crosses it. */
  threshold: number;
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
 * nothing. The two lower lines share beta.
 */
export function linesOf({ lower, threshold, upper, k, treatInVain, leaveWrongly }: Plan): Lines {
  const ratio = (against: number): [number, number] => [
    Math.log((upper * (against + k)) / (against * (upper + k))),
    k * Math.log((upper + k) / (against + k)),
  ];
  const [perPest, perStation] = ratio(lower);
  const [cleanPest, cleanStation] = ratio(lower * CLEAN);
  return {
    slope: perStation / perPest,
    lowerIntercept: Math.log((leaveWrongly * (1 - CLEAN_ERROR)) / (1 - treatInVain)) / perPest,
    upperIntercept: Math.log((1 - leaveWrongly) / treatInVain) / perPest,
    cleanSlope: cleanStation / cleanPest,
    cleanIntercept: Math.log(leaveWrongly * CLEAN_ERROR) / cleanPest,
    threshold,
  };
}

/** The higher of the lower lines, and not above the threshold. */
export function lowerAt(lines: Lines, stations: number): number {
  const clean = lines.cleanSlope * stations + lines.cleanIntercept;
  const higher = Math.max(lines.slope * stations + lines.lowerIntercept, clean);
  return Math.min(higher, lines.threshold * stations);
}

/** The upper line, and not below the threshold. */
export function upperAt(lines: Lines, stations: number): number {
  return Math.max(lines.slope * stations + lines.upperIntercept, lines.threshold * stations);
}

/** Whether a total of so many stations has a mean at the threshold or above, but for the last bit. */
const reaches = (lines: Lines, stations: number, total: number): boolean =>
  total >= lines.threshold * stations * (1 - 1e-12);

/** The corners of the lower lines, the higher each time, from where it is above nothing: stations and totals. */
export function lowerCorners(lines: Lines, from: number, to: number): [number, number][] {
  const above = Math.min(-lines.cleanIntercept / lines.cleanSlope, -lines.lowerIntercept / lines.slope);
  const begins = Math.min(Math.max(above, from), to);
  const meet = (lines.lowerIntercept - lines.cleanIntercept) / (lines.cleanSlope - lines.slope);
  const crosses = lines.lowerIntercept / (lines.threshold - lines.slope);
  return cornersOf(begins, to, [meet, crosses], (at) => lowerAt(lines, at));
}

/** The corners of the upper line: stations and totals. */
export function upperCorners(lines: Lines, from: number, to: number): [number, number][] {
  const crosses = lines.upperIntercept / (lines.threshold - lines.slope);
  return cornersOf(from, to, [crosses], (at) => upperAt(lines, at));
}

/** The ends of a way with the turns that lie between them, in their order. */
function cornersOf(
  from: number,
  to: number,
  turns: readonly number[],
  height: (at: number) => number,
): [number, number][] {
  const between = turns.filter((turn) => from < turn && turn < to).sort((one, other) => one - other);
  return [from, ...between, to].map((at) => [at, height(at)]);
}

/** How many totals lie between lines from a least to a most number of stations, at most. */
function widthBetween(lines: Lines, least: number, most: number): number {
  const { upperIntercept, lowerIntercept } = lines;
  const atMost = upperAt(lines, most) - lowerAt(lines, most);
  return Math.max(upperAt(lines, least), upperIntercept - lowerIntercept, atMost);
}

/** The same of a plan. */
const widthOf = (plan: Plan): number => widthBetween(linesOf(plan), plan.least, plan.most);

/** Whether lines lie too far apart to be reckoned with: the server refuses such a plan. */
export const isTooWide = (plan: Plan): boolean => !(widthOf(plan) <= MOST_WIDTH);

/** What a total of so many stations says. At the most counts their mean decides, held against the threshold. */
function stopAt(plan: Plan, lines: Lines, stations: number, total: number): Stop {
  const met = lineMet(plan, lines, stations, total);
  if (met !== null) return met;
  if (stations < plan.most) return "count-on";
  return reaches(lines, stations, total) ? "most-reached-treat" : "most-reached-do-not-treat";
}

/** Which line a total of so many stations has met. */
function lineMet(plan: Plan, lines: Lines, stations: number, total: number): "treat" | "do-not-treat" | null {
  if (stations < plan.least) return null;
  if (reaches(lines, stations, total))
    return total >= lines.slope * stations + lines.upperIntercept ? "treat" : null;
  return total <= lowerAt(lines, stations) ? "do-not-treat" : null;
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

/** The chances of all totals between the lines, carried from station to station, and what ended on the way. */
class Carried {
  station: number;
  /** How often it ended at a line with treating, and how many stations those took that ended at one, each by its chance. */
  treats = 0;
  stations = 0;
  readonly #plan: Plan;
  readonly #lines: Lines;
  readonly #start: number;
  /** Pests that stand for one total: of lines that lie far apart several, which is little beside their width. */
  readonly #step: number;
  /** The chances of a count of 0, 1, 2, … steps, and of so many or fewer. */
  readonly #one: number[];
  readonly #upTo: number[] = [];
  /** The chances of the totals from the first on that still lie between the lines. */
  #first: number;
  #here = [1];
  /** What is sure to be treated once the least number is reached. */
  #surely = 0;

  constructor(
    plan: Plan,
    [counted, total]: [number, number],
    mean: number,
    k: number,
    [most, totals]: [number, number],
  ) {
    this.#plan = plan;
    this.#lines = linesOf(plan);
    this.station = this.#start = counted;
    // An odd one has as many counts below its middle as above it; of an even one each count would be half a pest too high.
    this.#step = 2 * Math.floor(Math.max(1, Math.ceil(widthOf(plan) / totals)) / 2) + 1;
    // From the lower line at one station to the upper one at the next.
    const width = widthBetween(this.#lines, plan.least, most);
    const farthest = (width + Math.max(this.#lines.slope, plan.threshold)) / this.#step;
    this.#one = chances(Math.ceil(farthest) + 3, mean, k, this.#step);
    this.#one.reduce((sum, chance, count) => (this.#upTo[count] = sum + chance), 0);
    this.#first = Math.round(total / this.#step);
  }

  /** Counts at one more station. */
  count(): void {
    this.station += 1;
    const [plan, lines, one] = [this.#plan, this.#lines, this.#one];
    // A total at the upper line or above, as it is when the least number is reached, ends in treating for sure.
    const top = Math.ceil(upperAt(lines, Math.max(this.station, plan.least)) / this.#step);
    const next = new Array<number>(Math.max(top, this.#first + 1) - this.#first).fill(0);
    this.#here.forEach((chance, index) => {
      if (chance <= 0) return;
      const room = Math.min(next.length - index, one.length);
      for (let more = 0; more < room; more += 1) next[index + more]! += chance * one[more]!;
      this.#surely += chance * Math.max(0, 1 - this.#upTo[room - 1]!);
    });
    const steps = this.station - this.#start;
    if (this.station >= plan.least) {
      this.treats += this.#surely;
      this.stations += this.#surely * steps;
      this.#surely = 0;
    }
    next.forEach((chance, index) => {
      const met = lineMet(plan, lines, this.station, (this.#first + index) * this.#step);
      if (met === null) return;
      this.stations += chance * steps;
      if (met === "treat") this.treats += chance;
      next[index] = 0;
    });
    const kept = next.findIndex((chance) => chance !== 0);
    const ended = kept === -1 ? next.length - 1 : kept;
    this.#here = next.slice(ended);
    this.#first += ended;
  }

  /** How often it still lies between the lines, and how often at the threshold or above with that. */
  between(): { all: number; reaching: number } {
    let [all, reaching] = [0, 0];
    this.#here.forEach((chance, index) => {
      all += chance;
      if (reaches(this.#lines, this.station, (this.#first + index) * this.#step)) reaching += chance;
    });
    return { all, reaching };
  }
}

/**
 * How a plan does where a station has a mean and the counts a k, after counts that came to a total. `null` where that is too
 * much to reckon.
 */
function reckoned(
  plan: Plan,
  [counted, total]: [number, number],
  mean: number,
  k: number,
): { treats: number; stations: number } | null {
  if (isTooWide(plan)) return null;
  const carried = new Carried(plan, [counted, total], mean, k, [plan.most, MOST_TOTALS]);
  while (carried.station < plan.most) carried.count();
  const { all, reaching } = carried.between();
  return {
    treats: carried.treats + reaching,
    stations: carried.stations + all * Math.max(0, plan.most - counted),
  };
}

/**
 * The fewest counts at most with which neither error is more often than stated; `null` where no number up to the most that
 * are walked does.
 */
export function mostNeeded(plan: Plan): number | null {
  if (isTooWide(plan)) return null;
  const [low, high] = [plan.lower, plan.upper].map(
    (mean) => new Carried(plan, [0, 0], mean, plan.k, [MOST_STATIONS, TOTALS_OF_LONG_WALKS]),
  ) as [Carried, Carried];
  for (let most = 1; most <= MOST_STATIONS; most += 1) {
    low.count();
    high.count();
    const inVain = low.treats + low.between().reaching;
    const wrongly = 1 - high.treats - high.between().reaching;
    if (most >= plan.least && inVain <= plan.treatInVain && wrongly <= plan.leaveWrongly) return most;
  }
  return null;
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
