// Where the pests are, as the server reckons it, and how the map draws it.
import { newFeature, type MapFeature } from "../../map/document";
import type { Plane, Spot } from "../../map/plane";
import type { Label } from "../../map/scene";
import type { components } from "../../service/api";

export type HotSpots = components["schemas"]["HotSpotsJson"];

/** Places that a surface needs, as the server says. */
export const LEAST_PLACES = 8;

/** From these chances on a square is drawn as where the threshold may be reached, and as where it likely is. */
const POSSIBLE_FROM = 0.1;
const LIKELY_FROM = 0.5;

/** The surface in two strengths, the ground to treat and the next places, for the map. */
export function featuresOf(spots: HotSpots, plane: Plane): MapFeature[] {
  const drawn = (kind: string, type: string, coordinates: unknown, more: object = {}) =>
    newFeature({ type: "Feature", properties: { kind, ...more }, geometry: { type, coordinates } } as never);
  const ofStrength = (kind: string, from: number, below: number) => {
    const squares = (spots.surface?.squares ?? []).filter(({ chance }) => chance >= from && chance < below);
    const runs = runsOf(squares, spots.surface?.square_m ?? 0, plane);
    return runs.length === 0 ? [] : [drawn(kind, "MultiPolygon", runs)];
  };
  return [
    ...ofStrength("possible", POSSIBLE_FROM, LIKELY_FROM),
    ...ofStrength("likely", LIKELY_FROM, Infinity),
    ...(spots.polygons.length === 0 ? [] : [drawn("hot-spot", "MultiPolygon", spots.polygons)]),
    ...spots.next_places.map((place, index) =>
      drawn("next-count", "Point", place, { label: String(index + 1) }),
    ),
  ];
}

/** The numbers of the next places, on their signs. */
export function labelsOf(spots: HotSpots, plane: Plane): Label[] {
  return spots.next_places.map(([longitude, latitude], index) => {
    const [east, north] = plane.spot([longitude!, latitude!]);
    return { at: [east, north] as const, text: String(index + 1), rank: 1_000 - index };
  });
}

/** Squares side by side as one ground, row by row: fewer pieces are drawn. */
function runsOf(squares: readonly { middle: number[] }[], edge: number, plane: Plane): number[][][][] {
  const middles = squares
    .map(({ middle }) => plane.spot([middle[0]!, middle[1]!]))
    .sort(([oneEast, oneNorth], [east, north]) =>
      Math.abs(oneNorth - north) > edge / 2 ? oneNorth - north : oneEast - east,
    );
  const runs: { from: Spot; to: Spot }[] = [];
  for (const middle of middles) {
    const last = runs.at(-1);
    const isBeside =
      last !== undefined &&
      Math.abs(last.to[1] - middle[1]) < edge / 2 &&
      middle[0] - last.to[0] < edge * 1.5;
    if (isBeside) last.to = middle;
    else runs.push({ from: middle, to: middle });
  }
  const half = edge / 2;
  return runs.map(({ from: [west, south], to: [east] }) => {
    const ring: Spot[] = [
      [west - half, south - half],
      [east + half, south - half],
      [east + half, south + half],
      [west - half, south + half],
    ];
    return [[...ring, ring[0]!].map((spot) => [...plane.position(spot)])];
  });
}
