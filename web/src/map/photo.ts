import { spotOfPixel, type Placement } from "./backdrop";
import { distance, type Plane, type Spot } from "./plane";

/** A longer side than this costs frames and shows no more. */
export const LONGEST_PX = 2048;

/** A photo as it is kept on the device. */
export interface KeptPhoto {
  readonly file: Blob;
  readonly name: string;
  readonly placed: Placement;
  readonly strength: number;
}

/** The picture was none that this browser reads. */
export class NoPicture extends Error {}

/** Reads a picture, no larger than is of use; `scale` says by how much it was made smaller. */
export async function readPicture(file: Blob): Promise<{ picture: ImageBitmap; file: Blob; scale: number }> {
  let whole: ImageBitmap;
  try {
    whole = await createImageBitmap(file);
  } catch (cause) {
    throw new NoPicture("no picture", { cause });
  }
  const scale = Math.min(1, LONGEST_PX / Math.max(whole.width, whole.height));
  if (scale === 1) return { picture: whole, file, scale };
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(whole.width * scale);
  canvas.height = Math.round(whole.height * scale);
  canvas.getContext("2d")?.drawImage(whole, 0, 0, canvas.width, canvas.height);
  whole.close();
  const smaller = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
  if (!smaller) throw new NoPicture("the picture could not be made smaller");
  return { picture: await createImageBitmap(canvas), file: smaller, scale };
}

/** A photo laid round a spot, north up, so wide. */
export function laid(picture: { width: number; height: number }, middle: Spot, widthM: number): Placement {
  const scale = widthM / picture.width;
  return [scale, 0, 0, -scale, middle[0] - widthM / 2, middle[1] + (picture.height * scale) / 2];
}

function about(
  placed: Placement,
  middle: Spot,
  [a, b, c, d]: readonly [number, number, number, number],
): Placement {
  const [pa, pb, pc, pd, pe, pf] = placed;
  const turn = (east: number, north: number): [number, number] => [
    a * east + c * north,
    b * east + d * north,
  ];
  const [first, second, corner] = [turn(pa, pb), turn(pc, pd), turn(pe - middle[0], pf - middle[1])];
  return [...first, ...second, corner[0] + middle[0], corner[1] + middle[1]];
}

/** The photo made larger or smaller so that two of its places are so far apart; the first stays where it is. */
export function scaledByTwo(placed: Placement, one: Spot, other: Spot, apartM: number): Placement {
  const factor = apartM / distance(one, other);
  return about(placed, one, [factor, 0, 0, factor]);
}

/** The photo turned clockwise about a spot. */
export function turned(placed: Placement, middle: Spot, degrees: number): Placement {
  const angle = (-degrees * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return about(placed, middle, [cos, sin, -sin, cos]);
}

/** The photo moved. */
export function moved([a, b, c, d, e, f]: Placement, by: Spot): Placement {
  return [a, b, c, d, e + by[0], f + by[1]];
}

/** The middle of the photo. */
export function middleOf(placed: Placement, picture: { width: number; height: number }): Spot {
  return spotOfPixel(placed, picture.width / 2, picture.height / 2);
}

/** Why a world file cannot be used. */
export type WorldFault = "lines" | "not-degrees";

/**
 * Where a world file lays a photo: six lines, the steps of a pixel and the middle of the first pixel, in degrees of
 * longitude and latitude. `scale` is by how much the photo was made smaller since.
 */
export function worldPlacement(text: string, plane: Plane, scale: number): Placement | WorldFault {
  const numbers = text.trim().split(/\s+/).map(Number);
  if (numbers.length !== 6 || !numbers.every(Number.isFinite)) return "lines";
  const [a, d, b, e, c, f] = numbers as [number, number, number, number, number, number];
  // A projected system counts metres; a pixel of a degree would be an aerial photo of a continent.
  const isDegrees =
    Math.abs(c) <= 180 && Math.abs(f) <= 90 && Math.abs(a) + Math.abs(b) + Math.abs(d) + Math.abs(e) < 0.01;
  if (!isDegrees) return "not-degrees";
  const at = (x: number, y: number) => {
    const [column, row] = [x / scale - 0.5, y / scale - 0.5];
    return plane.spot([c + a * column + b * row, f + d * column + e * row]);
  };
  // Over a whole photo, so that the slight bend of the meridians is shared out.
  const span = LONGEST_PX;
  const [corner, right, below] = [at(0, 0), at(span, 0), at(0, span)];
  return [
    (right[0] - corner[0]) / span,
    (right[1] - corner[1]) / span,
    (below[0] - corner[0]) / span,
    (below[1] - corner[1]) / span,
    corner[0],
    corner[1],
  ];
}
