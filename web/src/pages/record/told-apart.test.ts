import { expect, test } from "vitest";
import { toldApart, type Told } from "./told-apart";

const told = (wind: string, covered: string, sentences: string[]): Told => ({
  name: "Alder Bend",
  found_by: "",
  caution: "",
  sections: [
    {
      heading: "Weather",
      parts: [
        { kind: "table", head: ["", "Wind"], rows: [["At the start", wind]] },
        { kind: "facts", facts: [{ asked: "Began", said: "07:05" }] },
      ],
    },
    {
      heading: "Task lawn",
      parts: [
        { kind: "table", head: ["Tank", "Covered"], rows: [["1", covered]] },
        { kind: "points", points: sentences },
      ],
    },
  ],
});

test("what two versions tell otherwise is told part by part", () => {
  const before = told("4 mph", "1,000 sq ft", ["Tank 1: go on.", "kept"]);
  expect(toldApart(before, before)).toEqual([]);
  // A hash is no difference of what they tell.
  const books = {
    heading: "Versions in the books",
    parts: [{ kind: "points" as const, points: ["hash 12"] }],
  };
  expect(toldApart(before, { ...before, sections: [...before.sections, books] })).toEqual([]);
  expect(toldApart(before, told("6 mph", "1,200 sq ft", ["Tank 1: STOP.", "kept"]))).toEqual([
    { subject: "Weather: At the start, Wind", was: "4 mph", is: "6 mph" },
    { subject: "Task lawn: Tank 1, Covered", was: "1,000 sq ft", is: "1,200 sq ft" },
    { subject: "Task lawn", was: "Tank 1: go on.", is: null },
    { subject: "Task lawn", was: null, is: "Tank 1: STOP." },
  ]);
});
