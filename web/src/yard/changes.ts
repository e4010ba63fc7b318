// What a visit tells otherwise than it did when it was taken along, in words.
import type { components } from "../service/api";
import { isSame } from "../form/value";
import { area, clock, product, spray, type Units } from "../parts/quantity";
import { visitWords } from "../words/visit";
import { yard as words } from "../words/yard";

type Planned = components["schemas"]["Planned"];
type Visit = Planned["visit"];
type Task = Visit["tasks"][number];

/** A visit as it is kept, and as it is planned. */
export interface Told {
  document: { name: string; date: string; files?: Record<string, string> };
  planned: Planned;
}

/** What changed, one sentence each; nothing where all is as it was. */
export function changesOf(before: Told, after: Told, units: Units): string[] {
  const [was, is] = [before.planned.visit, after.planned.visit];
  const changes: string[] = [];
  const say = (was: string, is: string, sentence: (was: string, is: string) => string) => {
    if (was !== is) changes.push(sentence(was, is));
  };
  say(before.document.name, after.document.name, words.changed.name);
  say(was.date, is.date, words.changed.day);
  say(verdictOf(before.planned), verdictOf(after.planned), words.changed.verdict);
  say(windowsOf(was), windowsOf(is), words.changed.windows);
  if (!isSame(weatherOf(was), weatherOf(is))) changes.push(words.changed.forecast);
  say(was.applicator?.name ?? words.nobody, is.applicator?.name ?? words.nobody, words.changed.applicator);
  for (const task of was.tasks)
    if (!is.tasks.some(({ id }) => id === task.id)) changes.push(words.changed.taskGone(task.id));
  for (const task of is.tasks) {
    const old = was.tasks.find(({ id }) => id === task.id);
    if (old === undefined) changes.push(words.changed.taskNew(task.id));
    else changes.push(...ofTask(old, task, units));
  }
  const sentences = ({ visit }: Planned) =>
    [...visit.verdicts, ...visit.tasks.flatMap(({ verdicts }) => verdicts)].map(({ text }) => text);
  const old = new Set(sentences(before.planned));
  const fresh = new Set(sentences(after.planned).filter((text) => !old.has(text)));
  if (fresh.size > 0) changes.push(words.changed.sentences([...fresh]));
  if (changes.length === 0 && !isSame(before.planned, after.planned)) changes.push(words.changed.else);
  return changes;
}

function ofTask(was: Task, is: Task, units: Units): string[] {
  const changes: string[] = [];
  const say = (what: string, was: string, is: string) => {
    if (was !== is) changes.push(words.changed.ofTask(id, what, was, is));
  };
  const { id } = is;
  const products = (task: Task) => [task, ...task.partners].map((one) => one.product).join(", ");
  const rate = (task: Task) => `${Number(task.rate.value.toPrecision(3))} ${task.rate.symbol}`;
  const fillings = (task: Task) =>
    task.batches
      .map((batch, at) => {
        const own = [task, ...task.partners].map(({ batches }) => batches[at]);
        const amounts = own.map((one) => product({ ml: one?.measured_ml, g: one?.measured_g }));
        return [batch.spray_l === null ? "" : spray(batch.spray_l, units), ...amounts]
          .filter((part) => part !== "")
          .join(", ");
      })
      .join("; ");
  say(words.changed.product, products(was), products(is));
  say(words.changed.rate, rate(was), rate(is));
  say(words.changed.ground, area(was.ground_m2 + was.wall_m2, units), area(is.ground_m2 + is.wall_m2, units));
  say(words.changed.equipment, was.equipment, is.equipment);
  say(words.changed.tanks, fillings(was), fillings(is));
  return changes;
}

const verdictOf = ({ visit, people }: Planned): string =>
  visitWords.worst[people.some(({ severity }) => severity === "error") ? "refused" : visit.verdict] ?? "";

/** When the job may start. */
const windowsOf = ({ start_windows }: Visit): string =>
  start_windows.length === 0
    ? words.noStart
    : start_windows.map(({ first, last }) => `${clock(first, true)} – ${clock(last)}`).join(", ");

const weatherOf = ({ hours }: Visit) =>
  hours.map(({ start, temperature_cel, wind_m_per_s, gust_m_per_s, wind_from_deg, rain_m }) => [
    start,
    temperature_cel,
    wind_m_per_s,
    gust_m_per_s,
    wind_from_deg,
    rain_m,
  ]);
