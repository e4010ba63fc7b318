// Builds the service worker, which knows every file of the pages by name: run after the pages are built.
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { build } from "vite";

const dist = new URL("../dist/", import.meta.url).pathname;
const files = readdirSync(dist, { recursive: true })
  .filter(
    (name) =>
      statSync(join(dist, name)).isFile() && !/\.(?:br|gz)$|^\./.test(name) && name !== "service-worker.js",
  )
  .sort();
const hash = createHash("sha256");
for (const name of files) hash.update(name).update(readFileSync(join(dist, name)));
await build({
  configFile: false,
  logLevel: "warn",
  define: {
    __FILES__: JSON.stringify(files.map((name) => (name === "index.html" ? "/" : `/${name}`))),
    __HASH__: JSON.stringify(hash.digest("hex").slice(0, 16)),
  },
  build: {
    outDir: dist,
    emptyOutDir: false,
    copyPublicDir: false,
    target: "es2022",
    lib: {
      entry: new URL("../worker/service-worker.ts", import.meta.url).pathname,
      formats: ["es"],
      fileName: () => "service-worker.js",
    },
  },
});
