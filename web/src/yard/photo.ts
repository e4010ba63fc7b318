// A photo as it goes to the books: no larger than shows what is on it.

/** The longer side of what is kept, in points. */
const LONGEST = 2048;
const QUALITY = 0.85;

export interface Photo {
  title: string;
  kind: string;
  bytes: ArrayBuffer;
}

/** A picture that a person picked, made smaller where it is large; `null` where the browser cannot read it. */
export async function photoOf(file: File): Promise<Photo | null> {
  let picture: ImageBitmap;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return null;
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  // What the camera wrote beside the picture, the place among it, is not kept with it.
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  if (blob === null) return null;
  const name = file.name.replace(/\.\w+$/, "").replace(/[^\p{L}\p{N} ._-]/gu, "") || "photo";
  return { title: `${name}.jpg`, kind: "image/jpeg", bytes: await blob.arrayBuffer() };
}
