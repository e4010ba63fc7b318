import { expect, test } from "vitest";
import text from "../../../pests/characters.toml?raw";
import { DRAWINGS } from "./drawings";

/** The states of every character, as the program's own file has them. */
const states = new Map(
  text
    .split("[[character]]")
    .slice(1)
    .map((part) => {
      const [own, ...more] = part.split("[[character.state]]");
      const id = (of: string) => /^id = "(.+)"$/m.exec(of)?.[1] ?? "";
      return [id(own!), more.map(id)] as const;
    }),
);

test.each(Object.keys(DRAWINGS))("every state of %s is drawn, and each in a way of its own", (character) => {
  const drawn = DRAWINGS[character]!;
  expect(Object.keys(drawn).sort()).toEqual([...states.get(character)!].sort());
  const pictures = Object.values(drawn).map(({ lines, solid }) => lines + (solid ?? ""));
  expect(new Set(pictures).size).toBe(pictures.length);
});
