// Clients and the business: kept by whom it is given to, drafts on the device, and what somebody else kept meanwhile.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { demoFile } from "./demo";
import { faultsInLooks } from "./look";
import { PASSWORDS, askedAs, closeBrowser, company, hire, person, sizes, unfoldMenu } from "./support";

afterAll(closeBrowser);

async function lookedAt(page: Page, what: string): Promise<void> {
  expect(await faultsInLooks(page, what)).toEqual([]);
}

const quiet = (faults: string[]) => faults.filter((fault) => !/ (403|412|422) |ERR_FAILED/.test(fault));
const keep = (page: Page) => page.getByRole("button", { name: "Keep it" });

test.each(sizes)(
  "a client is kept, found again as typed, and nobody's version is overwritten: %s",
  async (size) => {
    const home = await company();
    const mara = await person(home, "mara", size);
    await hire(mara.page, "noor");
    const { page } = mara;
    await unfoldMenu(page);
    await page.getByRole("link", { name: "Clients" }).click();
    await page.getByText("The books keep no client yet.").waitFor();
    await lookedAt(page, "no client");
    await page.getByRole("link", { name: "Keep a client" }).click();
    await page.getByLabel("Name").fill("A. Sample (invented)");
    await page.getByLabel("Postal address").fill("1 First Lane\nExampleville");
    await page.getByLabel("What was told", { exact: false }).fill("two children\nhives by the fence");
    await page.getByRole("button", { name: "Add a neighbour who asked to be told before" }).click();
    const neighbour = page.getByRole("group", { name: "Neighbour 1" });
    await neighbour.getByLabel("Name").fill("B. Sample (invented)");
    await neighbour.getByLabel("How to reach them").fill("620-555-0100");
    await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
    await lookedAt(page, "a new client");
    await page.goto("/clients");
    await page
      .getByRole("list", { name: "Begun on this device" })
      .getByRole("link", { name: "New client: A. Sample (invented)" })
      .click();
    expect(await page.getByLabel("Postal address").inputValue()).toBe("1 First Lane\nExampleville");
    await keep(page).click();
    await page.waitForURL(/\/clients\/[0-9a-f-]{36}$/);
    await page.getByRole("heading", { level: 1, name: "A. Sample (invented)" }).waitFor();
    await page.getByText("All is kept.").waitFor();
    const thing = new URL(page.url()).pathname.split("/").at(-1)!;
    const told = () => askedAs<Record<string, unknown>>(page, "GET", `/api/clients/${thing}`);
    expect(await told()).toMatchObject({
      address: "1 First Lane\nExampleville",
      disclosures: ["two children", "hives by the fence"],
      neighbours: [{ name: "B. Sample (invented)", reach: "620-555-0100", abuts: false }],
    });
    await askedAs(page, "POST", "/api/properties", {
      format: "tussock.kept-property/1",
      name: "First Lane (invented)",
      map: demoFile("alder-bend/property.geojson"),
      client: thing,
    });
    await page.reload();
    await page
      .getByRole("list", { name: "Their properties" })
      .getByRole("link", { name: "First Lane" })
      .waitFor();
    await lookedAt(page, "a client");

    // Somebody else keeps another version meanwhile: a person chooses.
    const noor = await person(home, "noor", "desk");
    await noor.page.goto(`/clients/${thing}`);
    await noor.page.getByLabel("Telephone").fill("620-555-0199");
    await page.getByLabel("Note").fill("by mara");
    await keep(noor.page).click();
    await noor.page.getByText("is in the books.").last().waitFor();
    await keep(page).click();
    const meeting = page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
    const part = (name: string) => meeting.getByRole("group", { name });
    await meeting.getByText("noor kept version 2", { exact: false }).waitFor();
    // What each of the two says is told, and only that.
    await part("Telephone").getByText("Theirs: 620-555-0199").waitFor();
    await part("Note").getByText("Mine: by mara").waitFor();
    expect(await meeting.getByRole("group").count()).toBe(2);
    await lookedAt(page, "a client kept twice");
    // Put off, and after loading again, it is met again: nothing was overwritten.
    await meeting.getByRole("button", { name: "Decide later" }).click();
    expect(await page.getByLabel("Note").inputValue()).toBe("by mara");
    await page.reload();
    await page.getByText("was found on this device.", { exact: false }).waitFor();
    await keep(page).click();
    await meeting.waitFor();
    expect((await told()).telephone).toBe("620-555-0199");
    // What only one side changed is proposed: both are put together, and are one more version.
    await meeting.getByRole("button", { name: "Put it together" }).click();
    await page.getByText("Both are put together here.", { exact: false }).waitFor();
    expect(await page.getByLabel("Telephone").inputValue()).toBe("620-555-0199");
    await keep(page).click();
    await page.getByText("All is kept.").waitFor();
    expect(await told()).toMatchObject({ telephone: "620-555-0199", note: "by mara" });

    // What both changed a person chooses. Without reception theirs cannot be shown, and nothing is met with the old.
    await noor.page.reload();
    await noor.page.getByLabel("Note").fill("by noor");
    await keep(noor.page).click();
    await noor.page.getByText("is in the books.").last().waitFor();
    await page.getByLabel("Note").fill("by mara again");
    const read = (url: URL) => url.pathname === `/api/clients/${thing}`;
    await page.route(read, (route) =>
      route.request().method() === "GET" ? route.abort() : route.fallback(),
    );
    await keep(page).click();
    await page.getByRole("alert").first().waitFor();
    expect(await meeting.count()).toBe(0);
    await page.unroute(read);
    await keep(page).click();
    await part("Note").getByText("Theirs: by noor").waitFor();
    expect((await told()).note).toBe("by noor");
    await meeting.getByRole("button", { name: "Put it together" }).click();
    await meeting.getByText("Choose for each what holds.").waitFor();
    await meeting.getByRole("button", { name: "All theirs" }).click();
    await meeting.getByRole("button", { name: "Put it together" }).click();
    expect(await page.getByLabel("Note").inputValue()).toBe("by noor");
    await page.getByText("All is kept.").waitFor();
    expect((await told()).note).toBe("by noor");
    expect([quiet(mara.faults), quiet(noor.faults)]).toEqual([[], []]);
    for (const { context } of [mara, noor]) await context.close();
    await home.stop();
  },
);

test.each(sizes)(
  "a client whose answer was lost is kept once, with what was typed since: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await person(home, "mara", size);
    await page.goto("/clients/new");
    await page.getByLabel("Name").fill("A. Sample (invented)");
    let isLost = true;
    await page.route("**/api/clients", async (route) => {
      if (route.request().method() !== "POST" || !isLost) return route.fallback();
      const { form_token } = await askedAs<{ form_token: string }>(page, "GET", "/api/session");
      expect(form_token).not.toBe("");
      // The server has it, and nobody hears so.
      await page.evaluate(
        async ([body, key, token]) => {
          const headers = {
            "content-type": "application/json",
            "idempotency-key": key!,
            "x-form-token": token!,
          };
          await fetch("/api/clients?", { method: "POST", headers, body: body! });
        },
        [route.request().postData(), route.request().headers()["idempotency-key"], form_token],
      );
      await route.abort();
    });
    await keep(page).click();
    await page.getByText("This was sent, and no answer came.", { exact: false }).waitFor();
    isLost = false;
    await page.reload();
    await page.getByLabel("Telephone").fill("620-555-0100");
    await keep(page).click();
    await page.waitForURL(/\/clients\/[0-9a-f-]{36}$/);
    const { entries } = await askedAs<{ entries: { thing: string; version: number }[] }>(
      page,
      "GET",
      "/api/clients",
    );
    expect(entries.map(({ version }) => version)).toEqual([2]);
    expect(await askedAs(page, "GET", `/api/clients/${entries[0]!.thing}`)).toMatchObject({
      telephone: "620-555-0100",
    });
    expect(faults.filter((fault) => !fault.includes("ERR_FAILED"))).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)("the business is kept with its prices by an owner, and read by others: %s", async (size) => {
  const home = await company();
  const mara = await person(home, "mara", size);
  await hire(mara.page, "noor");
  const { page } = mara;
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Business" }).click();
  await page.getByText("The books keep no business yet.").waitFor();
  await page.getByLabel("Name").fill("Example Yard Care (invented)");
  await page.getByLabel("Where it has its seat").fill("100 Example Avenue\nExampleville, KS 00000");
  await page.getByLabel("Where it works").fill("US-KS");
  await page.getByRole("button", { name: "Add somebody to call" }).click();
  const contact = page.getByRole("group", { name: "Whom to call, 1" });
  await contact.getByLabel("For what").fill("questions");
  await contact.getByLabel("Who answers").fill("J. Example (invented)");
  await contact.getByLabel("Telephone or email address").fill("620-555-0142");
  await page.getByRole("button", { name: "Begin a price list" }).click();
  const prices = page.getByLabel("Prices and rates");
  await expect.poll(() => prices.inputValue()).toContain('telephone = "620-555-0142"');
  await lookedAt(page, "a new business");
  // What the server cannot read it tells, and nothing is kept.
  const begun = await prices.inputValue();
  await prices.fill(`${begun}\nhourly = "much"\n`);
  await keep(page).click();
  await page.getByRole("alert").first().waitFor();
  await prices.fill(begun.replace('# hourly = "58.00"', 'hourly = "58.00"'));
  await keep(page).click();
  await page.getByText("The business is in the books.").last().waitFor();
  await page.reload();
  await expect.poll(() => prices.inputValue()).toContain('\nhourly = "58.00"');
  // Somebody else's prices are met line by line.
  const { entries: kept } = await askedAs<{ entries: { thing: string }[] }>(page, "GET", "/api/businesses");
  const seen = await page.evaluate(async (thing) => {
    const { form_token } = (await (await fetch("/api/session")).json()) as { form_token: string };
    const at = `/api/businesses/${thing}`;
    const found = await fetch(at);
    const body = (await found.json()) as { prices: string };
    const prices = body.prices.replace('hourly = "58.00"', 'hourly = "59.00"');
    const headers = {
      "content-type": "application/json",
      "idempotency-key": crypto.randomUUID(),
      "x-form-token": form_token,
      "if-match": found.headers.get("etag")!,
    };
    return (await fetch(at, { method: "PUT", headers, body: JSON.stringify({ ...body, prices }) })).status;
  }, kept[0]!.thing);
  expect(seen).toBe(200);
  await prices.fill((await prices.inputValue()).replace('hourly = "58.00"', 'hourly = "61.00"'));
  await keep(page).click();
  const meeting = page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
  const part = meeting.getByRole("group", { name: "Prices and rates" });
  await part.getByText(/^Theirs: hourly = "59.00"[^\n]*$/).waitFor();
  await part.getByText(/^Mine: hourly = "61.00"[^\n]*$/).waitFor();
  await lookedAt(page, "a business kept twice");
  await meeting.getByRole("button", { name: "All theirs" }).click();
  await meeting.getByRole("button", { name: "Put it together" }).click();
  await page.getByText("All is kept.").waitFor();
  expect(await prices.inputValue()).toContain('\nhourly = "59.00"');
  await page.getByLabel("Licence valid until").fill("2020-01-31");
  await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
  await keep(page).click();
  await page.getByText("Licence valid until: over since", { exact: false }).waitFor();
  await page.getByText("All is kept.").waitFor();
  await lookedAt(page, "the business");
  const { entries } = await askedAs<{ entries: { version: number }[] }>(page, "GET", "/api/businesses");
  expect(entries.map(({ version }) => version)).toEqual([3]);

  // A planner reads it, has no way to it in the menu, and is refused by the server past the page.
  const noor = await person(home, "noor", size);
  await unfoldMenu(noor.page);
  await noor.page.getByRole("link", { name: "Clients" }).click();
  await noor.page.getByRole("heading", { level: 1, name: "Clients" }).waitFor();
  await unfoldMenu(noor.page);
  expect(await noor.page.getByRole("link", { name: "Business", exact: true }).count()).toBe(0);
  await noor.page.getByRole("link", { name: "Who does the work, whom to call, prices" }).click();
  await noor.page.getByText("Owners change what is kept of the business.").waitFor();
  await noor.page.getByText('hourly = "59.00"', { exact: false }).waitFor();
  expect(await keep(noor.page).count()).toBe(0);
  await lookedAt(noor.page, "the business for a planner");
  const body = { format: "tussock.kept-business/1", name: "Mine" };
  await expect(askedAs(noor.page, "POST", "/api/businesses", body)).rejects.toThrow(/403/);
  expect([quiet(mara.faults), quiet(noor.faults)]).toEqual([[], []]);
  for (const { context } of [mara, noor]) await context.close();
  await home.stop();
});

test.each(sizes)("a technician reads clients, and a client sees neither page: %s", async (size) => {
  const home = await company();
  const mara = await person(home, "mara", size);
  await askedAs(mara.page, "POST", "/api/demo");
  const { entries } = await askedAs<{ entries: { thing: string; title: string }[] }>(
    mara.page,
    "GET",
    "/api/clients",
  );
  const client = entries[0]!;
  await askedAs(mara.page, "POST", "/api/sign-ins", {
    name: "noor",
    role: "technician",
    password: PASSWORDS.noor,
  });
  const noor = await person(home, "noor", size);
  await noor.page.goto(`/clients/${client.thing}`);
  await noor.page.getByText("Owners and planners change what is kept of clients.").waitFor();
  expect(await keep(noor.page).count()).toBe(0);
  await lookedAt(noor.page, "a client for a technician");
  await noor.page.goto("/clients");
  await noor.page.getByRole("link", { name: client.title }).waitFor();
  expect(await noor.page.getByRole("link", { name: "Keep a client" }).count()).toBe(0);
  const signIns = await askedAs<{ sign_in: string; name: string }[]>(mara.page, "GET", "/api/sign-ins");
  const { sign_in } = signIns.find(({ name }) => name === "noor")!;
  await askedAs(mara.page, "PUT", `/api/sign-ins/${sign_in}/role`, { role: "client", client: client.thing });
  await noor.context.close();
  const tilda = await person(home, "noor", size);
  await unfoldMenu(tilda.page);
  expect(await tilda.page.getByRole("link", { name: /^(Clients|Business)$/ }).count()).toBe(0);
  for (const path of ["/clients", `/clients/${client.thing}`, "/business"]) {
    await tilda.page.goto(path);
    await tilda.page.getByText("This page is for people who work here.").waitFor();
  }
  expect([quiet(mara.faults), quiet(noor.faults), quiet(tilda.faults)]).toEqual([[], [], []]);
  for (const { context } of [mara, tilda]) await context.close();
  await home.stop();
});
