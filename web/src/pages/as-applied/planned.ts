// What a plan tells of its tasks, as far as the record of the work needs it.
import type { components } from "../../service/api";

type TaskJson = components["schemas"]["TaskJson"];
type Batch = Pick<components["schemas"]["BatchJson"], "spray_l" | "covers_m2" | "measured_ml" | "measured_g">;

/** One product of a task, with what goes of it into each tank. */
export interface WorkProduct {
  label: string;
  product: string;
  batches: readonly Batch[];
}

/** What a form asks of, of a plan or of a record. */
export interface WorkTask extends WorkProduct {
  id: string;
  partners: readonly WorkProduct[];
  ground_m2: number;
  wall_m2: number;
  equipment: string;
}

/** A task as a plan has it. */
export type PlannedTask = WorkTask & Pick<TaskJson, "rate" | "mixing">;

/** What the plan says of the whole work, and what was written is held against. */
export interface PlannedWork {
  /** ISO 8601. */
  date: string;
  /** Who is to apply. */
  applicator: string | null;
  /** The number of their certificate. */
  certification: string | null;
  /** The clock of the place, such as `-05:00`; `null` where the plan does not tell it. */
  offset: string | null;
}

/** The products of a task: its own, and those that share its tank. */
export const productsOf = (task: WorkTask): readonly WorkProduct[] => [task, ...task.partners];

/** The tanks of a task in order, each with its spray, its products and what it should cover. */
export function tanksOf(task: WorkTask) {
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

export type PlannedTank = ReturnType<typeof tanksOf>[number];
