// What a picture is taken of.
import type { BrowserContext, Page } from "playwright-core";
import type { Books } from "./books";

/** Where a picture is taken. */
export interface Stage {
  page: Page;
  context: BrowserContext;
  books: Books;
}

/** A page in the state that makes it worth seeing. */
export interface Pictured {
  /** What its files are called. */
  name: string;
  /** The address as `web/src/house/routes.ts` has it; `*` for an address that is no page. */
  route: string;
  /** Whose server it is taken at: a company's, where mara is signed in, or one on this machine alone with empty books. */
  at?: "company" | "nobody" | "home";
  /** Opens it and brings it into its state. */
  open: (stage: Stage) => Promise<unknown>;
}

/** Waits until nothing is asked any more and the fonts are there. */
export async function rested(page: Page): Promise<void> {
  await page.waitForLoadState("networkidle");
  await page.evaluate(async () => {
    await document.fonts.ready;
    await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
  });
}

/** Opens an address and waits for its title. */
export async function opened({ page }: Stage, path: string, title: string | RegExp): Promise<void> {
  await page.goto(path);
  await page.getByRole("heading", { level: 1, name: title }).waitFor();
}
