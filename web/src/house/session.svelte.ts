import type { components } from "../service/api";
import { ask, carryFormToken } from "../service/client";
import { Refused } from "../service/problem";

type Session = components["schemas"]["Session"];

/** Who is signed in; `unknown` until the server was asked. */
export const session = $state<{
  state: "unknown" | "nobody" | "somebody" | "no-server";
  who: Session | null;
}>({
  state: "unknown",
  who: null,
});

function known(who: Session | null): void {
  session.who = who;
  session.state = who === null ? "nobody" : "somebody";
  carryFormToken(who?.form_token);
}

/** Asks the server who is signed in. */
export async function whoIsThere(): Promise<void> {
  try {
    known((await ask("get", "/api/session")).body);
  } catch (error) {
    if (error instanceof Refused && error.status === 401) known(null);
    else session.state = "no-server";
  }
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
