import { expect, test } from "vitest";
import { asAppliedOf, fitted, nothingWritten, type PlannedTask } from "./written";

const batch = { spray_l: 7.57, measured_ml: 14, measured_g: null, product_ml: 14, covers_m2: 110 };
const lawn = {
  id: "lawn",
  label: "brackwater-sc",
  product: "Brackwater 1 SC (invented)",
  partners: [],
  batches: [batch, batch, { ...batch, spray_l: 3, measured_ml: 6 }],
} as unknown as PlannedTask;

test("a visit without a hitch says nothing but its tasks", () => {
  const fields = asAppliedOf([lawn], nothingWritten([lawn]), "us");
  expect(fields).toEqual({ format: "tussock.as-applied/1", task: [{ id: "lawn" }] });
});

test("what differed stands in the file, in the units of the person", () => {
  const written = nothingWritten([lawn]);
  written.started = "7:05";
  written.nothingUnexpected = true;
  written.start = { wind: "4", gust: "6.5", from: "200", temperature: "72" };
  written.signWhere = "front lawn";
  const task = written.tasks[0]!;
  task.lots = ["B-0417, B-0418"];
  task.tanks[1] = { fill: "otherwise", spray: "1.8", amounts: ["13.8"], covered: "1210", filledAt: "07:52" };
  task.tanks[2] = { fill: "none", spray: "", amounts: [""], covered: "", filledAt: "" };
  task.leftSpray = "0.2";
  task.became = "kept closed and labelled";
  expect(asAppliedOf([lawn], written, "us")).toEqual({
    format: "tussock.as-applied/1",
    started: "07:05",
    unexpected: { does_not_arise: true },
    weather: { start: { wind: "4 mph", gust: "6.5 mph", wind_from: 200, temperature: "72 °F" } },
    notice: [{ to: "front lawn", how: "sign" }],
    task: [
      {
        id: "lawn",
        lot: [{ label: "brackwater-sc", numbers: ["B-0417", "B-0418"] }],
        tank: [
          {
            number: 2,
            spray: "1.8 gal",
            product: [{ label: "brackwater-sc", amount: "13.8 mL" }],
            covered: "1210 sq ft",
            filled_at: "07:52",
          },
          { number: 3, not_filled: true },
        ],
        leftover: { spray: "0.2 gal", became: "kept closed and labelled" },
      },
    ],
  });
});

test("a figure that cannot be read is not sent", () => {
  for (const change of [
    (written: ReturnType<typeof nothingWritten>) => (written.start.wind = "4 mph"),
    (written: ReturnType<typeof nothingWritten>) => (written.ended = "noon"),
    (written: ReturnType<typeof nothingWritten>) => (written.tasks[0]!.tanks[0]!.covered = "1,210"),
  ]) {
    const written = nothingWritten([lawn]);
    change(written);
    expect(asAppliedOf([lawn], written, "metric")).toBeNull();
  }
});

test("what was written is held against a plan that was made anew", () => {
  const bed = { ...lawn, id: "bed" } as PlannedTask;
  const written = nothingWritten([lawn, bed]);
  written.started = "07:05";
  for (const task of written.tasks) task.tanks[2]!.covered = "1210";
  expect(fitted(written, [lawn, bed])).toEqual({ all: written, unfit: [] });
  // The bed has a tank less, and the tasks stand in another order.
  const fewer = { ...bed, batches: [batch, batch] } as unknown as PlannedTask;
  const { all, unfit } = fitted(written, [fewer, lawn]);
  expect(unfit).toEqual(["bed"]);
  expect(fitted(nothingWritten([lawn, bed]), [fewer]).unfit).toEqual([]);
  expect(all.started).toBe("07:05");
  expect(all.tasks.map(({ id, tanks }) => [id, tanks.length, tanks.at(-1)?.covered])).toEqual([
    ["bed", 2, ""],
    ["lawn", 3, "1210"],
  ]);
});
