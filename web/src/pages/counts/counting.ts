// What is written down while counting, and the survey that the books keep of it.

import type { Units } from "../../parts/quantity";
import { areaM2 } from "../../stop-lines/area";
import { basisOf } from "../../stop-lines/basis";
import { countedBy, noThreshold, thresholdTold, usualAim, type StatedAim, type Threshold } from "./deciding";

export interface Spot {
  longitude: number;
  latitude: number;
  accuracyM: number | null;
}

export interface Station {
  count: number;
  isCheck: boolean;
  spot: Spot | null;
}

export type Method = "frame" | "float can" | "soap flush" | "sod cut" | "trap" | "drag" | "mounds";

export interface Counting {
  pest: string;
  /** The profile of the pest; nothing where none is chosen. */
  profile: string;
  /** What the counts are held against. */
  threshold: Threshold;
  /** How sure it is to be, and how many counts at least and at most. */
  aim: StatedAim;
  stage: string;
  method: Method;
  area: string;
  by: string;
  day: string;
  note: string;
  stations: Station[];
  /** The station that is being counted. */
  count: number;
  isCheck: boolean;
  spot: Spot | null;
}

export function emptyCounting(by: string, day: string, units: Units = "us"): Counting {
  const next = { count: 0, isCheck: false, spot: null };
  const what = { pest: "", profile: "", threshold: noThreshold, aim: { ...usualAim }, stage: "" };
  return {
    ...what,
    method: "frame",
    area: USUAL_AREA[units].frame,
    by,
    day,
    note: "",
    stations: [],
    ...next,
  };
}

/** Cans, flushes and flaps of sod are of any size; mounds are counted on a lawn. */
const OF_ANY_SIZE = { "float can": "", "soap flush": "", "sod cut": "", mounds: "", trap: "1 trap night" };

/**
 * What one count is made on where a method is chosen anew, in the units of who counts: round figures near each other in both
 * (common practice, no source). What is of any size is asked for, since the ground of a frame would make other densities of
 * the same counts.
 */
export const USUAL_AREA: Record<Units, Record<Method, string>> = {
  us: { ...OF_ANY_SIZE, frame: "1 sq ft", drag: "100 ft of drag" },
  metric: { ...OF_ANY_SIZE, frame: "0.1 m²", drag: "30 m of drag" },
};

/** Inches across within which a round sampler is one; the server's own bounds. */
const RING_INCHES = [3, 12] as const;

/** The ground inside a can or ring of so many inches across, as an area is written; nothing where it is no such sampler. */
export function ringArea(inches: string): string {
  const across = Number(inches.trim() === "" ? Number.NaN : inches.trim().replace(",", "."));
  const [least, most] = RING_INCHES;
  return across >= least && across <= most ? `${((Math.PI / 4) * across ** 2).toFixed(2)} sq in` : "";
}

/** A method that was chosen, with what one count of it is made on. */
export function withMethod(
  counting: Counting,
  method: Method,
  units: Units = "us",
): Pick<Counting, "method" | "area"> {
  const isUntouched = Object.values(USUAL_AREA).some((areas) =>
    Object.values(areas).includes(counting.area.trim()),
  );
  return { method, area: isUntouched ? USUAL_AREA[units][method] : counting.area };
}

/** Whether a count or a place stands on the counter that is not kept as a station. */
export const isUnkept = ({ count, spot }: Pick<Counting, "count" | "spot">): boolean =>
  spot !== null || ![0, null, undefined].includes(count);

/** Whether what stands on the counter can be kept. */
export const isCount = (count: unknown): count is number => Number.isInteger(count) && (count as number) >= 0;

/** The mean of the stations on ground to be judged, in two decimals. */
export function meanOf(stations: readonly Station[]): string {
  const judged = stations.filter((station) => !station.isCheck);
  const sum = judged.reduce((total, station) => total + station.count, 0);
  return judged.length === 0 ? "nothing" : (sum / judged.length).toFixed(2);
}

/** The document of the survey, or what is missing for it. */
export function surveyOf(property: string, counting: Counting) {
  const text = (written: string) => (written.trim() === "" ? null : written.trim());
  const [pest, area] = [text(counting.pest), text(counting.area)];
  const missing: ("pest" | "area" | "stations")[] = [];
  if (pest === null) missing.push("pest");
  if (area === null) missing.push("area");
  if (counting.stations.length === 0) missing.push("stations");
  if (missing.length > 0) return { survey: null, missing };
  const isElse = areaM2(area!) === null && basisOf(area!) !== null;
  const survey = {
    format: "tussock.kept-survey/1",
    property,
    date: counting.day,
    pest,
    profile: text(counting.profile),
    stage: text(counting.stage),
    method: counting.method,
    // What is no area is told as what else one count was made on.
    // Ground without a number is one of it; the books want the number.
    count_area: isElse ? null : /^[\d.]/.test(area!) || areaM2(area!) === null ? area : `1 ${area!}`,
    count_per: isElse ? area : null,
    stations: counting.stations.map(({ count, isCheck, spot }) => ({
      count,
      is_check: isCheck,
      position: spot === null ? null : { longitude: spot.longitude, latitude: spot.latitude },
    })),
    by: text(counting.by) ?? "",
    note: text(counting.note),
    // What was chosen on the spot is read again with the counts; what counts mounds is no threshold of animals.
    threshold: isOfWhatIsCounted(counting) ? thresholdTold(counting.threshold, counting.method) : null,
  };
  return { survey, missing };
}

function isOfWhatIsCounted({ threshold, method }: Counting): boolean {
  return (countedBy(threshold, method) === "mounds") === (method === "mounds");
}
