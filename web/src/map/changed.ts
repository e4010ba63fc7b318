import { createEmpty, extend, extendFlatCoordinates, type Extent } from "ol/extent";
import type Geometry from "ol/geom/Geometry";
import MultiPolygon from "ol/geom/MultiPolygon";
import Polygon from "ol/geom/Polygon";

/** Corners nearer than this are one: nobody can see it at any scale of the map. */
const SAME_M = 1e-4;

/** A ring as the library holds it: east, north, east, north, closed. */
type Ring = readonly number[];

/**
 * Where an area that became another is not drawn as it was. Rings that both have drop out, and of those that changed the
 * part that both have; with `wholeRings` those count whole, since dashes run on behind a change.
 */
export function changedExtent(was: Geometry, is: Geometry, wholeRings: boolean): Extent {
  const extent = createEmpty();
  const [before, left] = [ringsOf(was), ringsOf(is)];
  if (before === null || left === null) return extend(extend(extent, was.getExtent()), is.getExtent());
  const gone = before.filter((ring) => {
    const same = left.findIndex(
      (other) => shared(ring, other) === ring.length && ring.length === other.length,
    );
    if (same >= 0) left.splice(same, 1);
    return same < 0;
  });
  const paired = !wholeRings && gone.length === left.length;
  gone.forEach((ring, at) => {
    const other = left[at];
    const head = paired && other ? shared(ring, other) : 0;
    const tail = paired && other ? sharedAtEnd(ring, other, head) : 0;
    // The corners on both sides of the change belong to edges that changed.
    for (const one of other && paired ? [ring, other] : [ring]) {
      extendFlatCoordinates(
        extent,
        one as number[],
        Math.max(0, head - 2),
        Math.min(one.length, one.length - tail + 2),
        2,
      );
    }
  });
  if (!paired) left.forEach((ring) => extendFlatCoordinates(extent, ring as number[], 0, ring.length, 2));
  return extent;
}

function ringsOf(shape: Geometry): Ring[] | null {
  if (!(shape instanceof Polygon || shape instanceof MultiPolygon)) return null;
  const flat = shape.getFlatCoordinates();
  const ends = shape instanceof Polygon ? shape.getEnds() : shape.getEndss().flat();
  return ends.map((end, at) => flat.slice(at === 0 ? 0 : ends[at - 1], end));
}

/** How many numbers two rings have alike from their beginning; whole corners. */
function shared(one: Ring, other: Ring): number {
  const most = Math.min(one.length, other.length);
  let at = 0;
  while (at < most && Math.abs(one[at]! - other[at]!) < SAME_M) at += 1;
  return at - (at % 2);
}

/** How many they have alike from their end, of what is not alike from the beginning. */
function sharedAtEnd(one: Ring, other: Ring, head: number): number {
  const most = Math.min(one.length, other.length) - head;
  let at = 0;
  while (at < most && Math.abs(one[one.length - 1 - at]! - other[other.length - 1 - at]!) < SAME_M) at += 1;
  return at - (at % 2);
}
