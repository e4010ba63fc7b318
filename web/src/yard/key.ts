// The key as it is kept on this device, so that it works where there is no reception.
import { Key, type KeyDocument } from "../key/reckon";
import { ask } from "../service/client";
import { database } from "./database";
import { take, whose } from "./yard.svelte";

/** Its name among what is taken along. */
export const KEY = "key";

interface KeptKey {
  /** The tag of what the server said. */
  tag: string;
  key: KeyDocument;
}

async function kept(): Promise<KeptKey | undefined> {
  return (await (await database()).get("taken", [whose(), KEY]))?.document as KeptKey | undefined;
}

/** Takes the key along, or sees that the one here is still what the server says. */
export async function takeKey(): Promise<void> {
  const have = (await kept())?.tag;
  const answer = await ask("get", "/api/key", have === undefined ? {} : { have });
  if (answer.status === 304 || answer.tag === null) return;
  const document: KeptKey = { tag: answer.tag, key: answer.body };
  await take({ name: KEY, title: "", day: null, thing: "", document });
}

/** The key of this device at once; fetched where there is none. `null` where there is none and no reception. */
export async function keyAlong(): Promise<Key | null> {
  if ((await kept()) === undefined) await takeKey();
  // A newer one is for the next time that somebody asks.
  else void takeKey().catch(() => {});
  const found = await kept();
  return found === undefined ? null : new Key(found.key);
}
