import {
  found,
  idOf,
  newFeature,
  partsOf,
  withId,
  withParts,
  type Form,
  type MapFeature,
  type Part,
  type PropertyMap,
} from "./document";
import { distance, type Plane, type Position, type Spot } from "./plane";
import type { CornerPlace } from "./scene";

/** Corners nearer than this are one corner: the millimetre that a map can tell. */
const SAME_M = 1e-3;
/** Corners this far apart in latitude, about a centimetre, are two: that is told without projecting them. */
const APART_DEGREES = 1e-7;

/** Why an edit cannot be done; the page has words for each. */
export type Obstacle =
  | "too-few-corners"
  | "no-length"
  | "edge-too-short"
  | "no-area"
  | "hole-outside"
  | "hole-in-hole"
  | "cut-misses"
  | "cut-many"
  | "cut-hole"
  | "no-cut";

export class CannotEdit extends Error {
  constructor(readonly obstacle: Obstacle) {
    super(obstacle);
  }
}

/** The position of a corner. */
export function cornerAt(feature: MapFeature, place: CornerPlace): Position | null {
  return partsOf(feature)[place.part]?.runs[place.run]?.[place.corner] ?? null;
}

/** The corner behind another one, round the ring; none behind the last of a line. */
export function cornerAfter(feature: MapFeature, place: CornerPlace): CornerPlace | null {
  const part = partsOf(feature)[place.part];
  const count = part?.runs[place.run]?.length ?? 0;
  if (count < 2 || !part) return null;
  if (place.corner + 1 < count) return { ...place, corner: place.corner + 1 };
  return part.form === "area" ? { ...place, corner: 0 } : null;
}

function withFeature(map: PropertyMap, changed: MapFeature): PropertyMap {
  return {
    ...map,
    features: map.features.map((feature) => (feature.key === changed.key ? changed : feature)),
  };
}

function withRun(feature: MapFeature, place: CornerPlace, run: readonly Position[]): MapFeature {
  const parts = partsOf(feature).map((part, at) =>
    at === place.part
      ? { ...part, runs: part.runs.map((one, runAt) => (runAt === place.run ? run : one)) }
      : part,
  );
  return withParts(feature, parts);
}

/** Moves every corner that lies at one spot, of whatever features share it, to another. */
export function moveCorners(map: PropertyMap, plane: Plane, from: Spot, to: Spot): PropertyMap {
  if (distance(from, to) === 0) return map;
  const position = plane.position(to);
  const latitude = plane.position(from)[1]!;
  const moved = (corner: Position) =>
    Math.abs(corner[1]! - latitude) < APART_DEGREES && distance(plane.spot(corner), from) < SAME_M;
  const features = map.features.map((feature) => {
    const parts = partsOf(feature);
    if (!parts.some((part) => part.runs.some((run) => run.some(moved)))) return feature;
    return withParts(
      feature,
      parts.map((part) => ({
        ...part,
        runs: part.runs.map((run) => run.map((corner) => (moved(corner) ? position : corner))),
      })),
    );
  });
  return { ...map, features };
}

/** The features that have a corner at a spot. */
export function sharing(map: PropertyMap, plane: Plane, spot: Spot): MapFeature[] {
  const isThere = (corner: Position) => distance(plane.spot(corner), spot) < SAME_M;
  return map.features.filter((feature) =>
    partsOf(feature).some(({ runs }) => runs.some((run) => run.some(isThere))),
  );
}

/** How many other features share the corner. */
export function sharers(map: PropertyMap, plane: Plane, key: string, spot: Spot): number {
  return sharing(map, plane, spot).filter((feature) => feature.key !== key).length;
}

/** Puts a corner on the edge between two spots, in every feature that has this edge. */
function onSharedEdges(
  map: PropertyMap,
  plane: Plane,
  one: Spot,
  other: Spot,
  corner: Position,
): PropertyMap {
  const is = (position: Position, spot: Spot) => distance(plane.spot(position), spot) < SAME_M;
  const features = map.features.map((feature) => {
    let changed = false;
    const parts = partsOf(feature).map((part) => ({
      ...part,
      runs: part.runs.map((run) =>
        run.flatMap((from, at) => {
          const to = run[at + 1] ?? (part.form === "area" ? run[0]! : null);
          const fits = to && ((is(from, one) && is(to, other)) || (is(from, other) && is(to, one)));
          changed ||= fits === true;
          return fits ? [from, corner] : [from];
        }),
      ),
    }));
    return changed ? withParts(feature, parts) : feature;
  });
  return { ...map, features };
}

/** Puts a corner behind another one, here and in whatever shares the edge. */
export function insertCorner(
  map: PropertyMap,
  plane: Plane,
  key: string,
  after: CornerPlace,
  spot: Spot,
): PropertyMap {
  const here = found(map, key)?.feature;
  const from = here && cornerAt(here, after);
  if (!here || !from) return map;
  const next = cornerAfter(here, after);
  const to = next && cornerAt(here, next);
  const corner = plane.position(spot);
  if (to) {
    const [one, other] = [plane.spot(from), plane.spot(to)];
    // Halves that a map cannot tell apart would be taken for one another.
    if (distance(one, other) < 10 * SAME_M) throw new CannotEdit("edge-too-short");
    return onSharedEdges(map, plane, one, other, corner);
  }
  const run = partsOf(here)[after.part]!.runs[after.run]!;
  return withFeature(map, withRun(here, after, [...run, corner]));
}

/** Takes a corner away; a hole goes with its last but two. */
export function removeCorner(map: PropertyMap, key: string, place: CornerPlace): PropertyMap {
  const here = found(map, key)?.feature;
  const part = here && partsOf(here)[place.part];
  const run = part?.runs[place.run];
  if (!here || !part || !run) return map;
  const least = { area: 3, line: 2, point: 1 }[part.form];
  if (run.length > least) {
    return withFeature(
      map,
      withRun(
        here,
        place,
        run.filter((_, at) => at !== place.corner),
      ),
    );
  }
  if (part.form === "area" && place.run > 0) return removeHole(map, key, place);
  if (partsOf(here).length > 1) {
    return withFeature(
      map,
      withParts(
        here,
        partsOf(here).filter((_, at) => at !== place.part),
      ),
    );
  }
  throw new CannotEdit("too-few-corners");
}

/** Fills a hole. */
export function removeHole(map: PropertyMap, key: string, place: Omit<CornerPlace, "corner">): PropertyMap {
  const here = found(map, key)?.feature;
  if (!here || place.run === 0) return map;
  const parts = partsOf(here).map((part, at) =>
    at === place.part ? { ...part, runs: part.runs.filter((_, runAt) => runAt !== place.run) } : part,
  );
  return withFeature(map, withParts(here, parts));
}

/** Gives the edge behind a corner a length, by moving the next corner along it and all that shares that corner. */
export function setEdge(
  map: PropertyMap,
  plane: Plane,
  key: string,
  place: CornerPlace,
  lengthM: number,
): PropertyMap {
  const here = found(map, key)?.feature;
  const from = here && cornerAt(here, place);
  const next = here && cornerAfter(here, place);
  const to = here && next && cornerAt(here, next);
  if (!from || !to) return map;
  const [one, other] = [plane.spot(from), plane.spot(to)];
  const was = distance(one, other);
  if (was < SAME_M) throw new CannotEdit("no-length");
  const along = (axis: 0 | 1) => one[axis] + ((other[axis] - one[axis]) * lengthM) / was;
  return moveCorners(map, plane, other, [along(0), along(1)]);
}

/** Moves a whole feature; its neighbours stay. */
export function moveFeature(map: PropertyMap, plane: Plane, key: string, by: Spot): PropertyMap {
  const here = found(map, key)?.feature;
  if (!here || (by[0] === 0 && by[1] === 0)) return map;
  const moved = (position: Position) => {
    const [east, north] = plane.spot(position);
    return plane.position([east + by[0], north + by[1]]);
  };
  const parts = partsOf(here).map((part) => ({ ...part, runs: part.runs.map((run) => run.map(moved)) }));
  return withFeature(map, withParts(here, parts));
}

/** A word that no feature of the map has as its id: the one wanted, else with a number. */
export function freeId(map: PropertyMap, wanted: string): string {
  const taken = new Set(map.features.map((feature, at) => idOf(feature, at + 1)));
  if (!taken.has(wanted)) return wanted;
  let number = 2;
  while (taken.has(`${wanted}-${number}`)) number += 1;
  return `${wanted}-${number}`;
}

/** Adds a feature of one part; its key comes back with the map. */
export function addFeature(
  map: PropertyMap,
  plane: Plane,
  kind: string,
  form: Form,
  spots: readonly Spot[],
): { map: PropertyMap; key: string } {
  const least = { area: 3, line: 2, point: 1 }[form];
  if (spots.length < least) throw new CannotEdit("too-few-corners");
  const part: Part = { form, runs: [spots.map((spot) => plane.position(spot))] };
  const feature = withParts(
    newFeature({ type: "Feature", id: freeId(map, kind), properties: { kind }, geometry: null }),
    [part],
  );
  return { map: { ...map, features: [...map.features, feature] }, key: feature.key };
}

export function removeFeature(map: PropertyMap, key: string): PropertyMap {
  return { ...map, features: map.features.filter((feature) => feature.key !== key) };
}

/** The feature as it is changed by a hand: its id, its properties. */
export function changeFeature(
  map: PropertyMap,
  key: string,
  change: (feature: MapFeature) => MapFeature,
): PropertyMap {
  const here = found(map, key)?.feature;
  return here ? withFeature(map, change(here)) : map;
}

/** Cuts a hole into an area. */
export function cutHole(map: PropertyMap, plane: Plane, key: string, hole: readonly Spot[]): PropertyMap {
  const here = found(map, key)?.feature;
  if (!here) return map;
  if (hole.length < 3) throw new CannotEdit("too-few-corners");
  const parts = partsOf(here);
  const spots = parts.map((part) => part.runs.map((run) => run.map((position) => plane.spot(position))));
  const at = parts.findIndex(
    (part, index) => part.form === "area" && hole.every((spot) => isInside(spot, spots[index]![0]!)),
  );
  if (at < 0) throw new CannotEdit("hole-outside");
  const touches = spots[at]!.slice(1).some(
    (other) => hole.some((spot) => isInside(spot, other)) || other.some((spot) => isInside(spot, hole)),
  );
  if (touches) throw new CannotEdit("hole-in-hole");
  const run = hole.map((spot) => plane.position(spot));
  const cut = parts.map((part, index) => (index === at ? { ...part, runs: [...part.runs, run] } : part));
  return withFeature(map, withParts(here, cut));
}

/** Whether a spot lies inside a ring (even-odd rule), or on it within a millimetre. */
export function isInside(spot: Spot, ring: readonly Spot[]): boolean {
  let inside = false;
  for (let at = 0; at < ring.length; at += 1) {
    const [one, other] = [ring[at]!, ring[(at + 1) % ring.length]!];
    if (gap(spot, one, other).away < SAME_M) return true;
    if (one[1] > spot[1] !== other[1] > spot[1]) {
      const east = one[0] + ((spot[1] - one[1]) / (other[1] - one[1])) * (other[0] - one[0]);
      if (spot[0] < east) inside = !inside;
    }
  }
  return inside;
}

/** How far a spot lies from an edge, and where on the edge, from 0 to 1, that is. */
export function gap(spot: Spot, one: Spot, other: Spot): { away: number; share: number; foot: Spot } {
  const [dx, dy] = [other[0] - one[0], other[1] - one[1]];
  const square = dx * dx + dy * dy;
  const raw = square === 0 ? 0 : ((spot[0] - one[0]) * dx + (spot[1] - one[1]) * dy) / square;
  const share = Math.min(1, Math.max(0, raw));
  const foot: Spot = [one[0] + share * dx, one[1] + share * dy];
  return { away: distance(spot, foot), share, foot };
}

/** An upright rectangle from its south-west corner. */
export function rectangle([east, north]: Spot, width: number, depth: number): Spot[] {
  return [
    [east, north],
    [east + width, north],
    [east + width, north + depth],
    [east, north + depth],
  ];
}

export { onSharedEdges as putOnSharedEdges, withFeature as replaceFeature, withId };
