// Presses every text file of the build beside itself, so that the server need not do it for each answer.
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { constants, brotliCompressSync, gzipSync } from "node:zlib";

const dist = new URL("../dist/", import.meta.url).pathname;
const text = /\.(?:js|css|html|svg|webmanifest)$/;
for (const name of readdirSync(dist, { recursive: true })) {
  if (!text.test(name)) continue;
  const bytes = readFileSync(join(dist, name));
  writeFileSync(join(dist, `${name}.gz`), gzipSync(bytes, { level: 9 }));
  const quality = { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } };
  writeFileSync(join(dist, `${name}.br`), brotliCompressSync(bytes, quality));
}
