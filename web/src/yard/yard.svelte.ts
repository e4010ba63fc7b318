// The yard as every page sees it: what waits, what was delivered, what was taken along; kept true between tabs.
import { session } from "../house/session.svelte";
import { STRICT, database, holdFast, type Delivered, type Taken, type Waiting } from "./database";
import {
  allDelivered,
  allWaiting,
  deliver,
  giveUp,
  giveUpAllOf,
  keep,
  reopen,
  sendAgain,
  takeOver,
  type Reopened,
} from "./outbox";
import { offsetOfPlace } from "./clock";
import { send } from "./sending";

export const yard = $state<{
  waiting: Waiting[];
  delivered: Delivered[];
  taken: Taken[];
  /** The key of what this window is sending; null where that is nothing. */
  sending: string | null;
  /** Whether the device was asked yet: before that nothing is known, and nothing is said. */
  looked: boolean;
}>({ waiting: [], delivered: [], taken: [], sending: null, looked: false });

/** In whose hands things are: the account and the name. */
export function whose(): string {
  return session.who === null ? "" : `${session.who.account}/${session.who.name}`;
}

const between = "BroadcastChannel" in globalThis ? new BroadcastChannel("tussock.yard") : null;

let newest: Promise<void> = Promise.resolve();

/** Reads again what this device keeps; one look after another, so that none tells less than the one before. */
export function look(): Promise<void> {
  newest = newest.catch(() => {}).then(read);
  return newest;
}

async function read(): Promise<void> {
  const who = whose();
  const [waiting, delivered, taken] = await Promise.all([
    allWaiting(),
    allDelivered(who),
    (await database()).getAll("taken"),
  ]);
  yard.waiting = waiting;
  yard.delivered = delivered;
  yard.taken = taken.filter((one) => one.who === who);
  yard.looked = true;
}

function changed(): void {
  between?.postMessage("changed");
  void look();
}

/** Tries wait longer each time, up to a minute. */
const LONGEST_MS = 60_000;
let wait = 1000;
let timer: ReturnType<typeof setTimeout> | undefined;
let asked = false;

/** Sends what waits, now; what cannot go is tried again later. */
export async function sendWaiting(): Promise<void> {
  // One run at a time is enough, and one more behind it for what came meanwhile.
  if (asked) return;
  const who = whose();
  if (who === "" || session.state !== "somebody") return;
  asked = true;
  clearTimeout(timer);
  try {
    const run = deliver(
      who,
      (deed) => {
        asked = false;
        yard.sending = deed.key;
        return send(deed);
      },
      changed,
    );
    const isLeft = await run;
    wait = isLeft ? Math.min(wait * 2, LONGEST_MS) : 1000;
    if (isLeft) timer = setTimeout(() => void sendWaiting(), wait);
  } catch (error) {
    // The device could not write down what became of it: it goes again under its key.
    if (!(error instanceof DOMException)) throw error;
    timer = setTimeout(() => void sendWaiting(), LONGEST_MS);
  } finally {
    asked = false;
    yard.sending = null;
  }
}

/** Keeps a deed on this device, and sends it when there is reception. */
export async function done(
  deed: Parameters<typeof keep>[1],
  pictures?: Parameters<typeof keep>[2],
): Promise<string> {
  holdFast();
  // The page of a deed names its place: `/yard/record/VISIT`, `/yard/counts/PROPERTY`.
  const [, , kind = "", thing = ""] = (deed.written?.page ?? "").split("/");
  const offset = offsetOfPlace(yard.taken, `${kind === "record" ? "visit" : "property"}/${thing}`);
  const key = await keep(whose(), { ...deed, offset }, pictures);
  between?.postMessage("changed");
  // Whoever goes on to the list finds it there, and no list from before; kept it is in any case.
  await look().catch(() => {});
  void sendWaiting();
  return key;
}

/** The thing that the books keep of a deed, once it is delivered; null where it is not in so many milliseconds. */
export async function delivered(key: string, within: number): Promise<string | null> {
  const until = Date.now() + within;
  for (;;) {
    // In this order: what is delivered meanwhile is found in one of the two.
    const waits = (await allWaiting()).find((one) => one.key === key);
    const found = (await allDelivered(whose())).find((one) => one.key === key);
    if (found !== undefined) return found.thing || null;
    // What was refused is mended in the yard.
    if (Date.now() > until || waits === undefined || waits.problems.length > 0) return null;
    await new Promise((resolve) => setTimeout(resolve, 150));
  }
}

/** A person gives up what was refused. */
export async function drop(key: string): Promise<void> {
  await giveUp(key);
  changed();
}

/** An owner takes over what waits of somebody who does not sign in here any more, and sends it. */
export async function takeFrom(who: string): Promise<void> {
  await takeOver(who, whose());
  changed();
  void sendWaiting();
}

/** An owner gives up what waits of somebody who does not sign in here any more. */
export async function dropOf(who: string): Promise<void> {
  await giveUpAllOf(who);
  changed();
}

/** A person mends what was refused, in the place of what is begun under its name where `isOver`. */
export async function mend(key: string, isOver = false): Promise<Reopened | undefined> {
  const reopened = await reopen(key, isOver);
  changed();
  return reopened;
}

/** A person sends again what was refused. */
export async function again(key: string): Promise<void> {
  await sendAgain(key);
  changed();
  void sendWaiting();
}

/** What is being written down under a name, and how to keep it as it grows. */
export async function draftOf(name: string): Promise<unknown> {
  return (await (await database()).get("drafts", [whose(), name]))?.written;
}

export async function writeDraft(name: string, written: unknown): Promise<void> {
  holdFast();
  const writing = (await database()).transaction("drafts", "readwrite", STRICT);
  await Promise.all([writing.store.put({ name, who: whose(), written }), writing.done]);
}

export async function dropWritten(name: string): Promise<void> {
  const writing = (await database()).transaction("drafts", "readwrite", STRICT);
  void writing.store.delete([whose(), name]);
  await writing.done;
}

/** Takes something of the books along. */
export async function take(taken: Omit<Taken, "who" | "takenAt">): Promise<void> {
  holdFast();
  const db = await database();
  const writing = db.transaction("taken", "readwrite", STRICT);
  const row = { ...taken, who: whose(), takenAt: new Date().toISOString() };
  await Promise.all([writing.store.put(row), writing.done]);
  changed();
}

/** Changes what was taken along under a name, where it is still there. */
export async function change(name: string, changing: (taken: Taken) => Taken): Promise<void> {
  const writing = (await database()).transaction("taken", "readwrite", STRICT);
  const row = await writing.store.get([whose(), name]);
  if (row !== undefined) void writing.store.put(changing(row));
  await writing.done;
  changed();
}

/** Lays something taken along aside. */
export async function layAside(name: string): Promise<void> {
  await (await database()).delete("taken", [whose(), name]);
  changed();
}

/** How much of somebody's work has not reached the server. */
export async function unsent(who: string): Promise<number> {
  return (await allWaiting()).filter((deed) => deed.who === who).length;
}

/**
 * Takes from the device what is only a copy of what the server has: what somebody took along, and what they delivered.
 * What waits and what is being written down is theirs alone, and stays.
 */
export async function forget(who: string): Promise<void> {
  const writing = (await database()).transaction(["taken", "delivered"], "readwrite", STRICT);
  const taken = writing.objectStore("taken");
  const delivered = writing.objectStore("delivered");
  for (const key of await taken.getAllKeys()) if (key[0] === who) void taken.delete(key);
  for (const one of await delivered.getAll()) if (one.who === who) void delivered.delete(one.key);
  await writing.done;
  changed();
}

/** Keeps the yard true: between tabs, when reception comes back, when the page is looked at again. */
export function watch(): () => void {
  const told = () => void look();
  const go = () => void sendWaiting();
  const seen = () => {
    if (document.visibilityState === "visible") go();
  };
  between?.addEventListener("message", told);
  addEventListener("online", go);
  document.addEventListener("visibilitychange", seen);
  told();
  go();
  return () => {
    between?.removeEventListener("message", told);
    removeEventListener("online", go);
    document.removeEventListener("visibilitychange", seen);
    clearTimeout(timer);
  };
}
