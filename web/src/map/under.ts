// What lies under a press, told by where things lie: nothing need be drawn for it.
import { partsOf, type MapFeature, type Part, type PropertyMap } from "./document";
import { gap, isInside } from "./edit";
import { distance, type Plane, type Spot } from "./plane";

/** The key of what lies at a spot or within reach of it, the smallest first; null where nothing does. */
export function keyAt(map: PropertyMap, plane: Plane, at: Spot, reachM: number): string | null {
  let found: { key: string; size: number } | null = null;
  for (const feature of map.features) {
    if (!partsOf(feature).some((part) => isAt(part, plane, at, reachM))) continue;
    // The smaller lies above for whoever presses: the boundary is under everything.
    const size = sizeOf(feature, plane);
    if (found === null || size < found.size) found = { key: feature.key, size };
  }
  return found?.key ?? null;
}

function isAt({ form, runs }: Part, plane: Plane, at: Spot, reachM: number): boolean {
  const spots = runs.map((run) => run.map((position) => plane.spot(position)));
  const isNear = spots.some((run) =>
    run.some((spot, index) => {
      const next = run[index + 1] ?? (form === "area" ? run[0]! : spot);
      return (form === "point" ? distance(spot, at) : gap(at, spot, next).away) <= reachM;
    }),
  );
  const [outline, ...holes] = spots;
  return (
    isNear ||
    (form === "area" &&
      outline !== undefined &&
      isInside(at, outline) &&
      !holes.some((hole) => isInside(at, hole)))
  );
}

/** The area of the upright rectangle round it. */
function sizeOf(feature: MapFeature, plane: Plane): number {
  const spots = partsOf(feature).flatMap((part) => part.runs.flat().map((position) => plane.spot(position)));
  const side = (axis: 0 | 1) => {
    const all = spots.map((spot) => spot[axis]);
    return Math.max(...all) - Math.min(...all);
  };
  return side(0) * side(1);
}
