import { stand, type Stood } from "../../yard/standing";
import type { Station } from "./counting";

/** What is listened for: the place of the station that is being counted, or of one that was kept meanwhile. */
interface Listened {
  station: Station | null;
  readonly ended: Promise<void>;
}

/**
 * Listens for where the device stands. The position is that of the station which was being counted when the listening
 * began, also where that one is kept before it comes: never of the next.
 */
export class Listening {
  #here = $state.raw<Listened | null>(null);
  readonly #kept = new Set<Listened>();

  /** Whether the place of the station that is being counted is listened for. */
  get isHere(): boolean {
    return this.#here !== null;
  }

  /**
   * Settles when the position came.
   *
   * @returns where the device stood, nothing where it does not tell, and of which kept station, nothing for the one that
   *   is being counted; or that nobody wants it any more
   */
  async listen(): Promise<{ stood: Stood | null; station: Station | null } | "unwanted"> {
    let end = () => {};
    const listened: Listened = { station: null, ended: new Promise((resolve) => (end = resolve)) };
    this.#here = listened;
    const stood = await stand();
    end();
    if (this.#kept.delete(listened)) return { stood, station: listened.station };
    if (this.#here !== listened) return "unwanted";
    this.#here = null;
    return { stood, station: null };
  }

  /** The station that was being counted is kept: the position that is listened for is its. */
  keep(station: Station): void {
    if (this.#here === null) return;
    this.#here.station = station;
    this.#kept.add(this.#here);
    this.#here = null;
  }

  /** The place was told otherwise, or the station is left out. */
  drop(): void {
    this.#here = null;
  }

  /** Waits for the places of kept stations. */
  async settled(): Promise<void> {
    await Promise.all([...this.#kept].map(({ ended }) => ended));
  }
}
