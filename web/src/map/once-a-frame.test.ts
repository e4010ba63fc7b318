import { beforeEach, expect, test, vi } from "vitest";
import { OnceAFrame } from "./once-a-frame";

let frames: Map<number, () => void>;
let now: number;
let done: string[];

beforeEach(() => {
  vi.useFakeTimers();
  frames = new Map();
  [now, done] = [0, []];
  let number = 0;
  vi.stubGlobal("requestAnimationFrame", (draw: () => void) => {
    frames.set((number += 1), draw);
    return number;
  });
  vi.stubGlobal("cancelAnimationFrame", (at: number) => frames.delete(at));
  vi.spyOn(performance, "now").mockImplementation(() => now);
  return () => {
    vi.restoreAllMocks();
    vi.useRealTimers();
    vi.unstubAllGlobals();
  };
});

function pass(ms: number): void {
  now += ms;
  vi.advanceTimersByTime(ms);
}

/** A frame in which drawing takes so long. */
function frame(tookMs = 1): void {
  const due = [...frames.values()];
  frames.clear();
  for (const draw of due) draw();
  pass(tookMs);
}

const following = () =>
  new OnceAFrame<number>(
    (value) => done.push(String(value)),
    () => done.push("drawn"),
  );

test("the newest is done and drawn once a frame, and what waits is done when it must be", () => {
  const follow = following();
  follow.ask(1);
  follow.ask(2);
  expect(done).toEqual([]);
  frame();
  frame();
  expect(done).toEqual(["2", "drawn"]);
  follow.ask(3);
  follow.now();
  frame();
  expect(done).toEqual(["2", "drawn", "3", "drawn"]);
});

test("behind a slow frame there is a rest, which an answer ends", () => {
  const follow = following();
  follow.ask(1);
  // A timer runs behind the frame, and sees what it took.
  for (const draw of frames.values()) draw();
  frames.clear();
  now += 80;
  vi.advanceTimersByTime(0);
  follow.ask(2);
  follow.ask(3);
  frame();
  expect(done).toEqual(["1", "drawn"]);
  follow.soon();
  frame();
  expect(done).toEqual(["1", "drawn", "3", "drawn"]);
});

test("a rest without an answer ends by itself", () => {
  const follow = following();
  follow.ask(1);
  for (const draw of frames.values()) draw();
  frames.clear();
  now += 80;
  vi.advanceTimersByTime(0);
  follow.ask(2);
  pass(149);
  frame(0);
  expect(done).toEqual(["1", "drawn"]);
  pass(2);
  frame(0);
  expect(done).toEqual(["1", "drawn", "2", "drawn"]);
});

test("where frames are slow, the one that shows an answer does not do again what was done with it", () => {
  const follow = following();
  const slow = () => {
    for (const draw of [...frames.values()]) draw();
    frames.clear();
    now += 40;
    vi.advanceTimersByTime(0);
  };
  follow.ask(1);
  slow();
  follow.ask(2);
  follow.settle();
  follow.ask(3);
  slow();
  expect(done).toEqual(["1", "drawn", "2", "drawn"]);
  // What came meanwhile is not forgotten.
  pass(150);
  slow();
  expect(done).toEqual(["1", "drawn", "2", "drawn", "3", "drawn"]);
  // An answer that found nothing to do leaves the frame its own.
  follow.settle();
  follow.ask(4);
  slow();
  expect(done.slice(6)).toEqual(["4", "drawn"]);
});
