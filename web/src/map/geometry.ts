import type Geometry from "ol/geom/Geometry";
import LineString from "ol/geom/LineString";
import MultiLineString from "ol/geom/MultiLineString";
import MultiPoint from "ol/geom/MultiPoint";
import Point from "ol/geom/Point";
import type { Part } from "./document";
import { Outline, Outlines } from "./outline";
import type { Plane } from "./plane";

/** Parts as the map library draws them, in metres on the plane; null where nothing can be drawn. */
export function shapeOf(parts: readonly Part[], plane: Plane): Geometry | null {
  const [first] = parts;
  if (!first) return null;
  const runs = parts.map((part) => part.runs.map((run) => run.map((position) => [...plane.spot(position)])));
  const only = parts.length === 1;
  if (first.form === "point") {
    return only ? new Point(runs[0]![0]![0]!) : new MultiPoint(runs.map((run) => run[0]![0]!));
  }
  if (first.form === "line") {
    return only ? new LineString(runs[0]![0]!) : new MultiLineString(runs.map((run) => run[0]!));
  }
  const closed = runs.map((rings) => rings.map((ring) => [...ring, ring[0]!]));
  return only ? new Outline(closed[0]!) : new Outlines(closed);
}
