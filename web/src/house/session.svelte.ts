import type { components } from "../service/api";
import { ask, carryFormToken, onSignedOut } from "../service/client";
import { draftsAreOf } from "../service/drafts";
import { Refused } from "../service/problem";

type Session = components["schemas"]["Session"];

/**
 * Who is signed in; `unknown` until the server was asked, `away` without reception for somebody whom this device
 * has known before, `over` for somebody whose session ended without their signing out.
 */
export const session = $state<{
  state: "unknown" | "nobody" | "somebody" | "over" | "away" | "no-server";
  who: Session | null;
  /** What the person did that ended it, where it did not end by itself. */
  because: "password" | "second-factor" | null;
}>({
  state: "unknown",
  who: null,
  because: null,
});

const KEY = "tussock.session/1";

function is(who: Session | null, state: typeof session.state): void {
  session.who = who;
  session.state = state;
  draftsAreOf(who === null ? "" : `${who.account}/${who.name}`);
}

function known(who: Session | null): void {
  is(who, who === null ? "nobody" : "somebody");
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

/** Counts signings in and out: an answer asked for before the last of them tells of a session that is no more. */
let turn = 0;
let isLeaving = false;

/** Asks the server who is signed in. */
export async function whoIsThere(): Promise<void> {
  const asked = turn;
  try {
    const { body } = await ask("get", "/api/session");
    if (asked === turn) known(body);
  } catch (error) {
    if (asked !== turn) return;
    if (error instanceof Refused && error.status === 401) {
      // What is on the device is theirs, and they go on with it; what the server has waits for their password. Who
      // signed out, in this window or another, is not remembered.
      const who = remembered();
      if (who === null) return known(null);
      carryFormToken(null);
      return is(who, "over");
    }
    const who = session.who ?? remembered();
    is(who, who === null ? "no-server" : "away");
  }
}

/** Asks again whether the server is there, where it was not; another window may have signed in meanwhile. */
export async function whenReception(): Promise<void> {
  if (["away", "no-server", "over"].includes(session.state)) await whoIsThere();
}

// Whatever page hears that nobody is signed in: the house asks, and says so.
onSignedOut(() => {
  if (session.state === "somebody" && !isLeaving) void whoIsThere();
});

/** Signs in, with a code where the sign-in has a second factor; refusals are for the page to tell. */
export async function signIn(name: string, password: string, code: string): Promise<void> {
  const body = { name, password, ...(code === "" ? {} : { code }) };
  const { body: who } = await ask("post", "/api/session", { body });
  turn += 1;
  known(who);
  session.because = null;
}

/** Says that every session of this person ended by what they did. */
export async function ended(because: "password" | "second-factor"): Promise<void> {
  session.because = because;
  await whoIsThere();
}

/**
 * Signs out, and takes from the device what is theirs before it says so; a session that is over already is no
 * hindrance.
 */
export async function signOut(forget: () => Promise<void>): Promise<void> {
  isLeaving = true;
  try {
    try {
      await ask("delete", "/api/session");
    } catch (error) {
      if (!(error instanceof Refused && error.status === 401)) throw error;
    }
    turn += 1;
    await forget();
    known(null);
  } finally {
    isLeaving = false;
  }
}
