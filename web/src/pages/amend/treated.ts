// What of a task can be put right beside its tanks: its ground, its wall, its places, its sprayer.
import type { Settings } from "../../house/settings.svelte";
import { amend as words } from "../../words/amend";
import { UNITS, written } from "../../yard/units";
import { idOf } from "../as-applied/as-applied";
import type { Wrong } from "../as-applied/reading";
import type { RecordJson } from "./amended";

type Fields = Record<string, unknown>;
type Units = Settings["units"];

/** What the form shows of it. */
export interface Treated {
  /** GeoJSON of the ground that was treated in fact; nothing where the record's holds. */
  ground: string;
  wall: string;
  places: string;
  equipment: string;
}

export function treatedOf(task: RecordJson["tasks"][number], units: Units): Treated {
  const { wall_m2, places, equipment } = task;
  return {
    ground: "",
    wall: wall_m2 === 0 ? "" : String(Number((wall_m2 / UNITS.area[units].per).toPrecision(6))),
    places: typeof places === "object" ? String(places.recorded) : "",
    equipment: typeof equipment === "object" ? equipment.recorded : "",
  };
}

/** The geometry of a text of GeoJSON: of an area, of a feature, or of the only feature of a collection. */
export function groundOf(text: string): Fields | null {
  let read: unknown;
  try {
    read = JSON.parse(text);
  } catch {
    return null;
  }
  const { features } = (read ?? {}) as { features?: unknown };
  const one = Array.isArray(features) ? (features.length === 1 ? (features[0] as unknown) : null) : read;
  const geometry = ((one ?? {}) as { geometry?: unknown }).geometry ?? one;
  const { type } = (geometry ?? {}) as { type?: unknown };
  return type === "Polygon" || type === "MultiPolygon" ? (geometry as Fields) : null;
}

/** What of a task is told otherwise, as fields of an as-applied file; and what is wrong with it. */
export function treatedAnew(
  before: Treated,
  after: Treated,
  at: number,
  task: string,
  units: Units,
): { fields: Fields; wrong: Wrong[] } {
  const fields: Fields = {};
  const wrong: Wrong[] = [];
  const id = idOf(at);
  const fault = (name: keyof Treated, expected: string) =>
    wrong.push({
      id: `${id}-${name}`,
      name: `${task}, ${words.treated[name]}`,
      // A file of ground is not told back whole.
      found: name === "ground" ? words.aText : after[name].trim(),
      expected,
    });
  const isOther = (name: keyof Treated) => after[name].trim() !== before[name].trim();
  const isGone = (name: keyof Treated) => {
    if (after[name].trim() !== "") return false;
    wrong.push({
      id: `${id}-${name}`,
      name: `${task}, ${words.treated[name]}`,
      found: "",
      expected: words.expects.said(before[name]),
    });
    return true;
  };
  if (after.ground.trim() !== "") {
    const ground = groundOf(after.ground);
    if (ground === null) fault("ground", words.expects.ground);
    else fields.ground = ground;
  }
  if (isOther("wall") && !isGone("wall")) {
    const wall = written(after.wall);
    if (wall === null || !(wall >= 0)) fault("wall", words.expects.area);
    else fields.wall = `${wall} ${UNITS.area[units].word}`;
  }
  if (isOther("places") && !isGone("places")) {
    const places = written(after.places);
    if (places === null || !Number.isInteger(places) || places < 0) fault("places", words.expects.places);
    else fields.places = places;
  }
  if (isOther("equipment") && !isGone("equipment")) fields.equipment = after.equipment.trim();
  return { fields, wrong };
}
