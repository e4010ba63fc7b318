// What the map of a complaint shows: the place, what was treated, and where the wind came from.
import { newFeature, type MapFeature } from "../../map/document";
import type { Plane, Position } from "../../map/plane";

const DEGREE = Math.PI / 180;
/** Degrees between two corners of the arc. */
const STEP = 5;

/** The ground upwind of a place: `angle` to each side of where the wind came from, as far as `reach`, in metres. */
export function sectorRing(
  plane: Plane,
  at: Position,
  from: number,
  angle: number,
  reach: number,
): Position[] {
  const [east, north] = plane.spot(at);
  const arc: Position[] = [];
  for (let turn = -angle; turn <= angle + 1e-9; turn += STEP) {
    const bearing = (from + turn) * DEGREE;
    arc.push(plane.position([east + reach * Math.sin(bearing), north + reach * Math.cos(bearing)]));
  }
  return [at, ...arc, at];
}

export const placeFeature = (at: Position): MapFeature =>
  newFeature({
    type: "Feature",
    properties: { kind: "complaint" },
    geometry: { type: "Point", coordinates: [...at] },
  });

export const sectorFeature = (ring: readonly Position[]): MapFeature =>
  newFeature({
    type: "Feature",
    properties: { kind: "upwind" },
    geometry: { type: "Polygon", coordinates: [ring.map((position) => [...position])] },
  });

export const treatedFeature = (geometry: unknown): MapFeature =>
  newFeature({ type: "Feature", properties: { kind: "treated" }, geometry });
