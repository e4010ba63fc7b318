import type { Form } from "../../map/document";
import { kindOfWord } from "../../map/kinds";
import type { Position, Spot } from "../../map/plane";
import { Sketch } from "../../map/pointer";
import type { Scene } from "../../map/scene";
import { propertyWords as words } from "../../words/property";
import type { Editor } from "./editor.svelte";

/** What the pencil draws: a shape, a hole in one, or a line that splits one. */
export type DrawingTool = "draw" | "hole" | "split";

const isDrawingTool = (tool: string): tool is DrawingTool => ["draw", "hole", "split"].includes(tool);

/** A shape under the pencil, so that it can be taken up again. */
export interface KeptSketch {
  tool: DrawingTool;
  kind: string;
  form: Form;
  chosen: string | null;
  corners: Position[];
}

/** A shape under the pencil, corner by corner, until it is finished or given up. */
export class Pencil {
  /** The kind and form of the next shape. */
  kind = $state("boundary");
  form = $state<Form>("area");
  /** The corners under the pencil, the one under the pointer last, and how many of them are set. */
  sketch = $state.raw<{ corners: readonly Spot[]; set: number }>({ corners: [], set: 0 });
  #drawing: Sketch | null = null;
  #resume: KeptSketch | null = null;

  constructor(
    private readonly editor: Editor,
    /** Called with the corners of a shape that is finished. */
    private readonly finished: (corners: readonly Spot[]) => void,
  ) {}

  readonly isDrawing = $derived.by(() => isDrawingTool(this.editor.tool));

  /** The form of what is drawn now. */
  get formDrawn(): Form {
    if (this.editor.tool === "split") return "line";
    return this.editor.tool === "hole" ? "area" : this.form;
  }

  get leastCorners(): number {
    return { area: 3, line: 2, point: 1 }[this.formDrawn];
  }

  /** Takes the pencil to the map. @returns what the map is to listen to */
  begin(scene: Scene): Sketch["interaction"] {
    this.#drawing = new Sketch(
      scene,
      this.formDrawn,
      (corners, set) => this.#sketched(corners, set),
      (corners) => this.finished(corners),
    );
    return this.#drawing.interaction;
  }

  /** Lays the pencil down; what was under it is given up. */
  drop(): void {
    this.#drawing?.abort();
    this.sketch = { corners: [], set: 0 };
  }

  /** The map is gone, or listens to something else. */
  lift(): void {
    this.#drawing = null;
  }

  finish(): void {
    if (this.sketch.set < this.leastCorners) this.editor.refuse(words.obstacles["too-few-corners"]);
    else this.#drawing?.finish();
  }

  backCorner(): void {
    this.#drawing?.back();
  }

  /** Adds a corner that was walked to. */
  addCorner(spot: Spot): void {
    this.#drawing?.add(spot);
  }

  /** Draws such a kind, in a form that it may have. */
  drawKind(kind: string): void {
    this.kind = kind;
    const { forms } = kindOfWord(kind);
    if (!forms.includes(this.form)) this.form = forms[0] ?? "area";
    if (this.editor.tool === "draw") this.editor.useTool("draw");
  }

  /** The shape under the pencil as it is kept with the draft. */
  kept(): KeptSketch | null {
    const { tool, plane } = this.editor;
    const { sketch } = this;
    if (this.#resume) return this.#resume;
    if (!plane || sketch.set === 0 || !isDrawingTool(tool)) return null;
    const chosen = this.editor.chosenFeature;
    return {
      tool,
      kind: this.kind,
      form: this.form,
      chosen: chosen ? String(chosen.number) : null,
      corners: sketch.corners.slice(0, sketch.set).map((spot) => plane.position(spot)),
    };
  }

  /** Takes a shape up where it was left, at once or as soon as there is a map on the screen. */
  resume(kept: KeptSketch): void {
    this.#resume = kept;
    if (this.editor.scene) this.#goOn(kept);
  }

  /** There is a map on the screen. */
  attached(scene: Scene): void {
    if (!this.#resume) return;
    // The pencil asks where pixels lie, which a map knows when it was drawn once.
    scene.map.renderSync();
    this.#goOn(this.#resume);
  }

  #goOn(kept: KeptSketch): void {
    const { editor } = this;
    const { plane } = editor;
    this.#resume = null;
    if (!plane) return;
    this.kind = kept.kind;
    this.form = kept.form;
    if (kept.chosen !== null) editor.chosen = editor.map.features[Number(kept.chosen) - 1]?.key ?? null;
    editor.useTool(kept.tool);
    const spots = kept.corners.map((position) => plane.spot(position));
    this.#drawing?.restore(spots);
    this.#sketched([...spots, spots[spots.length - 1]!], spots.length);
  }

  #sketched(corners: readonly Spot[], set: number): void {
    this.sketch = { corners, set };
    this.editor.measures.ask();
  }
}
