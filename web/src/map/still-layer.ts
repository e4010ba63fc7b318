import type { FrameState } from "ol/Map";
import { extend, type Extent } from "ol/extent";
import VectorLayer from "ol/layer/Vector";

/** What is drawn reaches no farther beyond its geometry: half the widest line with its mitres, a sign with its ring. */
const REACH_PX = 26;

/** Where the map stands in a frame; what was drawn in another place does not hold. */
export function placeOf({ viewState, size, pixelRatio, viewHints }: FrameState): string {
  return [viewState.center, viewState.resolution, viewState.rotation, size, pixelRatio, viewHints].join();
}

/**
 * A layer on a canvas of its own, which is drawn on when something changed, and only there. The library draws every layer
 * anew in each frame, and where one of them keeps words apart it draws all of them twice; that takes most of a drag's time
 * where there is no graphics processor.
 */
export class StillLayer extends VectorLayer {
  #element: HTMLElement | null = null;
  /** The place and the revision that the canvas shows. */
  #place = "";
  #revision = -1;
  /** All that changed from one revision to another, where that is known. */
  #patch: { from: number; to: number; extent: Extent } | null = null;
  #isDrawing = false;
  #above: VectorLayer | null = null;

  /** Draws another layer above this one on the same canvas: each canvas costs where there is no graphics processor. */
  carry(above: VectorLayer): void {
    this.#above = above;
    above.on("change", () => this.changed());
  }

  /** Does what changes the layer, or the one that it carries, inside the extent that comes back, and nowhere else. */
  change(work: () => Extent): void {
    const from = this.getRevision();
    const extent = work();
    const to = this.getRevision();
    if (this.#patch?.to === from)
      this.#patch = { ...this.#patch, to, extent: extend(this.#patch.extent, extent) };
    else this.#patch = { from, to, extent };
  }

  /** Words are kept apart among themselves: the map need not know of it. */
  override getDeclutter(): string {
    return (this.#isDrawing ? super.getDeclutter() : undefined) as string;
  }

  override render(frame: FrameState | null, _: HTMLElement): HTMLElement | null {
    if (!frame) return null;
    const [place, revision] = [placeOf(frame), this.getRevision()];
    if (place === this.#place && revision === this.#revision) return this.#element;
    const patch = this.#patch;
    const isPatch = place === this.#place && patch?.from === this.#revision && patch.to === revision;
    const pen = isPatch && this.#element ? this.#pen : null;
    pen?.save();
    if (pen) clip(pen, frame, patch!.extent);
    this.#element = this.#drawn(frame);
    pen?.restore();
    this.#patch = null;
    [this.#place, this.#revision] = [place, revision];
    return this.#element;
  }

  get #pen(): CanvasRenderingContext2D | null {
    return this.getRenderer()?.context as CanvasRenderingContext2D | null;
  }

  /** Draws; null where there is nothing to be seen, so that no empty canvas lies on the others. */
  #drawn(frame: FrameState): HTMLElement | null {
    this.#isDrawing = true;
    const declutter = this.getDeclutter() === undefined ? null : {};
    const own = { ...frame, declutter };
    const element = super.render(own, null as never);
    if (element) this.#above?.render(own, element);
    if (declutter) {
      const state = frame.layerStatesArray[frame.layerIndex];
      this.renderDeclutter(own as never, state as never);
      this.renderDeferred(own as never);
    }
    this.#isDrawing = false;
    return this.#isEmpty() ? null : element;
  }

  #isEmpty(): boolean {
    return [this, this.#above].every((layer) => layer?.getSource()?.isEmpty() !== false);
  }
}

/** Whole pixels round an extent: a clip through a pixel would leave a seam. */
function clip(pen: CanvasRenderingContext2D, frame: FrameState, [west, south, east, north]: Extent): void {
  const { viewState, size, pixelRatio } = frame;
  const { center, resolution } = viewState;
  const across = (x: number) => ((x - center[0]!) / resolution + size[0]! / 2) * pixelRatio;
  const down = (y: number) => ((center[1]! - y) / resolution + size[1]! / 2) * pixelRatio;
  const reach = REACH_PX * pixelRatio;
  const [left, top] = [Math.floor(across(west!) - reach), Math.floor(down(north!) - reach)];
  const [right, bottom] = [Math.ceil(across(east!) + reach), Math.ceil(down(south!) + reach)];
  pen.beginPath();
  pen.rect(left, top, Math.max(0, right - left), Math.max(0, bottom - top));
  pen.clip();
}
