import { expect, test } from "vitest";
import { NO_CLIENT, documentOf, fieldsOf } from "./fields";

test("what was kept of a client comes back as it was, line by line", () => {
  const client = {
    format: "tussock.kept-client/1" as const,
    name: "A. Sample (invented)",
    address: "1 First Lane\nExampleville",
    disclosures: ["two children", "hives by the fence"],
    neighbours: [{ name: "B. Sample (invented)", reach: "620-555-0100", abuts: false }],
  };
  expect(documentOf(fieldsOf(client))).toEqual(client);
});

test("what is left blank is left out, and a line of blanks is none", () => {
  const fields = { ...NO_CLIENT, name: "A. Sample (invented)", disclosures: " a dog \n\n " };
  expect(documentOf(fields)).toEqual({
    format: "tussock.kept-client/1",
    name: "A. Sample (invented)",
    disclosures: ["a dog"],
  });
});
