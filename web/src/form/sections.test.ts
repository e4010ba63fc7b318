import labelSchema from "../../../schema/label.schema.json?raw";
import { expect, test } from "vitest";
import { readSchema } from "./schema";
import { hasAnswer, sectionsOf } from "./sections";
import { toldOf } from "./told";

const label = readSchema(labelSchema);

test("each section stands once, called by what it says itself, with what is to be mended in it", () => {
  const told = toldOf(
    ["use[1].rate.highest", "use[10].rate.highest", "use[1]", "product"].map((path) => ({
      code: "toml::bad-quantity",
      severity: "error",
      found: "no basis",
      path,
    })) as never,
  );
  const file = { id: "x", product: {}, use: [{ id: "lawn" }, {}], restraints: { wind: {} } };
  expect(sectionsOf(label, file, told)).toEqual([
    { path: "product", title: "Product", toMend: 1 },
    { path: "restraints", title: "What binds every use", toMend: 0 },
    { path: "use[1]", title: "Use 1: lawn", toMend: 2 },
    { path: "use[2]", title: "Use 2", toMend: 0 },
  ]);
});

test("what was only begun has no answer", () => {
  expect([{}, { a: [{}] }, { a: " ", b: false, c: null }].map(hasAnswer)).toEqual([false, false, false]);
  expect([{ a: [{ b: 0 }] }, { a: true }, { a: "x" }].map(hasAnswer)).toEqual([true, true, true]);
});
