// What stands round the work: the first page, sign-in, people, settings.
import { opened, type Pictured, type Stage } from "./pictured";

/** Gives mara a second factor as far as the picture of its secret. */
async function begun(stage: Stage): Promise<void> {
  await opened(stage, "/my-sign-in", "Your sign-in");
  await stage.page.locator("#begin-password").fill("four small words");
  await stage.page.getByRole("button", { name: "Begin a second factor" }).click();
  await stage.page.getByRole("img", { name: "QR code" }).waitFor();
}

export const HOUSE: readonly Pictured[] = [
  {
    name: "first-run",
    route: "/",
    at: "home",
    open: async (stage) => {
      await opened(stage, "/", "Start");
      await stage.page.getByRole("button", { name: "Take the invented demo property" }).waitFor();
    },
  },
  {
    name: "start",
    route: "/",
    open: async (stage) => {
      await opened(stage, "/", "Start");
      await stage.page.getByRole("link", { name: "Alder Bend (invented)" }).first().waitFor();
    },
  },
  { name: "settings", route: "/settings", open: (stage) => opened(stage, "/settings", "Settings") },
  { name: "nothing", route: "*", open: (stage) => opened(stage, "/no/such/page", "No such page") },
  {
    name: "sign-in",
    route: "/sign-in",
    at: "nobody",
    open: (stage) => opened(stage, "/sign-in", "Sign in"),
  },
  {
    name: "sign-in-wrong",
    route: "/sign-in",
    at: "nobody",
    open: async (stage) => {
      await opened(stage, "/sign-in", "Sign in");
      await stage.page.getByLabel("Name").fill("ruth");
      await stage.page.getByLabel("Password").fill("not the words");
      await stage.page.getByRole("button", { name: "Sign in" }).click();
      await stage.page.getByRole("alert").waitFor();
    },
  },
  {
    name: "clients",
    route: "/clients",
    open: async (stage) => {
      await opened(stage, "/clients", "Clients");
      await stage.page.getByRole("list", { name: "Clients in the books" }).getByRole("link").waitFor();
    },
  },
  {
    name: "client-new",
    route: "/clients/new",
    open: async (stage) => {
      await opened(stage, "/clients/new", "New client");
      await stage.page.getByRole("button", { name: "Add a neighbour who asked to be told before" }).click();
    },
  },
  {
    name: "client",
    route: "/clients/:thing",
    open: async (stage) => {
      await opened(stage, "/clients", "Clients");
      await stage.page.getByRole("list", { name: "Clients in the books" }).getByRole("link").click();
      await stage.page.getByRole("heading", { level: 2, name: "Their properties" }).waitFor();
    },
  },
  {
    name: "business",
    route: "/business",
    open: async (stage) => {
      await opened(stage, "/business", "Business");
      await stage.page.getByLabel("Prices and rates").waitFor();
    },
  },
  {
    name: "people",
    route: "/people",
    open: async (stage) => {
      await opened(stage, "/people", "People");
      await stage.page.locator("summary", { hasText: "Change what ruth may do" }).click();
      await stage.page.getByText("R. Sample").first().waitFor();
      await stage.page.getByText("close sign-in otto").waitFor();
    },
  },
  {
    name: "people-at-home",
    route: "/people",
    at: "home",
    open: async (stage) => {
      await opened(stage, "/people", "People");
      await stage.page.getByText("Nobody may sign in yet.").waitFor();
      await stage.page.getByText("The books keep no person yet.").waitFor();
    },
  },
  {
    name: "people-last-owner",
    route: "/people",
    open: async (stage) => {
      await opened(stage, "/people", "People");
      await stage.page.locator("summary", { hasText: "Change what mara may do" }).click();
      await stage.page.getByRole("button", { name: "Close this sign-in" }).first().click();
      await stage.page.getByRole("button", { name: "Yes" }).click();
      await stage.page.getByText("this is the last owner's sign-in").waitFor();
    },
  },
  {
    name: "my-sign-in",
    route: "/my-sign-in",
    open: async (stage) => {
      await opened(stage, "/my-sign-in", "Your sign-in");
      await stage.page.getByText("Signing in asks for the password alone.").waitFor();
    },
  },
  { name: "my-sign-in-second-factor", route: "/my-sign-in", open: begun },
];
