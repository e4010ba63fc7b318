// What was done in the yard goes to the server exactly once: it is kept on the device first, sent with a key of its
// own, and leaves the device only when the server has answered for it.
import { holdDraft, nameOfLock } from "../service/draft-lock";
import { freshName } from "../service/name";
import type { Problem } from "../service/problem";
import { database, STRICT, type Delivered, type Waiting } from "./database";

/** What the server made of a deed. */
export type Outcome =
  | { kind: "delivered"; thing: string; told: string[] }
  /** A person has to look: sent again as it is, it is refused again. */
  | { kind: "refused"; problems: Problem[] }
  /** The server broke off on this one: later, and the others need not wait for it. */
  | { kind: "broken"; problems: Problem[] }
  /** No answer, too busy, or nobody signed in: later, with all others. */
  | { kind: "later"; isSlow: boolean };

export type Send = (deed: Waiting) => Promise<Outcome>;

/** After so many times in a row a person may give up a deed on which the server breaks off. */
export const OFTEN = 3;

/** How many deliveries a device remembers, to show them. */
const REMEMBERED = 50;

/** Keeps a deed, with the pictures that belong to it, until it is delivered: all of them or none. */
export async function keep(
  who: string,
  deed: Pick<Waiting, "what" | "title" | "path" | "body"> &
    Pick<Partial<Waiting>, "query" | "written" | "offset">,
  pictures: readonly { title: string; kind: string; bytes: ArrayBuffer }[] = [],
): Promise<string> {
  const madeAt = new Date().toISOString();
  const key = freshName();
  const rows: Waiting[] = [
    { key, who, madeAt, query: {}, problems: [], tries: 0, ...deed },
    ...pictures.map(({ title, kind, bytes }): Waiting => ({
      key: freshName(),
      who,
      what: "photo",
      title,
      madeAt,
      path: "/api/files",
      query: { name: title },
      body: undefined,
      picture: { kind, bytes },
      after: key,
      offset: deed.offset ?? null,
      problems: [],
      tries: 0,
    })),
  ];
  const db = await database();
  const writing = db.transaction(["waiting", "drafts"], "readwrite", STRICT);
  try {
    const asked: Promise<unknown>[] = rows.map((row) => writing.objectStore("waiting").add(row));
    if (deed.written !== undefined)
      asked.push(writing.objectStore("drafts").delete([who, deed.written.draft]));
    await Promise.all([...asked, writing.done]);
  } catch (error) {
    writing.done.catch(() => {});
    abort(writing);
    throw error;
  }
  return key;
}

/** Takes back what a transaction has done so far; one that has ended by itself needs no more. */
function abort(writing: { abort: () => void }): void {
  try {
    writing.abort();
  } catch {
    // It has ended.
  }
}

/** All that waits on this device, oldest first. */
export async function allWaiting(): Promise<Waiting[]> {
  return (await database()).getAll("waiting");
}

/** The newest deliveries of somebody. */
export async function allDelivered(who: string): Promise<Delivered[]> {
  const all = await (await database()).getAll("delivered");
  const own = all.filter((one) => one.who === who);
  return own.sort((one, other) => other.deliveredAt.localeCompare(one.deliveredAt));
}

/** A person gives a deed up, and what belongs to it. */
export async function giveUp(key: string): Promise<void> {
  const writing = (await database()).transaction("waiting", "readwrite", STRICT);
  for (const behind of await writing.store.index("after").getAllKeys(key)) void writing.store.delete(behind);
  void writing.store.delete(key);
  await writing.done;
}

/** Puts what waits of one person into the hands of another, who sends it under the keys that it has. */
export async function takeOver(from: string, to: string): Promise<void> {
  const writing = (await database()).transaction("waiting", "readwrite", STRICT);
  for (const row of await writing.store.getAll())
    if (row.who === from) void writing.store.put({ ...row, who: to });
  await writing.done;
}

/** Gives up all that waits of one person. */
export async function giveUpAllOf(who: string): Promise<void> {
  const writing = (await database()).transaction("waiting", "readwrite", STRICT);
  for (const row of await writing.store.getAll()) if (row.who === who) void writing.store.delete(row.key);
  await writing.done;
}

/** Where a refused deed is mended, and what stands there in its way; then it waits on, and nothing is written over. */
export interface Reopened {
  page: string;
  /** A form of the same name is begun, or is open in another window. */
  inTheWay: null | "begun" | "elsewhere";
}

/**
 * A person mends what was refused: what they wrote is a draft again. Nothing of it was kept by the server, so that
 * what they make of it is another deed. What was begun under the same name since is written over only where they say so.
 */
export async function reopen(key: string, isOver = false): Promise<Reopened | undefined> {
  const db = await database();
  const found = await db.get("waiting", key);
  if (found?.written === undefined) return undefined;
  const { page, draft } = found.written;
  const release = await holdDraft(nameOfLock(found.who, draft));
  if (release === null) return { page, inTheWay: "elsewhere" };
  try {
    const writing = db.transaction(["waiting", "drafts"], "readwrite", STRICT);
    const [waiting, drafts] = [writing.objectStore("waiting"), writing.objectStore("drafts")];
    // Meanwhile another tab may have mended it, or given it up.
    const row = await waiting.get(key);
    const isBegun = !isOver && (await drafts.get([found.who, draft])) !== undefined;
    if (row?.written !== undefined && !isBegun) {
      void drafts.put({ name: draft, who: row.who, written: row.written.content });
      for (const behind of await waiting.index("after").getAllKeys(key)) void waiting.delete(behind);
      void waiting.delete(key);
    }
    await writing.done;
    return row === undefined ? undefined : { page, inTheWay: isBegun ? "begun" : null };
  } finally {
    release();
  }
}

/** A person sends what was refused again as it is: what stood against it may be mended elsewhere. */
export async function sendAgain(key: string): Promise<void> {
  const writing = (await database()).transaction("waiting", "readwrite", STRICT);
  const row = await writing.store.get(key);
  if (row !== undefined) void writing.store.put({ ...row, problems: [] });
  await writing.done;
}

/**
 * The next deed of somebody that can go: the oldest that was not refused, waits for no other, and was not tried. One on
 * which the server broke off goes after all others.
 */
async function next(who: string, tried: ReadonlySet<string>): Promise<Waiting | undefined> {
  const all = await allWaiting();
  const free = all.filter(
    (row) => row.who === who && row.after === undefined && row.problems.length === 0 && !tried.has(row.key),
  );
  return free.find((row) => row.broken === undefined) ?? free[0];
}

/** Writes down in one piece what became of a deed, and sends on what waited for it. */
async function settle(row: Waiting, outcome: Outcome): Promise<void> {
  const db = await database();
  const writing = db.transaction(["waiting", "delivered"], "readwrite", STRICT);
  const waiting = writing.objectStore("waiting");
  if (outcome.kind === "delivered") {
    void waiting.delete(row.key);
    for (const behind of await waiting.index("after").getAll(row.key)) {
      const { after: _, ...free } = behind;
      void waiting.put({ ...free, query: { ...behind.query, belongs_to: outcome.thing } });
    }
    const { key, who, what, title, offset } = row;
    const deliveredAt = new Date().toISOString();
    const delivered = writing.objectStore("delivered");
    void delivered.put({
      key,
      who,
      what,
      title,
      deliveredAt,
      offset: offset ?? null,
      thing: outcome.thing,
      told: outcome.told,
    });
    const old = await delivered.getAllKeys();
    for (const one of old.slice(0, Math.max(0, old.length - REMEMBERED))) void delivered.delete(one);
  } else if ((await waiting.get(row.key)) !== undefined) {
    // What was given up meanwhile does not come back.
    const problems = outcome.kind === "refused" ? outcome.problems : [];
    const broken =
      outcome.kind === "broken"
        ? { times: (row.broken?.times ?? 0) + 1, problems: outcome.problems }
        : outcome.kind === "later"
          ? row.broken
          : undefined;
    const slow = (row.slow ?? 0) + Number(outcome.kind === "later" && outcome.isSlow);
    void waiting.put({ ...row, problems, broken, slow, tries: row.tries + 1 });
  }
  await writing.done;
}

/**
 * Sends what somebody has waiting, one deed after another, until nothing is left that can go. One tab of the
 * browser sends at a time.
 *
 * @returns whether something is left that should be tried again later
 */
export async function deliver(who: string, send: Send, changed: () => void): Promise<boolean> {
  return await navigator.locks.request("tussock.yard.deliver", async () => {
    const tried = new Set<string>();
    let isLeft = false;
    for (;;) {
      const row = await next(who, tried);
      if (row === undefined) return isLeft;
      tried.add(row.key);
      // The answer is read to its end before the database is asked again: a transaction does not wait for it.
      const outcome = await send(row);
      await settle(row, outcome);
      changed();
      if (outcome.kind === "later") return true;
      if (outcome.kind === "broken") isLeft = true;
    }
  });
}
