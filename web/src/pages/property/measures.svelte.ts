import { addFeature } from "../../map/edit";
import { writeMap, type PropertyMap } from "../../map/document";
import { Measuring, type Measured, type MeasuredFeature } from "../../map/measuring";
import type { Problem } from "../../service/problem";
import type { Editor } from "./editor.svelte";

/** What the server measured of a map, and what is wrong with it. What was told last stays until the next is told. */
export class Measures {
  /** The last answer, and the map that it is of; `sketched` where the shape under the pencil was measured with it. */
  last = $state.raw<{ answer: Measured; map: PropertyMap; sketched: boolean } | null>(null);
  /** The last answer to a map without a sketch: what is wrong with the map itself. */
  settled = $state.raw<{ answer: Measured; map: PropertyMap } | null>(null);
  /** Why the map could not be measured. */
  faults = $state.raw<readonly Problem[]>([]);
  readonly #measuring = new Measuring<{ map: PropertyMap; sketched: boolean }>((outcome, subject) => {
    this.faults = outcome.problems;
    if (!outcome.measured) return;
    this.last = { answer: outcome.measured, ...subject };
    if (!subject.sketched) this.settled = { answer: outcome.measured, map: subject.map };
  });

  constructor(private readonly editor: Editor) {}

  /** Measures of features by their key, as far as they were told. */
  readonly figures = $derived.by(() => {
    const figures = new Map<string, MeasuredFeature>();
    for (const one of this.last?.answer.features ?? []) {
      const feature = this.last?.map.features[one.number - 1];
      if (feature) figures.set(feature.key, one);
    }
    return figures;
  });

  /** Measures of the shape under the pencil. */
  readonly sketchFigure = $derived.by(() => {
    const told = this.last;
    if (!told?.sketched || !this.editor.pencil.isDrawing) return null;
    return told.answer.features.find((one) => one.number === told.map.features.length + 1) ?? null;
  });

  /** What is wrong with the map, numbered as on the map; `key` is the feature that it concerns. */
  readonly problems = $derived.by(() => {
    const told = this.settled;
    if (!told || told.map.features.length === 0) return [];
    return told.answer.problems.map((problem, index) => ({
      problem,
      number: index + 1,
      key: problem.feature === null ? null : (told.map.features[problem.feature - 1]?.key ?? null),
    }));
  });

  readonly totals = $derived.by(() =>
    this.settled && this.editor.map.features.length > 0 ? this.settled.answer.totals : null,
  );
  /** Lawn that is left where none is drawn. While the map changes, the last that was told stays. */
  readonly lawn = $derived(this.totals && !this.totals.lawn_is_drawn ? this.totals.lawn_ground : null);

  /** Asks for the measures of the map as it stands, with the shape under the pencil. */
  ask(): void {
    const { map, plane, pencil } = this.editor;
    const { corners } = pencil.sketch;
    const sketched = pencil.isDrawing && plane !== null && corners.length >= pencil.leastCorners;
    if (map.features.length === 0 && !sketched) {
      this.last = null;
      this.settled = null;
      return;
    }
    const drawn = sketched ? addFeature(map, plane, "no-go", pencil.formDrawn, corners).map : map;
    this.#measuring.ask(writeMap(drawn), { map, sketched });
  }

  stop(): void {
    this.#measuring.stop();
  }
}
