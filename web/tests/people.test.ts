// Who may sign in as what: looked at and changed by an owner, refused to anybody else.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { faultsInLooks } from "./look";
import {
  COMPANY,
  PASSWORDS,
  SIZES,
  askedAs,
  closeBrowser,
  company,
  hire,
  house,
  onDevice,
  person,
  proxied,
  reader,
  signIn,
  type House,
  type Reader,
  type Size,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
afterAll(closeBrowser);

/** Looks at a page as it stands, in every look. */
async function lookedAt(page: Page, what: string): Promise<void> {
  expect(await faultsInLooks(page, what)).toEqual([]);
}

const refusals = (faults: string[]) => faults.filter((fault) => !/ (403|409|422) /.test(fault));
const open = (page: Page, name: string) =>
  page.locator("summary", { hasText: `Change what ${name} may do` }).click();
const entry = (page: Page, name: string) =>
  page
    .getByRole("list", { name: "Who may sign in" })
    .getByRole("listitem")
    .filter({ has: page.getByRole("heading", { name: new RegExp(`^${name}, `) }) });

async function onPeople(page: Page): Promise<void> {
  await page.goto("/people");
  await page.getByRole("heading", { level: 2, name: "Who may sign in" }).waitFor();
}

/** Somebody with a device of their own, who types a password. */
async function comes(home: House, name: string, password: string): Promise<Reader> {
  const opened = await reader(COMPANY, "phone");
  await proxied(opened.context, COMPANY, home.origin);
  await opened.page.goto("/");
  await opened.page.getByLabel("Name").fill(name);
  await opened.page.getByLabel("Password").fill(password);
  await opened.page.getByRole("button", { name: "Sign in" }).click();
  return opened;
}

test.each(sizes)(
  "an owner lets somebody in, gives another role and password, and shuts them out: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await person(home, "mara", size);
    await askedAs(page, "POST", "/api/demo");
    if (size === "phone") await page.getByRole("button", { name: "Pages" }).click();
    await page.getByRole("link", { name: "People" }).click();
    await page.getByRole("heading", { level: 1, name: "People" }).waitFor();

    // A technician, with a password made by chance.
    const add = page.getByRole("form", { name: "Let somebody sign in" });
    await add.getByLabel("Name").fill("ruth");
    await add.getByText("keeps counts and records").waitFor();
    await add.getByLabel("First password").fill("ruth ruth ruth");
    await add.getByRole("button", { name: "Make the sign-in" }).click();
    await add.getByRole("alert").getByText("it is made of a name of yours").waitFor();
    await add.getByRole("button", { name: "Make one by chance" }).click();
    const password = await add.getByLabel("First password").inputValue();
    expect(password).toMatch(/^[a-z2-9]{4}(-[a-z2-9]{4}){5}$/);
    await lookedAt(page, "people");
    await add.getByRole("button", { name: "Make the sign-in" }).press("Enter");
    await page.getByText("ruth may sign in now.").first().waitFor();
    expect(await add.getByLabel("First password").inputValue()).toBe("");
    await entry(page, "ruth").getByText("signed in nowhere", { exact: false }).waitFor();

    const ruth = await comes(home, "ruth", password);
    await ruth.page.getByText("ruth, technician").waitFor({ state: "attached" });
    await page.reload();
    await entry(page, "ruth").getByText("signed in once", { exact: false }).waitFor();

    // Another role: what is open ends, and the next session is a planner's.
    await open(page, "ruth");
    const own = entry(page, "ruth");
    await own.getByLabel("Role", { exact: true }).selectOption("planner");
    await own.getByRole("button", { name: "Give this role" }).click();
    await page.getByText("ruth is planner now, and signs in again.").first().waitFor();
    await ruth.page.reload();
    await ruth.page.getByText("The session of ruth is over.", { exact: false }).waitFor();
    await ruth.page.getByLabel("Password").fill(password);
    await ruth.page.getByRole("button", { name: "Sign in" }).click();
    await ruth.page.getByText("ruth, planner").waitFor({ state: "attached" });

    // A client is one of the kept ones, and the page says what they see.
    await own.getByLabel("Role", { exact: true }).selectOption("client");
    await own.getByLabel("Which client").selectOption({ index: 1 });
    await own.getByText("They see: Alder Bend (invented).").waitFor();
    await own.getByRole("button", { name: "Give this role" }).click();
    await page.getByText("ruth is client now").first().waitFor();
    await own.getByText("; password alone", { exact: false }).waitFor();

    // A new password ends what is open.
    await own.getByLabel("New password", { exact: true }).fill("seven quite other words");
    await own.getByRole("button", { name: "Set the password" }).click();
    await page.getByText("ruth has a new password").first().waitFor();
    const again = await comes(home, "ruth", "seven quite other words");
    await again.page.getByText("ruth, client").waitFor({ state: "attached" });
    await page.reload();
    await open(page, "ruth");
    await own.getByRole("button", { name: "End their sessions" }).click();
    await own.getByRole("button", { name: "No, leave it" }).click();
    await own.getByRole("button", { name: "End their sessions" }).click();
    await own.getByRole("button", { name: "Yes" }).click();
    await page.getByText("ruth is signed in nowhere now.").first().waitFor();
    await again.page.reload();
    await again.page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();

    await own.getByRole("button", { name: "Close this sign-in" }).click();
    await own.getByRole("button", { name: "Yes" }).click();
    await page.getByText("ruth cannot sign in any more.").first().waitFor();
    await own.getByText("closed: opens nothing", { exact: false }).waitFor();
    await again.page.getByLabel("Password").fill("seven quite other words");
    await again.page.getByRole("button", { name: "Sign in" }).click();
    await again.page.getByRole("alert").getByText("name and password do not open anything").waitFor();
    await own.getByRole("button", { name: "Open it again" }).click();
    await page.getByText("ruth may sign in again.").first().waitFor();

    // The trail tells all of it, the newest first, by the names that people know.
    const trail = page.getByRole("region", { name: "What happened at the door" }).getByRole("row");
    await expect.poll(() => trail.nth(1).innerText()).toContain("open sign-in ruth");
    const told = await trail.allInnerTexts();
    for (const event of [
      "make sign-in ruth as technician",
      "give sign-in ruth the role planner",
      "set the password of sign-in ruth",
      "end the sessions of sign-in ruth",
      "close sign-in ruth",
    ])
      expect(told.filter((row) => row.includes(event) && row.includes("mara"))).toHaveLength(1);
    expect(refusals(faults)).toEqual([]);
    for (const one of [context, ruth.context, again.context]) await one.close();
    await home.stop();
  },
);

test.each(sizes)("the last owner cannot be locked out, and the page says why: %s", async (size) => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", size);
  await hire(page, "noor");
  await onPeople(page);
  await open(page, "mara");
  const own = entry(page, "mara");
  // By keys alone: the focus goes to what is asked, and comes back.
  await own.getByRole("button", { name: "Close this sign-in" }).press("Enter");
  await own.getByRole("button", { name: "Yes" }).press("Enter");
  const alert = own.getByRole("alert");
  await alert.getByText("this is the last owner's sign-in").waitFor();
  await alert.getByText("make another owner first").waitFor();
  expect(await page.evaluate(() => document.activeElement?.tagName)).not.toBe("BODY");
  await own.getByLabel("Role", { exact: true }).selectOption("planner");
  await own.getByRole("button", { name: "Give this role" }).click();
  await alert.getByText("this is the last owner's sign-in").waitFor();
  await lookedAt(page, "the last owner");
  // With another owner she may step back; then the page is no longer hers.
  await open(page, "noor");
  await entry(page, "noor").getByLabel("Role", { exact: true }).selectOption("owner");
  await entry(page, "noor").getByRole("button", { name: "Give this role" }).click();
  await page.getByText("noor is owner now").first().waitFor();
  await own.getByLabel("Role", { exact: true }).selectOption("planner");
  await own.getByRole("button", { name: "Give this role" }).click();
  await page.getByText("The session of mara is over.", { exact: false }).waitFor();
  await signIn(page, "mara");
  await page.getByText("Who may sign in is for owners to see and to change.").waitFor();
  expect(refusals(faults)).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)(
  "who is no owner has no way to sign-ins, and the server refuses it past the page: %s",
  async (size) => {
    const home = await company();
    const mara = await person(home, "mara", size);
    await hire(mara.page, "noor");
    await askedAs(mara.page, "POST", "/api/demo");
    const noor = await person(home, "noor", size);
    const { page } = noor;
    if (size === "phone") await page.getByRole("button", { name: "Pages" }).click();
    await page.getByRole("link", { name: "Settings" }).waitFor();
    expect(await page.getByRole("link", { name: "People" }).count()).toBe(0);
    // By its address: the certificates of who works here, and nothing of sign-ins.
    await page.goto("/people");
    await page.getByText("Who may sign in is for owners to see and to change.").waitFor();
    await page
      .getByRole("heading", { name: "J. Example (invented)" })
      .or(page.getByRole("heading", { name: "J. Example" }))
      .waitFor();
    expect(await page.getByRole("heading", { name: "Who may sign in" }).count()).toBe(0);
    expect(await page.getByRole("heading", { name: "What happened at the door" }).count()).toBe(0);
    await lookedAt(page, "people for a planner");
    const { sign_in } = (
      await askedAs<{ sign_in: string; name: string }[]>(mara.page, "GET", "/api/sign-ins")
    ).find(({ name }) => name === "noor")!;
    for (const [method, path, body] of [
      ["GET", "/api/sign-ins", undefined],
      ["GET", "/api/audit", undefined],
      ["PUT", `/api/sign-ins/${sign_in}/role`, { role: "owner" }],
      ["PUT", `/api/sign-ins/${sign_in}/password`, { password: "seven quite other words" }],
      ["DELETE", `/api/sign-ins/${sign_in}/sessions`, undefined],
    ] as const) {
      await expect(askedAs(page, method, path, body), path).rejects.toThrow(/403.*server::role/s);
    }
    expect(refusals(noor.faults)).toEqual([]);
    await mara.context.close();
    await noor.context.close();
    await home.stop();
  },
);

test("a client sees neither people nor certificates", async () => {
  const home = await company();
  const mara = await person(home, "mara", "desk");
  await askedAs(mara.page, "POST", "/api/demo");
  const { entries } = await askedAs<{ entries: { thing: string }[] }>(mara.page, "GET", "/api/clients");
  const client = entries[0]!.thing;
  await askedAs(mara.page, "POST", "/api/sign-ins", {
    name: "tilda",
    role: "client",
    client,
    password: PASSWORDS.noor,
  });
  const tilda = await comes(home, "tilda", PASSWORDS.noor!);
  await tilda.page.getByText("tilda, client").waitFor({ state: "attached" });
  await tilda.page.goto("/people");
  await tilda.page.getByText("This page is for people who work here.").waitFor();
  expect(await tilda.page.getByRole("heading", { level: 2 }).count()).toBe(0);
  await tilda.page.goto("/properties");
  await tilda.page.getByRole("link", { name: "Alder Bend (invented)" }).waitFor();
  expect([mara.faults, tilda.faults]).toEqual([[], []]);
  await mara.context.close();
  await tilda.context.close();
  await home.stop();
});

test.each(sizes)("certificates that ran out or soon will are told first, with the days: %s", async (size) => {
  const home = await house();
  const { context, page, faults } = await reader(home.origin, size);
  const day = (days: number) => {
    const at = new Date();
    at.setDate(at.getDate() + days);
    return at.toLocaleDateString("sv-SE");
  };
  const certificate = (number: string, valid_until: string) => ({
    number,
    jurisdiction: "US-KS",
    categories: ["ornamental-and-turf"],
    valid_until,
  });
  for (const person of [
    { name: "A. Holds", certificates: [certificate("KS-1", day(200))] },
    { name: "B. Both", certificates: [certificate("KS-2", day(30)), certificate("KS-3", day(-12))] },
    { name: "C. None", training: [{ kind: "noncertified-applicator", date: day(-400), by: "A. Holds" }] },
  ]) {
    const answer = await fetch(`${home.origin}/api/people`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": crypto.randomUUID() },
      body: JSON.stringify({ format: "tussock.kept-person/1", ...person }),
    });
    expect(answer.status, await answer.text()).toBe(201);
  }
  await page.goto("/people");
  const due = page.getByRole("list", { name: "2 certificates have run out or soon will:" });
  await due.waitFor();
  const told = (await due.getByRole("listitem").allInnerTexts()).map((text) => text.replace(/\s+/g, " "));
  expect(told).toEqual([
    "B. Both, Certificate KS-3, US-KS: ran out 12 days ago",
    "B. Both, Certificate KS-2, US-KS: runs out in 30 days",
  ]);
  await page.getByText("KS-1", { exact: false }).getByText("holds", { exact: true }).waitFor();
  await page.getByText("no certificate is kept").waitFor();
  await page.getByText("older than twelve months.").waitFor();
  await lookedAt(page, "certificates");
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)(
  "on this machine alone the page says what sign-ins are for, and the first owner is made there: %s",
  async (size) => {
    const home = await house();
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/people");
    await page.getByText("On this machine alone nobody signs in", { exact: false }).waitFor();
    await page.getByText("tussock serve owner --name NAME --books books.db").waitFor();
    await page.getByText("Nobody may sign in yet.").waitFor();
    await lookedAt(page, "people at home");
    const add = page.getByRole("form", { name: "Let somebody sign in" });
    expect(await add.getByLabel("Role").inputValue()).toBe("owner");
    await add.getByLabel("Name").fill("mara");
    await add.getByLabel("First password").fill(PASSWORDS.mara!);
    await add.getByRole("button", { name: "Make the sign-in" }).click();
    await page.getByText("mara may sign in now.").first().waitFor();
    await page.getByText("There is an owner.", { exact: false }).waitFor();
    await page.getByText("tussock serve --lan --books books.db").waitFor();
    expect(await page.getByText("tussock serve owner", { exact: false }).count()).toBe(0);
    await page.goto("/my-sign-in");
    await page.getByText("there is no password and no session", { exact: false }).waitFor();
    expect(faults).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)("what is typed of people outlives loading again, but for a password: %s", async (size) => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", size);
  await askedAs(page, "POST", "/api/people", { format: "tussock.kept-person/1", name: "R. Sample" });
  await onPeople(page);
  const add = page.getByRole("form", { name: "Let somebody sign in" });
  await add.getByLabel("Name").fill("ruth");
  await add.getByLabel("Role").selectOption("planner");
  await add.getByLabel("First password").fill(PASSWORDS.noor!);
  await page.locator("summary", { hasText: "Change what is kept of R. Sample" }).click();
  const form = page.getByRole("form", { name: "Change what is kept of R. Sample" });
  await form.getByLabel("Telephone").fill("620-555-0100");
  await form.getByRole("button", { name: "Add a certificate" }).click();
  await form.getByLabel("Number, as printed").fill("KS-7");
  await form.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
  await page.waitForTimeout(300);
  for (const [store, text] of Object.entries(await onDevice(page)))
    expect(text, store).not.toContain(PASSWORDS.noor!);
  await page.reload();
  // Its form stands open, with what was typed there.
  await form.getByText("was found on this device", { exact: false }).waitFor();
  expect(await form.getByLabel("Telephone").inputValue()).toBe("620-555-0100");
  expect(await form.getByLabel("Number, as printed").inputValue()).toBe("KS-7");
  await add.getByText("a password is not kept there", { exact: false }).waitFor();
  expect(await add.getByLabel("Name").inputValue()).toBe("ruth");
  expect(await add.getByLabel("Role").inputValue()).toBe("planner");
  expect(await add.getByLabel("First password").inputValue()).toBe("");
  await lookedAt(page, "people with drafts");
  await form.getByRole("button", { name: "Drop what was typed" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Drop what was typed" }).click();
  await expect.poll(() => form.getByLabel("Telephone").inputValue()).toBe("");
  expect(await form.getByRole("group", { name: "Certificate 1", exact: true }).count()).toBe(0);
  await form.getByLabel("Telephone").fill("620-555-0177");
  await form.getByRole("button", { name: "Keep it" }).click();
  await page.getByText("What was told of R. Sample is in the books.").waitFor();
  // Kept, it is folded, and no draft of it is left.
  await form.waitFor({ state: "hidden" });
  expect(await page.evaluate(() => document.activeElement?.tagName)).not.toBe("BODY");
  await add.getByLabel("First password").fill(PASSWORDS.noor!);
  await add.getByRole("button", { name: "Make the sign-in" }).click();
  await page.getByText("ruth may sign in now.").first().waitFor();
  await page.reload();
  await page.locator("summary", { hasText: "Change what is kept of R. Sample" }).waitFor();
  await page.waitForTimeout(300);
  expect(await page.getByText("found on this device", { exact: false }).count()).toBe(0);
  expect(await form.isVisible()).toBe(false);
  expect(await add.getByLabel("Name").inputValue()).toBe("");
  expect(refusals(faults)).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)(
  "a renewed certificate is kept, and what somebody else kept meanwhile is not overwritten: %s",
  async (size) => {
    const home = await company();
    const mara = await person(home, "mara", "desk");
    await hire(mara.page, "noor");
    await askedAs(mara.page, "POST", "/api/people", {
      format: "tussock.kept-person/1",
      name: "R. Sample",
      certificates: [
        { number: "KS-1", jurisdiction: "US-KS", categories: ["structural"], valid_until: "2026-01-31" },
      ],
    });
    const noor = await person(home, "noor", size);
    for (const { page } of [mara, noor]) {
      await page.goto("/people");
      await page.locator("summary", { hasText: "Change what is kept of R. Sample" }).click();
    }
    const form = (page: Page) => page.getByRole("form", { name: "Change what is kept of R. Sample" });
    await form(mara.page).getByLabel("Telephone").fill("620-555-0100");
    await form(mara.page).getByRole("button", { name: "Keep it" }).click();
    await mara.page.getByText("What was told of R. Sample is in the books.").waitFor();

    const { page } = noor;
    const own = form(page);
    await own.getByLabel("Valid until").fill("2031-01-31");
    await own.getByRole("group", { name: "Certificate 1: kinds of work" }).getByLabel("industrial").uncheck();
    await own.getByRole("button", { name: "Keep it" }).click();
    await own.getByRole("alert").getByText("the certificate holds for no kind of work").waitFor();
    await own.getByLabel("ornamental plants and turf").check();
    await own.getByRole("button", { name: "Keep it" }).press("Enter");
    const meeting = (of: Page) => of.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
    await meeting(page).getByText("Theirs: 620-555-0100").waitFor();
    await meeting(page)
      .getByText(/Mine: .*Valid until: January 31, 2031/)
      .waitFor();
    expect(await own.getByLabel("Valid until").inputValue()).toBe("2031-01-31");
    await lookedAt(page, "a person kept twice");
    await meeting(page).getByRole("button", { name: "All theirs" }).click();
    await meeting(page).getByRole("button", { name: "Put it together" }).click();
    expect(await own.getByLabel("Telephone").inputValue()).toBe("620-555-0100");
    expect(await own.getByLabel("Valid until").inputValue()).toBe("2026-01-31");
    await own.getByLabel("Valid until").fill("2031-01-31");
    await own.getByRole("button", { name: "Keep it" }).click();
    await page.getByText("What was told of R. Sample is in the books.").waitFor();
    await page.getByText("valid until January 31, 2031", { exact: false }).waitFor();
    // Mine on top of theirs is a choice, too.
    await mara.page.locator("summary", { hasText: "Change what is kept of R. Sample" }).click();
    await form(mara.page).getByLabel("Note").fill("by mara");
    await form(mara.page).getByRole("button", { name: "Keep it" }).click();
    await meeting(mara.page).getByRole("button", { name: "Put it together" }).click();
    await form(mara.page).getByRole("button", { name: "Keep it" }).click();
    await mara.page.getByText("What was told of R. Sample is in the books.").waitFor();
    // Keeping one person reads all of them anew: what was told of another one meanwhile is not kept over.
    await askedAs(page, "POST", "/api/people", { format: "tussock.kept-person/1", name: "Q. Sample" });
    await mara.page.reload();
    await mara.page.locator("summary", { hasText: "Change what is kept of R. Sample" }).click();
    await mara.page.locator("summary", { hasText: "Change what is kept of Q. Sample" }).click();
    const q = mara.page.getByRole("form", { name: "Change what is kept of Q. Sample" });
    await page.reload();
    await page.locator("summary", { hasText: "Change what is kept of Q. Sample" }).click();
    const theirs = page.getByRole("form", { name: "Change what is kept of Q. Sample" });
    await theirs.getByLabel("Telephone").fill("620-555-0177");
    await theirs.getByRole("button", { name: "Keep it" }).click();
    await page.getByText("What was told of Q. Sample is in the books.").waitFor();
    await form(mara.page).getByLabel("Note").fill("by mara again");
    await form(mara.page).getByRole("button", { name: "Keep it" }).click();
    await mara.page.getByText("What was told of R. Sample is in the books.").waitFor();
    await q.getByLabel("Note").fill("of q");
    await q.getByRole("button", { name: "Keep it" }).click();
    await meeting(mara.page).getByRole("button", { name: "All theirs" }).click();
    await meeting(mara.page).getByRole("button", { name: "Put it together" }).click();
    expect(await q.getByLabel("Telephone").inputValue()).toBe("620-555-0177");
    const { entries } = await askedAs<{ entries: { thing: string; title: string; version: number }[] }>(
      page,
      "GET",
      "/api/people",
    );
    const kept = entries.find(({ title }) => title === "R. Sample");
    expect(kept?.version).toBe(5);
    const told = await askedAs<Record<string, unknown>>(page, "GET", `/api/people/${kept!.thing}`);
    expect([told.note, told.telephone]).toEqual(["by mara again", "620-555-0100"]);

    await page.locator("summary", { hasText: "Keep a person" }).click();
    const add = page.getByRole("form", { name: "Keep a person" });
    await add.getByLabel("Name").fill("N. Newcomer");
    await add.getByRole("button", { name: "Add a training" }).click();
    await add.getByLabel("On", { exact: true }).fill(new Date().toISOString().slice(0, 10));
    await add.getByLabel("Given by").fill("R. Sample");
    await add.getByRole("button", { name: "Keep it" }).click();
    await page.getByRole("heading", { name: "N. Newcomer" }).waitFor();
    await page.getByText("Training of noncertified applicators", { exact: false }).first().waitFor();
    const quiet = (faults: string[]) => faults.filter((fault) => !/ (412|422) /.test(fault));
    expect([quiet(mara.faults), quiet(noor.faults)]).toEqual([[], []]);
    await mara.context.close();
    await noor.context.close();
    await home.stop();
  },
);
