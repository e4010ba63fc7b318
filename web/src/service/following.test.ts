import { beforeEach, expect, test, vi } from "vitest";
import { Following } from "./following";

let frames: (() => void)[];

beforeEach(() => {
  vi.useFakeTimers();
  frames = [];
  vi.stubGlobal("requestAnimationFrame", (draw: () => void) => frames.push(draw));
  return () => {
    vi.useRealTimers();
    vi.unstubAllGlobals();
  };
});

function frame(): void {
  for (const draw of frames.splice(0)) draw();
  vi.advanceTimersByTime(1);
}

test("a value is handed on behind the frame, and the newest takes the place of those that wait", () => {
  const handed: number[] = [];
  const following = new Following<number>((value) => handed.push(value), 200);
  following.give(1);
  vi.advanceTimersByTime(1);
  expect(handed).toEqual([]);
  following.give(2);
  frame();
  expect(handed).toEqual([2]);
});

test("the pace is kept, and the last value always comes", () => {
  const handed: number[] = [];
  const following = new Following<number>((value) => handed.push(value), 200);
  for (let value = 0; value < 100; value += 1) {
    following.give(value);
    vi.advanceTimersByTime(10);
    frame();
  }
  vi.advanceTimersByTime(200);
  frame();
  expect(handed[handed.length - 1]).toBe(99);
  expect(handed.length).toBeGreaterThan(3);
  expect(handed.length).toBeLessThan(8);
});

test("a page that draws no frames has its values all the same, and one that is gone has none", () => {
  const handed: number[] = [];
  const following = new Following<number>((value) => handed.push(value), 200);
  following.give(1);
  vi.advanceTimersByTime(300);
  expect(handed).toEqual([1]);
  following.give(2);
  following.stop();
  vi.advanceTimersByTime(1000);
  frame();
  expect(handed).toEqual([1]);
});

test("what takes long to show waits until there is rest", () => {
  let now = 0;
  const clock = vi.spyOn(performance, "now").mockImplementation(() => now);
  const handed: number[] = [];
  const following = new Following<number>((value) => {
    handed.push(value);
    now += 80;
  }, 200);
  following.give(0);
  vi.advanceTimersByTime(1);
  frame();
  for (let value = 1; value < 50; value += 1) {
    following.give(value);
    now += 100;
    vi.advanceTimersByTime(100);
    frame();
  }
  expect(handed).toEqual([0]);
  now += 300;
  vi.advanceTimersByTime(300);
  frame();
  expect(handed).toEqual([0, 49]);
  clock.mockRestore();
});
