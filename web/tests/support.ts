// A server with books of its own, and a browser that fails on whatever a page should not do.
import axe from "axe-core";
import { spawn, type ChildProcess } from "node:child_process";
import { randomUUID } from "node:crypto";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import {
  chromium,
  type Browser,
  type BrowserContext,
  type BrowserContextOptions,
  type Page,
} from "playwright-core";
import { demoFile } from "./demo";
import { tapsOnly } from "./hand";

const repository = new URL("../../", import.meta.url).pathname;
const built = [process.env.TUSSOCK, "target/release/tussock", "target/debug/tussock"].find(
  (path) => path !== undefined && existsSync(resolve(repository, path)),
);
/** Where the browser is. */
export const BROWSER =
  [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"].find(
    (path) => path !== undefined && existsSync(path),
  ) ?? "";

/** The sizes at which every page is looked at. */
export const SIZES = { phone: { width: 390, height: 844 }, desk: { width: 1280, height: 900 } } as const;
export type Size = keyof typeof SIZES;
export const sizes = Object.keys(SIZES) as Size[];
export const LOOKS = ["day", "dusk", "sun"] as const;
export type Look = (typeof LOOKS)[number];

/** A running server. */
export interface House {
  /** Where it answers. */
  origin: string;
  folder: string;
  stop: () => Promise<void>;
  /** Kills it in the middle of whatever it does. */
  kill: () => Promise<void>;
  /** Starts another over the same books. */
  again: () => Promise<House>;
}

/** Starts a server on a free port, with empty books of its own. */
export async function house(...more: string[]): Promise<House> {
  if (built === undefined) throw new Error("tussock is not built: call `cargo build --release` first");
  const folder = mkdtempSync(join(tmpdir(), "tussock-pages-"));
  if (more.includes("--behind-proxy")) {
    await run(
      ["serve", "owner", "--name", "mara", "--books", join(folder, "books.db")],
      "four small words\n",
    );
  }
  return serving(built, folder, more);
}

async function serving(program: string, folder: string, more: string[]): Promise<House> {
  const books = ["--books", join(folder, "books.db")];
  const child = spawn(
    resolve(repository, program),
    // From one address comes in a minute what an office asks in an hour: the bound on that has tests of the server.
    ["serve", ...books, "--address", "127.0.0.1:0", "--requests-per-minute", "100000", ...more],
    {
      stdio: ["ignore", "ignore", "pipe"],
    },
  );
  const origin = await served(child);
  const end = async (signal: "SIGTERM" | "SIGKILL") => {
    const ended = new Promise((resolve) => child.once("exit", resolve));
    child.kill(signal);
    await ended;
  };
  return {
    origin,
    folder,
    stop: async () => {
      await end("SIGTERM");
      rmSync(folder, { recursive: true, force: true });
    },
    kill: () => end("SIGKILL"),
    again: () => serving(program, folder, more),
  };
}

async function run(arguments_: string[], input: string): Promise<void> {
  const child = spawn(resolve(repository, built ?? ""), arguments_, { stdio: ["pipe", "ignore", "inherit"] });
  child.stdin.end(input);
  const code = await new Promise((resolve) => child.once("exit", resolve));
  if (code !== 0) throw new Error(`tussock ${arguments_.join(" ")} ended with ${String(code)}`);
}

function served(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let told = "";
    child.stderr?.on("data", (chunk: Buffer) => {
      told += chunk.toString();
      const origin = /serving at (\S+)/.exec(told)?.[1];
      if (origin !== undefined) resolve(origin);
    });
    child.once("exit", (code) => reject(new Error(`the server ended with ${String(code)}:\n${told}`)));
  });
}

let browser: Browser | undefined;

/** The browser of this run. */
export async function openBrowser(): Promise<Browser> {
  if (BROWSER === "") throw new Error("Chromium is missing: apt-get install chromium");
  browser ??= await chromium.launch({ executablePath: BROWSER, args: ["--no-sandbox"] });
  return browser;
}

export async function closeBrowser(): Promise<void> {
  await browser?.close();
  browser = undefined;
}

/** A reader with a page of their own; `faults` has all that no page may do. */
export interface Reader {
  context: BrowserContext;
  page: Page;
  faults: string[];
}

/** Opens a page as a reader of this size would. */
export async function reader(
  origin: string,
  size: Size,
  look: Look = "day",
  more: Pick<BrowserContextOptions, "serviceWorkers" | "timezoneId"> = {},
): Promise<Reader> {
  const context = await (
    await openBrowser()
  ).newContext({
    viewport: SIZES[size],
    hasTouch: size === "phone",
    baseURL: origin,
    ...more,
  });
  const faults: string[] = [];
  const page = await context.newPage();
  if (size === "phone") tapsOnly(context, page);
  await page.addInitScript((chosen) => {
    if (localStorage.getItem("tussock.settings/1") === null) {
      localStorage.setItem("tussock.settings/1", JSON.stringify({ look: chosen }));
    }
  }, look);
  // A warning of the framework names no place: the way that led to it is told with it.
  await page.addInitScript(() => {
    const { warn } = console;
    console.warn = (...told: unknown[]) =>
      warn(...told, ...(String(told[0]).includes("svelte.dev/e/") ? [new Error().stack] : []));
  });
  page.on("console", (message) => {
    // The browser itself tells of each answer beyond 399; pages ask who is there to hear a 401.
    const isAnswer = message.text().startsWith("Failed to load resource") && message.text().includes("401");
    if (["warning", "error"].includes(message.type()) && !isAnswer) faults.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => faults.push(`broke off: ${error.message}`));
  page.on("request", (asked) => {
    const url = asked.url();
    if (!url.startsWith(origin) && !url.startsWith("blob:") && !url.startsWith("data:")) {
      faults.push(`asked elsewhere: ${url}`);
    }
  });
  return { context, page, faults };
}

/** Lets a page at an https origin be answered by a server behind it, as a proxy with TLS would. */
export async function proxied(
  context: BrowserContext,
  origin: string,
  server: string,
  /** Which answers are lost on their way back. */
  isLost: (method: string, path: string, status: number) => boolean = () => false,
): Promise<void> {
  const to = new URL(server);
  await context.route(`${origin}/**`, async (route) => {
    const asked = route.request();
    const url = new URL(asked.url());
    const headers = {
      ...(await asked.allHeaders()),
      host: new URL(origin).host,
      "x-forwarded-for": "127.0.0.1",
    };
    const answer = await new Promise<{ status: number; headers: Record<string, string>; body: Buffer }>(
      (resolve, reject) => {
        const forwarded = request(
          {
            host: to.hostname,
            port: to.port,
            method: asked.method(),
            path: url.pathname + url.search,
            headers,
          },
          (response) => {
            const chunks: Buffer[] = [];
            response.on("data", (chunk: Buffer) => chunks.push(chunk));
            response.on("end", () => {
              const told: Record<string, string> = {};
              for (const [name, value] of Object.entries(response.headers)) {
                told[name] = Array.isArray(value) ? value.join("\n") : (value ?? "");
              }
              resolve({ status: response.statusCode ?? 0, headers: told, body: Buffer.concat(chunks) });
            });
          },
        );
        forwarded.once("error", reject);
        forwarded.end(asked.postDataBuffer() ?? undefined);
      },
    );
    if (isLost(asked.method(), url.pathname, answer.status)) await route.abort();
    else await route.fulfill(answer);
  });
}

/** Where a company's server seems to be: behind a proxy with TLS, so that people sign in. */
export const COMPANY = "https://books.example";
export const PASSWORDS: Record<string, string> = { mara: "four small words", noor: "five other small words" };

/** A server of people who sign in: mara is its owner. */
export const company = (): Promise<House> => house("--behind-proxy", COMPANY);

/** Types name and password where the page asks for them. */
export async function signIn(page: Page, name: string): Promise<void> {
  await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
  await page.getByLabel("Name").fill(name);
  await page.getByLabel("Password").fill(PASSWORDS[name] ?? "");
  await page.getByRole("button", { name: "Sign in" }).click();
}

/** Unfolds the menu, which stands behind a button on a phone. */
export async function unfoldMenu(page: Page): Promise<void> {
  const button = page.getByRole("button", { name: "Pages" });
  if ((await button.isVisible()) && (await button.getAttribute("aria-expanded")) === "false")
    await button.click();
}

/** Opens the first page as somebody of the company. */
export async function person(
  home: House,
  name: string,
  size: Size,
  more: Parameters<typeof reader>[3] = {},
): Promise<Reader> {
  const opened = await reader(COMPANY, size, "day", more);
  await proxied(opened.context, COMPANY, home.origin);
  await opened.page.goto("/");
  await signIn(opened.page, name);
  await opened.page.getByText(new RegExp(`^${name}, `)).waitFor({ state: "attached" });
  return opened;
}

/** Asks the server as whoever is signed in on a page, past what the page does. */
export async function askedAs<Answer>(
  page: Page,
  method: string,
  path: string,
  body?: unknown,
): Promise<Answer> {
  return page.evaluate(
    async ([method, path, body]) => {
      const { form_token } = (await (await fetch("/api/session")).json()) as { form_token: string };
      const headers = {
        "content-type": "application/json",
        "idempotency-key": crypto.randomUUID(),
        "x-form-token": form_token,
      };
      const answer = await fetch(path!, { method: method!, headers, ...(body ? { body } : {}) });
      const text = await answer.text();
      if (!answer.ok) throw new Error(`${path}: ${answer.status} ${text}`);
      return JSON.parse(text === "" ? "null" : text) as never;
    },
    [method, path, body === undefined ? "" : JSON.stringify(body)],
  );
}

/** Makes a sign-in for a planner of the company. */
export async function hire(owner: Page, name: string): Promise<void> {
  await askedAs(owner, "POST", "/api/sign-ins", { name, role: "planner", password: PASSWORDS[name] });
}

/** Everything in the databases and the storage of this device, as text. */
export const onDevice = (page: Page): Promise<Record<string, string>> =>
  page.evaluate(async () => {
    const told: Record<string, string> = { storage: JSON.stringify({ ...localStorage, ...sessionStorage }) };
    for (const { name } of await indexedDB.databases()) {
      const db = await new Promise<IDBDatabase>((resolve, reject) => {
        const asked = indexedDB.open(name!);
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error!);
      });
      for (const store of db.objectStoreNames) {
        const asked = db.transaction(store).objectStore(store).getAll();
        const rows = await new Promise<unknown[]>((resolve) => {
          asked.onsuccess = () => resolve(asked.result);
        });
        told[`${name}/${store}`] = JSON.stringify(rows);
      }
      db.close();
    }
    for (const name of await caches.keys()) {
      const kept = await (await caches.open(name)).keys();
      told[`cache ${name}`] = kept.map(({ url }) => new URL(url).pathname).join(" ");
    }
    return told;
  });

/** What the server answers, asked past the pages. */
export async function asked(origin: string, path: string): Promise<Record<string, unknown>> {
  const response = await fetch(origin + path);
  if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
  return (await response.json()) as Record<string, unknown>;
}

/** Keeps something past the pages. @returns its name */
export async function keptThing(origin: string, path: string, document: unknown): Promise<string> {
  const response = await fetch(origin + path, {
    method: "POST",
    headers: { "content-type": "application/json", "idempotency-key": randomUUID() },
    body: JSON.stringify(document),
  });
  const told = (await response.json()) as { thing?: string; kept?: { thing: string } };
  const thing = told.kept?.thing ?? told.thing;
  if (thing === undefined) throw new Error(`${path}: ${JSON.stringify(told)}`);
  return thing;
}

/** The invented property of the demo and its visit, in the books. */
export interface Demo {
  name: string;
  day: string;
  property: string;
  visit: string;
}

/** Keeps the demo's property and visit, as its files tell them. */
export async function keepDemo(origin: string): Promise<Demo> {
  const name = "Alder Bend";
  const property = await keptThing(origin, "/api/properties", {
    format: "tussock.kept-property/1",
    name,
    map: demoFile("alder-bend/property.geojson"),
  });
  return { name, day: DEMO_DAY, property, visit: await keepVisit(origin, property, name) };
}

export const DEMO_DAY = "2026-07-07";

/** Keeps the demo's visit under a name, with what is other in its request and files. @returns what the books call it */
export async function keepVisit(
  origin: string,
  property: string,
  name: string,
  other: { request?: (text: string) => string; files?: Record<string, string> } = {},
): Promise<string> {
  const own = ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"];
  const labels = ["brackwater-sc", "gravelhome-gr", "anthollow-rb"].map((label) => `../labels/${label}.toml`);
  const files = Object.fromEntries([
    ...own.map((file) => [file, demoFile(`alder-bend/${file}`)]),
    ...labels.map((file) => [file, demoFile(file.slice(3))]),
  ]);
  return keptThing(origin, "/api/visits", {
    format: "tussock.kept-visit/1",
    name,
    date: DEMO_DAY,
    property,
    request: (other.request ?? ((text) => text))(
      demoFile("alder-bend/visit.toml").replace(/^name = .*$/m, `name = "${name}"`),
    ),
    files: { ...files, ...other.files },
  });
}

/** What axe finds on the page as it stands. */
export async function barriers(page: Page): Promise<string[]> {
  // Evaluated by the browser's own hand, so that the page's policy need not allow it.
  await page.evaluate(axe.source);
  return page.evaluate(async () => {
    const { axe: run } = globalThis as unknown as { axe: typeof import("axe-core") };
    const { violations } = await run.run(document, { resultTypes: ["violations"] });
    return violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join(" ")}`);
  });
}
