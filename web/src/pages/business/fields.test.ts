import { expect, test } from "vitest";
import { NO_BUSINESS, documentOf, fieldsOf, priceList } from "./fields";

const business = {
  format: "tussock.kept-business/1" as const,
  name: "Example Yard Care (invented)",
  address: "100 Example Avenue\nExampleville, KS 00000",
  jurisdiction: "US-KS",
  licence_until: "2026-12-31",
  contacts: [{ purpose: "questions", name: "J. Example", reach: "620-555-0142" }],
  prices: 'format = "tussock.business/1"\n',
};

test("what was kept of the business comes back as it was, its price list with every line's end", () => {
  expect(documentOf(fieldsOf(business))).toEqual(business);
});

test("what is left blank is left out", () => {
  expect(documentOf({ ...NO_BUSINESS, name: "Example" })).toEqual({
    format: "tussock.kept-business/1",
    name: "Example",
  });
});

test("a price list begins with what is told already, and states no rate that nobody said", () => {
  const told = priceList(fieldsOf({ ...business, name: 'The "Example" (invented)' }));
  const stated = told.split("\n").filter((line) => line !== "" && !line.startsWith("#"));
  expect(stated).toEqual([
    'format = "tussock.business/1"',
    'name = "The \\"Example\\" (invented)"',
    'address = ["100 Example Avenue", "Exampleville, KS 00000"]',
    'telephone = "620-555-0142"',
    'jurisdiction = "US-KS"',
    'currency = "USD"',
  ]);
});

test("a price list takes no telephone for the business's own that is another's, and none that is no telephone", () => {
  const poison = { purpose: "poisoning", name: "Poison center (invented)", reach: "620-555-0911" };
  const office = { purpose: "Office", name: "J. Example", reach: "620-555-0142" };
  const mail = { ...office, reach: "office@example.org" };
  const lineOf = (...contacts: (typeof poison)[]) =>
    priceList({ ...fieldsOf(business), contacts })
      .split("\n")
      .find((line) => line.startsWith("telephone"));
  expect(lineOf(poison)).toBe('telephone = ""');
  expect(lineOf(poison, office)).toBe('telephone = "620-555-0142"');
  expect(lineOf(mail)).toBe('telephone = ""');
});
