import type { Position } from "./plane";
import { isPosition } from "./plane";

/** What a feature is drawn as. */
export type Form = "area" | "line" | "point";

/**
 * A polygon, a line or a point of a feature: runs of corners in walking order. An area has its outline first and
 * its holes behind; the closing position of a ring is left out.
 */
export interface Part {
  readonly form: Form;
  readonly runs: readonly (readonly Position[])[];
}

/** A feature as the map writes it, with all that nobody reads. `key` is its own while the page is open. */
export interface MapFeature {
  readonly key: string;
  readonly json: Readonly<Record<string, unknown>>;
}

/** The map of a property: GeoJSON as `docs/map.md` says. Nothing in it changes; an edit makes another map. */
export interface PropertyMap {
  /** What stands beside the features. */
  readonly members: Readonly<Record<string, unknown>>;
  readonly features: readonly MapFeature[];
}

export const EMPTY_MAP: PropertyMap = { members: {}, features: [] };

let keys = 0;

/** A feature with a key of its own. */
export function newFeature(json: Record<string, unknown>): MapFeature {
  keys += 1;
  return { key: `shape-${keys}`, json };
}

/** The text is no GeoJSON that features can be read from; the server says what is wrong with it. */
export class NoMap extends Error {}

/** Reads a map; features that cannot be drawn are kept as they are. */
export function readMap(text: string): PropertyMap {
  let root: unknown;
  try {
    root = JSON.parse(text.replace(/^\ufeff/, ""));
  } catch (cause) {
    throw new NoMap("no JSON", { cause });
  }
  if (!isObject(root)) throw new NoMap("no object");
  if (root.type === "Feature") return { members: {}, features: [newFeature(root)] };
  const { features, type, ...members } = root;
  if (type !== "FeatureCollection" || !Array.isArray(features)) throw new NoMap("no collection");
  if (!features.every(isObject)) throw new NoMap("a feature is no object");
  return { members, features: features.map((feature) => newFeature(feature)) };
}

const written = new WeakMap<object, string>();

/** A feature as one line; what was not changed is not written anew. */
function lineOf({ json }: MapFeature): string {
  const known = written.get(json);
  if (known !== undefined) return known;
  const line = `  ${JSON.stringify(json)}`;
  written.set(json, line);
  return line;
}

/** The map as text, a line for each feature, so that a line named by a problem is a feature. */
export function writeMap(map: PropertyMap): string {
  const members = Object.entries(map.members).map(
    ([name, value]) => ` ${JSON.stringify(name)}: ${JSON.stringify(value)},\n`,
  );
  const features = map.features.map(lineOf).join(",\n");
  return `{\n "type": "FeatureCollection",\n${members.join("")} "features": [\n${features}\n ]\n}\n`;
}

export function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** The properties of a feature; none where they cannot be read. */
export function propertiesOf(feature: MapFeature): Readonly<Record<string, unknown>> {
  return isObject(feature.json.properties) ? feature.json.properties : {};
}

/** A property as text, where it is one that says something. */
export function textOf(feature: MapFeature, name: string): string {
  const value = propertiesOf(feature)[name];
  return typeof value === "string" || typeof value === "number" ? String(value).trim() : "";
}

/** The word by which visits name a feature; by its number on the map, from 1, where it says none. */
export function idOf(feature: MapFeature, number: number): string {
  const beside = feature.json.id;
  const id = typeof beside === "string" || typeof beside === "number" ? String(beside).trim() : "";
  return id || textOf(feature, "id") || `feature-${number}`;
}

const kinds = new WeakMap<object, string>();

/** `Bare soil`, `bare_soil` and `BARE-SOIL` are the same word. */
export function kindOf(feature: MapFeature): string {
  const known = kinds.get(feature.json);
  if (known !== undefined) return known;
  const kind = textOf(feature, "kind")
    .toLowerCase()
    .split(/[\s_-]+/)
    .filter((part) => part !== "")
    .join("-");
  kinds.set(feature.json, kind);
  return kind;
}

/** What people call it: its name, else its id. */
export function calledOf(feature: MapFeature, number: number): string {
  return textOf(feature, "name") || idOf(feature, number);
}

/** The feature with some properties changed; `undefined` takes one away. */
export function withProperties(feature: MapFeature, changed: Record<string, unknown>): MapFeature {
  const properties = { ...propertiesOf(feature), ...changed };
  for (const [name, value] of Object.entries(changed)) if (value === undefined) delete properties[name];
  return { ...feature, json: { ...feature.json, properties } };
}

/** The feature with another id, where it stood before. */
export function withId(feature: MapFeature, id: string): MapFeature {
  if (feature.json.id === undefined && textOf(feature, "id") !== "") return withProperties(feature, { id });
  const { id: _, type, ...rest } = feature.json;
  return { ...feature, json: { type: type ?? "Feature", id, ...rest } };
}

/** The feature with other parts. */
export function withParts(feature: MapFeature, parts: readonly Part[]): MapFeature {
  return { ...feature, json: { ...feature.json, geometry: geometryOf(parts) } };
}

const FORMS: Record<string, { form: Form; many: boolean }> = {
  Point: { form: "point", many: false },
  MultiPoint: { form: "point", many: true },
  LineString: { form: "line", many: false },
  MultiLineString: { form: "line", many: true },
  Polygon: { form: "area", many: false },
  MultiPolygon: { form: "area", many: true },
};

const read = new WeakMap<object, readonly Part[]>();

/** The parts of a feature; none where its shape cannot be drawn. */
export function partsOf(feature: MapFeature): readonly Part[] {
  const geometry = feature.json.geometry;
  if (!isObject(geometry)) return [];
  const known = read.get(geometry);
  if (known) return known;
  const parts = readParts(geometry);
  read.set(geometry, parts);
  return parts;
}

function readParts(geometry: Record<string, unknown>): readonly Part[] {
  const found = FORMS[String(geometry.type)];
  if (!found) return [];
  const { form, many } = found;
  const all = many ? geometry.coordinates : [geometry.coordinates];
  if (!Array.isArray(all)) return [];
  const parts: Part[] = [];
  for (const one of all as unknown[]) {
    const runs = form === "area" ? one : form === "line" ? [one] : [[one]];
    if (!Array.isArray(runs) || runs.length === 0) return [];
    const opened: Position[][] = [];
    for (const run of runs as unknown[]) {
      if (!Array.isArray(run) || run.length === 0 || !run.every(isPosition)) return [];
      const corners = run as Position[];
      const [first, last] = [corners[0]!, corners[corners.length - 1]!];
      const closes = form === "area" && corners.length > 1 && first[0] === last[0] && first[1] === last[1];
      opened.push(closes ? corners.slice(0, -1) : corners);
    }
    parts.push({ form, runs: opened });
  }
  return parts;
}

/** Parts of one form as GeoJSON writes them. */
export function geometryOf(parts: readonly Part[]): Record<string, unknown> | null {
  const form = parts[0]?.form;
  if (!form) return null;
  const written = parts.map((part) => {
    if (form === "point") return part.runs[0]![0]!;
    if (form === "line") return part.runs[0]!;
    return part.runs.map((run) => [...run, run[0]!]);
  });
  const name = { point: "Point", line: "LineString", area: "Polygon" }[form];
  return written.length === 1
    ? { type: name, coordinates: written[0] }
    : { type: `Multi${name}`, coordinates: written };
}

/** What a feature is drawn as, where it is drawn. */
export function formOf(feature: MapFeature): Form | null {
  return partsOf(feature)[0]?.form ?? null;
}

/** Every position of a map that can be drawn. */
export function positionsOf(map: PropertyMap): Position[] {
  return map.features.flatMap((feature) => partsOf(feature).flatMap((part) => part.runs.flat()));
}

/** The south-west corner of the upright rectangle round the boundary, else round everything; null when empty. */
export function cornerOf(map: PropertyMap): Position | null {
  const boundary = map.features.filter((feature) => kindOf(feature) === "boundary");
  const near = positionsOf({ ...map, features: boundary });
  const all = near.length > 0 ? near : positionsOf(map);
  if (all.length === 0) return null;
  const least = (axis: 0 | 1) => all.reduce((low, position) => Math.min(low, position[axis]!), Infinity);
  return [least(0), least(1)];
}

/** The feature of a key, and its number on the map from 1. */
export function found(map: PropertyMap, key: string | null): { feature: MapFeature; number: number } | null {
  const index = map.features.findIndex((feature) => feature.key === key);
  return index < 0 ? null : { feature: map.features[index]!, number: index + 1 };
}
