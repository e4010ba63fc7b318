import { found, newFeature, partsOf, withId, withParts, type Part, type PropertyMap } from "./document";
import { CannotEdit, freeId, gap, isInside, putOnSharedEdges, replaceFeature } from "./edit";
import { idOf } from "./document";
import { distance, type Plane, type Position, type Spot } from "./plane";

/** An end of a cut this near to an outline is meant to lie on it. */
const ON_OUTLINE_M = 0.02;
/** Crossings nearer than this are one, and a crossing this near to a corner is at the corner. */
const SAME_M = 5e-3;

/** Where a cut crosses a run: how far along the cut, on which edge of the run, and where on that. */
interface Crossing {
  along: number;
  edge: number;
  share: number;
  spot: Spot;
}

function crossings(run: readonly Spot[], closes: boolean, cut: readonly Spot[]): Crossing[] {
  const all: Crossing[] = [];
  const edges = closes ? run.length : run.length - 1;
  let walked = 0;
  for (let at = 0; at + 1 < cut.length; at += 1) {
    const [from, to] = [cut[at]!, cut[at + 1]!];
    const length = distance(from, to);
    for (let edge = 0; edge < edges; edge += 1) {
      const [one, other] = [run[edge]!, run[(edge + 1) % run.length]!];
      for (const [end, along] of [
        [from, walked],
        [to, walked + length],
      ] as const) {
        const near = gap(end, one, other);
        if (near.away < ON_OUTLINE_M) all.push({ along, edge, share: near.share, spot: near.foot });
      }
      const crossed = crossing(from, to, one, other);
      if (crossed)
        all.push({ along: walked + crossed.first * length, edge, share: crossed.second, spot: crossed.spot });
    }
    walked += length;
  }
  all.sort((one, other) => one.along - other.along);
  const apart: Crossing[] = [];
  for (const one of all) {
    if (!apart.some((other) => distance(one.spot, other.spot) < Math.max(SAME_M, ON_OUTLINE_M)))
      apart.push(one);
  }
  return apart;
}

function crossing(a: Spot, b: Spot, c: Spot, d: Spot): { first: number; second: number; spot: Spot } | null {
  const [rx, ry, sx, sy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const cross = rx * sy - ry * sx;
  if (cross === 0) return null;
  const first = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / cross;
  const second = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / cross;
  if (first < 0 || first > 1 || second < 0 || second > 1) return null;
  return { first, second, spot: [a[0] + first * rx, a[1] + first * ry] };
}

/** Points of a cut strictly between two places along it. */
function between(cut: readonly Spot[], from: number, to: number): Spot[] {
  let walked = 0;
  return cut.filter((spot, at) => {
    if (at > 0) walked += distance(cut[at - 1]!, spot);
    return walked > from + SAME_M && walked < to - SAME_M;
  });
}

/** A place on a run: an existing corner, or a new one behind an edge's first corner. */
interface Place {
  order: number;
  position: Position;
  isNew: boolean;
}

function placeOf(crossed: Crossing, positions: readonly Position[], plane: Plane): Place {
  const count = positions.length;
  for (const corner of [crossed.edge, (crossed.edge + 1) % count]) {
    if (distance(plane.spot(positions[corner]!), crossed.spot) < SAME_M) {
      return { order: corner, position: positions[corner]!, isNew: false };
    }
  }
  return { order: crossed.edge + crossed.share, position: plane.position(crossed.spot), isNew: true };
}

/** The corners of a ring walked from one place to another. */
function chain(positions: readonly Position[], from: Place, to: Place): Position[] {
  const count = positions.length;
  const walked: Position[] = [from.position];
  const end = to.order > from.order ? to.order : to.order + count;
  for (let at = Math.floor(from.order) + 1; at < end; at += 1) walked.push(positions[at % count]!);
  walked.push(to.position);
  return walked;
}

/**
 * Splits an area along a cut that crosses its outline twice, or a line at the first crossing. The first piece stays the
 * feature; the other is a new one with the same properties. Neighbours get the new corners on the edges they share.
 */
export function split(
  map: PropertyMap,
  plane: Plane,
  key: string,
  cut: readonly Spot[],
): { map: PropertyMap; key: string } {
  const here = found(map, key);
  if (!here) return { map, key };
  if (cut.length < 2) throw new CannotEdit("no-cut");
  const parts = partsOf(here.feature);
  const form = parts[0]?.form;
  if (form === undefined || form === "point") throw new CannotEdit("no-area");
  const spots = parts.map((part) => part.runs.map((run) => run.map((position) => plane.spot(position))));
  const hits = spots.map((runs) => crossings(runs[0]!, form === "area", cut));
  const at = hits.findIndex((found) => found.length >= (form === "area" ? 2 : 1));
  if (at < 0) throw new CannotEdit("cut-misses");
  const crossed = hits[at]!;
  const [part, runs] = [parts[at]!, spots[at]!];
  const outline = part.runs[0]!;
  let pieces: [Part, Part];
  let places: Place[];
  if (form === "line") {
    const place = placeOf(crossed[0]!, outline, plane);
    if (!place.isNew && (place.order === 0 || place.order === outline.length - 1))
      throw new CannotEdit("cut-misses");
    const before = outline.filter((_, corner) => corner < place.order);
    const behind = outline.filter((_, corner) => corner > place.order);
    pieces = [
      { form, runs: [[...before, place.position]] },
      { form, runs: [[place.position, ...behind]] },
    ];
    places = [place];
  } else {
    if (crossed.length > 2) throw new CannotEdit("cut-many");
    if (runs.slice(1).some((hole) => crossings(hole, true, cut).length > 0)) throw new CannotEdit("cut-hole");
    const [first, second] = [crossed[0]!, crossed[1]!];
    const inner = between(cut, first.along, second.along);
    const path = [first.spot, ...inner, second.spot];
    const middle: Spot = [(path[0]![0] + path[1]![0]) / 2, (path[0]![1] + path[1]![1]) / 2];
    if (!isInside(middle, runs[0]!)) throw new CannotEdit("cut-misses");
    const [from, to] = [placeOf(first, outline, plane), placeOf(second, outline, plane)];
    if (from.order === to.order) throw new CannotEdit("cut-misses");
    const way = inner.map((spot) => plane.position(spot));
    const rings = [
      [...chain(outline, to, from), ...way],
      [...chain(outline, from, to), ...[...way].reverse()],
    ];
    if (rings.some((ring) => ring.length < 3)) throw new CannotEdit("cut-misses");
    const [one, other] = rings.map((ring) => {
      const bounds = ring.map((position) => plane.spot(position));
      const holes = part.runs.slice(1).filter((hole) => isInside(plane.spot(hole[0]!), bounds));
      return { form, runs: [ring, ...holes] } as Part;
    });
    pieces = [one!, other!];
    places = [from, to];
  }
  const rest = parts.map((one, index) => (index === at ? pieces[0] : one));
  const copy = newFeature({ ...here.feature.json });
  const second = withParts(withId(copy, freeId(map, idOf(here.feature, here.number))), [pieces[1]]);
  let next = replaceFeature(map, withParts(here.feature, rest));
  for (const place of places.filter((one) => one.isNew)) {
    const edge = Math.floor(place.order);
    const [one, other] = [outline[edge]!, outline[(edge + 1) % outline.length]!];
    next = putOnSharedEdges(next, plane, plane.spot(one), plane.spot(other), place.position);
  }
  const index = next.features.findIndex((feature) => feature.key === key);
  const features = [...next.features.slice(0, index + 1), second, ...next.features.slice(index + 1)];
  return { map: { ...next, features }, key: second.key };
}
