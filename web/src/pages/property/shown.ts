// What stands on the map beside its shapes: numbers of what is wrong, lengths, names, points on a photo.
import { settings } from "../../house/settings.svelte";
import { calledOf, found, kindOf, partsOf } from "../../map/document";
import { edgeLabels, shown } from "../../map/labels";
import type { Label, Mark } from "../../map/scene";
import type { Editor } from "./editor.svelte";

/** The numbers of what is wrong, where it is. */
export function marksOf({ plane, pencil, measures, shownProblem }: Editor): Mark[] {
  if (!plane || pencil.isDrawing) return [];
  return measures.problems.flatMap(({ problem, number }) => {
    const { longitude_deg: longitude, latitude_deg: latitude } = problem;
    if (typeof longitude !== "number" || typeof latitude !== "number") return [];
    return [
      {
        at: plane.spot([longitude, latitude]),
        text: String(number),
        severity: problem.severity === "error" ? ("error" as const) : ("warning" as const),
        chosen: shownProblem === number,
      },
    ];
  });
}

/** Lengths beside edges, names in shapes, and the points that were set on a photo; the highest rank goes first. */
export function labelsOf(editor: Editor): Label[] {
  const { plane, map, chosen } = editor;
  const measured = editor.measures.last;
  if (!plane) return [];
  const rankOf = (key: string): number | null => {
    if (key === chosen) return 100;
    const feature = found(map, key)?.feature;
    const kind = feature ? kindOf(feature) : "";
    return chosen === null && (kind === "boundary" || kind === "structure") ? 10 : null;
  };
  // Words are told only where the corners of now are those that were measured.
  const isNow = (index: number) => measured?.map.features[index]?.key === map.features[index]?.key;
  const same = map.features.every((_, index) => isNow(index));
  const labels = same ? edgeLabels(map, measured?.answer ?? null, plane, settings.units, rankOf) : [];
  map.features.forEach((feature, index) => {
    const parts = partsOf(feature);
    const run = parts[0]?.runs[0];
    if (!run || parts[0]!.form !== "area" || kindOf(feature) === "boundary") return;
    const spots = run.map((position) => plane.spot(position));
    labels.push({ at: spots, text: calledOf(feature, index + 1), rank: feature.key === chosen ? 90 : 1 });
  });
  labels.push(...sketchLabels(editor));
  editor.photoSpots.forEach((at, index) => labels.push({ at, text: `✕ ${"AB"[index]!}`, rank: 300 + index }));
  return labels;
}

/** Lengths of the edges under the pencil. */
function sketchLabels({ pencil, measures }: Editor): Label[] {
  const { corners } = pencil.sketch;
  const figure = measures.sketchFigure?.runs[0];
  if (!pencil.isDrawing || !figure || figure.corners.length !== corners.length) return [];
  return figure.corners.flatMap(({ edge }, at) => {
    const [one, other] = [corners[at]!, corners[(at + 1) % corners.length]!];
    if (!edge || pencil.formDrawn === "point") return [];
    return [
      {
        at: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2] as const,
        text: shown(edge, settings.units),
        rank: 200 + at / 1000,
      },
    ];
  });
}
