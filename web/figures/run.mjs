// Runs the figures, which are written in TypeScript, with what builds the pages.
import { runnerImport } from "vite";

const { module } = await runnerImport("./figures/main.ts");
await module.main();
