// A corner is dragged over the map of a visit with a real pointer, and what the page does is noted.
import type { Page } from "playwright-core";
import { Plane } from "../src/map/plane";
import { reader } from "../tests/support";
import { reckon, type Reckoned } from "./reckon";
import { watch, type Noted, type Question } from "./watch";

const FOOT_M = 0.3048;
/** A mouse tells where it is this often. */
const STEP_MS = 16;
const STEPS = 375;
/** The corner goes round the place where it stood, in a spiral from the first radius to the last. */
const ROUNDS = 4;
const [FIRST_FT, LAST_FT] = [2, 8];

/** What is dragged. */
export interface Drag {
  origin: string;
  visit: string;
  /** The corner, in feet from the lot's south-west corner, and that corner. */
  corner: readonly [number, number];
  lot: readonly [number, number];
  /** How many times slower the browser's processor is made. */
  slowed: number;
  drags: number;
}

/** What drags came to. */
export interface Dragged extends Reckoned {
  /** The longest of the drags' last answers. */
  answerBytes: number;
}

/** Drags so many times, each on a page of its own. */
export async function drags(what: Drag): Promise<Dragged> {
  const all: Dragged = { samples: [], questions: 0, refused: [], answerBytes: 0 };
  for (let at = 0; at < what.drags; at += 1) {
    const one = await dragged(what);
    all.samples.push(...one.samples);
    all.questions += one.questions;
    all.refused.push(...one.refused);
    all.answerBytes = Math.max(all.answerBytes, one.answerBytes);
  }
  return all;
}

async function dragged(what: Drag): Promise<Dragged> {
  const { context, page, faults } = await reader(what.origin, "desk");
  await page.addInitScript(watch);
  const session = await context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: what.slowed });
  await page.goto(`/visits/${what.visit}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await page.locator(".told[aria-busy=false]").waitFor();
  const target = page.locator(".target");
  await target.scrollIntoViewIfNeeded();
  await page.waitForFunction(() => document.querySelector("[data-view]")?.getAttribute("data-view") !== "");
  const view = (await target.getAttribute("data-view"))!.split(" ").map(Number);
  const [east, north, scale] = view as [number, number, number];
  const box = (await target.boundingBox())!;
  const onPage = ([x, y]: readonly [number, number]) => ({
    x: box.x + box.width / 2 + (x - east) / scale,
    y: box.y + box.height / 2 - (y - north) / scale,
  });
  await page.waitForTimeout(1500);
  const start = onPage([what.corner[0] * FOOT_M, what.corner[1] * FOOT_M]);
  const pixelsAFoot = FOOT_M / scale;

  await page.mouse.move(start.x, start.y);
  await page.evaluate(() => {
    const { noted } = globalThis as unknown as { noted: Noted };
    noted.questions.length = noted.marks.length = noted.frames.length = 0;
  });
  await page.mouse.down();
  // Moves are sent when they are due, whether or not the page has kept up with the ones before.
  const begun = performance.now();
  const sent: Promise<unknown>[] = [];
  for (let step = 1; step <= STEPS; step += 1) {
    const wait = begun + step * STEP_MS - performance.now();
    if (wait > 0) await new Promise((resolve) => setTimeout(resolve, wait));
    const done = step / STEPS;
    const radius = (FIRST_FT + (LAST_FT - FIRST_FT) * done) * pixelsAFoot;
    const turn = 2 * Math.PI * ROUNDS * done;
    const to = { x: start.x + radius * Math.cos(turn), y: start.y + radius * Math.sin(turn) };
    sent.push(
      session.send("Input.dispatchMouseEvent", { type: "mouseMoved", ...to, button: "left", buttons: 1 }),
    );
  }
  await Promise.all(sent);
  await page.waitForTimeout(600);
  await page.mouse.up();
  await page.locator(".told[aria-busy=false]").waitFor();
  await page.waitForTimeout(400);
  const noted = await notedIn(page);
  const last = noted.questions[noted.questions.length - 1]?.body ?? "";
  const answerBytes = await page.evaluate(lengthOfAnswer, last);
  if (faults.length > 0) throw new Error(faults.join("\n"));
  await context.close();

  const plane = new Plane(what.lot);
  const { corner } = what;
  const cornerOf = (question: Question) => onPage(plane.spot(movedCorner(question, plane, corner)));
  return { ...reckon(noted, cornerOf), answerBytes };
}

/** Asks in the page once more: the answers of a drag are read by another thread. */
async function lengthOfAnswer(body: string): Promise<number> {
  const headers = { "content-type": "application/json", "idempotency-key": crypto.randomUUID() };
  const answer = await fetch("/api/plan/zones", { method: "POST", headers, body });
  return (await answer.arrayBuffer()).byteLength;
}

const notedIn = (page: Page) => page.evaluate(() => (globalThis as unknown as { noted: Noted }).noted);

/** Where the house's dragged corner lies in the map that a question sends. */
function movedCorner(question: Question, plane: Plane, corner: readonly [number, number]): readonly number[] {
  const { files } = JSON.parse(question.body) as { files: Record<string, string> };
  const map = JSON.parse(files["drawn.geojson"] ?? "null") as {
    features: { id: string; geometry: { coordinates: number[][][] } }[];
  } | null;
  const ring = map?.features.find(({ id }) => id === "house")?.geometry.coordinates[0];
  if (!ring) throw new Error("a question came without the map that was drawn");
  const [east, north] = [corner[0] * FOOT_M, corner[1] * FOOT_M];
  const away = (position: readonly number[]) => {
    const spot = plane.spot(position);
    return Math.hypot(spot[0] - east, spot[1] - north);
  };
  // It goes less far than the next corner stands from it.
  return ring.reduce((best, position) => (away(position) < away(best) ? position : best));
}
