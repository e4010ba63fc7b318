// Stop lines, reckoned on the device as the server reckons them (crates/scouting): where there is no reception.

/** How counts scatter: the negative binomial with its k, or as chance alone has it. */
export type Dispersion = { k: number; by: "fitted" | "told" | "default" } | { k: null; by: "not-clumped" };

export type Stop = "treat" | "do-not-treat" | "count-on" | "most-reached-treat" | "most-reached-do-not-treat";

/** What a walk of counts is to tell apart; means are those of one station. */
export interface Plan {
  lower: number;
  upper: number;
  k: number | null;
  treatInVain: number;
  leaveWrongly: number;
  least: number;
  most: number;
}

/** Half of the threshold, one error in ten either way, 5 to 50 counts (common practice, no source). */
export const USUAL = { inVainAt: 0.5, treatInVain: 0.1, leaveWrongly: 0.1, least: 5, most: 50 } as const;

/** With fewer counts k is not fitted. */
const COUNTS_TO_FIT = 15;
const DEFAULT_K = 1;

/** A second's reckoning or two: a wider plan has no answer here. */
const MOST_STEPS = 2e8;

export interface Lines {
  slope: number;
  lowerIntercept: number;
  upperIntercept: number;
}

/** ψ(x + k) - ψ(k): the sum of 1 / (k + j) for whole j below x; for a long one the ends alone. */
function rise(x: number, k: number): number {
  if (x > 1_000) return digamma(x + k) - digamma(k);
  let sum = 0;
  for (let j = 0; j < x; j += 1) sum += 1 / (k + j);
  return sum;
}

/** ψ by its asymptotic series (Abramowitz and Stegun 1964, 6.3.18), from ten on; below by ψ(x) = ψ(x + 1) - 1 / x. */
function digamma(x: number): number {
  if (x < 10) return digamma(x + 1) - 1 / x;
  const square = 1 / (x * x);
  const series =
    square * (1 / 12 - square * (1 / 120 - square * (1 / 252 - square * (1 / 240 - square / 132))));
  return Math.log(x) - 1 / (2 * x) - series;
}

/**
 * k by maximum likelihood: with the mean of the counts for m it solves Σ (ψ(x + k) - ψ(k)) = n ln(1 + m / k) (Bliss and
 * Fisher 1953).
 */
function fittedK(counts: readonly number[]): number | null {
  const total = counts.reduce((sum, count) => sum + count, 0);
  const mean = total / counts.length;
  const variance = counts.reduce((sum, count) => sum + (count - mean) ** 2, 0) / counts.length;
  if (variance <= mean || mean <= 0) return null;
  const slope = (lnK: number) => {
    const k = Math.exp(lnK);
    return counts.reduce((sum, count) => sum + rise(count, k), 0) - counts.length * Math.log1p(mean / k);
  };
  let [low, high] = [-12, 12];
  if (slope(low) <= 0 || slope(high) >= 0) return null;
  for (let step = 0; step < 100; step += 1) {
    const middle = (low + high) / 2;
    if (slope(middle) > 0) low = middle;
    else high = middle;
  }
  return Math.exp((low + high) / 2);
}

/** How counts scatter: fitted where there are enough, else as told, else by a k for want of better. */
export function dispersionOf(counts: readonly number[], toldK: number | null): Dispersion {
  if (counts.length >= COUNTS_TO_FIT && counts.filter((count) => count > 0).length >= 2) {
    const k = fittedK(counts);
    return k === null ? { k, by: "not-clumped" } : { k, by: "fitted" };
  }
  return toldK === null ? { k: DEFAULT_K, by: "default" } : { k: toldK, by: "told" };
}

/** The lines of Wald (1947, Sequential Analysis): total = slope · stations + intercept. */
export function linesOf({ lower, upper, k, treatInVain, leaveWrongly }: Plan): Lines {
  const [perPest, perStation] =
    k === null
      ? [Math.log(upper / lower), upper - lower]
      : [Math.log((upper * (lower + k)) / (lower * (upper + k))), k * Math.log((upper + k) / (lower + k))];
  return {
    slope: perStation / perPest,
    lowerIntercept: Math.log(leaveWrongly / (1 - treatInVain)) / perPest,
    upperIntercept: Math.log((1 - leaveWrongly) / treatInVain) / perPest,
  };
}

/** What a total of so many stations says. */
function stopAt(plan: Plan, lines: Lines, stations: number, total: number): Stop {
  const middle = lines.slope * stations;
  if (stations >= plan.least) {
    if (total >= middle + lines.upperIntercept) return "treat";
    if (total <= middle + lines.lowerIntercept) return "do-not-treat";
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
 * How many more counts it takes on average, were the true mean that of the counts: the chance of every total that still
 * lies between the lines is carried from station to station. `null` where that is too much to reckon here.
 */
export function moreCounts(plan: Plan, counts: readonly number[]): number | null {
  const lines = linesOf(plan);
  const total = counts.reduce((sum, count) => sum + count, 0);
  const mean = total / counts.length;
  const top = (station: number) =>
    Math.max(0, Math.ceil(lines.slope * Math.max(station, plan.least) + lines.upperIntercept));
  const widest = Math.max(top(plan.most), total);
  const window = Math.max(top(plan.least), lines.upperIntercept - lines.lowerIntercept);
  if (!(plan.most * window * window <= MOST_STEPS) || widest > 1e6) return null;
  const one = chances(widest, mean, plan.k);
  const upTo: number[] = [];
  one.reduce((sum, chance, count) => (upTo[count] = sum + chance), 0);
  let first = total;
  let here = [1];
  let surely = 0;
  let stations = 0;
  for (let station = counts.length + 1; station <= plan.most; station += 1) {
    const end = Math.max(top(station), first + 1);
    const next = new Array<number>(end - first).fill(0);
    here.forEach((chance, index) => {
      if (chance <= 0) return;
      const room = end - first - index;
      for (let step = 0; step < room; step += 1) next[index + step]! += chance * one[step]!;
      surely += chance * Math.max(0, 1 - upTo[room - 1]!);
    });
    const steps = station - counts.length;
    if (station >= plan.least) {
      stations += surely * steps;
      surely = 0;
    }
    next.forEach((chance, index) => {
      if (stopAt(plan, lines, station, first + index) === "count-on") return;
      stations += chance * steps;
      next[index] = 0;
    });
    const kept = next.findIndex((chance) => chance !== 0);
    const ended = kept === -1 ? next.length - 1 : kept;
    here = next.slice(ended);
    first += ended;
  }
  return Math.max(1, Math.ceil(stations));
}

/** The chances of 0, 1, 2, … pests at a station. */
function chances(most: number, mean: number, k: number | null): number[] {
  if (mean === 0) return Array.from({ length: most + 1 }, (_, count) => (count === 0 ? 1 : 0));
  // By logarithms: the chance of none may be less than a number can hold.
  let log = k === null ? -mean : -k * Math.log1p(mean / k);
  const told = [Math.exp(log)];
  for (let count = 0; count < most; count += 1) {
    log +=
      k === null ? Math.log(mean / (count + 1)) : Math.log(((count + k) / (count + 1)) * (mean / (k + mean)));
    told.push(Math.exp(log));
  }
  return told;
}
