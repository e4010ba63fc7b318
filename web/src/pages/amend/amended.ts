// A record as its form shows it: what the form of the work asks, and what only a record has.
import type { components } from "../../service/api";
import type { Settings } from "../../house/settings.svelte";
import { UNITS } from "../../yard/units";
import { WINDS, pointOf } from "../../yard/winds";
import { idOf } from "../as-applied/as-applied";
import type { PlannedTank, PlannedWork, WorkTask } from "../as-applied/planned";
import {
  nothingWritten,
  type LeftWritten,
  type TankWritten,
  type Weather,
  type Written,
} from "../as-applied/written";
import { putDownOf, type PutDown } from "./rest";
import { treatedOf, type Treated } from "./treated";

export type RecordJson = components["schemas"]["RecordJson"];
type TaskJson = components["schemas"]["TaskRecordJson"];
type TankJson = components["schemas"]["TankJson"];
type LeftoverJson = components["schemas"]["LeftoverJson"];
type Units = Settings["units"];

type Fact<Value> = { recorded: Value } | "does-not-arise" | "absent";

/** A notice given or a sign put up. */
export interface Notice {
  to: string;
  how: string;
  /** Day and time by the clock of the place, `2026-07-07T07:05`. */
  given: string;
  /** That moment as the record has it, RFC 3339; nothing where the notice is new. */
  told?: string | undefined;
}

/** What the record says of the whole work. */
export interface RecordedWork extends PlannedWork {
  /** Its moments as it has them, RFC 3339, by the identifier of their control. */
  moments: Readonly<Record<string, string | undefined>>;
  /** Every rest that was put down on other ground, by the identifier of that in which it was left. */
  putDown: Readonly<Record<string, PutDown>>;
  /** All that each task put out, as if of one tank. */
  whole: readonly PlannedTank[];
}

export interface Amended extends Written {
  client: string;
  clientAddress: string;
  location: string;
  noncertified: string;
  noNoncertified: boolean;
  notices: Notice[];
  noNotices: boolean;
  countsPest: string;
  /** One count a station, with commas between. */
  counts: string;
  countsArea: string;
  noCounts: boolean;
  nothingLeft: boolean;
  /** Of whom somebody said that the number of the certificate is theirs; null where nobody did. */
  certificateOf: string | null;
  startRemarks: string;
  endRemarks: string;
  /** Of each task, beside its tanks. */
  treated: Treated[];
}

const recorded = <Value>(fact: Fact<Value>): Value | null =>
  typeof fact === "object" ? fact.recorded : null;
const text = (fact: Fact<string>): string => recorded(fact) ?? "";
const isNone = (fact: Fact<unknown>): boolean => fact === "does-not-arise";
/** A figure as it is typed: what conversion adds behind the sixth digit says nothing. */
const figure = (value: number | null | undefined): string =>
  value === null || value === undefined ? "" : String(Number(value.toPrecision(6)));

/** The clock of a record: that of its times; `null` where none of them tells it. */
export function offsetOfRecord(record: RecordJson): string | null {
  const tanks = record.tasks.flatMap(({ tanks }) => tanks);
  const moments = [record.started, record.ended, ...tanks.map(({ filled_at }) => filled_at)];
  const told = moments.map((moment) => recorded(moment)).find((moment) => moment !== null) ?? "";
  return told.endsWith("Z") ? "+00:00" : (/[+-]\d\d:\d\d$/.exec(told)?.[0] ?? null);
}

/** What the record says of the whole work. */
export const workOf = (record: RecordJson, offset: string): RecordedWork => ({
  date: record.date,
  applicator: recorded(record.applicator),
  certification: recorded(record.certification_number),
  offset,
  moments: momentsOf(record),
  putDown: putDownOf(record),
  whole: record.tasks.map(({ products }) => ({
    spray_l: 0,
    covers_m2: 0,
    amounts: products.map(({ label, name, amount }) => ({
      label,
      product: name,
      ...("volume_ml" in amount
        ? { value: amount.volume_ml, unit: "mL" }
        : { value: amount.mass_g, unit: "g" }),
    })),
  })),
});

function momentsOf(record: RecordJson): RecordedWork["moments"] {
  const tanks = record.tasks.flatMap(({ tanks }, at) =>
    tanks.map((tank, index) => ({ id: idOf(at, index), ...tank })),
  );
  const moments: [string, Fact<string>][] = [
    ["started", record.started],
    ["ended", record.ended],
    ...tanks.flatMap(({ id, filled_at, emptied_at }): [string, Fact<string>][] => [
      [`${id}-filled`, filled_at],
      [`${id}-emptied`, emptied_at ?? "absent"],
    ]),
  ];
  return Object.fromEntries(moments.map(([id, moment]) => [id, recorded(moment) ?? undefined]));
}

const amountOf = (amount: TaskJson["products"][number]["amount"]) =>
  "volume_ml" in amount
    ? { measured_ml: amount.volume_ml, measured_g: null }
    : { measured_ml: null, measured_g: amount.mass_g };

/** The tasks of a record as a form asks of them: what was filled is what stands there. */
export function tasksOf(record: RecordJson): WorkTask[] {
  return record.tasks.map((task) => {
    const products = task.products.map((product, which) => ({
      label: product.label,
      product: product.name,
      batches: task.tanks.map(({ filled, planned }) => {
        const fill = filled ?? planned;
        const amount = fill?.products[which];
        return {
          spray_l: fill?.spray_l ?? null,
          covers_m2: recorded(planned?.covered_m2 ?? "absent") ?? recorded(fill?.covered_m2 ?? "absent") ?? 0,
          ...(amount === undefined ? { measured_ml: null, measured_g: null } : amountOf(amount)),
        };
      }),
    }));
    const [first, ...partners] = products;
    return {
      ...(first ?? { label: "", product: "", batches: [] }),
      id: task.id,
      partners,
      ground_m2: task.ground_m2,
      wall_m2: task.wall_m2,
      equipment: text(task.equipment),
    };
  });
}

/** What the form shows of a record. */
export function amendedOf(record: RecordJson, units: Units): Amended {
  const blank = nothingWritten(tasksOf(record), record.date, units);
  const counts = recorded(record.target_counts);
  const area = UNITS.area[units];
  const rests = Object.values(putDownOf(record)).map(({ task }) => task);
  return {
    ...blank,
    people: {
      applicator: text(record.applicator),
      certification: text(record.certification_number),
      noCertification: isNone(record.certification_number),
      supervisor: text(record.supervisor),
      nobodySupervised: isNone(record.supervisor),
    },
    started: timeOf(record.started),
    ended: timeOf(record.ended),
    start: weatherOf(record.weather_at_start, units),
    end: weatherOf(record.weather_at_end, units),
    startRemarks: text(record.weather_at_start.remarks),
    endRemarks: text(record.weather_at_end.remarks),
    treated: record.tasks.map((task) => {
      const isRest = rests.includes(task.id);
      return treatedOf(task, units, isRest, isRest ? null : wholeLeft(record, task, units));
    }),
    tasks: record.tasks.map((task, at) => ({
      ...blank.tasks[at]!,
      lots: task.products.map(({ lots }) => (recorded(lots) ?? []).join(", ")),
      tanks: task.tanks.map((tank, index) => ({
        ...tankOf(tank, blank.tasks[at]!.tanks[index]!, units),
        ...leftOf(leftIn(record, task, index), units),
        ...stayedIn(tank, units),
      })),
    })),
    unexpected: text(record.unexpected),
    nothingUnexpected: isNone(record.unexpected),
    disposal: text(record.disposal),
    nothingDisposed: isNone(record.disposal),
    rest: "planned",
    client: text(record.client),
    clientAddress: text(record.client_address),
    location: text(record.location),
    noncertified: text(record.noncertified_applicator),
    noNoncertified: isNone(record.noncertified_applicator),
    notices: (recorded(record.notices) ?? []).map(({ to, how, given }) => ({
      to,
      how,
      given: (recorded(given) ?? "").slice(0, 16),
      told: recorded(given) ?? undefined,
    })),
    noNotices: isNone(record.notices),
    countsPest: counts?.pest ?? "",
    counts: counts?.counts.join(", ") ?? "",
    countsArea: figure(counts?.count_area_m2 == null ? null : counts.count_area_m2 / area.per),
    noCounts: isNone(record.target_counts),
    nothingLeft: isNone(record.leftover),
    certificateOf: null,
  };
}

const timeOf = (moment: Fact<string>): string => text(moment).slice(11, 16);

/** Exact by definition: 1 mi = 1609.344 m. */
const METRES_PER_SECOND = { us: 1609.344 / 3600, metric: 1 / 3.6 };

function weatherOf(seen: RecordJson["weather_at_start"] | null | undefined, units: Units): Weather {
  const speed = (fact: Fact<number>) => {
    const value = recorded(fact);
    return figure(value === null ? null : value / METRES_PER_SECOND[units]);
  };
  if (!seen) return { wind: "", gust: "", from: "", degrees: "", temperature: "" };
  const degrees = recorded(seen.wind_from_deg);
  const point = WINDS.find((name) => pointOf(name) === degrees);
  const celsius = recorded(seen.temperature_cel);
  return {
    wind: speed(seen.wind_m_per_s),
    gust: speed(seen.gust_m_per_s),
    from: isNone(seen.wind_from_deg) ? "calm" : (point ?? (degrees === null ? "" : "degrees")),
    degrees: point === undefined ? figure(degrees) : "",
    temperature: figure(celsius === null ? null : units === "us" ? (celsius * 9) / 5 + 32 : celsius),
  };
}

function tankOf(tank: TankJson, blank: TankWritten, units: Units): TankWritten {
  const { filled, planned } = tank;
  if (!filled) return { ...blank, fill: "none" };
  const covered = recorded(filled.covered_m2);
  // Where a record does not tell, whatever differs from the plan was said.
  const isCovered =
    tank.told === "covered" ||
    (tank.told == null && JSON.stringify(planned?.covered_m2) !== JSON.stringify(filled.covered_m2));
  return {
    ...blank,
    fill: "otherwise",
    spray: figure(filled.spray_l == null ? null : filled.spray_l / UNITS.spray[units].per),
    amounts: filled.products.map((amount) =>
      figure("volume_ml" in amount ? amount.volume_ml : amount.mass_g),
    ),
    covered: figure(covered === null || !isCovered ? null : covered / UNITS.area[units].per),
    filledAt: timeOf(tank.filled_at),
    emptiedAt: timeOf(tank.emptied_at ?? "absent"),
    hasWeather: tank.weather != null,
    weather: weatherOf(tank.weather, units),
  };
}

/** What was left in a tank; what names none was left in the last that was filled. */
function leftIn(record: RecordJson, task: TaskJson, index: number): LeftoverJson | undefined {
  const last = task.tanks.map(({ filled }) => filled !== null).lastIndexOf(true);
  return (recorded(record.leftover) ?? []).find(
    (left) => left.task === task.id && (left.tank == null ? index === last : left.tank === index + 1),
  );
}

/** What was left of a task without tanks; null where it has some. */
function wholeLeft(record: RecordJson, task: TaskJson, units: Units): LeftWritten | null {
  if (task.tanks.length > 0) return null;
  const none = { left: "", leftAmounts: task.products.map(() => ""), way: "", became: "" } as const;
  return { ...none, ...leftOf(leftIn(record, task, -1), units) };
}

function leftOf(left: LeftoverJson | undefined, units: Units): Partial<LeftWritten> {
  if (left === undefined) return {};
  const became = recorded(left.became);
  const told: Pick<TankWritten, "way" | "became"> =
    became === null
      ? { way: "", became: "" }
      : "kept" in became
        ? { way: "kept", became: became.kept }
        : "handed_in" in became
          ? { way: "handed-in", became: became.handed_in }
          : "applied_as_task" in became
            ? { way: "applied", became: "" }
            : { way: "other", became: became.other };
  const isSprayed = left.spray_l != null;
  return {
    ...told,
    left: figure(left.spray_l == null ? null : left.spray_l / UNITS.spray[units].per),
    leftAmounts: left.products.map((amount) =>
      isSprayed ? "" : figure("volume_ml" in amount ? amount.volume_ml : amount.mass_g),
    ),
  };
}

function stayedIn(tank: TankJson, units: Units): Partial<TankWritten> {
  const stayed = recorded(tank.carried_over_l ?? "absent");
  // Of none nothing has to become anything: what was taken out of the tank is told as such.
  return stayed === null || stayed === 0
    ? {}
    : { way: "stayed", left: figure(stayed / UNITS.spray[units].per) };
}
