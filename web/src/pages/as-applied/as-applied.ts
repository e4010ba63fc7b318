// The as-applied file (`docs/as-applied.md`) made of what was written down, and what is wrong with that.
import type { Settings } from "../../house/settings.svelte";
import { asApplied as words } from "../../words/yard";
import { UNITS, WEATHER } from "../../yard/units";
import { pointOf } from "../../yard/winds";
import { productsOf, tanksOf, type PlannedTank, type WorkTask, type PlannedWork } from "./planned";
import { Reading, type Wrong } from "./reading";
import {
  isAnother,
  isLeftOf,
  lacksCertification,
  type LeftWritten,
  type TankWritten,
  type TaskWritten,
  type Weather,
  type Written,
} from "./written";

type Fields = Record<string, unknown>;
type Units = Settings["units"];

/** Leaves out what nobody wrote. */
function told(fields: Fields): Fields | undefined {
  const kept = Object.entries(fields).filter(([, value]) => value !== undefined && value !== "");
  return kept.length === 0 ? undefined : Object.fromEntries(kept);
}

/** The identifiers of the controls of a task and of a tank, counted from nothing: names may have blanks. */
export const idOf = (task: number, tank?: number): string =>
  tank === undefined ? `task-${task + 1}` : `task-${task + 1}-tank-${tank + 1}`;

/** The fields of the as-applied file, and every field that is wrong, in the order of the page. */
export function asAppliedOf(
  tasks: readonly WorkTask[],
  planned: PlannedWork,
  all: Written,
): { fields: Fields; wrong: readonly Wrong[] } {
  const { units } = all;
  const reading = new Reading();
  const time = (id: string, name: string, text: string) =>
    reading.time(id, name, text, all.day, planned.offset);
  const arises = (text: string, nothing: boolean) =>
    nothing ? { does_not_arise: true } : text.trim() || undefined;

  if (all.day === "") reading.missing("day", words.day, words.expects.day);
  if (lacksCertification(all.people, planned))
    reading.missing("certification", words.certification, words.expects.certification);
  const [started, ended] = [
    time("started", words.started, all.started),
    time("ended", words.ended, all.ended),
  ];
  const start = weatherOf(reading, "start", words.atStart, all.start, units);
  const task = all.tasks.map((task, at) => {
    const own = tasks[at];
    return own === undefined ? { id: task.id } : taskOf(reading, at, own, task, all, planned, units);
  });
  const end = weatherOf(reading, "end", words.atEnd, all.end, units);
  const signWhere = all.signWhere.trim();
  const given = time("sign-when", words.signWhen, all.signWhen);
  if (signWhere === "" && all.signWhen !== "")
    reading.missing("sign-where", words.signWhere, words.expects.signWhere);
  if (all.rest === "") reading.missing("rest-planned", words.rest, words.expects.rest);
  if (all.rest === "otherwise" && all.restWords.trim() === "")
    reading.missing("rest-words", words.restWords, words.expects.restWords);

  const other = all.rest === "otherwise" ? words.restToRecord(all.restWords.trim()) : "";
  const unexpected = all.nothingUnexpected ? "" : all.unexpected.trim();
  const isDone = all.tasks.some(({ notDone }) => !notDone);
  const isLeft = all.tasks.some(isLeftOf);
  const fields = told({
    format: "tussock.as-applied/1",
    date: all.day === planned.date ? undefined : all.day,
    applicator: isAnother(all.people, planned) ? all.people.applicator.trim() : undefined,
    certification_number: arises(all.people.certification, all.people.noCertification),
    supervisor: arises(all.people.supervisor, all.people.nobodySupervised),
    started,
    ended,
    unexpected: arises(
      [unexpected, other].filter((text) => text !== "").join(" "),
      all.nothingUnexpected && other === "",
    ),
    disposal: arises(all.disposal, all.nothingDisposed),
    nothing_left_over: all.rest === "planned" && isDone && !isLeft ? true : undefined,
    weather: told({ start, end }),
    notice: signWhere === "" ? undefined : [told({ to: signWhere, how: "sign", given })],
    task,
  });
  return { fields: fields ?? {}, wrong: reading.wrong };
}

function weatherOf(reading: Reading, id: string, title: string, weather: Weather, units: Units) {
  const named = (name: keyof Weather) => `${words.weather}, ${title}: ${words[name]}`;
  const { gust, from, temperature } = weather;
  // A calm is a wind of nothing.
  const wind = from === "calm" && weather.wind.trim() === "" ? "0" : weather.wind;
  if (from === "degrees" && weather.degrees.trim() === "")
    reading.missing(`${id}-degrees`, named("degrees"), words.expects.bearing);
  return told({
    wind: reading.figure(`${id}-wind`, named("wind"), wind, WEATHER.wind[units]),
    gust: reading.figure(`${id}-gust`, named("gust"), gust, WEATHER.wind[units]),
    wind_from:
      from === "calm"
        ? { does_not_arise: true }
        : from === "degrees"
          ? reading.bearing(`${id}-degrees`, named("degrees"), weather.degrees)
          : pointOf(from),
    temperature: reading.temperature(
      `${id}-temperature`,
      named("temperature"),
      temperature,
      WEATHER.temperature[units],
    ),
  });
}

function taskOf(
  reading: Reading,
  at: number,
  planned: WorkTask,
  task: TaskWritten,
  all: Written,
  work: PlannedWork,
  units: Units,
): Fields | undefined {
  if (task.notDone) return { id: task.id, not_done: true };
  const lots = productsOf(planned)
    .map(({ label }, index) => ({
      label,
      numbers: (task.lots[index] ?? "")
        .split(/[,;]/)
        .map((one) => one.trim())
        .filter((one) => one !== ""),
    }))
    .filter(({ numbers }) => numbers.length > 0);
  const asTold = tanksOf(planned);
  const tank = task.tanks.map((tank, index) => {
    const like = asTold[index];
    return like && tankOf(reading, [at, index], task.id, like, tank, all, work, units);
  });
  const filled = tank.filter((one) => one !== undefined);
  return told({
    id: task.id,
    lot: lots.length > 0 ? lots : undefined,
    tank: filled.length > 0 ? filled : undefined,
  });
}

/** One tank; what nobody said of it, and nobody says of all the rest, has to be said. */
function tankOf(
  reading: Reading,
  at: [task: number, tank: number],
  task: string,
  planned: PlannedTank,
  tank: TankWritten,
  all: Written,
  work: PlannedWork,
  units: Units,
): Fields | undefined {
  const id = idOf(...at);
  const number = at[1] + 1;
  if (tank.fill === "none") return { number, not_filled: true };
  if (tank.fill === "" && all.rest === "otherwise")
    reading.missing(`${id}-fill-planned`, `${task}, ${words.tank} ${number}`, words.expects.fill);
  const isOther = tank.fill === "otherwise";
  const named = (name: string) => `${task}, ${name}`;
  const spray = isOther
    ? reading.figure(`${id}-spray`, named(words.spray(number)), tank.spray, UNITS.spray[units].word)
    : undefined;
  const product = planned.amounts
    .map(({ label, product, unit }, which) => ({
      label,
      amount: isOther
        ? reading.figure(
            `${id}-product-${which + 1}`,
            named(words.amount(number, product)),
            tank.amounts[which] ?? "",
            unit,
          )
        : undefined,
    }))
    .filter(({ amount }) => amount !== undefined);
  return told({
    number,
    spray,
    product: product.length > 0 ? product : undefined,
    covered: reading.figure(
      `${id}-covered`,
      named(words.covered(number)),
      tank.covered,
      UNITS.area[units].word,
    ),
    filled_at: reading.time(
      `${id}-filled`,
      named(words.filledAt(number)),
      tank.filledAt,
      all.day,
      work.offset,
    ),
    emptied_at: reading.time(
      `${id}-emptied`,
      named(words.emptiedAt(number)),
      tank.emptiedAt,
      all.day,
      work.offset,
    ),
    weather: tank.hasWeather
      ? weatherOf(reading, `${id}-weather`, `${task}, ${words.tank} ${number}`, tank.weather, units)
      : undefined,
    ...leftOf(reading, id, named, number, planned, tank, units),
  });
}

/** What was left in a tank, or of a task without any: it stayed under the next mix, or was taken out. */
export function leftOf(
  reading: Reading,
  id: string,
  named: (name: string) => string,
  number: number | null,
  planned: PlannedTank,
  tank: LeftWritten,
  units: Units,
): Fields {
  const isSprayed = planned.spray_l > 0;
  const spray =
    isSprayed && number !== null
      ? reading.figure(`${id}-left`, named(words.left(number)), tank.left, UNITS.spray[units].word)
      : undefined;
  const product = planned.amounts
    .map(({ label, product, unit }, which) => ({
      label,
      amount: isSprayed
        ? undefined
        : reading.figure(
            `${id}-left-${which + 1}`,
            named(words.leftAmount(number, product)),
            tank.leftAmounts[which] ?? "",
            unit,
          ),
    }))
    .filter(({ amount }) => amount !== undefined);
  if (spray === undefined && product.length === 0) return {};
  if (tank.way === "stayed" && spray !== undefined) return { carried_over: spray };
  // On which ground, only a record knows.
  if (tank.way === "applied")
    return { leftover: told({ spray, product: product.length > 0 ? product : undefined, applied: true }) };
  const became = tank.became.trim();
  if (tank.way !== "" && became === "")
    reading.missing(`${id}-became`, named(words.became), words.expects.became);
  const leftover = told({
    spray,
    product: product.length > 0 ? product : undefined,
    became,
    way: tank.way === "" ? undefined : tank.way,
  });
  return { leftover };
}
