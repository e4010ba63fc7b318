import { createEmpty, extend, extendCoordinate, extendFlatCoordinates, type Extent } from "ol/extent";
import type Geometry from "ol/geom/Geometry";
import MultiPolygon from "ol/geom/MultiPolygon";
import Polygon from "ol/geom/Polygon";

/** A ring as the library holds it: east, north, east, north, closed. */
type Ring = readonly number[];

/**
 * Where an area that became another is not drawn as it was. What is filled follows from the edges alone (even-odd rule):
 * those that both have cancel out, wherever a ring begins, and the rest goes round all that changed. Dashes run on behind
 * a change: `isDashed` counts the rings whole that are not the same.
 */
export function changedExtent(was: Geometry, is: Geometry, isDashed: boolean): Extent {
  const extent = createEmpty();
  const [before, after] = [ringsOf(was), ringsOf(is)];
  if (before === null || after === null) return extend(extend(extent, was.getExtent()), is.getExtent());
  const gone = before.filter((ring) => {
    const same = after.findIndex((other) => isSame(ring, other));
    if (same >= 0) after.splice(same, 1);
    return same < 0;
  });
  if (isDashed) {
    for (const ring of [...gone, ...after])
      extendFlatCoordinates(extent, ring as number[], 0, ring.length, 2);
    return extent;
  }
  const edges = new Map<number, readonly [ring: Ring, at: number]>();
  for (const ring of gone) eachEdge(ring, (at) => edges.set(nameOf(ring, at), [ring, at]));
  for (const ring of after) {
    eachEdge(ring, (at) => {
      const name = nameOf(ring, at);
      const had = edges.get(name);
      if (had && isSameEdge(ring, at, ...had)) edges.delete(name);
      else extendByEdge(extent, ring, at);
    });
  }
  for (const [ring, at] of edges.values()) extendByEdge(extent, ring, at);
  return extent;
}

function ringsOf(shape: Geometry): Ring[] | null {
  if (!(shape instanceof Polygon || shape instanceof MultiPolygon)) return null;
  const flat = shape.getFlatCoordinates();
  const ends = shape instanceof Polygon ? shape.getEnds() : shape.getEndss().flat();
  return ends.map((end, at) => flat.slice(at === 0 ? 0 : ends[at - 1], end));
}

function isSame(one: Ring, other: Ring): boolean {
  return one.length === other.length && one.every((number, at) => number === other[at]);
}

function eachEdge(ring: Ring, visit: (at: number) => void): void {
  for (let at = 0; at + 3 < ring.length; at += 2) visit(at);
}

/** A number that few edges share, the same in both directions. */
function nameOf(ring: Ring, at: number): number {
  return ring[at]! + ring[at + 2]! + (ring[at + 1]! + ring[at + 3]!) * Math.PI;
}

function isSameEdge(one: Ring, at: number, other: Ring, place: number): boolean {
  const is = (from: number, to: number) =>
    one[at] === other[from] &&
    one[at + 1] === other[from + 1] &&
    one[at + 2] === other[to] &&
    one[at + 3] === other[to + 1];
  return is(place, place + 2) || is(place + 2, place);
}

function extendByEdge(extent: Extent, ring: Ring, at: number): void {
  extendCoordinate(extent, [ring[at]!, ring[at + 1]!]);
  extendCoordinate(extent, [ring[at + 2]!, ring[at + 3]!]);
}
