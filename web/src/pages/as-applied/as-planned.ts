// What the record says where nobody says anything: that it went as planned, each thing in words; and what it leaves open.
import type { Settings } from "../../house/settings.svelte";
import { area } from "../../parts/quantity";
import { asApplied as words } from "../../words/yard";
import { UNITS, shown } from "../../yard/units";
import { productsOf, tanksOf, type WorkTask, type PlannedWork } from "./planned";
import { isAnother, isLeftOf, type Weather, type Written } from "./written";

type Units = Settings["units"];

/** What is recorded as planned, as things stand in the form. */
export function asPlannedOf(tasks: readonly WorkTask[], planned: PlannedWork, all: Written): string[] {
  const { units } = all;
  const said: string[] = [];
  if (planned.applicator !== null && !isAnother(all.people, planned)) {
    const isCertified = all.people.certification.trim() !== "" || all.people.noCertification;
    said.push(words.appliedAsPlanned(planned.applicator, isCertified ? null : planned.certification));
  }
  for (const [at, task] of tasks.entries()) {
    const own = all.tasks[at];
    if (own === undefined || own.notDone) continue;
    const products = productsOf(task).map(({ product }) => product);
    said.push(words.groundAsPlanned(task.id, products, placeOf(task, units), task.equipment));
    if (all.rest === "otherwise") continue;
    for (const [filling, numbers] of fillings(task, own.tanks, units))
      said.push(words.tanksAsPlanned(task.id, numbers, filling));
  }
  const isDone = all.tasks.some(({ notDone }) => !notDone);
  const isLeft = all.tasks.some(isLeftOf);
  if (isDone && !isLeft && all.rest !== "otherwise") said.push(words.nothingLeft);
  return said;
}

/** The ground and the wall of a task. */
function placeOf({ ground_m2, wall_m2 }: WorkTask, units: Units): string {
  const parts = [
    ground_m2 > 0 ? words.ofGround(area(ground_m2, units)) : "",
    wall_m2 > 0 ? words.ofWall(area(wall_m2, units)) : "",
  ];
  return parts.filter((part) => part !== "").join(", ");
}

/** The tanks of which nothing is said, by what goes into them. */
function fillings(task: WorkTask, tanks: Written["tasks"][number]["tanks"], units: Units) {
  const found = new Map<string, number[]>();
  for (const [index, { spray_l, amounts }] of tanksOf(task).entries()) {
    if (tanks[index]?.fill !== "") continue;
    const parts = [
      ...(spray_l > 0 ? [words.ofSpray(shown(spray_l, UNITS.spray[units]))] : []),
      ...amounts.map(({ product, value, unit }) => `${Number(value.toPrecision(6))} ${unit} ${product}`),
    ];
    const filling = parts.join(", ");
    found.set(filling, [...(found.get(filling) ?? []), index + 1]);
  }
  return found;
}

/** What the record leaves open, since nobody told it and no plan knows it. */
export function leftOpen(tasks: readonly WorkTask[], all: Written): string[] {
  const isSaid = (text: string, nothing = false) => nothing || text.trim() !== "";
  const weather = ({ wind, from, temperature }: Weather) =>
    isSaid(wind) && isSaid(from) && isSaid(temperature);
  const lots = all.tasks.filter(({ notDone, lots }) => !notDone && lots.some((lot) => !isSaid(lot)));
  const open: [boolean, string][] = [
    [isSaid(all.started), words.started],
    [isSaid(all.ended), words.ended],
    [weather(all.start), `${words.weather}, ${words.atStart}`],
    [weather(all.end), `${words.weather}, ${words.atEnd}`],
    [lots.length === 0, `${words.lot}: ${lots.map(({ id }) => id).join(", ")}`],
    [isSaid(all.people.supervisor, all.people.nobodySupervised), words.supervisor],
    [isSaid(all.signWhere), words.sign],
    [isSaid(all.unexpected, all.nothingUnexpected || all.rest === "otherwise"), words.unexpected],
    [isSaid(all.disposal, all.nothingDisposed), words.disposal],
  ];
  return tasks.length === 0 ? [] : open.filter(([said]) => !said).map(([, name]) => name);
}
