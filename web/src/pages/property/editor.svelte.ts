import type PointerInteraction from "ol/interaction/Pointer";
import type Snap from "ol/interaction/Snap";
import { settings } from "../../house/settings.svelte";
import { pixelOfSpot, type Photo } from "../../map/backdrop";
import {
  EMPTY_MAP,
  calledOf,
  cornerOf,
  found,
  kindOf,
  partsOf,
  readMap,
  writeMap,
  type Form,
  type PropertyMap,
} from "../../map/document";
import {
  CannotEdit,
  addFeature,
  cornerAt,
  cutHole,
  gap,
  insertCorner,
  isInside,
  moveCorners,
  moveFeature,
  removeCorner,
  removeFeature,
  sharers,
} from "../../map/edit";
import { kindOfWord } from "../../map/kinds";
import { edgeLabels, shown } from "../../map/labels";
import { Measuring, measureOnce, type Measured, type MeasuredFeature } from "../../map/measuring";
import { moved as photoMoved } from "../../map/photo";
import { Plane, distance, type Position, type Spot } from "../../map/plane";
import { Hold, Sketch, keyUnder, snapping } from "../../map/pointer";
import type { CornerPlace, Here, Label, Mark, Scene } from "../../map/scene";
import { split } from "../../map/split";
import { again, back, begun, onward, type Steps } from "../../map/steps";
import type { Problem } from "../../service/problem";
import { mapWords } from "../../words/map";
import { propertyWords as words } from "../../words/property";

/** What a press on the map does. */
export type Tool = "choose" | "draw" | "hole" | "split" | "move" | "photo-points" | "photo-move";

/** A shape under the pencil, so that it can be taken up again. */
export interface KeptSketch {
  tool: "draw" | "hole" | "split";
  kind: string;
  form: Form;
  chosen: string | null;
  corners: Position[];
}

/** What a change of the map is called for those who listen. */
type Says = string;

/** The map under the hands: every change is a step, measured by the server as it is made. */
export class Editor {
  plane = $state.raw<Plane | null>(null);
  steps = $state.raw<Steps<PropertyMap>>(begun(EMPTY_MAP));
  /** The map while something is dragged; it becomes a step when it is let go. */
  provisional = $state.raw<PropertyMap | null>(null);
  chosen = $state<string | null>(null);
  corner = $state.raw<CornerPlace | null>(null);
  tool = $state<Tool>("choose");
  kind = $state("boundary");
  form = $state<Form>("area");
  /** The corners under the pencil, the one under the pointer last, and how many of them are set. */
  sketch = $state.raw<{ corners: readonly Spot[]; set: number }>({ corners: [], set: 0 });
  measured = $state.raw<{ answer: Measured; map: PropertyMap; sketched: boolean } | null>(null);
  /** The last answer to a map without a sketch: what is wrong with the map itself. */
  settled = $state.raw<{ answer: Measured; map: PropertyMap } | null>(null);
  measureProblems = $state.raw<readonly Problem[]>([]);
  photo = $state.raw<Photo | null>(null);
  photoSpots = $state.raw<readonly Spot[]>([]);
  here = $state.raw<Here | null>(null);
  shownProblem = $state<number | null>(null);
  says = $state<Says>("");
  refusal = $state("");

  #scene: Scene | null = null;
  #pencil: Sketch | null = null;
  #interactions: (PointerInteraction | Snap)[] = [];
  #resume: KeptSketch | null = null;
  readonly #measuring = new Measuring<{ map: PropertyMap; sketched: boolean }>((outcome, subject) => {
    this.measureProblems = outcome.problems;
    if (!outcome.measured) return;
    this.measured = { answer: outcome.measured, ...subject };
    if (!subject.sketched) this.settled = { answer: outcome.measured, map: subject.map };
  });

  readonly map = $derived(this.provisional ?? this.steps.now);
  readonly chosenFeature = $derived(found(this.map, this.chosen));
  readonly sketching = $derived(this.tool === "draw" || this.tool === "hole" || this.tool === "split");

  /** Measures of features by their key, as far as they were told. */
  readonly figures = $derived.by(() => {
    const figures = new Map<string, MeasuredFeature>();
    const told = this.measured;
    for (const one of told?.answer.features ?? []) {
      const feature = told?.map.features[one.number - 1];
      if (feature) figures.set(feature.key, one);
    }
    return figures;
  });

  readonly sketchFigure = $derived.by(() => {
    const told = this.measured;
    if (!told?.sketched || !this.sketching) return null;
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

  readonly totals = $derived(
    this.settled && this.map.features.length > 0 ? this.settled.answer.totals : null,
  );
  /** Lawn that is left where none is drawn. While the map changes, the last that was told stays. */
  readonly lawn = $derived(this.totals && !this.totals.lawn_is_drawn ? this.totals.lawn_ground : null);

  readonly marks = $derived.by((): Mark[] => {
    const plane = this.plane;
    if (!plane || this.sketching) return [];
    return this.problems.flatMap(({ problem, number }) => {
      const { longitude_deg: longitude, latitude_deg: latitude } = problem;
      if (typeof longitude !== "number" || typeof latitude !== "number") return [];
      return [
        {
          at: plane.spot([longitude, latitude]),
          text: String(number),
          severity: problem.severity === "error" ? ("error" as const) : ("warning" as const),
          chosen: this.shownProblem === number,
        },
      ];
    });
  });

  readonly labels = $derived.by((): Label[] => {
    const { plane, measured } = this;
    if (!plane) return [];
    const rankOf = (key: string): number | null => {
      if (key === this.chosen) return 100;
      const feature = found(this.map, key)?.feature;
      const kind = feature ? kindOf(feature) : "";
      return this.chosen === null && (kind === "boundary" || kind === "structure") ? 10 : null;
    };
    // Words are told only where the corners of now are those that were measured.
    const isNow = (index: number) => measured?.map.features[index]?.key === this.map.features[index]?.key;
    const same = this.map.features.every((_, index) => isNow(index));
    const labels = same ? edgeLabels(this.map, measured?.answer ?? null, plane, settings.units, rankOf) : [];
    this.map.features.forEach((feature, index) => {
      const parts = partsOf(feature);
      const run = parts[0]?.runs[0];
      if (!run || parts[0]!.form !== "area" || kindOf(feature) === "boundary") return;
      const spots = run.map((position) => plane.spot(position));
      labels.push({
        at: spots,
        text: calledOf(feature, index + 1),
        rank: feature.key === this.chosen ? 90 : 1,
      });
    });
    const { corners } = this.sketch;
    const figure = this.sketchFigure?.runs[0];
    if (this.sketching && figure && figure.corners.length === corners.length) {
      figure.corners.forEach((corner, at) => {
        const [one, other] = [corners[at]!, corners[(at + 1) % corners.length]!];
        if (corner.edge && this.pencilForm !== "point") {
          labels.push({
            at: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2],
            text: shown(corner.edge, settings.units),
            rank: 200 + at / 1000,
          });
        }
      });
    }
    this.photoSpots.forEach((at, index) => labels.push({ at, text: `✕ ${"AB"[index]!}`, rank: 300 + index }));
    return labels;
  });

  get pencilForm(): Form {
    if (this.tool === "split") return "line";
    return this.tool === "hole" ? "area" : this.form;
  }

  /** Begins with a map, on a plane that touches at its corner or at a place that was told. */
  begin(map: PropertyMap, origin: Position | null): void {
    this.steps = begun(map);
    this.provisional = null;
    this.chosen = null;
    this.corner = null;
    this.#place(origin ?? cornerOf(map));
    this.kind = map.features.some((feature) => kindOf(feature) === "boundary") ? "turf" : "boundary";
    this.measure();
  }

  /** Goes on with another map; steps do not lead back behind it. */
  restart(map: PropertyMap, says: Says): void {
    this.step(map, says);
    this.steps = begun(map);
  }

  /** Says where the map is, before anything is drawn. */
  beginAt(origin: Position): void {
    this.#place(origin);
  }

  #place(origin: Position | null): void {
    this.plane = origin ? new Plane(origin) : null;
  }

  /** Takes the map on the screen under the hands. */
  attach(scene: Scene): void {
    this.#scene = scene;
    scene.map.on("click", (event) => this.#pressed(event));
    if (this.map.features.length === 0) scene.centreOn([15, 12]);
    this.applyTool();
    if (this.#resume) {
      // The pencil asks where pixels lie, which a map knows when it was drawn once.
      scene.map.renderSync();
      this.#resumeSketch(this.#resume);
    }
  }

  detach(): void {
    this.#scene = null;
    this.#pencil = null;
    this.#interactions = [];
  }

  stop(): void {
    this.#measuring.stop();
  }

  get scene(): Scene | null {
    return this.#scene;
  }

  /** Makes a change a step, and says what was done. */
  step(map: PropertyMap, says: Says): void {
    this.provisional = null;
    this.refusal = "";
    this.steps = onward(this.steps, map);
    if (!found(map, this.chosen)) this.#forget();
    this.says = says;
    this.measure();
  }

  /** Does an edit, or says why it cannot be done. */
  tryStep(edit: () => { map: PropertyMap; says: Says; choose?: string }): boolean {
    try {
      const { map, says, choose } = edit();
      this.step(map, says);
      if (choose !== undefined) this.choose(choose);
      return true;
    } catch (error) {
      if (!(error instanceof CannotEdit)) throw error;
      this.provisional = null;
      this.refuse(words.obstacles[error.obstacle]);
      return false;
    }
  }

  refuse(why: string): void {
    this.refusal = why;
  }

  undo(): void {
    this.#walkSteps(back(this.steps), words.done.undone);
  }

  redo(): void {
    this.#walkSteps(again(this.steps), words.done.redone);
  }

  #walkSteps(steps: Steps<PropertyMap>, says: Says): void {
    if (steps === this.steps) return;
    this.steps = steps;
    this.provisional = null;
    this.refusal = "";
    this.says = says;
    if (!found(this.map, this.chosen)) this.#forget();
    else if (this.corner && !cornerAt(this.chosenFeature!.feature, this.corner)) this.corner = null;
    this.measure();
  }

  #forget(): void {
    this.chosen = null;
    this.corner = null;
    if (this.tool === "move") this.useTool("choose");
  }

  choose(key: string | null, corner: CornerPlace | null = null): void {
    if (key !== this.chosen && this.tool === "move") this.useTool("choose");
    this.chosen = key;
    this.corner = corner;
    this.refusal = "";
  }

  /** Asks for the measures of the map as it stands, with the shape under the pencil. */
  measure(): void {
    const { map, plane, sketch } = this;
    const least = { area: 3, line: 2, point: 1 }[this.pencilForm];
    const sketched = this.sketching && plane !== null && sketch.corners.length >= least;
    if (map.features.length === 0 && !sketched) {
      this.measured = null;
      this.settled = null;
      return;
    }
    const subject = { map, sketched };
    const drawn = sketched ? addFeature(map, plane, "no-go", this.pencilForm, sketch.corners).map : map;
    this.#measuring.ask(writeMap(drawn), subject);
  }

  useTool(tool: Tool): void {
    if (this.#pencil) this.#pencil.abort();
    this.tool = tool;
    this.sketch = { corners: [], set: 0 };
    this.refusal = "";
    this.applyTool();
  }

  /** Puts the interactions of the tool on the map; snapping goes last, behind whatever it serves. */
  applyTool(): void {
    const scene = this.#scene;
    if (!scene) return;
    for (const one of this.#interactions) scene.map.removeInteraction(one);
    this.#interactions = [];
    this.#pencil = null;
    if (this.sketching) {
      this.#pencil = new Sketch(
        scene,
        this.pencilForm,
        (corners, set) => this.#sketched(corners, set),
        (corners) => this.#finished(corners),
      );
      this.#interactions.push(this.#pencil.interaction, snapping(scene));
    } else if (this.tool === "photo-move") {
      this.#interactions.push(new Hold(scene, this.#photoHold()));
    } else if (this.tool === "choose") {
      this.#interactions.push(new Hold(scene, this.#cornerHold()), snapping(scene));
    } else if (this.tool === "move") {
      this.#interactions.push(new Hold(scene, this.#wholeHold()));
    }
    for (const one of this.#interactions) scene.map.addInteraction(one);
  }

  finishSketch(): void {
    const least = { area: 3, line: 2, point: 1 }[this.pencilForm];
    if (this.sketch.set < least) this.refuse(words.obstacles["too-few-corners"]);
    else this.#pencil?.finish();
  }

  backCorner(): void {
    this.#pencil?.back();
  }

  /** Adds a corner that was walked to. */
  addCorner(spot: Spot): void {
    this.#pencil?.add(spot);
  }

  /** The shape under the pencil as it is kept with the draft. */
  keptSketch(): KeptSketch | null {
    const { tool, plane, sketch } = this;
    if (this.#resume) return this.#resume;
    if (!plane || sketch.set === 0 || (tool !== "draw" && tool !== "hole" && tool !== "split")) return null;
    const chosen = this.chosenFeature;
    return {
      tool,
      kind: this.kind,
      form: this.form,
      chosen: chosen ? String(chosen.number) : null,
      corners: sketch.corners.slice(0, sketch.set).map((spot) => plane.position(spot)),
    };
  }

  /** Takes a shape up where it was left. */
  resume(kept: KeptSketch): void {
    this.#resume = kept;
    if (this.#scene) this.#resumeSketch(kept);
  }

  #resumeSketch(kept: KeptSketch): void {
    const plane = this.plane;
    this.#resume = null;
    if (!plane) return;
    this.kind = kept.kind;
    this.form = kept.form;
    if (kept.chosen !== null) this.chosen = this.map.features[Number(kept.chosen) - 1]?.key ?? null;
    this.useTool(kept.tool);
    const spots = kept.corners.map((position) => plane.spot(position));
    this.#pencil?.restore(spots);
    this.#sketched([...spots, spots[spots.length - 1]!], spots.length);
  }

  #sketched(corners: readonly Spot[], set: number): void {
    this.sketch = { corners, set };
    this.measure();
  }

  #finished(corners: readonly Spot[]): void {
    const { plane, tool, chosen } = this;
    if (!plane) return;
    const done = this.tryStep(() => {
      if (tool === "hole" && chosen)
        return { map: cutHole(this.map, plane, chosen, corners), says: words.done.hole };
      if (tool === "split" && chosen) {
        const result = split(this.map, plane, chosen, corners);
        const name = (key: string) => {
          const one = found(result.map, key);
          return one ? calledOf(one.feature, one.number) : "";
        };
        return { map: result.map, says: words.done.split(name(chosen), name(result.key)) };
      }
      const result = addFeature(this.map, plane, this.kind, this.form, corners);
      return { map: result.map, says: words.done.drawn(mapWords.kind(this.kind)), choose: result.key };
    });
    // The library still ends the press that finished the shape.
    setTimeout(() => {
      if (!done) {
        const refusal = this.refusal;
        this.useTool(tool);
        this.refusal = refusal;
        return;
      }
      this.useTool("choose");
      if (this.kind === "boundary") this.kind = "structure";
      this.measure();
    });
  }

  /** Draws such a kind, in a form that it may have. */
  drawKind(kind: string): void {
    this.kind = kind;
    const { forms } = kindOfWord(kind);
    if (!forms.includes(this.form)) this.form = forms[0] ?? "area";
    if (this.tool === "draw") this.useTool("draw");
  }

  removeChosen(): void {
    const chosen = this.chosenFeature;
    if (!chosen) return;
    const { feature, number } = chosen;
    this.step(removeFeature(this.map, feature.key), words.done.removed(calledOf(feature, number)));
  }

  removeChosenCorner(): void {
    const { chosen, corner } = this;
    if (chosen === null || corner === null) return;
    this.tryStep(() => ({ map: removeCorner(this.map, chosen, corner), says: words.done.cornerRemoved }));
    this.corner = null;
  }

  /** Moves a corner of a feature, and whatever shares it, to a spot. */
  moveCorner(key: string, place: CornerPlace, to: Spot): void {
    const plane = this.plane;
    const feature = found(this.map, key)?.feature;
    const position = feature && cornerAt(feature, place);
    if (!plane || !position) return;
    const from = plane.spot(position);
    const others = sharers(this.map, plane, key, from);
    this.step(moveCorners(this.map, plane, from, to), words.done.corner(others));
  }

  /** Asks for a mended copy and makes it a step. */
  async mend(): Promise<void> {
    const { measured, problems } = await measureOnce(writeMap(this.map), true);
    this.measureProblems = problems;
    if (!measured?.repair) {
      if (measured) this.refuse(words.noMend);
      return;
    }
    const mended = readMap(measured.repair.map);
    const features = mended.features.map((feature, at) => {
      const before = this.map.features[at];
      return before ? { ...feature, key: before.key } : feature;
    });
    const changes = measured.repair.changes.map((change) => `${change.feature} ${change.what}`).join("; ");
    this.step({ ...mended, features }, words.mended(changes));
  }

  #pressed(event: Parameters<typeof keyUnder>[1]): void {
    const scene = this.#scene;
    if (!scene) return;
    if (this.tool === "photo-points") {
      const [east, north] = scene.map.getCoordinateFromPixel(
        scene.map.getEventPixel(event.originalEvent as UIEvent),
      );
      const spot: Spot = [east!, north!];
      this.photoSpots = this.photoSpots.length >= 2 ? [spot] : [...this.photoSpots, spot];
      if (this.photoSpots.length === 2) this.useTool("choose");
      return;
    }
    if (this.tool !== "choose") return;
    const key = keyUnder(scene, event);
    if (key !== this.chosen) this.choose(key);
  }

  #cornerHold() {
    let base: PropertyMap;
    let from: Spot;
    let place: CornerPlace;
    let isNew = false;
    let movedAtAll = false;
    return {
      take: (at: Spot, reachM: number) => {
        const { plane, chosenFeature } = this;
        if (!plane || !chosenFeature) return false;
        const { feature } = chosenFeature;
        const near = nearest(partsOf(feature), plane, at, reachM);
        if (!near) return false;
        place = near.place;
        from = near.spot;
        isNew = near.isEdge;
        movedAtAll = false;
        base = this.steps.now;
        if (isNew) {
          try {
            base = insertCorner(base, plane, feature.key, place, from);
          } catch (error) {
            if (error instanceof CannotEdit) return false;
            throw error;
          }
          place = { ...place, corner: place.corner + 1 };
        }
        if (!isNew) this.corner = place;
        return true;
      },
      drag: (to: Spot) => {
        if (!this.plane || distance(from, to) < 1e-9) return;
        movedAtAll = true;
        this.corner = place;
        this.provisional = moveCorners(base, this.plane, from, to);
        this.measure();
      },
      drop: () => {
        const { plane, chosen, provisional } = this;
        if (!movedAtAll || !plane || !provisional) return;
        const others = chosen ? sharers(base, plane, chosen, from) : 0;
        this.step(provisional, words.done.corner(others));
        this.corner = place;
      },
    };
  }

  #wholeHold() {
    let base: PropertyMap;
    let from: Spot;
    return {
      take: (at: Spot, reachM: number) => {
        const { plane, chosenFeature } = this;
        if (!plane || !chosenFeature) return false;
        const parts = partsOf(chosenFeature.feature);
        const inside = parts.some(
          (part) =>
            part.form === "area" &&
            isInside(
              at,
              part.runs[0]!.map((position) => plane.spot(position)),
            ),
        );
        if (!inside && !nearest(parts, plane, at, reachM)) return false;
        base = this.steps.now;
        from = at;
        return true;
      },
      drag: (to: Spot) => {
        if (!this.plane || this.chosen === null) return;
        this.provisional = moveFeature(base, this.plane, this.chosen, [to[0] - from[0], to[1] - from[1]]);
        this.measure();
      },
      drop: () => {
        if (this.provisional) this.step(this.provisional, words.done.moved);
      },
    };
  }

  #photoHold() {
    let base: Photo;
    let from: Spot;
    return {
      take: (at: Spot) => {
        const photo = this.photo;
        if (!photo) return false;
        const [x, y] = pixelOfSpot(photo.placed, at);
        base = photo;
        from = at;
        return x >= 0 && y >= 0 && x <= photo.picture.width && y <= photo.picture.height;
      },
      drag: (to: Spot) => {
        this.photo = { ...base, placed: photoMoved(base.placed, [to[0] - from[0], to[1] - from[1]]) };
      },
      drop: () => {},
    };
  }
}

/** The corner within reach, else the place on an edge within reach. */
function nearest(
  parts: ReturnType<typeof partsOf>,
  plane: Plane,
  at: Spot,
  reachM: number,
): { place: CornerPlace; spot: Spot; isEdge: boolean } | null {
  let corner: { place: CornerPlace; spot: Spot; away: number } | null = null;
  let edge: { place: CornerPlace; spot: Spot; away: number } | null = null;
  parts.forEach((part, partAt) =>
    part.runs.forEach((run, runAt) => {
      const spots = run.map((position) => plane.spot(position));
      spots.forEach((spot, cornerIndex) => {
        const place = { part: partAt, run: runAt, corner: cornerIndex };
        const away = distance(spot, at);
        if (away <= reachM && away < (corner?.away ?? Infinity)) corner = { place, spot, away };
        const next = spots[cornerIndex + 1] ?? (part.form === "area" ? spots[0]! : null);
        if (!next || part.form === "point") return;
        const near = gap(at, spot, next);
        if (near.away <= reachM && near.away < (edge?.away ?? Infinity)) {
          edge = { place, spot: near.foot, away: near.away };
        }
      });
    }),
  );
  const held = (corner ?? edge) as { place: CornerPlace; spot: Spot } | null;
  return held && { place: held.place, spot: held.spot, isEdge: corner === null };
}
