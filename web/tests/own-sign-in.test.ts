// One's own way in: password, second factor, sessions on other devices.
import { createHmac } from "node:crypto";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { faultsInLooks } from "./look";
import {
  COMPANY,
  PASSWORDS,
  SIZES,
  barriers,
  closeBrowser,
  company,
  hire,
  house,
  person,
  proxied,
  reader,
  signIn,
  type Size,
  unfoldMenu,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
afterAll(closeBrowser);

/** The code of a secret, so many half minutes from now (RFC 6238 with SHA-1 and six digits), as a phone makes it. */
function codeOf(secret: string, steps = 0): string {
  const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
  const bits = [...secret].map((letter) => letters.indexOf(letter).toString(2).padStart(5, "0")).join("");
  const key = Buffer.from((bits.match(/.{8}/g) ?? []).map((byte) => Number.parseInt(byte, 2)));
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(Math.floor(Date.now() / 30_000) + steps));
  const digest = createHmac("sha1", key).update(counter).digest();
  const at = digest[19]! & 0x0f;
  return String((digest.readUInt32BE(at) & 0x7fffffff) % 1_000_000).padStart(6, "0");
}

/** Looks at a page as it stands, in every look. */
async function lookedAt(page: Page, what: string): Promise<void> {
  expect(await faultsInLooks(page, what)).toEqual([]);
}

const refusals = (faults: string[]) => faults.filter((fault) => !/ (403|409|422) /.test(fault));
const title = (page: Page, name: string) => page.getByRole("heading", { level: 1, name });
const focused = (page: Page) => page.evaluate(() => document.activeElement?.id);

/** Begins a second factor and confirms it; its secret and its recovery codes. */
async function equip(page: Page): Promise<{ secret: string; recovery: string[] }> {
  await page.locator("#begin-password").fill(PASSWORDS.mara!);
  await page.locator("#begin-password").press("Enter");
  await page.getByRole("img", { name: "QR code" }).waitFor();
  const secret = (await page.getByText("The secret, to be typed").locator("code").innerText()).replaceAll(
    " ",
    "",
  );
  expect(await focused(page)).toBe("confirm-code");
  await page.locator("#confirm-code").fill("000000");
  await page.getByRole("button", { name: "Confirm", exact: true }).click();
  await page.getByRole("alert").getByText("the code does not fit").waitFor();
  await page.locator("#confirm-code").fill(codeOf(secret));
  await page.locator("#confirm-code").press("Enter");
  await page.getByRole("heading", { name: "Recovery codes" }).waitFor();
  expect(await focused(page)).toBe("recovery");
  const recovery = await page.locator("ol code").allInnerTexts();
  expect(new Set(recovery).size).toBe(10);
  return { secret, recovery };
}

test.each(sizes)(
  "a new password asks for the present one, ends the session, and signs in: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await person(home, "mara", size);
    await unfoldMenu(page);
    await page.getByRole("link", { name: "mara, owner" }).click();
    await title(page, "Your sign-in").waitFor();
    await lookedAt(page, "one's own sign-in");
    const change = page.getByRole("form", { name: "Change the password" });
    await change.getByLabel("Present password").fill("not the words");
    await change.getByLabel("New password").fill("seven quite other words");
    await change.getByRole("button", { name: "Change it" }).click();
    await change.getByRole("alert").getByText("the present password is wrong").waitFor();
    await change.getByLabel("Present password").fill(PASSWORDS.mara!);
    await change.getByLabel("New password").fill("short");
    await change.getByRole("button", { name: "Change it" }).click();
    await change.getByRole("alert").getByText("the password has 5 characters").waitFor();
    await change.getByLabel("New password").fill("seven quite other words");
    expect(await change.getByLabel("New password").getAttribute("autocomplete")).toBe("new-password");
    await change.getByLabel("New password").press("Enter");
    await page.getByText("Your password is changed. Sign in with the new one.").waitFor();
    expect(await barriers(page)).toEqual([]);
    expect(await page.getByLabel("Name").inputValue()).toBe("mara");
    await page.getByLabel("Password").fill("seven quite other words");
    await page.getByRole("button", { name: "Sign in" }).click();
    await title(page, "Your sign-in").waitFor();
    expect(refusals(faults)).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)(
  "with a second factor signing in asks for a code, and a recovery code stands in for it once: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await person(home, "mara", size);
    await page.goto("/my-sign-in");
    await page.getByText("Signing in asks for the password alone.").waitFor();
    await page.locator("#begin-password").fill("not the words");
    await page.getByRole("button", { name: "Begin a second factor" }).click();
    await page.getByRole("alert").getByText("the present password is wrong").waitFor();
    const { secret, recovery } = await equip(page);
    await lookedAt(page, "recovery codes");
    await page.getByRole("button", { name: "They are put away" }).click();
    await page.getByText("10 recovery codes are left", { exact: false }).waitFor();
    expect(await page.getByText(recovery[0]!).count()).toBe(0);

    const phone = await reader(COMPANY, size);
    await proxied(phone.context, COMPANY, home.origin);
    const at = phone.page;
    await at.goto("/");
    await signIn(at, "mara");
    await at.getByText("This sign-in asks for a code as well.", { exact: false }).waitFor();
    expect(await focused(at)).toBe("code");
    expect(await at.getByLabel("Password").inputValue()).toBe(PASSWORDS.mara);
    await lookedAt(at, "sign-in with a code");
    await at.getByLabel("Code").fill("000000");
    await at.getByLabel("Code").press("Enter");
    await at.getByRole("alert").getByText("the code does not fit, or was used before").waitFor();
    expect(await focused(at)).toBe("code");
    await at.getByLabel("Code").fill(codeOf(secret, 1));
    await at.getByLabel("Code").press("Enter");
    await at.getByText("mara, owner").waitFor({ state: "attached" });

    // A recovery code, and then it is used.
    const again = await reader(COMPANY, size);
    await proxied(again.context, COMPANY, home.origin);
    await again.page.goto("/");
    await signIn(again.page, "mara");
    await again.page.getByLabel("Code").fill(recovery[0]!);
    await again.page.getByRole("button", { name: "Sign in" }).click();
    await again.page.getByText("mara, owner").waitFor({ state: "attached" });
    await page.reload();
    await page.getByText("9 recovery codes are left", { exact: false }).waitFor();

    // Three sessions: the other two are ended from here, and this one goes on.
    await page.getByRole("button", { name: "End them" }).click();
    await page.getByText("You are signed in here alone now.").waitFor();
    for (const other of [at, again.page]) {
      await other.reload();
      await title(other, "Sign in").waitFor();
    }
    await page.reload();
    await title(page, "Your sign-in").waitFor();

    // It ends with password and code; from then on the password is enough.
    await page.locator("summary", { hasText: "End the second factor" }).click();
    await page.locator("#end-password").fill(PASSWORDS.mara!);
    await page.locator("#end-code").fill(recovery[0]!);
    await page.getByRole("button", { name: "End it" }).click();
    await page.getByRole("alert").getByText("the code does not fit, or was used before").waitFor();
    await page.locator("#end-code").fill(recovery[1]!);
    await page.getByRole("button", { name: "End it" }).click();
    await page.getByText("Your second factor is ended.", { exact: false }).waitFor();
    await signIn(page, "mara");
    await page.getByText("Signing in asks for the password alone.").waitFor();
    for (const { faults: found } of [phone, again]) expect(refusals(found)).toEqual([]);
    expect(refusals(faults)).toEqual([]);
    for (const one of [context, phone.context, again.context]) await one.close();
    await home.stop();
  },
);

test.each(sizes)(
  "an owner whom the server asks for a second factor meets it first, and nothing else opens before: %s",
  async (size) => {
    const home = await house("--behind-proxy", COMPANY, "--require-second-factor");
    const { context, page, faults } = await reader(COMPANY, size);
    await proxied(context, COMPANY, home.origin);
    await page.goto("/properties");
    await signIn(page, "mara");
    await page.getByText("This server asks owners for a second factor.", { exact: false }).waitFor();
    expect(await page.getByRole("navigation").count()).toBe(0);
    await lookedAt(page, "a second factor that is wanted");
    await equip(page);
    await page.getByRole("button", { name: "They are put away" }).click();
    await title(page, "Properties").waitFor();
    expect(refusals(faults)).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)("an owner ends the second factor of who lost the phone: %s", async (size) => {
  const home = await company();
  const mara = await person(home, "mara", size);
  await hire(mara.page, "noor");
  const noor = await person(home, "noor", size);
  await noor.page.goto("/my-sign-in");
  await noor.page.locator("#begin-password").fill(PASSWORDS.noor!);
  await noor.page.getByRole("button", { name: "Begin a second factor" }).click();
  const code = noor.page.getByText("The secret, to be typed").locator("code");
  await noor.page.locator("#confirm-code").fill(codeOf((await code.innerText()).replaceAll(" ", "")));
  await noor.page.getByRole("button", { name: "Confirm", exact: true }).click();
  await noor.page.getByRole("heading", { name: "Recovery codes" }).waitFor();
  const { page } = mara;
  await page.goto("/people");
  await page.getByText("with a second factor", { exact: false }).waitFor();
  await page.locator("summary", { hasText: "Change what noor may do" }).click();
  await page.getByRole("button", { name: "End their second factor" }).click();
  await page.getByRole("button", { name: "Yes" }).click();
  await page.getByText("noor signs in with the password alone now.").first().waitFor();
  await noor.page.goto("/");
  await title(noor.page, "Sign in").waitFor();
  await signIn(noor.page, "noor");
  await noor.page.getByText("noor, planner").waitFor({ state: "attached" });
  expect([refusals(mara.faults), refusals(noor.faults)]).toEqual([[], []]);
  await mara.context.close();
  await noor.context.close();
  await home.stop();
});
