// The demo in the books, and what it is made of.
import { readFileSync } from "node:fs";
import type { House } from "./support";

/** The text of a file of the demo. */
export function demoFile(name: string): string {
  return readFileSync(new URL(`../../demo/${name}`, import.meta.url), "utf8");
}

/** Asks the server apart from any page. */
export async function asked<Answer>(
  home: House,
  method: string,
  path: string,
  body?: unknown,
): Promise<Answer> {
  const answer = await fetch(home.origin + path, {
    method,
    headers: { "idempotency-key": crypto.randomUUID(), "content-type": "application/json" },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
  return (await answer.json()) as Answer;
}

/** Puts the demo into the books. */
export async function keepDemo(home: House): Promise<{ property: string; visit: string }> {
  const answer = await fetch(`${home.origin}/api/demo`, {
    method: "POST",
    headers: { "idempotency-key": crypto.randomUUID() },
  });
  return (await answer.json()) as { property: string; visit: string };
}
