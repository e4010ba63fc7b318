// A phone: a browser that is a process of its own, on a profile folder that outlives it.
import { createHash } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium, type BrowserContext, type Page } from "playwright-core";
import { BROWSER, SIZES } from "./support";

/** What the device keeps for the yard, read past the pages, in one transaction. */
export interface Kept {
  /** Titles of what waits, and of what was delivered. */
  waiting: string[];
  delivered: string[];
  /** Names of what is being written down. */
  drafts: string[];
}

export class Device {
  private readonly folder = mkdtempSync(join(tmpdir(), "tussock-browser-"));
  private open: { context: BrowserContext; page: Page; processes: number[] } | undefined;

  get context(): BrowserContext {
    if (this.open === undefined) throw new Error("the browser is not started");
    return this.open.context;
  }

  get page(): Page {
    if (this.open === undefined) throw new Error("the browser is not started");
    return this.open.page;
  }

  async start(): Promise<void> {
    const context = await chromium.launchPersistentContext(this.folder, {
      executablePath: BROWSER,
      args: ["--no-sandbox"],
      viewport: SIZES.phone,
      hasTouch: true,
      permissions: ["geolocation"],
    });
    const page = context.pages()[0] ?? (await context.newPage());
    this.open = { context, page, processes: await this.processesOf(context) };
  }

  /** The process of the browser first, then those that live by it. */
  private async processesOf(context: BrowserContext): Promise<number[]> {
    const session = await context.browser()?.newBrowserCDPSession();
    if (session === undefined) throw new Error("the browser does not tell its processes");
    const { processInfo } = await session.send("SystemInfo.getProcessInfo");
    await session.detach();
    return [...processInfo]
      .sort((one, other) => Number(other.type === "browser") - Number(one.type === "browser"))
      .map(({ id }) => id);
  }

  /** Ends it at once, whatever it is at: nothing in it hears of it. */
  async kill(): Promise<void> {
    const { context, processes } = this.open ?? { context: undefined, processes: [] };
    if (context === undefined || processes[0] === undefined) throw new Error("the browser is not started");
    this.open = undefined;
    const gone = new Promise((resolve) => context.once("close", resolve));
    process.kill(processes[0], "SIGKILL");
    await gone;
    // Those that wrote for it hold its files until they have seen that it is gone.
    while (processes.some(isAlive)) await new Promise((resolve) => setTimeout(resolve, 5));
  }

  async stop(): Promise<void> {
    await this.open?.context.close();
    this.open = undefined;
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 10 });
  }

  /** Another window beside the first: a tab behind it would be drawn at a crawl. */
  async window(): Promise<Page> {
    const opened = this.context.waitForEvent("page");
    await this.page.evaluate(() => void window.open("about:blank", "_blank", "popup,noopener"));
    return opened;
  }

  async kept(): Promise<Kept> {
    return this.page.evaluate(async () => {
      const heard = <Value>(asked: IDBRequest<Value>) =>
        new Promise<Value>((resolve, reject) => {
          asked.onsuccess = () => resolve(asked.result);
          asked.onerror = () => reject(asked.error!);
        });
      const db = await heard(indexedDB.open("tussock.yard"));
      const reading = db.transaction(["waiting", "delivered", "drafts"]);
      const [waiting, delivered, drafts] = await Promise.all(
        ["waiting", "delivered", "drafts"].map((store) =>
          heard<{ title: string; name: string }[]>(reading.objectStore(store).getAll()),
        ),
      );
      db.close();
      return {
        waiting: waiting!.map(({ title }) => title),
        delivered: delivered!.map(({ title }) => title),
        drafts: drafts!.map(({ name }) => name),
      };
    });
  }
}

/** The digest of a file: two files of one are the same byte for byte. */
export const digest = (bytes: Uint8Array): string => createHash("sha256").update(bytes).digest("hex");

/** Digests of the photos in what is being written down on the device, read past the page. */
export async function photosWritten(page: Page): Promise<string[]> {
  const photos = await page.evaluate(async () => {
    const heard = <Value>(asked: IDBRequest<Value>) =>
      new Promise<Value>((resolve, reject) => {
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error!);
      });
    const db = await heard(indexedDB.open("tussock.yard"));
    const drafts = await heard<{ written: { photos?: { bytes: ArrayBuffer }[] } }[]>(
      db.transaction("drafts").objectStore("drafts").getAll(),
    );
    db.close();
    return drafts
      .flatMap(({ written }) => written.photos ?? [])
      .map(({ bytes }) => [...new Uint8Array(bytes)]);
  });
  return photos.map((bytes) => digest(Uint8Array.from(bytes)));
}

function isAlive(id: number): boolean {
  try {
    process.kill(id, 0);
    return true;
  } catch {
    return false;
  }
}
