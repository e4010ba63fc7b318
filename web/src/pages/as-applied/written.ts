// What is written down while mixing and after the work, and the as-applied file that is made of it
// (`docs/as-applied.md`): whatever it does not say was done as planned.
import type { components } from "../../service/api";
import type { Settings } from "../../house/settings.svelte";
import { UNITS, WEATHER, written } from "../../yard/units";

export type PlannedTask = components["schemas"]["TaskJson"];

export interface Weather {
  wind: string;
  gust: string;
  from: string;
  temperature: string;
}

export interface TankWritten {
  fill: "planned" | "otherwise" | "none";
  spray: string;
  /** Of each product of the task, in millilitres or grams. */
  amounts: string[];
  covered: string;
  filledAt: string;
}

export interface TaskWritten {
  id: string;
  notDone: boolean;
  /** Of each product of the task. */
  lots: string[];
  tanks: TankWritten[];
  leftSpray: string;
  became: string;
}

/** Who did the work, where it was another than planned, and who answered for it. */
export interface People {
  applicator: string;
  certification: string;
  /** That person has no certificate. */
  noCertification: boolean;
  supervisor: string;
  nobodySupervised: boolean;
}

export interface Written {
  /** The day of the work, ISO 8601. */
  day: string;
  /** What its figures are told in, whatever the settings say since. */
  units: Settings["units"];
  people: People;
  started: string;
  ended: string;
  start: Weather;
  end: Weather;
  tasks: TaskWritten[];
  unexpected: string;
  nothingUnexpected: boolean;
  disposal: string;
  nothingDisposed: boolean;
  signWhere: string;
  signWhen: string;
}

/** The products of a task: its own, and those that share its tank. */
export function productsOf(task: PlannedTask) {
  return [task, ...task.partners].map(({ label, product, full_load, batches }) => ({
    label,
    product,
    full_load,
    batches,
  }));
}

/** The tanks of a task in order, each with its spray, its products and what it should cover. */
export function tanksOf(task: PlannedTask) {
  const products = productsOf(task);
  return task.batches.map((batch, index) => ({
    spray_l: batch.spray_l ?? 0,
    covers_m2: batch.covers_m2 ?? 0,
    amounts: products.map(({ label, product, batches }) => {
      const own = batches[index];
      const isLiquid = own?.measured_ml !== null && own?.measured_ml !== undefined;
      return {
        label,
        product,
        value: (isLiquid ? own?.measured_ml : own?.measured_g) ?? 0,
        unit: isLiquid ? "mL" : "g",
      };
    }),
  }));
}

const calm = (): Weather => ({ wind: "", gust: "", from: "", temperature: "" });

const asPlanned = (): People => ({
  applicator: "",
  certification: "",
  noCertification: false,
  supervisor: "",
  nobodySupervised: false,
});

/** A form of which nothing is written but the day. */
export function nothingWritten(
  tasks: readonly PlannedTask[],
  day: string,
  units: Settings["units"],
): Written {
  return {
    day,
    units,
    people: asPlanned(),
    started: "",
    ended: "",
    start: calm(),
    end: calm(),
    tasks: tasks.map((task) => ({
      id: task.id,
      notDone: false,
      lots: productsOf(task).map(() => ""),
      tanks: tanksOf(task).map(({ amounts }) => ({
        fill: "planned",
        spray: "",
        amounts: amounts.map(() => ""),
        covered: "",
        filledAt: "",
      })),
      leftSpray: "",
      became: "",
    })),
    unexpected: "",
    nothingUnexpected: false,
    disposal: "",
    nothingDisposed: false,
    signWhere: "",
    signWhen: "",
  };
}

/**
 * What was written, held against the plan as it is now: a plan that was made anew may have other tasks and tanks.
 *
 * @returns all that fits, and the names of the tasks of which something does not
 */
export function fitted(
  // What an earlier build of the pages wrote down has not all that is asked now.
  written: Partial<Written> & Pick<Written, "tasks">,
  tasks: readonly PlannedTask[],
  day: string,
  units: Settings["units"],
): { all: Written; unfit: readonly string[] } {
  const shape = ({ tanks, lots }: TaskWritten) =>
    JSON.stringify([lots.length, tanks.map(({ amounts }) => amounts.length)]);
  const blank = nothingWritten(tasks, day, units);
  const fit = blank.tasks.map((task) => {
    const own = written.tasks.find(({ id }) => id === task.id);
    return own !== undefined && shape(own) === shape(task) ? own : task;
  });
  const unfit = written.tasks.filter((task) => !fit.includes(task) && says(task)).map(({ id }) => id);
  const all = { ...blank, ...written, tasks: fit };
  // Where no figure was written yet, nothing holds it to the units of the day when it was begun.
  return { all: hasFigures(all) ? all : { ...all, units }, unfit };
}

/** Whether a figure was written that means something else in other units. */
function hasFigures({ start, end, tasks }: Written): boolean {
  const weather = [start, end].flatMap(({ wind, gust, temperature }) => [wind, gust, temperature]);
  const work = tasks.flatMap(({ tanks, leftSpray }) => [
    leftSpray,
    ...tanks.flatMap(({ spray, covered }) => [spray, covered]),
  ]);
  return [...weather, ...work].some((text) => text.trim() !== "");
}

/** Whether anything was written of a task. */
function says({ notDone, lots, tanks, leftSpray, became }: TaskWritten): boolean {
  const texts = [
    ...lots,
    ...tanks.flatMap(({ covered, filledAt }) => [covered, filledAt]),
    leftSpray,
    became,
  ];
  return notDone || tanks.some(({ fill }) => fill !== "planned") || texts.some((text) => text !== "");
}

type Fields = Record<string, unknown>;

/** Leaves out what nobody wrote. */
function told(fields: Fields): Fields | undefined {
  const kept = Object.entries(fields).filter(([, value]) => value !== undefined && value !== "");
  return kept.length === 0 ? undefined : Object.fromEntries(kept);
}

/** What the plan says of the whole work, and what was written is held against. */
export interface PlannedWork {
  /** ISO 8601. */
  date: string;
  /** Who is to apply. */
  applicator: string | null;
}

/** Whether another did the work than planned. */
export const isAnother = ({ applicator }: People, planned: PlannedWork): boolean =>
  applicator.trim() !== "" && applicator.trim() !== planned.applicator;

/** Another's work would carry the certificate of the planned person, unless it is told whose it has. */
export const lacksCertification = (people: People, planned: PlannedWork): boolean =>
  isAnother(people, planned) && !people.noCertification && people.certification.trim() === "";

/** The fields of the as-applied file; `null` when a figure cannot be read. */
export function asAppliedOf(
  tasks: readonly PlannedTask[],
  planned: PlannedWork,
  all: Written,
): Fields | null {
  const { units } = all;
  let isSound = true;
  const figure = (text: string, unit: string): string | undefined => {
    const number = written(text);
    if (Number.isNaN(number)) isSound = false;
    return number === null || Number.isNaN(number) ? undefined : `${number} ${unit}`;
  };
  const time = (text: string): string | undefined => {
    const bare = text.trim();
    if (bare !== "" && !/^\d{1,2}:\d{2}$/.test(bare)) isSound = false;
    return bare === "" ? undefined : bare.padStart(5, "0");
  };
  const weather = ({ wind, gust, from, temperature }: Weather) => {
    const bearing = written(from);
    if (Number.isNaN(bearing)) isSound = false;
    return told({
      wind: figure(wind, WEATHER.wind[units]),
      gust: figure(gust, WEATHER.wind[units]),
      wind_from: bearing ?? undefined,
      temperature: figure(temperature, WEATHER.temperature[units]),
    });
  };
  const arises = (text: string, nothing: boolean) =>
    nothing ? { does_not_arise: true } : text.trim() || undefined;

  const taskFields = all.tasks.map((task, at) => {
    const own = tasks[at];
    if (own === undefined) return { id: task.id };
    if (task.notDone) return { id: task.id, not_done: true };
    const products = productsOf(own);
    const lots = products
      .map(({ label }, index) => ({
        label,
        numbers: (task.lots[index] ?? "")
          .split(/[,;]/)
          .map((one) => one.trim())
          .filter((one) => one !== ""),
      }))
      .filter(({ numbers }) => numbers.length > 0);
    const tanks = task.tanks
      .map((tank, index) => {
        const number = index + 1;
        if (tank.fill === "none") return { number, not_filled: true };
        const amounts = tanksOf(own)[index]?.amounts ?? [];
        const isOther = tank.fill === "otherwise";
        const product = amounts
          .map(({ label, unit }, which) => ({ label, amount: figure(tank.amounts[which] ?? "", unit) }))
          .filter(({ amount }) => amount !== undefined);
        return told({
          number,
          spray: isOther ? figure(tank.spray, UNITS.spray[units].word) : undefined,
          product: isOther && product.length > 0 ? product : undefined,
          covered: figure(tank.covered, UNITS.area[units].word),
          filled_at: time(tank.filledAt),
        });
      })
      // A tank of which nothing is told but its number was as planned.
      .filter((tank) => tank !== undefined && Object.keys(tank).length > 1);
    const leftover = told({
      spray: figure(task.leftSpray, UNITS.spray[units].word),
      became: task.became.trim(),
    });
    return told({
      id: task.id,
      lot: lots.length > 0 ? lots : undefined,
      tank: tanks.length > 0 ? tanks : undefined,
      leftover: leftover?.spray === undefined ? undefined : leftover,
    });
  });
  const sign = all.signWhere.trim();
  const fields = told({
    format: "tussock.as-applied/1",
    date: all.day === planned.date ? undefined : all.day,
    applicator: isAnother(all.people, planned) ? all.people.applicator.trim() : undefined,
    certification_number: arises(all.people.certification, all.people.noCertification),
    supervisor: arises(all.people.supervisor, all.people.nobodySupervised),
    started: time(all.started),
    ended: time(all.ended),
    unexpected: arises(all.unexpected, all.nothingUnexpected),
    disposal: arises(all.disposal, all.nothingDisposed),
    weather: told({ start: weather(all.start), end: weather(all.end) }),
    notice: sign === "" ? undefined : [told({ to: sign, how: "sign", given: time(all.signWhen) })],
    task: taskFields,
  });
  return isSound ? (fields ?? null) : null;
}
