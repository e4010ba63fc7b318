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
  finding?: Finding;
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
  pest?: string;
  stage?: string;
  basis?: string;
  identified_by?: string;
  /** A list of numbers; text as long as it is none. */
  counts?: number[] | string;
  count_area?: string;
  threshold?: { count?: number | string; area?: string; source?: string };
  preventive?: boolean;
}

export interface TaskFields {
  id: string;
  method: string;
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
export type Aim = "turf" | "structures" | "features" | "entry-points" | "places" | "ground";

export function aimOf(target: Record<string, unknown>): Aim {
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
