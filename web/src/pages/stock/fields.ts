// What the forms of the stock ask, and the documents that the books keep of it.
import { filledIn } from "../../form/value";
import type { components } from "../../service/api";
import { today } from "../../yard/clock";

export type Lot = components["schemas"]["KeptLot"];
export type Adjustment = components["schemas"]["KeptStockAdjustment"];

export interface LotFields {
  label: string;
  number: string;
  received_on: string;
  received: string;
  supplier: string;
  use_until: string;
  /** What the form does not ask goes along as it is kept. */
  price: NonNullable<Lot["price"]> | null;
  note: string;
}

export const noLot = (): LotFields => ({
  label: "",
  number: "",
  received_on: today(),
  received: "",
  supplier: "",
  use_until: "",
  price: null,
  note: "",
});

export const lotFieldsOf = (lot: Lot): LotFields => ({
  label: lot.label,
  number: lot.number,
  received_on: lot.received_on,
  received: lot.received,
  supplier: lot.supplier ?? "",
  use_until: lot.use_until ?? "",
  price: lot.price ?? null,
  note: lot.note ?? "",
});

export const lotOf = (fields: LotFields): Lot => ({ format: "tussock.kept-lot/1", ...filledIn(fields) });

export interface AdjustmentFields {
  lot: string;
  date: string;
  direction: Adjustment["direction"];
  amount: string;
  reason: string;
}

export const noAdjustment = (): AdjustmentFields => ({
  lot: "",
  date: today(),
  direction: "less",
  amount: "",
  reason: "",
});

export const adjustmentFieldsOf = ({
  lot,
  date,
  direction,
  amount,
  reason,
}: Adjustment): AdjustmentFields => ({
  lot,
  date,
  direction,
  amount,
  reason,
});

export const adjustmentOf = (fields: AdjustmentFields): Adjustment => ({
  format: "tussock.kept-stock-adjustment/1",
  ...filledIn(fields),
});
