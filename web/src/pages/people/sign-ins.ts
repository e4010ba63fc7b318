// What several parts of the page know of sign-ins and clients.
import type { components } from "../../service/api";
import { ask } from "../../service/client";

export type SignIn = components["schemas"]["SignIn"];
export type Listed = components["schemas"]["ListedThing"];

/** Every thing of a list, page by page. */
export async function whole(
  path: "/api/clients" | "/api/people" | "/api/properties",
  narrowed: Record<string, string> = {},
): Promise<Listed[]> {
  const all: Listed[] = [];
  for (let after: string | undefined; ;) {
    const query = { limit: 200, after, ...narrowed };
    const { body } = await ask("get", path, { query });
    all.push(...body.entries);
    if (!body.next) return all;
    after = body.next;
  }
}
