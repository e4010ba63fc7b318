// What a person put right, as an as-applied file: what stands as before is not told again.
import { isSame } from "../../form/value";
import { amend as words } from "../../words/amend";
import { UNITS } from "../../yard/units";
import { asAppliedOf, idOf, leftOf as leftoverOf } from "../as-applied/as-applied";
import type { WorkTask } from "../as-applied/planned";
import { Reading, type Wrong } from "../as-applied/reading";
import type { Amended, RecordedWork } from "./amended";
import { hasNone, openCertificate } from "./certificate";
import { momentOf, ownMoments } from "./moments";
import { restId, type PutDown } from "./rest";
import { treatedAnew } from "./treated";

type Fields = Record<string, unknown>;

/** All that a form says, as an as-applied file. */
function saidOf(tasks: readonly WorkTask[], work: RecordedWork, all: Amended) {
  // Who is told is told, whoever stood there.
  const { fields, wrong } = asAppliedOf(tasks, { ...work, applicator: null }, all);
  const arises = (text: string, isNone: boolean) =>
    isNone ? { does_not_arise: true } : text.trim() || undefined;
  const weather = { ...(fields.weather as Fields | undefined) };
  for (const [at, remarks] of [
    ["start", all.startRemarks],
    ["end", all.endRemarks],
  ] as const)
    weather[at] = { ...(weather[at] as Fields | undefined), remarks: remarks.trim() || undefined };
  const said: Fields = {
    ...ownMoments(fields, work, all),
    applicator: all.people.applicator.trim() || undefined,
    client: all.client.trim() || undefined,
    client_address: all.clientAddress.trim() || undefined,
    location: all.location.trim() || undefined,
    noncertified_applicator: arises(all.noncertified, all.noNoncertified),
    notice: noticesOf(all, work.offset),
    target_counts: countsOf(all),
    nothing_left_over: all.nothingLeft ? true : undefined,
    weather,
  };
  const whole = wholesOf(work, all, said.task as Fields[]);
  said.task = whole.task;
  const isAsked = ({ id }: Wrong) => id !== "certification";
  return { said, wrong: [...wrong.filter(isAsked), ...whole.wrong, ...wrongBeside(all)] };
}

/** The tasks, those without tanks with what was left of them. */
function wholesOf(work: RecordedWork, all: Amended, tasks: readonly Fields[]) {
  const reading = new Reading();
  const task = tasks.map((one, at) => {
    const [rest, whole] = [all.treated[at]?.rest, work.whole[at]];
    if (!rest || !whole || one.not_done === true) return one;
    const named = (name: string) => `${String(one.id)}, ${name}`;
    return { ...one, ...leftoverOf(reading, restId(at, -1), named, null, whole, rest, all.units) };
  });
  return { task, wrong: reading.wrong };
}

function noticesOf(all: Amended, offset: string | null): unknown {
  if (all.noNotices) return { does_not_arise: true };
  if (all.notices.length === 0) return undefined;
  return all.notices.map(({ to, how, given, told }) => ({
    to: to.trim(),
    how: how.trim(),
    given: given === "" ? undefined : momentOf(given, told, offset),
  }));
}

function countsOf(all: Amended): unknown {
  if (all.noCounts) return { does_not_arise: true };
  if (all.countsPest.trim() === "" && all.counts.trim() === "") return undefined;
  const area = all.countsArea.trim();
  return {
    pest: all.countsPest.trim(),
    counts: numbersOf(all.counts),
    count_area: area === "" ? undefined : `${area} ${UNITS.area[all.units].word}`,
  };
}

const numbersOf = (text: string) =>
  text
    .split(/[,;\s]+/)
    .filter(Boolean)
    .map(Number);

/** What is wrong with that which only a record has. */
function wrongBeside(all: Amended): Wrong[] {
  const wrong: Wrong[] = [];
  if (!all.noNotices)
    for (const [at, { to, how }] of all.notices.entries()) {
      const told = { name: words.notice(at + 1), found: "" };
      if (to.trim() === "") wrong.push({ ...told, id: `notice-${at + 1}-to`, expected: words.expects.to });
      if (how.trim() === "") wrong.push({ ...told, id: `notice-${at + 1}-how`, expected: words.expects.how });
    }
  const isCounted = !all.noCounts && (all.countsPest.trim() !== "" || all.counts.trim() !== "");
  if (isCounted && all.countsPest.trim() === "")
    wrong.push({ id: "counts-pest", name: words.countsPest, found: "", expected: words.expects.pest });
  const counts = numbersOf(all.counts);
  if (isCounted && (counts.length === 0 || !counts.every((one) => Number.isInteger(one) && one >= 0)))
    wrong.push({
      id: "counts",
      name: words.counts,
      found: all.counts.trim(),
      expected: words.expects.counts,
    });
  const area = all.countsArea.trim();
  if (isCounted && area !== "" && !(Number(area) > 0))
    wrong.push({ id: "counts-area", name: words.countsArea, found: area, expected: words.expects.area });
  return wrong;
}

/**
 * What was put right.
 *
 * @returns the as-applied file, `null` where nothing was; and every field that is wrong. What a record once said can be
 * said otherwise, and not taken back to nothing.
 */
export function amendmentOf(
  tasks: readonly WorkTask[],
  work: RecordedWork,
  before: Amended,
  after: Amended,
): { fields: Fields | null; wrong: readonly Wrong[] } {
  const { said: was } = saidOf(tasks, work, before);
  const isOpen = openCertificate(before, after);
  const people = { ...after.people, noCertification: isOpen === "none" || hasNone(before, after) };
  const { said: is, wrong } = saidOf(tasks, work, { ...after, people });
  const unsaid: Wrong[] = [];
  const gone = (path: string, found: unknown) =>
    unsaid.push({
      id: path,
      name: words.called(path),
      found: "",
      expected: words.expects.said(toldOf(found)),
    });
  if (isOpen !== null)
    unsaid.push({
      id: "certification",
      name: words.certification,
      found: "",
      expected: words.expects.certification(
        after.people.applicator.trim(),
        isOpen === "none" ? null : after.people.certification.trim(),
      ),
    });
  const fields: Fields = {};
  for (const key of new Set([...Object.keys(was), ...Object.keys(is)])) {
    if (["format", "task", "weather"].includes(key) || isSame(was[key], is[key])) continue;
    if (is[key] !== undefined) fields[key] = is[key];
    // What is told as left takes its place.
    else if (key !== "nothing_left_over") gone(CONTROLS[key] ?? key, was[key] as string);
  }
  for (const at of ["start", "end"] as const) {
    const told = changed(
      (was.weather as Fields)[at] as Fields,
      (is.weather as Fields)[at] as Fields,
      (name, found) => gone(`${at}-${name === "wind_from" ? "from" : name}`, found),
    );
    if (told !== null) fields.weather = { ...(fields.weather as Fields | undefined), [at]: told };
  }
  const both = after.tasks.map((_, at) =>
    [was, is].map((said) => (said.task as (Fields | undefined)[])[at] ?? {}),
  ) as [Fields, Fields][];
  const isLeftOtherwise = both.some(([was, is]) => !isSame(leftOf(was), leftOf(is)));
  const hasLeft = both.some(([, is]) => leftOf(is).length > 0);
  if (isLeftOtherwise && !hasLeft && !after.nothingLeft) gone("nothing-left", words.somethingLeft);
  if (before.nothingLeft && !after.nothingLeft && !hasLeft) gone("nothing-left", { does_not_arise: true });
  // What stands there unchanged is not sent, and all of it would be taken out.
  if (after.nothingLeft && hasLeft)
    unsaid.push({
      id: "nothing-left",
      name: words.nothingLeft,
      found: "",
      expected: words.expects.oneOfBoth,
    });
  const nothing = `0 ${UNITS.spray[after.units].word}`;
  const isNothingLeft = after.nothingLeft;
  const rests = Object.values(work.putDown).map(({ task }) => task);
  const left = { nothing, isNothingLeft, putDown: work.putDown };
  const leftIn = (said: Fields, control: string) =>
    ((said.task as (Fields | undefined)[]) ?? []).flatMap((task, at) =>
      leftOf(task ?? {}).filter(({ number }) => restId(at, number - 1) === control),
    )[0]?.leftover;
  const isAnew = ([control]: [string, PutDown]) => !isSame(leftIn(was, control), leftIn(is, control));
  const anew = new Set(
    Object.entries(work.putDown)
      .filter(isAnew)
      .map(([, { task }]) => task),
  );
  const task = both
    .map(([was, is], at): Fields | null => {
      const { id } = tasks[at]!;
      const told = taskOf({ ...was, id }, { ...is, id }, at, left, gone);
      // What was left is told anew: the task that it made goes with it, or comes again where it was put down.
      if (told !== null && anew.has(id)) {
        unsaid.push({ id: `${idOf(at)}-lot-1`, name: id, found: "", expected: words.notTwice(id) });
        return null;
      }
      if (told?.not_done === true || rests.includes(id)) return told;
      const treated = treatedAnew(before.treated[at]!, after.treated[at]!, at, id, after.units);
      unsaid.push(...treated.wrong);
      return Object.keys(treated.fields).length === 0 ? told : { id, ...treated.fields, ...told };
    })
    .filter((one) => one !== null);
  if (task.length > 0) fields.task = task;
  const isNothing = Object.keys(fields).length === 0;
  return {
    fields: isNothing ? null : { format: "tussock.as-applied/1", ...fields },
    wrong: [...wrong, ...unsaid],
  };
}

/** What was said, in a word or two; nothing where it is more than that. */
const toldOf = (found: unknown): string =>
  typeof found === "object"
    ? isSame(found, { does_not_arise: true })
      ? words.doesNotArise
      : ""
    : String(found);

/** The controls of what stands in the head of a record. */
const CONTROLS: Record<string, string> = {
  client_address: "client-address",
  certification_number: "certification",
  noncertified_applicator: "noncertified",
  notice: "no-notices",
  target_counts: "counts-pest",
  date: "day",
};

/** The fields that are told otherwise; `null` where there are none. */
function changed(was: Fields, is: Fields, gone: (name: string, found: unknown) => void): Fields | null {
  const told: Fields = {};
  for (const key of new Set([...Object.keys(was), ...Object.keys(is)])) {
    if (isSame(was[key], is[key])) continue;
    if (is[key] === undefined) gone(key, was[key]);
    else told[key] = is[key];
  }
  return Object.keys(told).length === 0 ? null : told;
}

const tanksOf = (task: Fields): Fields[] => (task.tank as Fields[] | undefined) ?? [];
/** What was left of a task, with the number of its tank; of nothing where it has none. */
const leftOf = (task: Fields): { number: number; leftover: unknown }[] =>
  [...tanksOf(task), { number: 0, leftover: task.leftover }].flatMap(({ number, leftover }) =>
    leftover === undefined ? [] : [{ number: Number(number), leftover }],
  );

/** What is told of that which was left over. */
interface LeftOver {
  isNothingLeft: boolean;
  /** No spray, in the units of the form. */
  nothing: string;
  putDown: RecordedWork["putDown"];
}

/** What is told of a rest: that there was none, or what it was. */
const toldLeft = (leftover: unknown, rest: PutDown | undefined): Fields =>
  leftover === undefined ? { nothing: true } : leftWith(leftover as Fields, rest);

/** What was left, with the ground on which the record has it where it was put down. */
function leftWith(leftover: Fields, rest: PutDown | undefined): Fields {
  if (leftover.applied !== true) return leftover;
  const { applied: _, ...told } = leftover;
  return rest === undefined ? told : { ...told, applied: { ground: rest.ground, site: rest.site } };
}

function taskOf(
  was: Fields,
  is: Fields,
  at: number,
  { isNothingLeft, nothing, putDown }: LeftOver,
  gone: (path: string, found: unknown) => void,
): Fields | null {
  const { id, not_done } = is;
  if (not_done === true) return { id, not_done };
  const tanks = tanksOf(is)
    .map((tank) => {
      const before = tanksOf(was).find(({ number }) => number === tank.number) ?? { number: tank.number };
      const { leftover: wasLeft, ...old } = before;
      const { leftover, ...own } = tank;
      // What was taken out, or was not there, did not stay in the tank.
      const isOut = old.carried_over !== undefined && (leftover !== undefined || isNothingLeft);
      if (isOut) own.carried_over ??= nothing;
      // What was left of another tank stays without a word.
      const control = idOf(at, Number(tank.number) - 1);
      const left = isSame(wasLeft, leftover) ? {} : { leftover: toldLeft(leftover, putDown[control]) };
      if (own.not_filled === true)
        return old.not_filled === true ? null : { number: tank.number, not_filled: true, ...left };
      const { not_filled: __, ...filled } = old;
      const told = changed(filled, own, (name, found) => gone(`${control}-${TANK[name] ?? name}`, found));
      const isTold = told !== null || "leftover" in left || old.not_filled === true;
      return isTold ? { number: tank.number, ...told, ...left } : null;
    })
    .filter((tank) => tank !== null);
  const lot = isSame(was.lot, is.lot) ? undefined : is.lot;
  if (lot === undefined && !isSame(was.lot, is.lot)) gone(`${idOf(at)}-lot-1`, "");
  const left = isSame(was.leftover, is.leftover)
    ? {}
    : { leftover: toldLeft(is.leftover, putDown[restId(at, -1)]) };
  const told = {
    ...(lot === undefined ? {} : { lot }),
    ...(tanks.length === 0 ? {} : { tank: tanks }),
    ...left,
  };
  return Object.keys(told).length === 0 ? null : { id, ...told };
}

/** The controls of what stands in a tank. */
const TANK: Record<string, string> = {
  product: "product-1",
  filled_at: "filled",
  emptied_at: "emptied",
  carried_over: "left",
  weather: "has-weather",
};
