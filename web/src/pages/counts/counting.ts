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
    area: usualArea("frame", units),
    by,
    day,
    note: "",
    stations: [],
    ...next,
  };
}

/**
 * What one count is made on where a method is chosen anew, in the units of who counts: a frame's ground is not that of a
 * lawn, nor of a trap. Round figures near each other in both (common practice, no source).
 */
const USUAL_AREA: Record<Units, Partial<Record<Method, string>> & { frame: string }> = {
  us: { frame: "1 sq ft", trap: "1 trap night", drag: "100 ft of drag", mounds: "" },
  metric: { frame: "0.1 m²", trap: "1 trap night", drag: "30 m of drag", mounds: "" },
};

const usualArea = (method: Method, units: Units): string =>
  USUAL_AREA[units][method] ?? USUAL_AREA[units].frame;

/** A method that was chosen, with what one count of it is made on. */
export function withMethod(
  counting: Counting,
  method: Method,
  units: Units = "us",
): Pick<Counting, "method" | "area"> {
  const isUntouched = Object.values(USUAL_AREA).some((areas) =>
    Object.values(areas).includes(counting.area.trim()),
  );
  return { method, area: isUntouched ? usualArea(method, units) : counting.area };
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
