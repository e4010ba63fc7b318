// A small picture as a file, with a pattern that no other has.
import { crc32, deflateSync } from "node:zlib";

/** Sides of the pattern in fields, and of a field in points. */
const [ACROSS, DOWN, FIELD] = [4, 3, 8];

/** A PNG file of grey fields; `shade` tells each, from 0 to 255. */
export function picture(shade: () => number): Buffer {
  const shades = Array.from({ length: ACROSS * DOWN }, shade);
  const rows = Array.from({ length: DOWN * FIELD }, (_, y) => {
    const fields = Array.from(
      { length: ACROSS * FIELD },
      (_, x) => shades[Math.floor(y / FIELD) * ACROSS + Math.floor(x / FIELD)]!,
    );
    // Each row begins with how it is told: as it is.
    return Buffer.from([0, ...fields]);
  });
  const head = Buffer.alloc(13);
  head.writeUInt32BE(ACROSS * FIELD, 0);
  head.writeUInt32BE(DOWN * FIELD, 4);
  // Eight bits of grey.
  head.writeUInt8(8, 8);
  const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return Buffer.concat([
    signature,
    chunk("IHDR", head),
    chunk("IDAT", deflateSync(Buffer.concat(rows))),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function chunk(kind: string, content: Buffer): Buffer {
  const told = Buffer.concat([Buffer.from(kind, "ascii"), content]);
  const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(content.length);
  sum.writeUInt32BE(crc32(told));
  return Buffer.concat([length, told, sum]);
}
