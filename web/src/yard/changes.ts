// What a visit tells otherwise than it did when it was taken along, in words.
import type { components } from "../service/api";
import { isSame } from "../form/value";
import { EMPTY_MAP, NoMap, calledOf, idOf, readMap, type PropertyMap } from "../map/document";
import { canonical, differences } from "../map/merge";
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

/** What changed of a property as the yard shows it, one sentence each; nothing where all of that is as it was. */
export function changesOfProperty(
  before: { name: string; map: string },
  after: { name: string; map: string },
): string[] {
  const changes: string[] = [];
  if (before.name !== after.name) changes.push(words.changed.name(before.name, after.name));
  if (before.map === after.map) return changes;
  const [was, is] = [mapOf(before.map), mapOf(after.map)];
  const called = ({ features }: PropertyMap, id: string) => {
    const at = features.findIndex((feature, index) => idOf(feature, index + 1) === id);
    return at < 0 ? id : calledOf(features[at]!, at + 1);
  };
  const shapes = differences(was, is, was).map(({ id, mine }) => {
    if (mine === "added") return words.changed.shapeNew(called(is, id));
    return mine === "gone" ? words.changed.shapeGone(called(was, id)) : words.changed.shape(called(is, id));
  });
  const isElse = shapes.length === 0 && canonical(was.members) !== canonical(is.members);
  return [...changes, ...shapes, ...(isElse ? [words.changed.mapElse] : [])];
}

/** A map to be compared; one that cannot be read has nothing on it. */
function mapOf(text: string): PropertyMap {
  try {
    return readMap(text);
  } catch (error) {
    if (!(error instanceof NoMap)) throw error;
    return EMPTY_MAP;
  }
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
