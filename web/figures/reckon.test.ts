import { expect, test } from "vitest";
import { reckon, share } from "./reckon";
import type { Noted, Question } from "./watch";

const question = (x: number, asked: number, answered: number, status = 200): Question => ({
  body: String(x),
  asked,
  answered,
  status,
});
const cornerOf = ({ body }: Question) => ({ x: Number(body), y: 0 });

/** Three moves; a question has the first, another the third, and a frame begins every ten milliseconds. */
function noted(): Noted {
  return {
    moves: [0, 10, 20].map((at) => ({ at, x: at, y: 0 })),
    questions: [question(0, 2, 12), question(20, 22, 32)],
    marks: [
      // Drawn between question and answer: the zones are those of before.
      { name: "map shown", at: 11 },
      { name: "map drawn", at: 11.5 },
      { name: "zones told", at: 12.5 },
      { name: "map shown", at: 13 },
      { name: "map drawn", at: 21 },
      { name: "zones told", at: 33 },
      { name: "map shown", at: 34 },
      { name: "map drawn", at: 41 },
    ],
    frames: [0, 10, 20, 30, 40, 50],
  };
}

test("a move counts until the frame after the one with zones of its own map, or of a newer one", () => {
  const { samples } = reckon(noted(), cornerOf);
  expect(samples.map(({ asked }) => asked)).toEqual([2, 12, 2]);
  expect(samples.map(({ drawn }) => drawn)).toEqual([21, 31, 21]);
  expect(samples.map(({ seen }) => seen)).toEqual([30, 40, 30]);
  expect(samples.map(({ server }) => server)).toEqual([10, 10, 10]);
});

test("a refused map has no zones: its moves wait for the next that has", () => {
  const one = noted();
  one.questions[0] = question(0, 2, 12, 422);
  const { samples, refused } = reckon(one, cornerOf);
  expect(samples.map(({ seen }) => seen)).toEqual([50, 40, 30]);
  expect(refused).toEqual([422]);
});

test("figures without zones for the last move, or of a map that nobody moved, are none", () => {
  const unanswered = noted();
  unanswered.questions.pop();
  unanswered.marks = unanswered.marks.filter(({ at }) => at < 30);
  expect(() => reckon(unanswered, cornerOf)).toThrow("3 moves, and zones of 1 of them");
  const elsewhere = noted();
  elsewhere.questions[0] = question(5, 2, 12);
  expect(() => reckon(elsewhere, cornerOf)).toThrow("no move went to 5.0, 0.0");
});

test("shares are values that were measured", () => {
  const values = Array.from({ length: 20 }, (_, at) => 20 - at);
  expect([share(values, 0.5), share(values, 0.95), share(values, 1)]).toEqual([10, 19, 20]);
});
