import { flushSync } from "svelte";
import { filledIn, isSame } from "../../form/value";
import { cornerOf, readMap, writeMap, type MapFeature, type PropertyMap } from "../../map/document";
import { Plane } from "../../map/plane";
import type { components } from "../../service/api";
import { ask } from "../../service/client";
import { Following } from "../../service/following";
import { Latest } from "../../service/latest";
import { mark } from "../../service/marks";
import type { Problem } from "../../service/problem";
import { BOOKS, THING, isKept } from "./choices";
import type { VisitFields } from "./request";
import { ZonesApart } from "./zones-apart";
import { zonesOf } from "./zones";

export type Planned = components["schemas"]["Planned"];
export type Visit = Planned["visit"];
export type Task = Visit["tasks"][number];
type Order = { visit: Record<string, never>; files: Record<string, string> };
/** A question, and the how manieth it is. */
interface Asked {
  order: Order;
  number: number;
}

/** The file by which a request names a map that was changed on the page. */
const DRAWN = "drawn.geojson";
/**
 * The least time between two questions for zones. A drag that never rests asks up to 40 times a second; a server grants
 * 20 and has 1,200 in hand, so that it lasts for a minute. Moves of the pointer wait for this time, and it is felt.
 */
const ZONES_PACE_MS = 25;
/** A drag that rests so long is planned whole, with its amounts and hours. */
const REST_MS = 150;
/** What is typed is planned when no letter came for so long. */
const TYPING_MS = 300;
/** The least time between two questions for a plan. */
const PACE_MS = 40;
/** The least time between two showings of the figures, which stay behind the map while a corner is dragged. */
const FIGURES_PACE_MS = 200;
/** The file of the forecast. */
const FORECAST = "forecast.csv";

/** The kept property on which the visit is planned. */
export interface Ground {
  thing: string;
  tag: string;
  document: components["schemas"]["KeptProperty"];
  map: PropertyMap;
}

export const EMPTY_VISIT: VisitFields = {
  format: "tussock.visit-request/1",
  name: "",
  date: "",
  property: "",
  labels: [],
  equipment: "",
  history: "books:history",
  task: [],
};

/** What is kept of a visit while it is edited. */
export interface State {
  fields: VisitFields;
  files: Record<string, string>;
}

/** A visit under the pen: its request, and the plan of it as the server last reckoned it. */
export class VisitEditor {
  fields = $state<VisitFields>(structuredClone(EMPTY_VISIT));
  /** Texts that go along with the request, by the names that it gives them. */
  files = $state.raw<Record<string, string>>({});
  ground = $state.raw<Ground | null>(null);
  /** The map as it is seen here; another than the kept one once a corner was moved. */
  map = $state.raw<PropertyMap | null>(null);
  plane = $state.raw<Plane | null>(null);
  /** The zones as the map shows them: there at once. */
  zones = $state.raw<readonly MapFeature[]>([]);
  /** The plan as figures tell it: it follows the zones, so that a drag does not wait for tables. */
  planned = $state.raw<Planned | null>(null);
  problems = $state.raw<readonly Problem[]>([]);
  isBusy = $state(false);
  /** Called when there are zones to be drawn, before they are shown. */
  beforeZones: () => void = () => {};
  /** The next question need not wait for more letters. */
  #isUrgent = false;

  readonly #written = $derived(this.map && writeMap(this.map));
  readonly #groundWritten = $derived(this.ground && writeMap(this.ground.map));
  readonly isMapChanged = $derived(
    this.ground !== null && this.map !== null && this.#written !== this.#groundWritten,
  );

  readonly #filled = $derived(filledIn($state.snapshot(this.fields)) as Record<string, unknown>);

  readonly order: Order = $derived.by(() => {
    const fields = { ...this.#filled };
    const files = Object.fromEntries(Object.entries(this.files).filter(([name]) => !isKept(name)));
    if (this.isMapChanged && this.map) {
      // Called as the property, so that its client, place and past are found.
      const members = { ...this.map.members, name: this.ground!.document.name };
      fields.property = DRAWN;
      files[DRAWN] = writeMap({ ...this.map, members });
    } else delete files[DRAWN];
    return { visit: fields as never, files };
  });

  readonly #apart = new ZonesApart();
  readonly #zoned = new Latest<Asked, readonly MapFeature[]>(
    ({ order }) => this.#apart.ask(zonesAlone(order)),
    ({ answer }, { number }) => {
      mark("zones told");
      // What stands in their way is told with the plan, which is asked for as well.
      if (answer) this.#showZones(answer, number);
    },
    ZONES_PACE_MS,
  );
  readonly #plans = new Latest<Asked, Planned>(
    async ({ order }) => (await ask("post", "/api/plan", { body: order })).body,
    (outcome, { number }, isLast) => {
      this.problems = outcome.problems;
      if (!outcome.answer) {
        this.isBusy = !isLast;
        return;
      }
      this.#isSettled = isLast;
      this.#showZones(zonesOf(outcome.answer.zones), number);
      this.#figures.give(outcome.answer);
    },
    PACE_MS,
  );
  /** How many questions were asked, and which of them has the zones that are shown. */
  #asked = 0;
  #shown = 0;
  #isSettled = true;
  readonly #figures = new Following<Planned>((planned) => {
    this.planned = planned;
    if (this.#isSettled) this.isBusy = false;
    flushSync();
  }, FIGURES_PACE_MS);

  /** Asks for a plan of the request as it is; called whenever it changes. */
  plan(order: Order): void {
    this.isBusy = true;
    this.#isSettled = false;
    const asked = { order, number: (this.#asked += 1) };
    if (this.#isUrgent) {
      this.#zoned.ask(asked);
      this.#plans.ask(asked, REST_MS);
    } else this.#plans.ask(asked, TYPING_MS);
    this.#isUrgent = false;
  }

  /** Zones of an older map never take the place of newer ones. */
  #showZones(zones: readonly MapFeature[], number: number): void {
    if (number <= this.#shown) return;
    this.#shown = number;
    this.beforeZones();
    this.zones = zones;
    // What a corner that moved on asks is asked in this, and goes before what was asked earlier.
    flushSync();
  }

  /** Takes a request up with its files. */
  begin(state: State): void {
    this.fields = structuredClone(state.fields);
    this.files = { ...state.files };
  }

  get state(): State {
    return { fields: filledIn($state.snapshot(this.fields)) as VisitFields, files: this.files };
  }

  isAs(state: State): boolean {
    const mine = this.state;
    return isSame(mine.fields, filledIn(state.fields)) && isSame(mine.files, state.files);
  }

  /** Plans on a kept property. */
  async on(thing: string): Promise<void> {
    const { body, tag } = await ask("get", "/api/properties/{thing}", { in: { thing } });
    const map = readMap(body.map);
    this.ground = { thing, tag: tag ?? "", document: body, map };
    this.#show(map);
    this.fields.property = `${BOOKS}property/${body.name}`;
    const division = /^US-([A-Z]{2})$/.exec(body.jurisdiction ?? "")?.[1];
    if (division !== undefined && !this.fields.state) this.fields.state = division;
    if (!this.fields.name) this.fields.name = body.name;
  }

  /** Shows the map that came with the visit, where no kept property stands behind it. */
  onOwnMap(): void {
    const text = this.files[String(this.fields.property)];
    if (text !== undefined) this.#show(readMap(text));
  }

  #show(map: PropertyMap): void {
    this.map = map;
    const corner = cornerOf(map);
    this.plane = corner ? new Plane(corner) : null;
  }

  /** Another map, as a corner is dragged: planned at once. */
  draw(map: PropertyMap): void {
    if (this.ground === null) {
      this.files = { ...this.files, [String(this.fields.property)]: writeMap(map) };
    }
    this.map = map;
    this.#isUrgent = true;
  }

  /** The pointer moves on: the drag does not rest, even where the map is slow to follow. */
  stir(): void {
    this.#plans.putOff(REST_MS);
  }

  /** Keeps the map as the property's next version. */
  async keepMap(): Promise<void> {
    if (!this.ground || !this.map) return;
    const { thing, tag, document } = this.ground;
    const changed = { ...document, map: writeMap(this.map) };
    const kept = await ask("put", "/api/properties/{thing}", { in: { thing }, seen: tag, body: changed });
    this.ground = { thing, tag: kept.tag ?? "", document: changed, map: this.map };
  }

  dropMap(): void {
    if (this.ground) this.map = this.ground.map;
  }

  setForecast(text: string): void {
    this.files = { ...this.files, [FORECAST]: text };
    this.fields.forecast = FORECAST;
  }

  dropForecast(): void {
    const { [String(this.fields.forecast)]: _, ...rest } = this.files;
    this.files = rest;
    delete this.fields.forecast;
  }

  /** The text of the forecast, where it came as a file. */
  get forecast(): string | undefined {
    return typeof this.fields.forecast === "string" ? this.files[this.fields.forecast] : undefined;
  }

  stop(): void {
    this.#zoned.stop();
    this.#apart.stop();
    this.#plans.stop();
    this.#figures.stop();
  }
}

/** What zones follow from: no forecast and no past. */
function zonesAlone({ visit, files }: Order): Order {
  const { forecast, history, ...rest } = visit as Record<string, unknown>;
  const left = Object.entries(files).filter(([name]) => name !== forecast && name !== history);
  return { visit: { ...rest, history: "unknown" } as never, files: Object.fromEntries(left) };
}

/** A kept visit as it is edited: its request as fields, with the files that are its own. */
export async function stateOf(document: components["schemas"]["KeptVisit"]): Promise<State> {
  const { body } = await ask("post", "/api/plan/form", { body: { visit: document.request } });
  const files = document.files as Record<string, string> | undefined;
  return { fields: body.fields as unknown as VisitFields, files: files ?? {} };
}

/** Whether a request names a kept property. */
export function namesKept(property: unknown): boolean {
  return typeof property === "string" && (property.startsWith(BOOKS) || property.startsWith(THING));
}
