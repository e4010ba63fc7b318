import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["pictures/take.ts"],
    fileParallelism: false,
    // Some forty pages one after another.
    testTimeout: 600_000,
    hookTimeout: 60_000,
  },
});
