/** The fields of a visit request, as `docs/visit-request.md` says. What the page does not show is kept as it is. */
export interface VisitFields {
  format: "tussock.visit-request/1";
  name: string;
  date: string;
  state?: string;
  property: unknown;
  labels: unknown[];
  equipment: unknown;
  forecast?: unknown;
  history: unknown;
  applicator?: Applicator;
  /** One, or several that each have a name of their own. */
  finding?: Finding | Finding[];
  task: TaskFields[];
  setbacks?: Record<string, string>;
  feature?: Record<string, Record<string, unknown>>;
  [other: string]: unknown;
}

export interface Applicator {
  name?: string;
  certification?: string;
  certified?: boolean;
}

export interface Finding {
  /** Its name, by which tasks say that they rest on it; needed where there are several. */
  id?: string;
  pest?: string;
  /** Its profile, by id. */
  profile?: string;
  stage?: string;
  basis?: string;
  identified_by?: string;
  /** A kept survey that has the counts, by name. */
  survey?: string;
  /** A list of numbers; text as long as it is none. */
  counts?: number[] | string;
  count_area?: string;
  /** How it was sampled; `mounds` where live mounds were counted. */
  method?: string;
  /** Left out, the survey's, else the profile's only one. */
  threshold?: FindingThreshold;
  preventive?: boolean;
}

export interface FindingThreshold {
  count?: number | string;
  area?: string;
  /** What it counts; what was counted where nothing is said. */
  of?: "animals" | "mounds";
  stage?: string;
  place?: string;
  source?: string;
}

/** All that was found, whether the request has one finding, several, or none. */
export function findingsOf(fields: Pick<VisitFields, "finding">): Finding[] {
  const { finding } = fields;
  if (finding === undefined || finding === null) return [];
  return Array.isArray(finding) ? finding : [finding];
}

/** Findings as a request has them: one stands alone, several each under a name of their own. */
export function findingFrom(findings: readonly Finding[]): Finding | Finding[] | undefined {
  if (findings.length <= 1) return findings[0];
  const taken = new Set(findings.map(({ id }) => id).filter((id) => id));
  return findings.map((finding) => {
    if (finding.id) return finding;
    const wanted = finding.pest?.trim() || "finding";
    let id = wanted;
    for (let number = 2; taken.has(id); number += 1) id = `${wanted} ${number}`;
    taken.add(id);
    return { ...finding, id };
  });
}

export interface TaskFields {
  id: string;
  method: string;
  /** The finding that justifies it, by name. */
  finding?: string;
  pest?: string;
  label: string;
  rate: string;
  partner?: Partner[];
  equipment: string;
  calibration?: string;
  spray?: string;
  target: Record<string, unknown>;
  overlap?: string;
  [other: string]: unknown;
}

export interface Partner {
  label: string;
  rate: string;
  pest?: string;
}

export const METHODS = [
  "broadcast",
  "perimeter",
  "foliar",
  "spot",
  "crack-and-crevice",
  "drench",
  "granular-broadcast",
  "bait-broadcast",
  "mound",
  "bait-station",
  "injection",
] as const;

export const SITES = [
  "turf",
  "ornamental",
  "food-crop",
  "structure-perimeter",
  "entry-point",
  "bare-soil",
  "impervious",
  "tree",
] as const;

export const SETBACKS = [
  "water",
  "drain",
  "well",
  "hive",
  "food-plants",
  "blooming-plants",
  "property-line",
  "play-area",
] as const;

/** How a target says where. */
export type Aim = "turf" | "hot-spots" | "structures" | "features" | "entry-points" | "places" | "ground";

export function aimOf(target: Record<string, unknown>): Aim {
  if ("hot_spots" in target) return "hot-spots";
  if ("structures" in target) return "structures";
  if ("features" in target) return "features";
  if ("entry_points" in target) return "entry-points";
  if ("places" in target) return "places";
  return "ground" in target ? "ground" : "turf";
}

/** A target of another aim, with what must be said of it. */
export function aimedAt(aim: Aim): Record<string, unknown> {
  switch (aim) {
    case "turf":
      return { site: "turf" };
    case "hot-spots":
      return { hot_spots: "turf" };
    case "structures":
      return { structures: "all", band_width: "", wall_height: "" };
    case "features":
      return { features: [] };
    case "entry-points":
      return { entry_points: "all", width: "" };
    case "places":
      return { places: "" };
    case "ground":
      return { ground: "" };
  }
}

/** The aim that goes with a way to apply, for a task that was not aimed by hand. */
export function usualAim(method: string): Aim {
  if (method === "perimeter") return "structures";
  if (method === "foliar" || method === "drench" || method === "injection") return "features";
  if (method === "crack-and-crevice") return "entry-points";
  return method === "mound" || method === "bait-station" ? "places" : "turf";
}

/** Numbers out of `2, 1 3`; the text itself where it holds anything else, so that the server says what is wrong. */
export function numbersOf(text: string): number[] | string {
  const parts = text.split(/[\s,;]+/).filter((part) => part !== "");
  const numbers = parts.map(Number);
  return numbers.every(Number.isFinite) ? numbers : text;
}

/** A name that no task has. */
export function freshTask(tasks: readonly TaskFields[], wanted: string): string {
  const taken = new Set(tasks.map((task) => task.id));
  let name = wanted;
  for (let number = 2; taken.has(name); number += 1) name = `${wanted}-${number}`;
  return name;
}
