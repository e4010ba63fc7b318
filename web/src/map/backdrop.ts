import type { FrameState } from "ol/Map";
import Layer from "ol/layer/Layer";
import type { Look } from "./look";
import type { Spot } from "./plane";
import { placeOf } from "./still-layer";

/** A photo under the map: pixel (x, y) lies at east = a x + c y + e, north = b x + d y + f, in metres. */
export interface Photo {
  readonly picture: ImageBitmap;
  readonly placed: Placement;
  /** From 0, not seen, to 1. */
  readonly strength: number;
}

/** Six numbers that lay a photo on the plane. */
export type Placement = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

/** Where a pixel of a photo lies. */
export function spotOfPixel([a, b, c, d, e, f]: Placement, x: number, y: number): Spot {
  return [a * x + c * y + e, b * x + d * y + f];
}

/** The pixel of a photo at a spot. */
export function pixelOfSpot([a, b, c, d, e, f]: Placement, [east, north]: Spot): [number, number] {
  const determinant = a * d - b * c;
  const [x, y] = [east - e, north - f];
  return [(d * x - c * y) / determinant, (a * y - b * x) / determinant];
}

const FOOT_M = 0.3048;
/** Sides of squares in feet and in metres, and what stands between two bold lines. */
const SIDES = [1, 5, 10, 50, 100, 500, 1000, 5000];
/** Squares are no smaller than this. */
const LEAST_PX = 22;

/** The side of a square at a scale, in the unit of the person. */
export function squareSide(
  metresPerPixel: number,
  units: "us" | "metric",
): { count: number; metres: number } {
  const unit = units === "us" ? FOOT_M : 1;
  const count = SIDES.find((side) => (side * unit) / metresPerPixel >= LEAST_PX) ?? SIDES[SIDES.length - 1]!;
  return { count, metres: count * unit };
}

/** Squared paper, and a photo on it: everything else is drawn above. */
export class Backdrop extends Layer {
  readonly #canvas = document.createElement("canvas");
  /** What the canvas shows, so that it is drawn anew when that is another. */
  #drawn = "";
  photo: Photo | null = null;
  units: "us" | "metric" = "us";

  constructor(public look: Look) {
    super({});
    this.#canvas.className = "backdrop";
  }

  override render(frame: FrameState | null): HTMLElement {
    const pen = this.#canvas.getContext("2d");
    if (!frame || !pen) return this.#canvas;
    const drawn = `${this.getRevision()} ${placeOf(frame)}`;
    if (drawn === this.#drawn) return this.#canvas;
    this.#drawn = drawn;
    const [width, height] = frame.size as [number, number];
    const ratio = frame.pixelRatio;
    const [across, down] = [Math.round(width * ratio), Math.round(height * ratio)];
    if (this.#canvas.width !== across || this.#canvas.height !== down) {
      this.#canvas.width = across;
      this.#canvas.height = down;
    }
    Object.assign(this.#canvas.style, { position: "absolute", width: `${width}px`, height: `${height}px` });
    const { resolution } = frame.viewState;
    const center: Spot = [frame.viewState.center[0]!, frame.viewState.center[1]!];
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.fillStyle = this.look.paper;
    pen.fillRect(0, 0, width, height);
    const x = (east: number) => (east - center[0]) / resolution + width / 2;
    const y = (north: number) => (center[1] - north) / resolution + height / 2;
    this.#squares(pen, { width, height, center, resolution, x, y });
    if (this.photo) {
      const [a, b, c, d, e, f] = this.photo.placed;
      pen.setTransform(
        (a / resolution) * ratio,
        (-b / resolution) * ratio,
        (c / resolution) * ratio,
        (-d / resolution) * ratio,
        x(e) * ratio,
        y(f) * ratio,
      );
      pen.globalAlpha = this.photo.strength;
      pen.drawImage(this.photo.picture, 0, 0);
      pen.globalAlpha = 1;
    }
    return this.#canvas;
  }

  #squares(
    pen: CanvasRenderingContext2D,
    view: {
      width: number;
      height: number;
      center: Spot;
      resolution: number;
      x: (east: number) => number;
      y: (north: number) => number;
    },
  ): void {
    const { metres } = squareSide(view.resolution, this.units);
    const first = (middle: number, half: number) => Math.ceil((middle - half * view.resolution) / metres);
    const last = (middle: number, half: number) => Math.floor((middle + half * view.resolution) / metres);
    pen.strokeStyle = this.look.square;
    for (const bold of [false, true]) {
      pen.lineWidth = bold ? 2 : 1;
      pen.beginPath();
      for (
        let at = first(view.center[0], view.width / 2);
        at <= last(view.center[0], view.width / 2);
        at += 1
      ) {
        if ((at % 5 === 0) !== bold) continue;
        const x = Math.round(view.x(at * metres)) + 0.5;
        pen.moveTo(x, 0);
        pen.lineTo(x, view.height);
      }
      for (
        let at = first(view.center[1], view.height / 2);
        at <= last(view.center[1], view.height / 2);
        at += 1
      ) {
        if ((at % 5 === 0) !== bold) continue;
        const y = Math.round(view.y(at * metres)) + 0.5;
        pen.moveTo(0, y);
        pen.lineTo(view.width, y);
      }
      pen.stroke();
    }
  }
}
