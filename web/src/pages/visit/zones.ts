import Polygon from "ol/geom/Polygon";
import { idOf, kindOf, partsOf, type MapFeature } from "../../map/document";
import type { Plane } from "../../map/plane";
import type { Label } from "../../map/scene";
import type { Planned } from "./editor.svelte";

/** How the key of a zone begins; the keys of the map's own features do not. */
const ZONE = "zone ";

/** The zones of a plan as the map draws them: what is treated, and what is left out for what lies beside it. */
export function zonesOf(zones: Planned["zones"] | null): MapFeature[] {
  return (zones?.features ?? []).flatMap((zone): MapFeature[] => {
    const { properties } = zone;
    if (properties.layer !== "zone" || !("kind" in properties)) return [];
    const kind = properties.task ? "treated" : properties.kind === "setback" ? "kept-out" : null;
    if (kind === null || zone.geometry === null) return [];
    return [
      {
        key: ZONE + zone.id,
        json: { type: "Feature", id: zone.id, properties: { kind }, geometry: zone.geometry },
      },
    ];
  });
}

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
