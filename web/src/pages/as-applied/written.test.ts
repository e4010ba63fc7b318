import { expect, test } from "vitest";
import {
  asAppliedOf,
  fitted,
  lacksCertification,
  nothingWritten as blankOf,
  type PlannedTask,
  type Written,
} from "./written";

const planned = { date: "2026-07-07", applicator: "J. Example" };
const nothingWritten = (tasks: readonly PlannedTask[], units: Written["units"] = "us") =>
  blankOf(tasks, planned.date, units);

const batch = { spray_l: 7.57, measured_ml: 14, measured_g: null, product_ml: 14, covers_m2: 110 };
const lawn = {
  id: "lawn",
  label: "brackwater-sc",
  product: "Brackwater 1 SC (invented)",
  partners: [],
  batches: [batch, batch, { ...batch, spray_l: 3, measured_ml: 6 }],
} as unknown as PlannedTask;

test("a visit without a hitch says nothing but its tasks", () => {
  const fields = asAppliedOf([lawn], planned, nothingWritten([lawn]));
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
  expect(asAppliedOf([lawn], planned, written)).toEqual({
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
    expect(asAppliedOf([lawn], planned, written)).toBeNull();
  }
});

test("what was written is held against a plan that was made anew", () => {
  const bed = { ...lawn, id: "bed" } as PlannedTask;
  const written = nothingWritten([lawn, bed]);
  written.started = "07:05";
  for (const task of written.tasks) task.tanks[2]!.covered = "1210";
  expect(fitted(written, [lawn, bed], planned.date, "us")).toEqual({ all: written, unfit: [] });
  // The bed has a tank less, and the tasks stand in another order.
  const fewer = { ...bed, batches: [batch, batch] } as unknown as PlannedTask;
  const { all, unfit } = fitted(written, [fewer, lawn], planned.date, "us");
  expect(unfit).toEqual(["bed"]);
  expect(fitted(nothingWritten([lawn, bed]), [fewer], planned.date, "us").unfit).toEqual([]);
  expect(all.started).toBe("07:05");
  expect(all.tasks.map(({ id, tanks }) => [id, tanks.length, tanks.at(-1)?.covered])).toEqual([
    ["bed", 2, ""],
    ["lawn", 3, "1210"],
  ]);
});

test("another day and another hand stand in the file, and no certificate of somebody else", () => {
  const written = nothingWritten([lawn]);
  written.day = "2026-07-09";
  written.people.applicator = " A. Other ";
  expect(lacksCertification(written.people, planned)).toBe(true);
  written.people.noCertification = true;
  written.people.supervisor = "J. Example";
  expect(lacksCertification(written.people, planned)).toBe(false);
  expect(asAppliedOf([lawn], planned, written)).toEqual({
    format: "tussock.as-applied/1",
    date: "2026-07-09",
    applicator: "A. Other",
    certification_number: { does_not_arise: true },
    supervisor: "J. Example",
    task: [{ id: "lawn" }],
  });
  // The planned person by name is no other.
  const same = nothingWritten([lawn]);
  same.people.applicator = "J. Example";
  expect(lacksCertification(same.people, planned)).toBe(false);
  expect(asAppliedOf([lawn], planned, same)).toEqual({
    format: "tussock.as-applied/1",
    task: [{ id: "lawn" }],
  });
});

test("what was written before a field was asked has it as planned", () => {
  const { people: _, day: __, units: ___, ...old } = nothingWritten([lawn]);
  expect(fitted(old, [lawn], "2026-07-08", "metric").all).toEqual(blankOf([lawn], "2026-07-08", "metric"));
});

test("figures stay in the units in which they were begun, whatever the settings say since", () => {
  const written = nothingWritten([lawn]);
  // Without a figure there is nothing to keep.
  written.people.supervisor = "K. Example";
  expect(fitted(written, [lawn], planned.date, "metric").all.units).toBe("metric");
  written.end.temperature = "72";
  const { all } = fitted(written, [lawn], planned.date, "metric");
  expect(all.units).toBe("us");
  expect(asAppliedOf([lawn], planned, all)).toMatchObject({ weather: { end: { temperature: "72 °F" } } });
  for (const figure of ["spray", "covered"] as const) {
    const tank = nothingWritten([lawn], "metric");
    tank.tasks[0]!.tanks[0]![figure] = "3";
    expect(fitted(tank, [lawn], planned.date, "us").all.units).toBe("metric");
  }
});
