// Every page of the house, in the states of its pictures, in three looks at both sizes: no barrier for anybody, nothing cut
// off, too small or out of reach, and nothing odd in the console. A unit test holds the list of them against the routes.
import { afterAll, expect, test, vi } from "vitest";
import { booksFor } from "../pictures/books";
import { PICTURED } from "../pictures/list";
import { opened, rested, type Pictured } from "../pictures/pictured";
import { faultsInLooks } from "./look";
import { closeBrowser, sizes } from "./support";

/** Some fifty states one after another, on a machine that may have other work. */
vi.setConfig({ testTimeout: 600_000 });

afterAll(closeBrowser);

/** Nothing asked yet: a page whose picture shows an answer. */
const UNASKED: Pictured = {
  name: "near-unasked",
  route: "/records/near",
  open: (stage) => opened(stage, "/records/near", "Who applied what near a place"),
};

/** The browser itself tells of what a server refuses: some states are made of it. */
const isRefusal = (fault: string) => / (403|409|412|422) /.test(fault);

test.each(sizes)("every page in every look has no barrier and is laid out whole: %s", async (size) => {
  const books = await booksFor(size, "day");
  const at = { company: books.mara, nobody: books.nobody, home: books.home };
  const found: string[] = [];
  for (const { name, open, at: where = "company" } of [...PICTURED, UNASKED]) {
    const { page, context, faults } = at[where];
    page.setDefaultTimeout(20_000);
    try {
      await open({ page, context, books });
      await rested(page);
      found.push(...(await faultsInLooks(page, name)));
    } catch (error) {
      found.push(`${name}: ${String(error).split("\n")[0]}`);
    }
    const odd = faults.splice(0).filter((fault) => !isRefusal(fault));
    found.push(...odd.map((fault) => `${name}: ${fault}`));
  }
  await books.close();
  expect(found).toEqual([]);
});
