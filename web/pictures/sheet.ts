// One picture of one page: nothing of it is cut off, and a long one stands in columns side by side.
import { writeFileSync } from "node:fs";
import type { Page } from "playwright-core";
import type { Size } from "../tests/support";

/** The longest column, in pixels of the page. */
const LONGEST: Record<Size, number> = { phone: 1800, desk: 2000 };
/** Of several columns of a desk each is drawn smaller, so that all of them can be looked at side by side. */
const SCALE_OF_COLUMNS: Record<Size, number> = { phone: 1, desk: 0.75 };
const GAP = 24;
/** Of WebP, lossy: what keeps letters of 17 pixels clean. */
const QUALITY = 0.6;

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
    const strips: { top: number; height: number }[] = [];
    for (let top = 0; top < height;) {
      let end = Math.min(top + longest, height);
      // A picture taller than half a column is cut through rather than left half empty.
      for (let at = end; end < height && at > top + longest / 2; at -= 1) {
        if (!solid.some(([from, to]) => from < at && at < to)) {
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

/** Takes the picture. `drawing` is a page on which pictures are put together. */
export async function takePicture(page: Page, drawing: Page, file: string, size: Size): Promise<void> {
  const usual = page.viewportSize()!;
  // A dialog that is longer than the screen is moved inside: here the screen is as long as it.
  const ofDialog = await page.evaluate(
    () => (document.querySelector("dialog[open]")?.scrollHeight ?? 0) + 2 * 40,
  );
  const isDialog = ofDialog > 80;
  if (ofDialog > usual.height) await page.setViewportSize({ ...usual, height: ofDialog });
  const strips = isDialog
    ? [{ top: 0, height: Math.max(usual.height, ofDialog) }]
    : await stripsOf(page, LONGEST[size]);
  const parts: string[] = [];
  for (const { top, height } of strips) {
    const clip = { x: 0, y: top, width: usual.width, height };
    const png = await page.screenshot({ fullPage: !isDialog, clip, animations: "disabled", caret: "hide" });
    parts.push(png.toString("base64"));
  }
  if (ofDialog > usual.height) await page.setViewportSize(usual);
  const paper = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
  const scale = strips.length > 1 ? SCALE_OF_COLUMNS[size] : 1;
  const webp = await drawing.evaluate(
    async ({ parts, paper, scale, gap, quality }) => {
      const pictures = await Promise.all(
        parts.map(async (part) =>
          createImageBitmap(await (await fetch(`data:image/png;base64,${part}`)).blob()),
        ),
      );
      const canvas = document.createElement("canvas");
      const width = pictures[0]!.width;
      canvas.width = Math.round((width * pictures.length + gap * (pictures.length - 1)) * scale);
      canvas.height = Math.round(Math.max(...pictures.map(({ height }) => height)) * scale);
      const pen = canvas.getContext("2d")!;
      pen.imageSmoothingQuality = "high";
      pen.fillStyle = paper;
      pen.fillRect(0, 0, canvas.width, canvas.height);
      for (const [at, picture] of pictures.entries()) {
        const left = Math.round(at * (width + gap) * scale);
        pen.drawImage(picture, left, 0, picture.width * scale, picture.height * scale);
        // Between columns, so that nobody reads across.
        pen.fillStyle = "#888888";
        if (at > 0) pen.fillRect(left - Math.round((gap * scale) / 2), 0, 2, canvas.height);
      }
      return canvas.toDataURL("image/webp", quality).split(",")[1]!;
    },
    { parts, paper, scale, gap: GAP, quality: QUALITY },
  );
  writeFileSync(file, Buffer.from(webp, "base64"));
}
