import labelSchema from "../../../schema/label.schema.json?raw";
import requestSchema from "../../../schema/visit-request.schema.json?raw";
import { expect, test } from "vitest";
import { arising, blank, readSchema, type GroupNode } from "./schema";
import { tell, toldOf } from "./told";

const label = readSchema(labelSchema);
const field = (group: GroupNode, name: string) => group.fields.find((one) => one.name === name)!;

test("a form asks what the label's schema has, and its format is no question", () => {
  expect(label.fields.map(({ name }) => name)).toEqual([
    "id",
    "product",
    "precaution",
    "first_aid",
    "storage_and_disposal",
    "restraints",
    "use",
  ]);
  const product = field(label, "product").node as GroupNode;
  expect(field(product, "use_class").node).toMatchObject({
    kind: "word",
    words: ["unclassified", "restricted"],
  });
  expect([field(product, "label_date").node.kind, field(product, "registered_in").node.kind]).toEqual([
    "day",
    "texts",
  ]);
  const restraints = field(label, "restraints").node as GroupNode;
  const wind = field(restraints, "wind").node as GroupNode;
  expect(wind.fields.map(({ name, node }) => `${name} ${node.kind}`)).toEqual([
    "at_least text",
    "at_most text",
    "gusts_count flag",
    "text text",
    "page number",
    "strength word",
    "scope word",
    "state text",
    "not_applicable flag",
  ]);
  expect(field(restraints, "cap").node.kind).toBe("groups");
});

test("what must be there is there from the start", () => {
  const product = field(label, "product").node as GroupNode;
  expect(blank(product)).toEqual({ active_ingredient: [{}] });
});

test("fields of a calibration follow its method", () => {
  const calibration = readSchema(requestSchema, "calibration");
  const names = (value: Record<string, unknown>) => arising(calibration, value).map(({ name }) => name);
  expect(names({})).toEqual(["name", "method", "person", "date", "nozzle", "pressure"]);
  expect(names({ method: "stated" })).toContain("output");
  const area = arising(calibration, { method: "test-area" }).find(({ name }) => name === "refills");
  expect(area?.isRequired).toBe(true);
  expect(names({ method: "test-area" })).not.toContain("output");
});

test("a problem belongs to its field, also to one that is missing", () => {
  const told = toldOf([
    {
      code: "toml::missing-field",
      severity: "error",
      found: "`text` is missing in `use[1]`",
      expected: "a field `text`, the sentence",
      path: "use[1]",
    },
    {
      code: "toml::bad-quantity",
      severity: "error",
      found: "no basis",
      mend: "say per what",
      path: "use[1].rate.highest",
    },
  ] as never);
  expect(told.map(({ path }) => path)).toEqual(["use[1].text", "use[1].rate.highest"]);
  expect(tell(told)).toBe("wanted: the sentence; no basis: say per what");
});
