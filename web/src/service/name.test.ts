import { expect, test } from "vitest";
import { freshName } from "./name";

test("names are of version 7, carry their time, and differ", () => {
  // RFC 9562, appendix A.6: the time 2022-02-22T14:22:22.000-05:00 is 0x017F22E279B0.
  const name = freshName(0x017f22e279b0);
  expect(name).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  expect(freshName(0x017f22e279b0)).not.toBe(name);
});
