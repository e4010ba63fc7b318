// Counts made in the yard arrive exactly once, whatever breaks: the page, the server, the browser, the answer on its
// way, the reception, another tab. `YARD_ROUNDS` sets how many rounds are tried, `YARD_SEED` which.
import { createServer, request, type Server } from "node:http";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium, type BrowserContext, type Page } from "playwright-core";
import { expect, test } from "vitest";
import { BROWSER, asked, house, keepDemo, type House } from "./support";

const ROUNDS = Number(process.env.YARD_ROUNDS ?? 10);
const SEED = Number(process.env.YARD_SEED ?? 7);

/** The generator of Park and Miller: a failing run can be run again. */
function dice(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % below;
  };
}

/** A wire to the server that can be cut, or lose answers on their way back. */
class Wire {
  loses = false;
  private server: Server;
  origin = "";

  constructor(public to: string) {
    this.server = createServer((asked, answered) => {
      const target = new URL(this.to);
      const forwarded = request(
        {
          host: target.hostname,
          port: target.port,
          method: asked.method,
          path: asked.url,
          headers: asked.headers,
        },
        (response) => {
          // The server has done it; the phone does not hear of it.
          if (this.loses && asked.method === "POST") {
            response.resume();
            response.on("end", () => answered.destroy());
            return;
          }
          answered.writeHead(response.statusCode ?? 500, response.headers);
          response.pipe(answered);
        },
      );
      forwarded.once("error", () => answered.destroy());
      asked.pipe(forwarded);
    });
  }

  async start(): Promise<void> {
    await new Promise<void>((resolve) => this.server.listen(0, "127.0.0.1", resolve));
    const address = this.server.address();
    if (address === null || typeof address === "string") throw new Error("no port");
    this.origin = `http://127.0.0.1:${address.port}`;
  }

  async stop(): Promise<void> {
    this.server.closeAllConnections();
    await new Promise((resolve) => this.server.close(resolve));
  }
}

async function opened(folder: string): Promise<{ context: BrowserContext; page: Page }> {
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: BROWSER,
    args: ["--no-sandbox"],
  });
  return { context, page: context.pages()[0] ?? (await context.newPage()) };
}

/** Writes a survey of one station down, and says that counting is done. */
async function count(page: Page, origin: string, property: string, pest: string): Promise<void> {
  await page.goto(`${origin}/yard/counts/${property}`);
  await page.getByLabel("Pest").fill(pest);
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.waitForURL("**/yard");
}

const BREAKS = ["nothing", "reload", "server", "browser", "answer", "reception", "tab"] as const;

test(
  `counts arrive exactly once through ${ROUNDS} rounds of breaks`,
  async () => {
    const roll = dice(SEED);
    let home: House = await house();
    const { property, name } = await keepDemo(home.origin);
    const wire = new Wire(home.origin);
    await wire.start();
    const folder = mkdtempSync(join(tmpdir(), "tussock-browser-"));
    let { context, page } = await opened(folder);
    await page.goto(`${wire.origin}/yard`);
    await page.getByRole("combobox", { name: "Property" }).waitFor();
    await page.getByRole("button", { name: "Take along" }).last().click();
    await page.getByRole("link", { name: `Count here: ${name}` }).waitFor();
    await page.evaluate(async () => void (await navigator.serviceWorker.ready));
    await page.reload();
    const made: string[] = [];
    const tried = new Map<string, number>();
    try {
      for (let round = 0; round < ROUNDS; round += 1) {
        const broken = BREAKS[roll(BREAKS.length)] ?? "nothing";
        tried.set(broken, (tried.get(broken) ?? 0) + 1);
        if (broken === "reception") await context.setOffline(true);
        if (broken === "answer") wire.loses = true;
        if (broken === "server") await home.kill();
        let other: Page | undefined;
        if (broken === "tab") {
          other = await context.newPage();
          const pest = `pest ${round} of another tab`;
          made.push(pest);
          const [one, two] = [`pest ${round}`, other];
          made.push(one);
          // The draft of a property is one, so that the tabs count one after the other and send at once.
          await count(page, wire.origin, property, one);
          await count(two, wire.origin, property, pest);
        } else {
          const pest = `pest ${round}`;
          made.push(pest);
          await count(page, wire.origin, property, pest);
        }
        await page.waitForTimeout(roll(400));
        if (broken === "reload") await page.reload();
        if (broken === "browser") {
          await context.close();
          ({ context, page } = await opened(folder));
          await page.goto(`${wire.origin}/yard`);
        }
        if (broken === "server") {
          home = await home.again();
          wire.to = home.origin;
        }
        wire.loses = false;
        if (broken === "reception") await context.setOffline(false);
        await other?.close();
        await page.goto(`${wire.origin}/yard`);
        const nothing = page.getByText("Nothing waits: the server has everything.");
        await nothing.waitFor({ timeout: 60_000 }).catch(async (error: unknown) => {
          const shown = await page.locator("body").innerText();
          throw new Error(`round ${round} (${broken}) did not come to an end:\n${shown}`, { cause: error });
        });
      }
      const there: string[] = [];
      let after: string | undefined;
      do {
        const query = after === undefined ? "" : `&after=${encodeURIComponent(after)}`;
        const listed = await asked(home.origin, `/api/surveys?limit=200${query}`);
        for (const { thing } of listed.entries as { thing: string }[]) {
          there.push(String((await asked(home.origin, `/api/surveys/${thing}`)).pest));
        }
        after = (listed.next as string | null) ?? undefined;
      } while (after !== undefined);
      console.info(
        `${ROUNDS} rounds, seed ${SEED}: ${[...tried].map(([what, times]) => `${what} ${times}`).join(", ")};`,
      );
      console.info(`${made.length} surveys made, ${there.length} at the server`);
      expect(there.sort()).toEqual(made.sort());
    } finally {
      await context.close();
      await wire.stop();
      await home.stop();
      rmSync(folder, { recursive: true, force: true });
    }
  },
  60_000 + ROUNDS * 30_000,
);
