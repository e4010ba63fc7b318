// Takes every picture of the list, in each look and at both sizes: `make pictures`.
import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { afterAll, expect, test } from "vitest";
import { LOOKS, SIZES, closeBrowser, openBrowser, type Look, type Size } from "../tests/support";
import { booksFor } from "./books";
import { ENDING, FOLDER, PICTURED } from "./list";
import { rested } from "./pictured";
import { takePicture } from "./sheet";

/** Names of those that are taken, parted by commas; all when nothing is said. */
const only = (process.env.ONLY ?? "").split(",").filter((name) => name !== "");
const wanted = PICTURED.filter(({ name }) => only.length === 0 || only.includes(name));
const folder = process.env.FOLDER ?? fileURLToPath(FOLDER);

afterAll(closeBrowser);

const combinations = LOOKS.flatMap((look) =>
  (Object.keys(SIZES) as Size[]).map((size) => [look, size] as const),
);

test.each(combinations)("in the look %s at the size of a %s", async (look: Look, size: Size) => {
  mkdirSync(folder, { recursive: true });
  const books = await booksFor(size, look);
  const drawing = await (await openBrowser()).newPage();
  const missed: string[] = [];
  const at = { company: books.mara, nobody: books.nobody, home: books.home };
  for (const { name, open, at: where = "company" } of wanted) {
    const { page, context } = at[where];
    page.setDefaultTimeout(20_000);
    try {
      await open({ page, context, books });
      await rested(page);
      await takePicture(page, drawing, `${folder}/${name}-${look}-${size}${ENDING}`, size);
    } catch (error) {
      missed.push(`${name}: ${String(error).split("\n")[0]}`);
    }
  }
  await drawing.close();
  await books.close();
  expect(missed).toEqual([]);
});

test.runIf(only.length === 0)("what is not in the list has no picture any more", () => {
  const names = new Set(
    PICTURED.flatMap(({ name }) => combinations.map(([look, size]) => `${name}-${look}-${size}${ENDING}`)),
  );
  for (const file of readdirSync(folder)) if (!names.has(file)) rmSync(`${folder}/${file}`);
});
