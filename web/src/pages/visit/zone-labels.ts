import Polygon from "ol/geom/Polygon";
import { idOf, kindOf, partsOf, type MapFeature } from "../../map/document";
import type { Plane } from "../../map/plane";
import type { Label } from "../../map/scene";

/** The names of the treated zones, each where its largest part has room, off its holes. */
export function zoneLabels(zones: readonly MapFeature[], plane: Plane): Label[] {
  return zones.flatMap((feature, at) => {
    if (kindOf(feature) !== "treated") return [];
    const shapes = partsOf(feature)
      .map(
        (part) =>
          new Polygon(part.runs.map((run) => closed(run.map((position) => [...plane.spot(position)])))),
      )
      .sort((one, other) => other.getArea() - one.getArea());
    const largest = shapes[0];
    if (!largest) return [];
    const [east, north] = largest.getInteriorPoint().getCoordinates();
    return [{ at: [east!, north!] as const, text: idOf(feature, at + 1), rank: largest.getArea() }];
  });
}

function closed(ring: number[][]): number[][] {
  return [...ring, ring[0]!];
}
