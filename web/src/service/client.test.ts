import { afterEach, expect, test, vi } from "vitest";
import { addressOf, ask, carryFormToken } from "./client";
import { Refused, TooLong, Unanswered } from "./problem";

afterEach(() => vi.unstubAllGlobals());

function answering(answer: () => Promise<Response>): RequestInit[] {
  const asked: RequestInit[] = [];
  vi.stubGlobal("fetch", (_: string, init: RequestInit) => {
    asked.push(init);
    return answer();
  });
  return asked;
}

test("names and queries are put into the address", () => {
  expect(
    addressOf("/api/lots/{thing}", { in: { thing: "a/b" }, query: { version: 2, after: undefined } }),
  ).toBe("/api/lots/a%2Fb?version=2");
});

test("a change carries its key, the form token and the version seen", async () => {
  const asked = answering(async () => Response.json({}, { headers: { etag: '"3"' } }));
  carryFormToken("token");
  const answer = await ask("put", "/api/clients/{thing}", { in: { thing: "x" }, key: "deed", seen: '"2"' });
  carryFormToken(null);
  const headers = new Headers(asked[0]?.headers);
  expect([headers.get("idempotency-key"), headers.get("x-form-token"), headers.get("if-match")]).toEqual([
    "deed",
    "token",
    '"2"',
  ]);
  expect(answer.tag).toBe('"3"');
  await ask("put", "/api/clients/{thing}", { in: { thing: "x" }, seen: "new" });
  const fresh = new Headers(asked[1]?.headers);
  expect([fresh.get("if-none-match"), fresh.get("if-match")]).toEqual(["*", null]);
});

test("a refusal tells its problems, and silence is no refusal", async () => {
  answering(async () => Response.json({ problems: [{ found: "too late" }] }, { status: 412 }));
  await expect(ask("get", "/api/session")).rejects.toMatchObject({ status: 412, message: "too late" });
  answering(async () => new Response("<html>", { status: 502 }));
  await expect(ask("get", "/api/session")).rejects.toBeInstanceOf(Refused);
  answering(async () => Promise.reject(new TypeError("no network")));
  await expect(ask("get", "/api/session")).rejects.toBeInstanceOf(Unanswered);
});

test("what takes too long is no answer, in its headers or in its body; what is called off is neither", async () => {
  const breaking = (init: RequestInit) =>
    new Promise<never>((_, reject) =>
      init.signal?.addEventListener("abort", () => reject(new DOMException("off", "AbortError"))),
    );
  vi.stubGlobal("fetch", (_: string, init: RequestInit) => breaking(init));
  await expect(ask("get", "/api/session", { within: 20 })).rejects.toBeInstanceOf(TooLong);
  const calling = new AbortController();
  const asked = ask("get", "/api/session", { within: 10_000, signal: calling.signal });
  calling.abort();
  await expect(asked).rejects.toMatchObject({ name: "AbortError" });
  vi.stubGlobal("fetch", async (_: string, init: RequestInit) => {
    const body = new ReadableStream({ start: (stream) => void breaking(init).catch((e) => stream.error(e)) });
    return new Response(body);
  });
  await expect(ask("get", "/api/session", { within: 20 })).rejects.toBeInstanceOf(TooLong);
});
