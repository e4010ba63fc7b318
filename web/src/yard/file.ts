// What waits, as a file: whatever happens to the device, a person can carry it elsewhere.
import { database, STRICT, type Waiting } from "./database";

const FORMAT = "tussock.yard/1";

function toText(bytes: ArrayBuffer): string {
  let text = "";
  for (const byte of new Uint8Array(bytes)) text += String.fromCharCode(byte);
  return btoa(text);
}

function toBytes(text: string): ArrayBuffer {
  return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)).buffer;
}

/** The text of a file with all these deeds. */
export function toFile(waiting: readonly Waiting[]): string {
  const deeds = waiting.map(({ picture, ...deed }) =>
    picture ? { ...deed, picture: { kind: picture.kind, bytes: toText(picture.bytes) } } : deed,
  );
  return JSON.stringify({ format: FORMAT, deeds }, null, 2);
}

/** The deeds of such a file; `null` for a text that is none. */
export function fromFile(text: string): Waiting[] | null {
  try {
    const read = JSON.parse(text) as { format?: unknown; deeds?: unknown };
    if (read.format !== FORMAT || !Array.isArray(read.deeds)) return null;
    return read.deeds.map((deed: Record<string, unknown>) => {
      const { key, who, what, title, madeAt, path, query, after, picture } = deed;
      const texts = [key, who, what, title, madeAt, path];
      if (!texts.every((text) => typeof text === "string") || typeof query !== "object")
        throw new Error("a field");
      if (!["/api/surveys", "/api/records/of-visit", "/api/files"].includes(path as string))
        throw new Error("a path");
      const kept = { ...deed, problems: [], broken: undefined, slow: 0, tries: 0 } as unknown as Waiting;
      if (after !== undefined && typeof after !== "string") throw new Error("a field");
      if (picture !== undefined) {
        const { kind, bytes } = picture as { kind: string; bytes: string };
        kept.picture = { kind, bytes: toBytes(bytes) };
      }
      return kept;
    });
  } catch {
    return null;
  }
}

/**
 * Puts deeds of a file to what waits. What waits or was delivered already is passed over; the rest keeps its key, so
 * that the server knows it if another device has sent it.
 *
 * @returns how many were put there
 */
export async function takeIn(deeds: readonly Waiting[], who: string): Promise<number> {
  const db = await database();
  const writing = db.transaction(["waiting", "delivered"], "readwrite", STRICT);
  let count = 0;
  for (const deed of deeds) {
    const there = await writing.objectStore("waiting").getKey(deed.key);
    const was = await writing.objectStore("delivered").getKey(deed.key);
    if (there !== undefined || was !== undefined) continue;
    void writing.objectStore("waiting").put({ ...deed, who });
    count += 1;
  }
  await writing.done;
  return count;
}
