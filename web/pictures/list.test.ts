import { readdirSync, statSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { ROUTES } from "../src/house/routes";
import { LOOKS, SIZES } from "../tests/support";
import { ENDING, FOLDER, PICTURED } from "./list";

test("every page of the house is in the list of pictures, and nothing else", () => {
  const pictured = new Set(PICTURED.map(({ route }) => route));
  const pages = new Set([...ROUTES.map(({ path }) => path), "*"]);
  expect([...pages].filter((path) => !pictured.has(path))).toEqual([]);
  expect([...pictured].filter((path) => !pages.has(path))).toEqual([]);
  const names = PICTURED.map(({ name }) => name);
  expect(names.filter((name, at) => names.indexOf(name) !== at)).toEqual([]);
});

test("each is there in every look and at both sizes, and all of them together stay small: call `make pictures`", () => {
  const folder = fileURLToPath(FOLDER);
  const wanted = PICTURED.flatMap(({ name }) =>
    LOOKS.flatMap((look) => Object.keys(SIZES).map((size) => `${name}-${look}-${size}${ENDING}`)),
  );
  const there = readdirSync(folder);
  expect(wanted.filter((file) => !there.includes(file))).toEqual([]);
  expect(there.filter((file) => !wanted.includes(file))).toEqual([]);
  const bytes = there.reduce((sum, file) => sum + statSync(folder + file).size, 0);
  expect(bytes).toBeLessThan(20e6);
});
