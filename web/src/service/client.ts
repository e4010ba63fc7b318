import type { paths } from "./api";
import { freshName } from "./name";
import { Refused, TooLong, Unanswered, problemsOf } from "./problem";

type Method = "get" | "post" | "put" | "patch" | "delete";
type WithMethod<M extends Method> = {
  [P in keyof paths]: paths[P] extends { [K in M]: unknown } ? P : never;
}[keyof paths];
type Operation<P extends keyof paths, M extends Method> = paths[P] extends { [K in M]: infer Found }
  ? Found
  : never;
type JsonOf<Holder> = Holder extends { content: { "application/json": infer Body } } ? Body : never;
type Answer<O> = O extends { responses: infer Responses }
  ? JsonOf<Responses[Extract<keyof Responses, 200 | 201>]>
  : never;
type SentTo<O> = O extends { requestBody: infer Body } ? JsonOf<Body> : never;
/** What is sent to a route. */
export type Sent<P extends keyof paths, M extends Method> = SentTo<Operation<P, M>>;

/** What goes along with a request. */
export interface Along<Body> {
  /** For `{name}` in the path. */
  in?: Record<string, string>;
  query?: Record<string, string | number | boolean | undefined>;
  body?: Body;
  /** The same for the same deed, however often it is sent. Changes without one get a fresh one. */
  key?: string;
  /** The version that was seen, as `ETag` told it; `new` for a thing that must not be there yet. */
  seen?: string;
  /** The tag of what is here already: an answer of 304 without a body says that it is still so. */
  have?: string;
  signal?: AbortSignal;
  /** How many milliseconds it may take until the answer is read to its end; what takes longer is no answer. */
  within?: number;
}

/** An answer with the tag of the version that it shows. */
export interface Answered<Body> {
  body: Body;
  tag: string | null;
  status: number;
}

let formToken: string | null = null;

let signedOut: () => void = () => {};

/** What is done when the server answers that nobody is signed in. */
export function onSignedOut(heard: () => void): void {
  signedOut = heard;
}

/** What changes under a session carry; the session tells it. */
export function carryFormToken(token: string | null | undefined): void {
  formToken = token ?? null;
}

/**
 * Asks the server, and reads its answer as what the description says.
 *
 * @throws {Refused} the server said no
 * @throws {Unanswered} no answer came, or not all of it
 */
export async function ask<M extends Method, P extends WithMethod<M>>(
  method: M,
  path: P,
  along: Along<Sent<P, M>> = {},
): Promise<Answered<Answer<Operation<P, M>>>> {
  return limited(along, async (signal) => {
    const response = await send(method, path as string, along, signal);
    const body = await wholly<Answer<Operation<P, M>>>(async () => {
      const text = await response.text();
      return text === "" ? undefined : JSON.parse(text);
    });
    return { body, tag: response.headers.get("etag"), status: response.status };
  });
}

/** As {@link ask}, for an answer that is no JSON: a paper, a picture, a calendar. */
export async function fetchFile<M extends Method, P extends WithMethod<M>>(
  method: M,
  path: P,
  along: Along<Sent<P, M>> = {},
): Promise<Blob> {
  return (await send(method, path as string, along, along.signal)).blob();
}

/** The address of a route with its names and query put in. */
export function addressOf(path: string, along: Pick<Along<unknown>, "in" | "query">): string {
  const named = path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(along.in?.[name] ?? ""));
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(along.query ?? {})) {
    if (value !== undefined) query.set(name, String(value));
  }
  const text = query.toString();
  return text === "" ? named : `${named}?${text}`;
}

/** A deed as it is kept on the device: where it goes, and what is sent. */
export interface Deed {
  key: string;
  path: string;
  query: Record<string, string>;
  body: unknown;
  picture?: { kind: string; bytes: ArrayBuffer };
}

/**
 * Sends a deed that was kept on the device, and reads the answer to its end.
 *
 * @param within how many milliseconds that may take
 * @throws {Refused} the server said no
 * @throws {Unanswered} no answer came, or not all of it
 */
export async function sendDeed(deed: Deed, within: number): Promise<unknown> {
  return limited({ within }, async (signal) => {
    const response = await send("post", deed.path, deed, signal);
    return wholly(() => response.json());
  });
}

/** Breaks off what takes longer than it may. */
async function limited<Result>(
  { within, signal }: Pick<Along<unknown>, "within" | "signal">,
  work: (signal: AbortSignal | undefined) => Promise<Result>,
): Promise<Result> {
  if (within === undefined) return work(signal);
  const stopping = new AbortController();
  let isOver = false;
  const stop = () => stopping.abort();
  const timer = setTimeout(() => {
    isOver = true;
    stop();
  }, within);
  signal?.addEventListener("abort", stop);
  if (signal?.aborted) stop();
  try {
    return await work(stopping.signal);
  } catch (error) {
    throw isOver && error instanceof Unanswered ? new TooLong("no answer in time", { cause: error }) : error;
  } finally {
    clearTimeout(timer);
    signal?.removeEventListener("abort", stop);
  }
}

/** An answer that breaks off is none: what was asked may have been done. */
async function wholly<Body>(read: () => Promise<unknown>): Promise<Body> {
  try {
    return (await read()) as Body;
  } catch (error) {
    throw new Unanswered("half an answer", { cause: error });
  }
}

/** A request ready to be sent, by whatever thread. */
export function requestOf(
  method: string,
  path: string,
  along: Along<unknown>,
): { address: string; init: RequestInit & { headers: Record<string, string> } } {
  const headers: Record<string, string> = {};
  if (method !== "get") {
    headers["idempotency-key"] = along.key ?? freshName();
    if (formToken !== null) headers["x-form-token"] = formToken;
  }
  if (along.seen === "new") headers["if-none-match"] = "*";
  else if (along.seen !== undefined) headers["if-match"] = along.seen;
  if (along.have !== undefined) headers["if-none-match"] = along.have;
  const init: RequestInit = { method: method.toUpperCase() };
  if (along.body !== undefined) {
    headers["content-type"] = "application/json";
    init.body = JSON.stringify(along.body);
  }
  return { address: addressOf(path, along), init: { ...init, headers } };
}

/** A refusal as it is to be thrown; what hangs on a session is told. */
export function refusedBy(
  status: number,
  path: string,
  body: unknown,
  retryAfterSeconds: number | null,
): Refused {
  // A wrong password ends no session.
  if (status === 401 && path !== "/api/session") signedOut();
  return new Refused(status, problemsOf(status, body), retryAfterSeconds);
}

async function send(
  method: Method,
  path: string,
  along: Along<unknown> & { picture?: { kind: string; bytes: ArrayBuffer } },
  signal: AbortSignal | undefined,
): Promise<Response> {
  const { address, init } = requestOf(method, path, along);
  if (signal) init.signal = signal;
  if (along.picture !== undefined) {
    init.headers["content-type"] = along.picture.kind;
    init.body = along.picture.bytes;
  }
  let response: Response;
  try {
    response = await fetch(address, init);
  } catch (error) {
    if (along.signal?.aborted) throw error;
    throw new Unanswered("no answer", { cause: error });
  }
  if (response.ok || response.status === 304) return response;
  const body: unknown = await response.json().catch(() => null);
  const wait = Number(response.headers.get("retry-after") ?? Number.NaN);
  throw refusedBy(response.status, path, body, Number.isFinite(wait) ? wait : null);
}
