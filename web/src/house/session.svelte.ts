import type { components } from "../service/api";
import { ask, carryFormToken } from "../service/client";
import { Refused } from "../service/problem";

type Session = components["schemas"]["Session"];

/**
 * Who is signed in; `unknown` until the server was asked, `away` without reception for somebody whom this device
 * has known before.
 */
export const session = $state<{
  state: "unknown" | "nobody" | "somebody" | "away" | "no-server";
  who: Session | null;
}>({
  state: "unknown",
  who: null,
});

const KEY = "tussock.session/1";

function known(who: Session | null): void {
  session.who = who;
  session.state = who === null ? "nobody" : "somebody";
  carryFormToken(who?.form_token);
  try {
    if (who === null) localStorage.removeItem(KEY);
    // The name is enough to work in the yard; what opens the server is not kept here.
    else localStorage.setItem(KEY, JSON.stringify({ ...who, form_token: null }));
  } catch {
    // A browser may forbid it; then there is no work without reception.
  }
}

function remembered(): Session | null {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "null") as Session | null;
  } catch {
    return null;
  }
}

/** Asks the server who is signed in. */
export async function whoIsThere(): Promise<void> {
  try {
    known((await ask("get", "/api/session")).body);
  } catch (error) {
    if (error instanceof Refused && error.status === 401) known(null);
    else {
      session.who ??= remembered();
      session.state = session.who === null ? "no-server" : "away";
    }
  }
}

/** Asks again whether the server is there, where it was not. */
export async function whenReception(): Promise<void> {
  if (session.state === "away" || session.state === "no-server") await whoIsThere();
}

/** Signs in; refusals are for the page to tell. */
export async function signIn(name: string, password: string): Promise<void> {
  known((await ask("post", "/api/session", { body: { name, password } })).body);
}

/** Signs out. */
export async function signOut(): Promise<void> {
  await ask("delete", "/api/session");
  known(null);
}
