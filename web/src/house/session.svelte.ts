import type { components } from "../service/api";
import { ask, carryFormToken, onSignedOut } from "../service/client";
import { draftsAreOf } from "../service/drafts";
import { Refused } from "../service/problem";

type Session = components["schemas"]["Session"];

/**
 * Who is signed in; `unknown` until the server has answered, or was waited for long enough; `away` without reception for
 * somebody whom this device has known before, `over` for somebody whose session ended without their signing out.
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

/** Who has waited so long for the first answer goes on with what is on the device; the answer may still come. */
const PATIENCE_MS = 3_500;
/** An answer that has not come in this time is not waited for: on bad reception another question fares better. */
const LIMIT_MS = 20_000;
/** Answers of whatever stands before a server that cannot be reached. */
const NO_SERVER = [502, 504];

/** The question that is under way. */
let asking: AbortController | null = null;

/** Asks the server who is signed in; what was asked before is not waited for any more. */
export async function whoIsThere(): Promise<void> {
  asking?.abort();
  const own = new AbortController();
  asking = own;
  const asked = turn;
  const isNewest = () => asking === own && asked === turn;
  const patience = setTimeout(() => {
    if (isNewest() && session.state === "unknown" && remembered() !== null) is(remembered(), "away");
  }, PATIENCE_MS);
  try {
    const { body } = await ask("get", "/api/session", { within: LIMIT_MS, signal: own.signal });
    if (isNewest()) known(body);
  } catch (error) {
    if (isNewest()) unanswered(error);
  } finally {
    clearTimeout(patience);
    if (asking === own) asking = null;
  }
}

/** The server told of nobody. */
function unanswered(error: unknown): void {
  if (error instanceof Refused && error.status === 401) {
    // What is on the device is theirs, and they go on with it; what the server has waits for their password. Who
    // signed out, in this window or another, is not remembered.
    const who = remembered();
    if (who === null) return known(null);
    carryFormToken(null);
    return is(who, "over");
  }
  // A server that is there and busy says nothing of who is signed in: what was known still holds.
  const isBusy = error instanceof Refused && !NO_SERVER.includes(error.status);
  if (isBusy && session.state !== "unknown") return;
  // That a session is over is not taken back by silence.
  if (session.state === "over") return;
  const who = session.who ?? remembered();
  is(who, who === null ? "no-server" : "away");
}

/** States in which the server may be there again, or for the first time. */
const ASKED_AGAIN: readonly (typeof session.state)[] = ["unknown", "away", "no-server", "over"];

/** Asks again whether the server is there, where it was not; another window may have signed in meanwhile. */
export async function whenReception(): Promise<void> {
  if (ASKED_AGAIN.includes(session.state)) await whoIsThere();
}

/** As {@link whenReception}, from time to time: a question that is under way is let run to its end. */
export async function fromTimeToTime(): Promise<void> {
  if (asking === null) await whenReception();
}

// Whatever page hears that nobody is signed in: the house asks, and says so.
onSignedOut(() => {
  if (["somebody", "away"].includes(session.state) && !isLeaving) void whoIsThere();
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
