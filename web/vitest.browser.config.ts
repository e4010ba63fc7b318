import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    // One server and one browser at a time: two cores, and clear logs.
    fileParallelism: false,
    // On a machine that is busy a page may miss its time once; the report names what needed a second try.
    retry: 1,
    testTimeout: 60_000,
    hookTimeout: 60_000,
  },
});
