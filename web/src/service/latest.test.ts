import { expect, test, vi } from "vitest";
import { Latest } from "./latest";
import { Refused } from "./problem";

test("the last answer is that of the last question, and what was passed over is not asked", async () => {
  const asked: number[] = [];
  const told: [number | null, boolean][] = [];
  let free: () => void = () => {};
  const latest = new Latest<number, number>(
    async (question) => {
      asked.push(question);
      if (question === 1) await new Promise<void>((resolve) => (free = resolve));
      return question * 10;
    },
    (outcome, _, isLast) => told.push([outcome.answer, isLast]),
    0,
  );
  latest.ask(1);
  latest.ask(2);
  latest.ask(3);
  free();
  await vi.waitFor(() => expect(told).toHaveLength(2));
  expect(asked).toEqual([1, 3]);
  expect(told).toEqual([
    [10, false],
    [30, true],
  ]);
});

test("a question that waits is dropped for a newer one, and a refusal is told", async () => {
  const asked: string[] = [];
  const told: number[] = [];
  const latest = new Latest<string, string>(
    async (question) => {
      asked.push(question);
      throw new Refused(422, [{ code: "a", severity: "error", found: "wrong" } as never]);
    },
    (outcome) => told.push(outcome.problems.length),
    0,
  );
  latest.ask("first", 20);
  latest.ask("second", 20);
  await vi.waitFor(() => expect(told).toEqual([1]));
  expect(asked).toEqual(["second"]);
  latest.stop();
  latest.ask("third");
  expect(asked).toEqual(["second"]);
});

test("what waits can be put off, for as long as something goes on", async () => {
  const asked: number[] = [];
  const latest = new Latest<number, number>(
    async (question) => (asked.push(question), question),
    () => {},
    0,
  );
  latest.ask(1, 30);
  for (let at = 0; at < 5; at += 1) {
    await new Promise((resolve) => setTimeout(resolve, 15));
    latest.putOff(30);
  }
  expect(asked).toEqual([]);
  await vi.waitFor(() => expect(asked).toEqual([1]));
  latest.putOff(0);
  await new Promise((resolve) => setTimeout(resolve, 10));
  expect(asked).toEqual([1]);
});
