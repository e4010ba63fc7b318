// The books that pictures are taken of: the invented demo, and people who work on it.
import type { Page } from "playwright-core";
import {
  COMPANY,
  PASSWORDS,
  askedAs,
  company,
  house,
  proxied,
  reader,
  signIn,
  type House,
  type Look,
  type Reader,
  type Size,
} from "../tests/support";

/** Servers with their books, and what the books call things. */
export interface Books {
  /** Where mara is signed in. */
  mara: Reader;
  /** Somebody else's page of the same company, for what is kept meanwhile. */
  noor: Page;
  /** At the door of the company. */
  nobody: Reader;
  /** At a server on this machine alone, whose books are empty. */
  home: Reader;
  property: string;
  visit: string;
  label: string;
  granules: string;
  equipment: string;
  close: () => Promise<void>;
}

async function atCompany(server: House, size: Size, look: Look): Promise<Reader> {
  const opened = await reader(COMPANY, size, look);
  await proxied(opened.context, COMPANY, server.origin);
  await opened.context.grantPermissions(["geolocation"], { origin: COMPANY });
  return opened;
}

async function signedIn(server: House, name: string, size: Size, look: Look): Promise<Reader> {
  const opened = await atCompany(server, size, look);
  await opened.page.goto("/");
  await signIn(opened.page, name);
  await opened.page.getByText(new RegExp(`^${name}, `)).waitFor({ state: "attached" });
  return opened;
}

interface Listed {
  entries: { thing: string; title: string }[];
}

const DAY_MS = 24 * 60 * 60 * 1000;
/** A day so many days from today. */
export const dayFromNow = (days: number) => new Date(Date.now() + days * DAY_MS).toISOString().slice(0, 10);

/** Keeps people of every role, and their certificates. */
async function hireAll(owner: Page): Promise<void> {
  const clients = await askedAs<Listed>(owner, "GET", "/api/clients");
  const client = clients.entries[0]!.thing;
  const hired = [
    { name: "noor", role: "planner" },
    { name: "ruth", role: "technician" },
    { name: "tilda", role: "client", client },
    { name: "otto", role: "technician" },
  ];
  for (const one of hired) {
    const made = await askedAs<{ sign_in: string }>(owner, "POST", "/api/sign-ins", {
      ...one,
      password: PASSWORDS[one.name] ?? "five other small words",
    });
    if (one.name === "otto") {
      await askedAs(owner, "PATCH", `/api/sign-ins/${made.sign_in}`, { disabled: true });
    }
  }
  await askedAs(owner, "POST", "/api/people", {
    format: "tussock.kept-person/1",
    name: "R. Sample",
    certificates: [
      {
        number: "KS-11111",
        jurisdiction: "US-KS",
        categories: ["structural"],
        valid_until: dayFromNow(-12),
      },
    ],
    training: [{ kind: "noncertified-applicator", date: dayFromNow(-400), by: "J. Example" }],
    note: "Invented, for practice only.",
  });
}

/** Fresh books, the same at each run but for the day. */
export async function booksFor(size: Size, look: Look): Promise<Books> {
  const [server, alone] = [await company(), await house()];
  const mara = await signedIn(server, "mara", size, look);
  const owner = mara.page;
  const { property, visit } = await askedAs<{ property: string; visit: string }>(owner, "POST", "/api/demo");
  await hireAll(owner);
  const things = async (kind: string) => (await askedAs<Listed>(owner, "GET", `/api/${kind}`)).entries;
  const [labels, equipment] = [await things("labels"), await things("equipment")];
  const titled = (title: string) => labels.find((one) => one.title === title)!.thing;
  const noor = await signedIn(server, "noor", "desk", "day");
  const nobody = await atCompany(server, size, look);
  const home = await reader(alone.origin, size, look);
  return {
    mara,
    noor: noor.page,
    nobody,
    home,
    property,
    visit,
    label: titled("brackwater-sc"),
    granules: titled("anthollow-rb"),
    equipment: equipment[0]!.thing,
    close: async () => {
      for (const { context } of [mara, noor, nobody, home]) await context.close();
      for (const one of [server, alone]) await one.stop();
    },
  };
}

/** Keeps another version of a thing as somebody else, while a page has an earlier one open. */
export async function keptMeanwhile(
  by: Page,
  path: string,
  change: (document: Record<string, unknown>) => Record<string, unknown>,
): Promise<void> {
  const { document, tag } = await by.evaluate(async (path) => {
    const answer = await fetch(path);
    return { document: (await answer.json()) as never, tag: answer.headers.get("etag")! };
  }, path);
  const body = JSON.stringify(change(document));
  await by.evaluate(
    async ([path, tag, body]) => {
      const { form_token } = (await (await fetch("/api/session")).json()) as { form_token: string };
      const headers = {
        "content-type": "application/json",
        "idempotency-key": crypto.randomUUID(),
        "x-form-token": form_token,
        "if-match": tag!,
      };
      const answer = await fetch(path!, { method: "PUT", headers, body: body! });
      if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
    },
    [path, tag, body],
  );
}
