import { expect, test } from "vitest";
import { choicesOf } from "./chosen";

test("what is chosen is among the choices, and each stands there once", () => {
  const listed = [
    ["a", "Alder"],
    ["b", "Birch"],
    ["a", "Alder"],
  ] as const;
  expect(choicesOf([], listed, "b", undefined)).toEqual([
    ["a", "Alder"],
    ["b", "Birch"],
  ]);
  expect(choicesOf([["", "None"]], listed, "z", "Zelkova").map(([one]) => one)).toEqual(["z", "", "a", "b"]);
  expect(choicesOf([["", "None"]], [], "", undefined)).toEqual([["", "None"]]);
});
