// The first page, opened by a browser that has nothing of it.
import { keepDemo } from "../tests/demo";
import { house, reader } from "../tests/support";

const OPENED = Number(process.env.FIGURES_OPENED ?? 20);

export interface FirstPage {
  /** All that came over the wire until the page was ready, headers among it. */
  bytes: number;
  files: number;
  paintMs: number;
  /** Until its heading and lists stand in the fonts that belong there, and a press was answered. */
  readyMs: number;
}

/**
 * Opens the first page so many times, each from a server of its own (what a device keeps for work without reception is
 * fetched each time, and would spend what a server grants in a minute) in a browser profile of its own.
 */
export async function firstPages(withDemo: boolean): Promise<FirstPage[]> {
  const all: FirstPage[] = [];
  for (let at = 0; at < OPENED; at += 1) {
    const home = await house();
    if (withDemo) await keepDemo(home);
    all.push(await opened(home.origin));
    await home.stop();
  }
  return all;
}

async function opened(origin: string): Promise<FirstPage> {
  const { context, page, faults } = await reader(origin, "phone");
  const session = await context.newCDPSession(page);
  await session.send("Network.enable");
  let bytes = 0;
  let files = 0;
  session.on("Network.loadingFinished", ({ encodedDataLength }) => {
    bytes += encodedDataLength;
    files += 1;
  });
  // Pressing what opens the menu shows that the page answers; it is pressed as soon as the page has what it says.
  await page.addInitScript(() => {
    const times = { ready: 0 };
    Object.assign(globalThis, { times });
    const look = () => {
      const menu = document.querySelector<HTMLElement>("button.menu");
      if (menu === null || document.querySelector("main h2") === null || document.fonts.status !== "loaded") {
        requestAnimationFrame(look);
        return;
      }
      if (menu.getAttribute("aria-expanded") !== "true") {
        menu.click();
        requestAnimationFrame(look);
        return;
      }
      times.ready = performance.now();
    };
    requestAnimationFrame(look);
  });
  await page.goto("/");
  await page.waitForFunction(() => (globalThis as unknown as { times: { ready: number } }).times.ready > 0);
  const told = await page.evaluate(() => ({
    readyMs: (globalThis as unknown as { times: { ready: number } }).times.ready,
    paintMs: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? Number.NaN,
  }));
  await page.waitForLoadState("networkidle");
  if (faults.length > 0) throw new Error(faults.join("\n"));
  await context.close();
  return { ...told, bytes, files };
}
