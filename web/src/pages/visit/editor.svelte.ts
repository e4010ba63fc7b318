import { flushSync } from "svelte";
import { filledIn, isSame } from "../../form/value";
import { NoMap, cornerOf, readMap, writeMap, type MapFeature, type PropertyMap } from "../../map/document";
import { Plane } from "../../map/plane";
import { back, begun, onward, type Steps } from "../../map/steps";
import type { components } from "../../service/api";
import { ask } from "../../service/client";
import { Following } from "../../service/following";
import { Latest } from "../../service/latest";
import { mark } from "../../service/marks";
import { freshName } from "../../service/name";
import { Refused, type Problem } from "../../service/problem";
import { BOOKS, THING, isKept } from "./choices";
import type { TaskFields, VisitFields } from "./request";
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

/** A map that goes along with the visit: the file by which the request names it, and its text. */
interface OwnMap {
  name: string;
  text: string;
  /** The tag of the property's version on which it was drawn, where that is known. */
  drawnOn: string | null;
}

/** Where the map stood at the end of a move; the property's own where it names none of the visit's. */
interface Stood {
  map: PropertyMap;
  own: OwnMap | null;
}

/** A map on its way into the property: under its key it goes again, and is kept once. */
interface MapDeed {
  key: string;
  seen: string;
  text: string;
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

const BLANK_TASK: TaskFields = { id: "", method: "", label: "", rate: "", equipment: "", target: {} };

/** What is kept of a visit while it is edited. */
export interface State {
  fields: VisitFields;
  files: Record<string, string>;
  /** The tag of the property's version on which the visit's own map was drawn, where that is known. */
  drawnOn?: string;
}

/** A visit under the pen: its request, and the plan of it as the server last reckoned it. */
export class VisitEditor {
  fields = $state<VisitFields>(structuredClone(EMPTY_VISIT));
  /** Texts that go along with the request, by the names that it gives them. */
  files = $state.raw<Record<string, string>>({});
  ground = $state.raw<Ground | null>(null);
  /** The map as it is seen here: the visit's own where it has one, else the property's. */
  map = $state.raw<PropertyMap | null>(null);
  steps = $state.raw<Steps<Stood> | null>(null);
  #drawnOn: string | null = null;
  #deed: MapDeed | null = null;
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

  readonly #filled = $derived(filledIn($state.snapshot(this.fields)) as unknown as VisitFields);
  /** The file of the visit's own map; null where it is planned on the kept property. */
  readonly #ownName = $derived(ownNameIn(this.#filled, this.files));
  readonly #written = $derived(this.map && this.#textOf(this.map));
  readonly #groundWritten = $derived(this.ground && this.#textOf(this.ground.map));
  readonly hasOwnMap = $derived(this.#ownName !== null);
  /** Whether the visit's own map is another than that of its property. */
  readonly isMapChanged = $derived(
    this.hasOwnMap && this.ground !== null && this.map !== null && this.#written !== this.#groundWritten,
  );
  readonly mayUndo = $derived((this.steps?.past.length ?? 0) > 0);

  readonly #named = $derived(namedBy(this.#filled, this.files));

  readonly order: Order = $derived(asked({ fields: this.#filled, files: this.#named }));

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

  /** Takes a request up with its files, and its map. */
  begin(state: State): void {
    this.fields = wholeOf(state.fields);
    this.files = { ...state.files };
    this.#drawnOn = state.drawnOn ?? null;
    this.#takeMap();
  }

  /** As it stands, also for an answer that comes when the page is left already. */
  get state(): State {
    const fields = $state.snapshot(this.fields) as VisitFields;
    const drawnOn = this.#drawnOn === null ? {} : { drawnOn: this.#drawnOn };
    return { fields, files: namedBy(fields, this.files), ...drawnOn };
  }

  isAs(state: State): boolean {
    // While a corner is dragged, the map alone tells: the rest need not be compared at every move.
    const own = ownNameIn(this.fields, this.files);
    if (own !== null && this.files[own] !== state.files[own]) return false;
    const mine = this.state;
    return isSame(filledIn(mine.fields), filledIn(state.fields)) && areSame(mine.files, state.files);
  }

  /** Stands on a kept property, whether the visit has a map of its own or not. */
  async standOn(thing: string): Promise<void> {
    const { body, tag } = await ask("get", "/api/properties/{thing}", { in: { thing } });
    this.ground = { thing, tag: tag ?? "", document: body, map: readMap(body.map) };
    if (!this.plane) this.#place(this.ground.map);
  }

  /** Plans on the kept property as it is, and takes from it what the request leaves open. */
  planOnGround(): void {
    if (!this.ground) return;
    const { document } = this.ground;
    this.fields.property = this.#ground;
    const division = /^US-([A-Z]{2})$/.exec(document.jurisdiction ?? "")?.[1];
    if (division !== undefined && !this.fields.state) this.fields.state = division;
    if (!this.fields.name) this.fields.name = document.name;
    this.#takeMap();
  }

  /** How a request names the property. */
  get #ground(): string {
    return `${BOOKS}property/${this.ground?.document.name ?? ""}`;
  }

  /** A map as it goes along with the visit: called as the property, so that its client, place and past are found. */
  #textOf(map: PropertyMap): string {
    const name = this.ground ? this.ground.document.name : null;
    if (this.#lastText?.map !== map || this.#lastText.name !== name) {
      const called = name === null ? map : { ...map, members: { ...map.members, name } };
      this.#lastText = { map, name, text: writeMap(called) };
    }
    return this.#lastText.text;
  }
  /** What was written last: it is asked for more than once at every move of a corner. */
  #lastText: { map: PropertyMap; name: string | null; text: string } | null = null;

  /** Shows the map that the request names. Steps do not lead back behind it. */
  #takeMap(): void {
    const name = ownNameIn(this.fields, this.files);
    const text = name === null ? undefined : this.files[name];
    const own = name === null || text === undefined ? null : { name, text, drawnOn: this.#drawnOn };
    let map = this.ground?.map ?? null;
    // What is shown already stays as it is, with what is chosen on it.
    if (own) map = this.map && own.text === this.#textOf(this.map) ? this.map : mapIn(own.text);
    this.map = map;
    this.steps = map && begun({ map, own });
    if (map && !this.plane) this.#place(map);
  }

  #place(map: PropertyMap): void {
    const corner = cornerOf(map);
    this.plane = corner ? new Plane(corner) : null;
  }

  /** Another map, as a corner is dragged: the visit's own from now on, and planned at once. */
  draw(map: PropertyMap): void {
    if (map === this.map) return;
    const drawnOn = this.#ownName === null ? (this.ground?.tag ?? null) : this.#drawnOn;
    this.#put({ map, own: { name: this.#ownName ?? DRAWN, text: this.#textOf(map), drawnOn } });
  }

  #put({ map, own }: Stood): void {
    const named = this.#ownName;
    const { [named ?? DRAWN]: _, ...rest } = this.files;
    this.files = own ? { ...rest, [own.name]: own.text } : rest;
    this.fields.property = own ? own.name : this.#ground;
    this.#drawnOn = own?.drawnOn ?? null;
    this.map = own ? map : (this.ground?.map ?? map);
    this.#isUrgent = true;
  }

  /** What was dragged lies where it is: one step. */
  rest(): void {
    const { map, steps } = this;
    const name = this.#ownName;
    if (!map || !steps || map === steps.now.map) return;
    const own = name === null ? null : { name, text: this.files[name] ?? "", drawnOn: this.#drawnOn };
    this.steps = onward(steps, { map, own });
  }

  /** Takes the last step back. */
  undo(): void {
    if (!this.steps || !this.mayUndo) return;
    this.steps = back(this.steps);
    this.#put(this.steps.now);
  }

  /** The pointer moves on: the drag does not rest, even where the map is slow to follow. */
  stir(): void {
    this.#plans.putOff(REST_MS);
  }

  /**
   * Keeps the map as the property's next version, and puts the visit back on the property.
   *
   * @throws {Refused} the property was changed since the map was drawn (412), or may not be
   * @throws {Unanswered} no answer came: asked again it is kept once
   */
  async keepMap(): Promise<void> {
    const { ground, map } = this;
    if (!ground || !map) return;
    const text = writeMap({ ...map, members: ground.map.members });
    if (text !== writeMap(ground.map)) {
      // What was sent before may be in the books: that is heard first.
      if (this.#deed && this.#deed.text !== text) {
        await this.#send(this.#deed).catch((error: unknown) => {
          if (!(error instanceof Refused)) throw error;
        });
      }
      this.#deed ??= { key: freshName(), seen: this.#drawnOn ?? this.ground!.tag, text };
      await this.#send(this.#deed);
    }
    // A corner that was moved meanwhile is the visit's own still.
    if (this.map === map) this.dropMap();
    if (this.map) this.steps = begun({ map: this.map, own: this.steps?.now.own ?? null });
  }

  async #send({ key, seen, text }: MapDeed): Promise<void> {
    const { thing, document } = this.ground!;
    const changed = { ...document, map: text };
    try {
      const of = { in: { thing }, seen, body: changed, key };
      const { tag } = await ask("put", "/api/properties/{thing}", of);
      // Its shapes are those of the map here, so that what is chosen stays chosen.
      const map = this.map && writeMap({ ...this.map, members: this.ground!.map.members }) === text;
      this.ground = {
        thing,
        tag: tag ?? "",
        document: changed,
        map: map ? { ...this.map!, members: this.ground!.map.members } : readMap(text),
      };
      this.#drawnOn = this.ground.tag;
      this.#deed = null;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.#deed = null;
      // The way back leads to the property as it is by now.
      if (error.status === 412) await this.standOn(thing);
      throw error;
    }
  }

  /** Back to the property's map: a change of the visit, to be kept as any other. */
  dropMap(): void {
    if (!this.ground || !this.hasOwnMap || !this.steps) return;
    this.#put({ map: this.ground.map, own: null });
    this.steps = onward(this.steps, { map: this.ground.map, own: null });
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

/** The question for a plan of a visit as it stands: without what was left blank. */
export const orderOf = ({ fields, files }: State): Order => asked({ fields: filledIn(fields), files });

/** Fields with all that a visit always has: a draft that was put by without its blanks lacks them. */
const wholeOf = (fields: VisitFields): VisitFields => {
  const whole = { ...structuredClone(EMPTY_VISIT), ...structuredClone(fields) };
  return { ...whole, task: whole.task.map((task) => ({ ...structuredClone(BLANK_TASK), ...task })) };
};

const asked = ({ fields, files }: State): Order => ({
  visit: fields as never,
  files: Object.fromEntries(Object.entries(files).filter(([name]) => !isKept(name))),
});

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

/** The file of the visit's own map; null where the request names a kept property. */
function ownNameIn({ property }: VisitFields, files: Record<string, string>): string | null {
  return typeof property === "string" && !namesKept(property) && property in files ? property : null;
}

/** The files of a request: a drawn map that it does not name any more is none of them. */
function namedBy({ property }: VisitFields, files: Record<string, string>): Record<string, string> {
  if (property === DRAWN || !(DRAWN in files)) return files;
  const { [DRAWN]: _, ...rest } = files;
  return rest;
}

/** The map of a text; null where it is none, which the plan tells. */
function mapIn(text: string): PropertyMap | null {
  try {
    return readMap(text);
  } catch (error) {
    if (error instanceof NoMap) return null;
    throw error;
  }
}

/** Whether the same texts stand under the same names; asked at every move of a corner. */
function areSame(mine: Record<string, string>, other: Record<string, string>): boolean {
  const names = Object.keys(mine);
  return (
    names.length === Object.keys(other).length &&
    names.every((name) => name in other && mine[name] === other[name])
  );
}
