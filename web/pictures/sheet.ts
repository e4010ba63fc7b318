// One picture of one page: nothing of it is cut off, and a long one stands in columns side by side.
import { writeFileSync } from "node:fs";
import type { Page } from "playwright-core";
import type { Size } from "../tests/support";

/** The longest column, in pixels of the page, unless the picture would become much wider than high. */
const LONGEST: Record<Size, number> = { phone: 1800, desk: 2000 };
/** How much wider than high a picture of columns becomes at most. */
const WIDEST = 1.6;
/** Columns are drawn smaller, so that all of them can be looked at side by side; letters of 17 pixels stay clear. */
const SCALE_OF_COLUMNS = 0.75;
/** Of a page with many more columns than others. */
const MANY = 8;
const SCALE_OF_MANY = 0.6;
const GAP = 24;
/** Of WebP, lossy: what keeps letters clear and a picture small. */
const QUALITY = 0.35;

interface Strip {
  top: number;
  height: number;
}

/** Where the page is divided: in gaps between lines, so that no letter is cut through. */
async function stripsOf(page: Page, longest: number): Promise<Strip[]> {
  return page.evaluate((longest) => {
    const height = Math.ceil(document.documentElement.scrollHeight);
    const solid: [number, number][] = [];
    const add = ({ top, bottom, width }: DOMRect) => {
      if (width > 0 && bottom > top) solid.push([top + scrollY, bottom + scrollY]);
    };
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = texts.nextNode(); node; node = texts.nextNode()) {
      if ((node.textContent ?? "").trim() === "") continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rectangle of range.getClientRects()) add(rectangle);
    }
    // A title stays with what it is the title of.
    for (const title of document.querySelectorAll("h1, h2, h3, legend, caption, label")) {
      const { top, bottom, width } = title.getBoundingClientRect();
      add(new DOMRect(0, top, width, bottom - top + 60));
    }
    const whole = "svg, canvas, img, button, input, select, textarea, [role=group] canvas";
    for (const element of document.querySelectorAll(whole)) add(element.getBoundingClientRect());
    // How many things lie across each line between two pixels.
    const across = new Int32Array(height + 2);
    for (const [from, to] of solid) {
      across[Math.min(Math.max(Math.floor(from) + 1, 0), height + 1)]! += 1;
      across[Math.min(Math.max(Math.ceil(to), 0), height + 1)]! -= 1;
    }
    for (let at = 1; at < across.length; at += 1) across[at]! += across[at - 1]!;
    const strips: { top: number; height: number }[] = [];
    for (let top = 0; top < height;) {
      // A few last lines go with the column before.
      let end = height - top < longest + 160 ? height : top + longest;
      // A picture taller than half a column is cut through rather than left half empty.
      for (let at = end; end < height && at > top + longest / 2; at -= 1) {
        if (across[at]! <= 0) {
          end = at;
          break;
        }
      }
      strips.push({ top, height: end - top });
      top = end;
    }
    return strips;
  }, longest);
}

/** The height of columns that make a picture no wider than it should be. */
async function evenly(page: Page): Promise<number> {
  const [width, height] = await page.evaluate(() => [innerWidth, document.documentElement.scrollHeight]);
  return Math.ceil(Math.sqrt((width! * height!) / WIDEST));
}

async function shot(page: Page, top: number, height: number): Promise<string> {
  const clip = { x: 0, y: top, width: page.viewportSize()!.width, height };
  return (await page.screenshot({ clip, animations: "disabled", caret: "hide" })).toString("base64");
}

/**
 * A strip screen by screen, as somebody would read it: a browser that takes it whole lays the page out anew, for a screen
 * of another height, and what was measured does not hold for it.
 */
async function pieces(page: Page, { top, height }: Strip): Promise<string[]> {
  const screen = page.viewportSize()!.height;
  const taken: string[] = [];
  for (let from = top; from < top + height; from += screen) {
    const scrolled = await page.evaluate(async (from) => {
      scrollTo({ top: from, behavior: "instant" });
      await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
      return scrollY;
    }, from);
    taken.push(await shot(page, from - scrolled, Math.min(screen, top + height - from)));
  }
  return taken;
}

/** Takes the picture. `drawing` is a page on which pictures are put together. */
export async function takePicture(page: Page, drawing: Page, file: string, size: Size): Promise<void> {
  const usual = page.viewportSize()!;
  // A dialog that is longer than the screen is moved inside: here the screen is as long as it.
  const ofDialog = await page.evaluate(
    () => (document.querySelector("dialog[open]")?.scrollHeight ?? 0) + 2 * 40,
  );
  const isDialog = ofDialog > 80;
  if (ofDialog > usual.height) await page.setViewportSize({ ...usual, height: ofDialog });
  // What goes along while somebody scrolls would stand there once a screen.
  await page.evaluate(() => {
    for (const element of document.querySelectorAll<HTMLElement>("main *"))
      if (getComputedStyle(element).position === "sticky") element.style.position = "relative";
  });
  const strips = isDialog
    ? [{ top: 0, height: Math.max(usual.height, ofDialog) }]
    : await stripsOf(page, Math.max(LONGEST[size], await evenly(page)));
  const columns: string[][] = [];
  for (const strip of strips)
    columns.push(isDialog ? [await shot(page, 0, strip.height)] : await pieces(page, strip));
  if (ofDialog > usual.height) await page.setViewportSize(usual);
  const paper = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
  const scale = strips.length > MANY ? SCALE_OF_MANY : strips.length > 1 ? SCALE_OF_COLUMNS : 1;
  const webp = await drawing.evaluate(
    async ({ columns, paper, scale, gap, quality }) => {
      const pictureOf = async (part: string) =>
        createImageBitmap(await (await fetch(`data:image/png;base64,${part}`)).blob());
      const pictures = await Promise.all(columns.map((parts) => Promise.all(parts.map(pictureOf))));
      const heights = pictures.map((parts) => parts.reduce((sum, { height }) => sum + height, 0));
      const canvas = document.createElement("canvas");
      const width = pictures[0]![0]!.width;
      canvas.width = Math.round((width * pictures.length + gap * (pictures.length - 1)) * scale);
      canvas.height = Math.round(Math.max(...heights) * scale);
      const pen = canvas.getContext("2d")!;
      pen.imageSmoothingQuality = "high";
      pen.fillStyle = paper;
      pen.fillRect(0, 0, canvas.width, canvas.height);
      for (const [at, parts] of pictures.entries()) {
        const left = Math.round(at * (width + gap) * scale);
        let top = 0;
        for (const part of parts) {
          pen.drawImage(part, left, top * scale, part.width * scale, part.height * scale);
          top += part.height;
        }
        // Between columns, so that nobody reads across.
        pen.fillStyle = "#888888";
        if (at > 0) pen.fillRect(left - Math.round((gap * scale) / 2), 0, 2, canvas.height);
      }
      return canvas.toDataURL("image/webp", quality).split(",")[1]!;
    },
    { columns, paper, scale, gap: GAP, quality: QUALITY },
  );
  if (webp === "") throw new Error(`${file} became larger than a picture may be`);
  writeFileSync(file, Buffer.from(webp, "base64"));
}
