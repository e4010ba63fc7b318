// How a page is laid out: what lies on what, what is cut off or broken, what is too small for a finger or out of reach.
import type { Page } from "playwright-core";

/** The least height of what is pressed, as `--target` has it. */
const TARGET_PX = 48;

/** What is wrong with the page as it stands, each fault with what has it; the map is moved to the middle for it. */
export function layoutFaults(page: Page): Promise<string[]> {
  return page.evaluate((least) => {
    const faults: string[] = [];
    // A dialog covers what is behind it, and keeps it from being pressed.
    const map = document.querySelector("dialog[open]") === null ? document.querySelector(".target") : null;
    map?.scrollIntoView({ block: "center" });
    const named = (element: Element) => {
      const text =
        element.getAttribute("aria-label") ?? element.textContent?.trim().replace(/\s+/g, " ") ?? "";
      return `${element.tagName.toLowerCase()}${element.id && `#${element.id}`} “${text.slice(0, 40)}”`;
    };
    const isSeen = (element: Element) => {
      const { width, height } = element.getBoundingClientRect();
      // What is there to be heard alone is a pixel large.
      return width > 1 && height > 1 && element.checkVisibility({ visibilityProperty: true });
    };

    // Nothing lies on the map: no box of anything else reaches into its box, and whatever is pressed in it is the map.
    if (map !== null) {
      const box = map.getBoundingClientRect();
      for (const element of document.body.querySelectorAll("*")) {
        if (map.contains(element) || element.contains(map) || !isSeen(element)) continue;
        const at = element.getBoundingClientRect();
        const isApart =
          at.top >= box.bottom - 1 ||
          at.bottom <= box.top + 1 ||
          at.left >= box.right - 1 ||
          at.right <= box.left + 1;
        if (!isApart) faults.push(`${named(element)} lies on the map`);
      }
      for (let row = 0; row < 9; row += 1) {
        for (let column = 0; column < 9; column += 1) {
          const [x, y] = [
            box.left + (box.width * (column + 0.5)) / 9,
            box.top + (box.height * (row + 0.5)) / 9,
          ];
          const top = document.elementFromPoint(x, y);
          if (top !== null && !map.contains(top)) faults.push(`${named(top)} covers the map`);
        }
      }
    }

    const scrolls = (element: Element) => {
      for (let around = element.parentElement; around; around = around.parentElement)
        if (["auto", "scroll"].includes(getComputedStyle(around).overflowX)) return true;
      return false;
    };
    for (const control of document.querySelectorAll("button, select, input, textarea, summary")) {
      if (!isSeen(control)) continue;
      const at = control.getBoundingClientRect();
      const kind = control instanceof HTMLInputElement ? control.type : "";
      // The label of a box is pressed as the box is.
      const pressed = ["checkbox", "radio"].includes(kind) ? (control.closest("label") ?? control) : control;
      const height = pressed.getBoundingClientRect().height;
      if (Math.round(height) < least) faults.push(`${named(control)} is ${height} px high`);
      if ((at.left < 0 || at.right > innerWidth) && !scrolls(control))
        faults.push(`${named(control)} reaches beyond the screen`);
      if (control instanceof HTMLButtonElement && control.scrollWidth > control.clientWidth + 1)
        faults.push(`${named(control)} is cut off`);
    }
    for (const element of document.querySelectorAll("h1, h2, h3, p, dt, dd, li, label, legend, th, td, a")) {
      if (!isSeen(element)) continue;
      const style = getComputedStyle(element);
      const isCut = style.overflowX !== "visible" && element.scrollWidth > element.clientWidth + 1;
      const { left, right } = element.getBoundingClientRect();
      if (isCut && !["auto", "scroll"].includes(style.overflowX)) faults.push(`${named(element)} is cut off`);
      if ((left < -1 || right > innerWidth + 1) && !scrolls(element))
        faults.push(`${named(element)} reaches beyond the screen`);
    }
    for (const legend of document.querySelectorAll("fieldset > legend")) {
      if (!isSeen(legend)) continue;
      const { lineHeight, float } = getComputedStyle(legend);
      const isOnFrame = float === "none";
      if (isOnFrame && legend.getBoundingClientRect().height > 1.9 * parseFloat(lineHeight))
        faults.push(`${named(legend)} breaks its frame`);
    }
    // A figure that is broken into two lines is read as two.
    const texts = document.createTreeWalker(document.querySelector("main")!, NodeFilter.SHOW_TEXT);
    for (let text = texts.nextNode(); text; text = texts.nextNode()) {
      if (!text.parentElement?.checkVisibility({ visibilityProperty: true })) continue;
      // In a table a name that is broken is read as two as well.
      const isInTable = text.parentElement.closest("th, td") !== null;
      const whole = isInTable ? /\d[\d,.]*\d|\p{L}{2,}/gu : /\d[\d,.]*\d/g;
      for (const { 0: figure, index } of (text.textContent ?? "").matchAll(whole)) {
        // A hash is no figure: it is longer than any line.
        const word = /[0-9a-f]*$/.exec((text.textContent ?? "").slice(0, index))![0] + figure;
        const rest = /^[0-9a-f]*/.exec((text.textContent ?? "").slice(index + figure.length))![0];
        if ((word + rest).length >= 40) continue;
        const range = document.createRange();
        range.setStart(text, index);
        range.setEnd(text, index + figure.length);
        const lines = new Set([...range.getClientRects()].map(({ top }) => Math.round(top)));
        if (lines.size > 1) faults.push(`${figure} is broken in “${text.textContent?.trim().slice(0, 40)}”`);
      }
    }
    return faults;
  }, TARGET_PX);
}
