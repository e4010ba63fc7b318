import type PointerInteraction from "ol/interaction/Pointer";
import type { Photo } from "../../map/backdrop";
import {
  EMPTY_MAP,
  calledOf,
  cornerOf,
  found,
  kindOf,
  readMap,
  writeMap,
  type PropertyMap,
} from "../../map/document";
import {
  CannotEdit,
  addFeature,
  cornerAt,
  cutHole,
  moveCorners,
  removeCorner,
  removeFeature,
  sharers,
} from "../../map/edit";
import { measureOnce } from "../../map/measuring";
import { Plane, type Position, type Spot } from "../../map/plane";
import { Hold, Snapping, keyUnder } from "../../map/pointer";
import type { CornerPlace, Here, Scene } from "../../map/scene";
import { split } from "../../map/split";
import { again, back, begun, onward, type Steps } from "../../map/steps";
import { mapWords } from "../../words/map";
import { propertyWords as words } from "../../words/property";
import { cornerHold, photoHold, wholeHold } from "./holds";
import { Measures } from "./measures.svelte";
import { Pencil, type DrawingTool } from "./pencil.svelte";
import { labelsOf, marksOf } from "./shown";

/** What a press on the map does. */
export type Tool = DrawingTool | "choose" | "move" | "photo-points" | "photo-move";

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
  photo = $state.raw<Photo | null>(null);
  photoSpots = $state.raw<readonly Spot[]>([]);
  here = $state.raw<Here | null>(null);
  shownProblem = $state<number | null>(null);
  says = $state<Says>("");
  refusal = $state("");

  #scene: Scene | null = null;
  #interactions: PointerInteraction[] = [];
  #snapping: Snapping | null = null;
  readonly pencil = new Pencil(this, (corners) => this.#finished(corners));
  readonly measures = new Measures(this);

  readonly map = $derived(this.provisional ?? this.steps.now);
  readonly chosenFeature = $derived(found(this.map, this.chosen));
  readonly marks = $derived.by(() => marksOf(this));
  readonly labels = $derived.by(() => labelsOf(this));

  /** Begins with a map, on a plane that touches at its corner or at a place that was told. */
  begin(map: PropertyMap, origin: Position | null): void {
    this.steps = begun(map);
    this.provisional = null;
    this.chosen = null;
    this.corner = null;
    this.#place(origin ?? cornerOf(map));
    this.pencil.kind = map.features.some((feature) => kindOf(feature) === "boundary") ? "turf" : "boundary";
    this.measures.ask();
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
    this.pencil.attached(scene);
  }

  detach(): void {
    this.#scene = null;
    this.pencil.lift();
    this.#interactions = [];
  }

  stop(): void {
    this.measures.stop();
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
    this.measures.ask();
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
    this.measures.ask();
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

  useTool(tool: Tool): void {
    this.pencil.drop();
    this.tool = tool;
    this.refusal = "";
    this.applyTool();
    // Where these are chosen stands far below the map on a phone.
    if (tool === "photo-points" || tool === "photo-move") this.bringToSight();
  }

  /** Moves the page so that the map is seen. */
  bringToSight(): void {
    this.#scene?.map.getTargetElement()?.scrollIntoView({ block: "nearest" });
  }

  /** Puts the interactions of the tool on the map; snapping goes last, behind whatever it serves. */
  applyTool(): void {
    const scene = this.#scene;
    if (!scene) return;
    for (const one of this.#interactions) scene.map.removeInteraction(one);
    this.#interactions = [];
    this.#snapping = null;
    this.pencil.lift();
    if (this.pencil.isDrawing) {
      this.#interactions.push(this.pencil.begin(scene), new Snapping(scene));
    } else if (this.tool === "photo-move") {
      this.#interactions.push(new Hold(scene, photoHold(this)));
    } else if (this.tool === "choose") {
      this.#snapping = new Snapping(scene);
      this.#interactions.push(new Hold(scene, cornerHold(this)), this.#snapping);
    } else if (this.tool === "move") {
      this.#interactions.push(new Hold(scene, wholeHold(this)));
    }
    for (const one of this.#interactions) scene.map.addInteraction(one);
  }

  /** Shapes with these keys are dragged now, and are nothing to snap to; with none, all are again. */
  dragging(keys: readonly string[]): void {
    this.#snapping?.passOver(keys);
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
      const result = addFeature(this.map, plane, this.pencil.kind, this.pencil.form, corners);
      return { map: result.map, says: words.done.drawn(mapWords.kind(this.pencil.kind)), choose: result.key };
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
      if (this.pencil.kind === "boundary") this.pencil.kind = "structure";
      this.measures.ask();
    });
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
    this.measures.faults = problems;
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
}
