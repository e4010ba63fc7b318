// What is written down while mixing and after the work.
import { isSame } from "../../form/value";
import type { Settings } from "../../house/settings.svelte";
import { NO_HAND, filledAs, isLike, planThen, type Hand, type PlanThen, type TaskThen } from "./plan-then";
import { productsOf, tanksOf, type WorkTask, type PlannedWork } from "./planned";
import { saidOf, type Unfit } from "./unfit";

export interface Weather {
  wind: string;
  gust: string;
  /** One of the sixteen points, `calm`, or `degrees`, which stand beside it; nothing where nobody said it. */
  from: string;
  degrees: string;
  temperature: string;
}

export interface TankWritten {
  /** Nothing until somebody says it. */
  fill: "" | "planned" | "otherwise" | "none";
  spray: string;
  /** Of each product of the task, in millilitres or grams. */
  amounts: string[];
  covered: string;
  filledAt: string;
  emptiedAt: string;
  /** Spray left in it. */
  left: string;
  /** Of each product of a dry load, in millilitres or grams. */
  leftAmounts: string[];
  /** What became of that: it stayed under the next mix, or was taken out. */
  way: "" | "stayed" | "applied" | "kept" | "handed-in" | "other";
  became: string;
  /** Whether the weather had changed with this tank. */
  hasWeather: boolean;
  weather: Weather;
}

/** What was left in a tank, or of a task without any. */
export type LeftWritten = Pick<TankWritten, "left" | "leftAmounts" | "way" | "became">;

export interface TaskWritten {
  id: string;
  notDone: boolean;
  /** Of each product of the task. */
  lots: string[];
  tanks: TankWritten[];
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
  /** What a person says of all that is not told: nothing yet, that it went as planned, or that it did not. */
  rest: "" | "planned" | "otherwise";
  /** How it went otherwise, in words. */
  restWords: string;
  /** The plan of which "as planned" was said. */
  against: PlanThen;
  /** What was written of tasks that the plan has no longer, or otherwise. */
  unfit: readonly Unfit[];
}

const noWeather = (): Weather => ({ wind: "", gust: "", from: "", degrees: "", temperature: "" });

const noTank = (products: number): TankWritten => ({
  fill: "",
  spray: "",
  amounts: Array.from({ length: products }, () => ""),
  covered: "",
  filledAt: "",
  emptiedAt: "",
  left: "",
  leftAmounts: Array.from({ length: products }, () => ""),
  way: "",
  became: "",
  hasWeather: false,
  weather: noWeather(),
});

const asPlanned = (): People => ({
  applicator: "",
  certification: "",
  noCertification: false,
  supervisor: "",
  nobodySupervised: false,
});

/** A form of which nothing is written but the day. */
export function nothingWritten(
  tasks: readonly WorkTask[],
  day: string,
  units: Settings["units"],
  hand: Hand = NO_HAND,
): Written {
  return {
    day,
    units,
    people: asPlanned(),
    started: "",
    ended: "",
    start: noWeather(),
    end: noWeather(),
    tasks: tasks.map((task) => ({
      id: task.id,
      notDone: false,
      lots: productsOf(task).map(() => ""),
      tanks: tanksOf(task).map(({ amounts }) => noTank(amounts.length)),
    })),
    unexpected: "",
    nothingUnexpected: false,
    disposal: "",
    nothingDisposed: false,
    signWhere: "",
    signWhen: "",
    rest: "",
    restWords: "",
    against: planThen(tasks, hand),
    unfit: [],
  };
}

/**
 * What was written, held against the plan as it is now: a plan that was made anew may have other tasks and tanks, and
 * other figures of the same ones.
 *
 * @returns all that fits, with what does not beside it as it was written. What was filled as an earlier plan had it is told
 * with the figures of that plan.
 */
export function fitted(
  // What an earlier build of the pages wrote down has not all that is asked now.
  written: Partial<Written> & Pick<Written, "tasks">,
  tasks: readonly WorkTask[],
  day: string,
  units: Settings["units"],
  hand: Hand = NO_HAND,
): Written {
  const shape = ({ id, tanks, lots }: TaskWritten) =>
    JSON.stringify([id, lots.length, tanks.map(({ amounts }) => amounts.length)]);
  const blank = nothingWritten(tasks, day, units, hand);
  const thenOf = (id: string) => written.against?.tasks.find((task) => task.id === id);
  const unfit: Unfit[] = [...(written.unfit ?? [])];
  const kept: { at: number; then: TaskThen | undefined }[] = [];
  for (const own of written.tasks) {
    const at = blank.tasks.findIndex(({ id }) => id === own.id);
    const [there, now, then] = [blank.tasks[at], blank.against.tasks[at], thenOf(own.id)];
    const old = ofToday(own, written);
    const isOfIt = there !== undefined && shape(old) === shape(there);
    // Lots and amounts stand by the place of their product: of another product they would be untrue.
    if (isOfIt && (then === undefined || isLike(then.tanks, now!.tanks))) {
      blank.tasks[at] = old;
      kept.push({ at, then });
    } else if (says(old))
      unfit.push({ task: old.id, said: saidOf(old, written.units ?? units, then?.tanks) });
  }
  const { start = blank.start, end = blank.end } = written;
  const all = {
    ...blank,
    ...written,
    start: windOfToday(start),
    end: windOfToday(end),
    tasks: blank.tasks,
    against: blank.against,
    unfit,
  };
  // Where no figure was written yet, nothing holds it to the units of the day when it was begun.
  all.units = hasFigures(all) ? all.units : units;
  for (const { at, then } of kept) {
    const { task, said } = heldAgainst(all.tasks[at]!, then, blank.against.tasks[at]!, all);
    all.tasks[at] = task;
    if (said !== null) unfit.push(said);
  }
  // Whoever said that all went as planned said so of another plan.
  const isOther =
    JSON.stringify(written.tasks.map(shape)) !== JSON.stringify(all.tasks.map(shape)) ||
    !isSame(written.against, blank.against);
  return { ...all, rest: isOther ? "" : all.rest };
}

/**
 * What was said of the tanks of a task, where the plan has other figures of them now. Of a tank that nobody told of, but
 * with all the rest, its figures are told beside the form: all the rest is asked anew.
 */
function heldAgainst(
  task: TaskWritten,
  then: TaskThen | undefined,
  now: TaskThen,
  { units, rest }: Written,
): { task: TaskWritten; said: Unfit | null } {
  const isTold = ({ fill }: TankWritten) =>
    fill === "planned" ||
    (then !== undefined && (fill === "otherwise" || (fill === "" && rest === "planned")));
  const isOther = task.tanks.map(
    (tank, index) =>
      !task.notDone && isTold(tank) && (then === undefined || !isSame(then.tanks[index], now.tanks[index])),
  );
  if (!isOther.includes(true)) return { task, said: null };
  const tanks = task.tanks.map((tank, index): TankWritten => {
    const like = then?.tanks[index];
    if (!isOther[index]) return tank;
    // An earlier build kept no figures of what had been planned.
    if (like === undefined) return { ...tank, fill: "" };
    return tank.fill === "" ? tank : filledAs(tank, like, units);
  });
  // Only what was said of the filling is told: all else of it stays where it is.
  const ofFilling = task.tanks.map(({ fill, spray, amounts }, index) => {
    const blank = noTank(amounts.length);
    if (!isOther[index]) return blank;
    return { ...blank, fill: fill === "" ? ("planned" as const) : fill, spray, amounts };
  });
  const told = saidOf({ ...task, lots: [], tanks: ofFilling }, units, then?.tanks);
  const how = then === undefined ? ("unknown" as const) : ("then" as const);
  return { task: { ...task, tanks }, said: { task: task.id, said: told, how } };
}

/** Whether a figure was written that means something else in other units. */
function hasFigures({ start, end, tasks }: Written): boolean {
  const tanks = tasks.flatMap(({ tanks }) => tanks);
  const weather = [start, end, ...tanks.map((tank) => tank.weather)];
  const texts = [
    ...weather.flatMap(({ wind, gust, temperature }) => [wind, gust, temperature]),
    ...tanks.flatMap(({ spray, covered, left }) => [spray, covered, left]),
  ];
  return texts.some((text) => text.trim() !== "");
}

/** What an earlier build of the pages wrote down of a task: what was left stood with the task. */
type TaskOfBefore = TaskWritten & { leftSpray?: string; became?: string };

/** A task as an earlier build wrote it down, where "as planned" stood before anybody had said so. */
function ofToday(task: TaskOfBefore, { rest }: Partial<Written>): TaskWritten {
  if (rest !== undefined) return task;
  const { leftSpray: left = "", became = "", ...own } = task;
  const tanks = own.tanks.map((tank, index) => {
    const isLast = index === own.tanks.length - 1;
    return {
      ...noTank(tank.amounts.length),
      ...tank,
      fill: tank.fill === "planned" ? ("" as const) : tank.fill,
      ...(isLast && left !== ""
        ? { left, became, way: became === "" ? ("" as const) : ("other" as const) }
        : {}),
    };
  });
  return { ...own, tanks };
}

/** An earlier build asked for degrees alone. */
function windOfToday(weather: Weather): Weather {
  const isOld = (weather as Partial<Weather>).degrees === undefined;
  if (!isOld) return weather;
  return { ...weather, from: weather.from === "" ? "" : "degrees", degrees: weather.from };
}

/** Whether anything was written of a task. */
function says(task: TaskWritten): boolean {
  const isBlank = (tank: TankWritten) => JSON.stringify(tank) === JSON.stringify(noTank(tank.amounts.length));
  return task.notDone || task.lots.some((lot) => lot !== "") || !task.tanks.every(isBlank);
}

/** Whether a task tells of anything that was left and taken out. */
export const isLeftOf = ({ notDone, tanks }: TaskWritten): boolean =>
  !notDone &&
  tanks.some(
    ({ fill, left, leftAmounts, way }) =>
      fill !== "none" && way !== "stayed" && [left, ...leftAmounts].some((text) => text.trim() !== ""),
  );

/** Whether another did the work than planned. */
export const isAnother = ({ applicator }: People, planned: PlannedWork): boolean =>
  applicator.trim() !== "" && applicator.trim() !== planned.applicator;

/** Another's work would carry the certificate of the planned person, unless it is told whose it has. */
export const lacksCertification = (people: People, planned: PlannedWork): boolean =>
  isAnother(people, planned) && !people.noCertification && people.certification.trim() === "";
