// What a plan said when "as planned" was said of it: a plan that was made anew later may say something else.
import { isSame } from "../../form/value";
import type { Settings } from "../../house/settings.svelte";
import { UNITS } from "../../yard/units";
import { tanksOf, type PlannedTank, type PlannedTask, type PlannedWork, type WorkTask } from "./planned";
import type { TankWritten } from "./written";

export interface TaskThen {
  id: string;
  rate: unknown;
  ground_m2: number;
  wall_m2: number;
  equipment: string;
  tanks: PlannedTank[];
}

/** All that is recorded of a plan where somebody says that it went as planned. */
export interface PlanThen {
  applicator: string | null;
  certification: string | null;
  tasks: TaskThen[];
}

/** Who is to do the work, and under which certificate. */
export type Hand = Pick<PlannedWork, "applicator" | "certification">;

export const NO_HAND: Hand = { applicator: null, certification: null };

export function planThen(tasks: readonly WorkTask[], { applicator, certification }: Hand): PlanThen {
  return {
    applicator,
    certification,
    tasks: tasks.map((task) => ({
      id: task.id,
      rate: (task as Partial<PlannedTask>).rate ?? null,
      ground_m2: task.ground_m2,
      wall_m2: task.wall_m2,
      equipment: task.equipment,
      tanks: tanksOf(task),
    })),
  };
}

/** Whether figures of one tank can be told of another: of the same products, in the same units. */
export function isLike(one: readonly PlannedTank[], other: readonly PlannedTank[]): boolean {
  const kind = ({ spray_l, amounts }: PlannedTank) => [
    spray_l > 0,
    ...amounts.map(({ label, unit }) => [label, unit]),
  ];
  return isSame(one.map(kind), other.map(kind));
}

/** A figure as a person would type it, to six digits: an instrument in the yard reads none beyond. */
const typed = (value: number) => String(Number(value.toPrecision(6)));

/** What was not told of a tank's filling, told with the figures of its plan. */
export function filledAs(tank: TankWritten, then: PlannedTank, units: Settings["units"]): TankWritten {
  const spray = then.spray_l > 0 ? typed(then.spray_l / UNITS.spray[units].per) : "";
  return {
    ...tank,
    fill: "otherwise",
    spray: tank.spray.trim() === "" ? spray : tank.spray,
    amounts: tank.amounts.map((text, which) =>
      text.trim() === "" ? typed(then.amounts[which]?.value ?? 0) : text,
    ),
  };
}
