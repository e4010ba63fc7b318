// The property that is counted on, as it was taken along, and as it is in the books where it is newer there.
import { isSame } from "../../form/value";
import { session } from "../../house/session.svelte";
import { EMPTY_MAP, cornerOf, readMap, type PropertyMap } from "../../map/document";
import { Plane } from "../../map/plane";
import { Unanswered } from "../../service/problem";
import { along, newerPropertyOf, seen, takeNewer, type PropertyDocument } from "../../yard/along";
import type { Taken } from "../../yard/database";

export class PropertyAlong {
  #taken = $state.raw<Taken | null>(null);
  #map = $state.raw<PropertyMap>(EMPTY_MAP);
  #plane = $state.raw<Plane | null>(null);

  constructor(private readonly thing: string) {}

  /** What was taken along; null until it is found. */
  get taken(): Taken | null {
    return this.#taken;
  }

  get map(): PropertyMap {
    return this.#map;
  }

  get plane(): Plane | null {
    return this.#plane;
  }

  get title(): string {
    return this.#document?.name ?? "";
  }

  /** The map as it is written. */
  get mapText(): string {
    return this.#document?.map ?? "";
  }

  get #document(): PropertyDocument | undefined {
    return this.#taken?.document as PropertyDocument | undefined;
  }

  /**
   * Finds it on the device, or fetches it where there is reception.
   *
   * @throws {Unanswered} it is not here, and no answer came
   */
  async open(): Promise<void> {
    const found = await along("property", this.thing);
    if (found === undefined) throw new Unanswered("not taken along");
    this.#show(found);
  }

  /**
   * Takes it anew where it is newer in the books. What was counted stays: its places are on the Earth. Without an answer
   * what was taken along is what there is.
   */
  async lookForNewer(): Promise<void> {
    if (this.#taken === null || session.state !== "somebody") return;
    try {
      const newer = await newerPropertyOf(this.#taken);
      if (newer === null) return;
      await takeNewer(newer);
      const found = await along("property", this.thing);
      if (found !== undefined) this.#show(found);
    } catch (error) {
      if (!(error instanceof Unanswered)) throw error;
    }
  }

  /** Somebody has seen what changed. */
  async dismiss(): Promise<void> {
    if (this.#taken === null) return;
    const { anew: _, ...rest } = this.#taken;
    this.#taken = rest;
    await seen(rest);
  }

  #show(found: Taken): void {
    this.#map = readMap((found.document as PropertyDocument).map);
    const corner = cornerOf(this.#map) ?? [0, 0];
    // The map on the screen stays where it was moved to, unless its plane is another.
    if (this.#plane === null || !isSame(this.#plane.origin, corner)) this.#plane = new Plane(corner);
    this.#taken = found;
  }
}
