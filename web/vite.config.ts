import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

// Where `npm run dev` finds the server that answers.
const server = process.env.TUSSOCK_SERVER ?? "http://127.0.0.1:7878";

export default defineConfig({
  plugins: [svelte()],
  build: {
    // Styles and pictures stay files of their own: the security policy forbids what is written inline.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
    sourcemap: false,
  },
  // The schemas of the files stand beside the pages: forms are made of them.
  server: { proxy: { "/api": server }, fs: { allow: [".."] } },
});
