import { partsOf, type PropertyMap } from "./document";
import type { Measured } from "./measuring";
import type { Plane, Spot } from "./plane";
import type { Label } from "./scene";

/** A length or an area in words of both systems, as the server tells it. */
export interface Told {
  readonly us: string;
  readonly metric: string;
}

/** The words of the units that come first for this person. */
export function shown(told: Told | null | undefined, units: "us" | "metric"): string {
  return told ? told[units] : "";
}

/**
 * Lengths beside the edges of some features. Words are the server's; an edge whose feature was measured with another
 * number of corners waits for its own answer.
 */
export function edgeLabels(
  map: PropertyMap,
  measured: Measured | null,
  plane: Plane,
  units: "us" | "metric",
  rankOf: (key: string) => number | null,
): Label[] {
  const labels: Label[] = [];
  map.features.forEach((feature, index) => {
    const rank = rankOf(feature.key);
    const drawn = measured?.features.find((one) => one.number === index + 1);
    if (rank === null || !drawn) return;
    const runs = partsOf(feature).flatMap((part) => part.runs.map((run) => ({ run, form: part.form })));
    if (runs.length !== drawn.runs.length) return;
    runs.forEach(({ run, form }, at) => {
      const corners = drawn.runs[at]!.corners;
      if (form === "point" || corners.length !== run.length) return;
      const spots = run.map((position) => plane.spot(position));
      corners.forEach((corner, from) => {
        if (!corner.edge) return;
        const [one, other] = [spots[from]!, spots[(from + 1) % spots.length]!];
        labels.push({
          at: middle(one, other),
          text: shown(corner.edge, units),
          turn: level(one, other),
          rank: rank + Math.min(corner.edge.m, 999) / 1000,
        });
      });
    });
  });
  return labels;
}

function middle(one: Spot, other: Spot): Spot {
  return [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
}

/** The turn of words along an edge, never upside down. */
function level(one: Spot, other: Spot): number {
  const turn = -Math.atan2(other[1] - one[1], other[0] - one[0]);
  if (turn > Math.PI / 2 + 1e-9) return turn - Math.PI;
  return turn < -Math.PI / 2 + 1e-9 ? turn + Math.PI : turn;
}
