// What was written of a task that the plan has no longer, or otherwise: told as it was written, so that nothing is lost.
import type { Settings } from "../../house/settings.svelte";
import { asApplied as words } from "../../words/yard";
import { UNITS, WEATHER, shown } from "../../yard/units";
import type { PlannedTank } from "./planned";
import type { TankWritten, TaskWritten } from "./written";

export interface Unfit {
  task: string;
  said: string[];
  /**
   * Nothing where the plan has no place for it. `then`: it was said of other figures, those that are told; `unknown`: an
   * earlier build kept no figures of what was planned when it was said.
   */
  how?: "then" | "unknown";
}

/** All that was written of a task, a line each; with what its tanks were planned with when it was written. */
export function saidOf(
  task: TaskWritten,
  units: Settings["units"],
  then: readonly PlannedTank[] = [],
): string[] {
  const lines = task.notDone ? [words.notDone] : [];
  const lots = task.lots.filter((lot) => lot !== "");
  if (lots.length > 0) lines.push(`${words.lot}: ${lots.join("; ")}`);
  for (const [index, tank] of task.tanks.entries()) {
    const said = ofTank(tank, index + 1, units, then[index]);
    if (said.length > 0) lines.push(`${words.tank} ${index + 1}: ${said.join("; ")}`);
  }
  return lines;
}

function ofTank(
  tank: TankWritten,
  number: number,
  units: Settings["units"],
  then: PlannedTank | undefined,
): string[] {
  const fills = { "": "", planned: words.asPlanned, otherwise: words.otherwise, none: words.notFilled };
  const [spray, area] = [UNITS.spray[units].word, UNITS.area[units].word];
  const bare = (label: string) => label.replace(/^[^:]*: /, "");
  const { wind, gust, from, degrees, temperature } = tank.weather;
  const facts: [string, string][] = [
    [bare(words.spray(number)), tank.spray && `${tank.spray} ${spray}`],
    [words.product, tank.amounts.filter((text) => text !== "").join(", ")],
    [bare(words.filledAt(number)), tank.filledAt],
    [bare(words.emptiedAt(number)), tank.emptiedAt],
    [bare(words.covered(number)), tank.covered && `${tank.covered} ${area}`],
    [bare(words.left(number)), tank.left && `${tank.left} ${spray}`],
    [
      bare(words.leftAmount(number, words.product)),
      tank.leftAmounts.filter((text) => text !== "").join(", "),
    ],
    [words.became, [tank.way === "" ? "" : words.ways[tank.way], tank.became].filter(Boolean).join(", ")],
    [words.wind, wind && `${wind} ${WEATHER.wind[units]}`],
    [words.gust, gust && `${gust} ${WEATHER.wind[units]}`],
    [words.from, from === "degrees" ? degrees : from],
    [words.temperature, temperature && `${temperature} ${WEATHER.temperature[units]}`],
  ];
  const told = facts.filter(([, value]) => value !== "").map(([name, value]) => `${name} ${value}`);
  const planned =
    then === undefined || (tank.fill !== "planned" && tank.fill !== "otherwise")
      ? ""
      : plannedOf(then, units);
  return [fills[tank.fill], ...told, planned].filter((text) => text !== "");
}

/** What a tank was planned with. */
function plannedOf({ spray_l, covers_m2, amounts }: PlannedTank, units: Settings["units"]): string {
  const parts = [
    ...(spray_l > 0 ? [words.ofSpray(shown(spray_l, UNITS.spray[units]))] : []),
    ...amounts.map(({ product, value, unit }) => `${Number(value.toPrecision(6))} ${unit} ${product}`),
    ...(covers_m2 > 0 ? [words.forArea(shown(covers_m2, UNITS.area[units]))] : []),
  ];
  return words.plannedThen(parts.join(", "));
}
