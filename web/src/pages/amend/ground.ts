// The ground of a task: as a record has it, as a file tells it, and in words.
import type { Settings } from "../../house/settings.svelte";
import { isPosition, Plane, type Spot } from "../../map/plane";
import { amend as words } from "../../words/amend";
import { shown, UNITS } from "../../yard/units";
import type { RecordJson } from "./amended";

type Fields = Record<string, unknown>;

/** GeoJSON of all the zones of a task; nothing where it has no ground. */
export function recordedGround({ zones }: RecordJson["tasks"][number]): string {
  const coordinates = zones.flatMap(({ ground }) => ground.coordinates);
  return coordinates.length === 0 ? "" : JSON.stringify({ type: "MultiPolygon", coordinates });
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

/** A ground in words, by its area; nobody tells two grounds apart by their corners. */
export function groundSaid(text: string, units: Settings["units"]): string {
  if (text === "") return words.empty;
  const area = areaOf(groundOf(text));
  return area === null ? words.groundUnread : words.groundSaid(shown(area, UNITS.area[units]));
}

/** The area of a geometry in square metres; `null` where it has none that can be read. */
function areaOf(geometry: Fields | null): number | null {
  const { type, coordinates } = geometry ?? {};
  const polygons = (type === "Polygon" ? [coordinates] : coordinates) as unknown;
  const isRead =
    Array.isArray(polygons) &&
    polygons.length > 0 &&
    polygons.every(
      (rings) =>
        Array.isArray(rings) &&
        rings.length > 0 &&
        rings.every((ring) => Array.isArray(ring) && ring.length > 3 && ring.every(isPosition)),
    );
  if (!isRead) return null;
  const all = polygons as number[][][][];
  const plane = new Plane(all[0]![0]![0]!);
  const inRing = (ring: number[][]) => shoelace(ring.map((position) => plane.spot(position)));
  const inPolygon = ([outer, ...holes]: number[][][]) =>
    holes.reduce((sum, hole) => sum - inRing(hole), inRing(outer!));
  return all.reduce((sum, polygon) => sum + inPolygon(polygon), 0);
}

function shoelace(spots: readonly Spot[]): number {
  const twice = spots.map(([east, north], at) => {
    const [nextEast, nextNorth] = spots[(at + 1) % spots.length]!;
    return east * nextNorth - nextEast * north;
  });
  return Math.abs(twice.reduce((sum, one) => sum + one, 0)) / 2;
}
