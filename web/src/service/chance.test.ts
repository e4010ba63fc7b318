import { expect, test } from "vitest";
import { freshPassword } from "./chance";

test("a password by chance has six groups of four letters that nobody mixes up, and no two are alike", () => {
  const many = Array.from({ length: 200 }, freshPassword);
  for (const one of many) expect(one).toMatch(/^[a-km-np-z2-9]{4}(-[a-km-np-z2-9]{4}){5}$/);
  expect(new Set(many).size).toBe(200);
  // Each of the 32 stands somewhere in 4,800 letters.
  expect(new Set(many.join("").replaceAll("-", "")).size).toBe(32);
});
