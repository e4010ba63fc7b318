import type { MapFeature } from "../../map/document";
import { Apart } from "../../service/apart";
import { requestOf, refusedBy, type Sent } from "../../service/client";
import { Unanswered } from "../../service/problem";
import { zonesReader, type ZonesAnswer, type ZonesQuestion } from "./zones";

/**
 * Asks for zones in a thread of its own: under a drag an answer would else wait for frame after frame until it is read, and
 * hold up the next frames while it is. Zones that are as they were are the same objects as before.
 */
export class ZonesApart {
  #heard = new Map<string, MapFeature>();
  readonly #thread = new Apart<ZonesQuestion, ZonesAnswer>(
    () => new Worker(new URL("./zones-thread.ts", import.meta.url), { type: "module" }),
    zonesReader(),
  );

  /**
   * @throws {Refused} the server said no
   * @throws {Unanswered} no answer came
   */
  async ask(body: Sent<"/api/plan/zones", "post">): Promise<readonly MapFeature[]> {
    const goesOn = this.#heard.size > 0;
    const answer = await this.#thread.ask({ ...requestOf("post", "/api/plan/zones", { body }), goesOn });
    if (answer === null) throw new Unanswered("no answer");
    if (!("zones" in answer))
      throw refusedBy(answer.status, "/api/plan/zones", answer.body, answer.waitSeconds);
    const zones = answer.zones.map((told) => {
      const zone = typeof told === "string" ? this.#heard.get(told) : told;
      if (!zone) throw new Error(`a zone is told as it was, and was not told: ${String(told)}`);
      return zone;
    });
    this.#heard = new Map(zones.map((zone) => [zone.key, zone]));
    return zones;
  }

  stop(): void {
    this.#thread.stop();
  }
}
