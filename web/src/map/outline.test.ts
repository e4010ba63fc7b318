import { expect, test } from "vitest";
import { Outline, Outlines } from "./outline";

/** A ring of many chords, and how far the middle of each of its edges lies from the circle. */
function circle(corners: number, radius: number): number[][] {
  const ring = Array.from({ length: corners }, (_, at) => {
    const turn = (2 * Math.PI * at) / corners;
    return [radius * Math.cos(turn), radius * Math.sin(turn)];
  });
  return [...ring, ring[0]!];
}

test("corners that nobody can see are left out, and what is drawn is off by a quarter of a pixel at most", () => {
  // Half a pixel is what the library allows; a metre is a pixel here.
  const allowed = 0.5 ** 2;
  const drawn = new Outline([circle(720, 100)]).getSimplifiedGeometry(allowed) as Outline;
  const ring = drawn.getCoordinates()[0]!;
  expect(ring.length).toBeLessThan(100);
  ring.slice(1).forEach(([x, y], at) => {
    const before = ring[at]!;
    const middle = Math.hypot((x! + before[0]!) / 2, (y! + before[1]!) / 2);
    expect(100 - middle).toBeLessThan(0.25 + 1e-6);
  });
  expect(drawn.getExtent()).toEqual([-100, -100, 100, 100].map((side) => expect.closeTo(side, 0)));
});

test("corners that show stay where they are, holes and parts with them", () => {
  const square = (side: number) => [
    [0, 0],
    [side, 0],
    [side, side],
    [0, side],
    [0, 0],
  ];
  const shape = new Outlines([[square(100), square(10)], [square(30)]]);
  const drawn = shape.getSimplifiedGeometry(0.5 ** 2) as Outlines;
  expect(drawn.getCoordinates()).toEqual([[square(100), square(10)], [square(30)]]);
});
