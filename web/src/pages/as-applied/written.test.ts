import { expect, test } from "vitest";
import { asAppliedOf } from "./as-applied";
import { asPlannedOf, leftOpen } from "./as-planned";
import { tanksOf, type PlannedTask } from "./planned";
import { sprayOut } from "./spray-out";
import { fitted, lacksCertification, nothingWritten as blankOf, type TankWritten } from "./written";

const planned = {
  date: "2026-07-07",
  applicator: "J. Example",
  certification: "KS-00000",
  offset: "-05:00",
};
const untouched = (tasks: readonly PlannedTask[], units: "us" | "metric" = "us") =>
  blankOf(tasks, planned.date, units);
/** A form whose writer said that all not told went as planned. */
const nothingWritten = (tasks: readonly PlannedTask[]) => ({ ...untouched(tasks), rest: "planned" as const });
const asPlanned = [{ number: 1 }, { number: 2 }, { number: 3 }];
const fieldsOf = (tasks: readonly PlannedTask[], written: ReturnType<typeof blankOf>) => {
  const { fields, wrong } = asAppliedOf(tasks, planned, written);
  expect(wrong).toEqual([]);
  return fields;
};

const batch = { spray_l: 7.57, measured_ml: 14, measured_g: null, product_ml: 14, covers_m2: 110 };
const lawn = {
  id: "lawn",
  label: "brackwater-sc",
  product: "Brackwater 1 SC (invented)",
  partners: [],
  ground_m2: 402,
  wall_m2: 0,
  equipment: "hand pump",
  batches: [batch, batch, { ...batch, spray_l: 3, measured_ml: 6 }],
} as unknown as PlannedTask;

test("a visit without a hitch is told as planned, once somebody says so", () => {
  expect(fieldsOf([lawn], nothingWritten([lawn]))).toEqual({
    format: "tussock.as-applied/1",
    nothing_left_over: true,
    task: [{ id: "lawn", tank: asPlanned }],
  });
  const { wrong } = asAppliedOf([lawn], planned, untouched([lawn]));
  expect(wrong.map(({ id }) => id)).toEqual(["rest-planned"]);
});

test("where not all went as planned each tank and the words are asked for", () => {
  const written = { ...untouched([lawn]), rest: "otherwise" as const };
  written.tasks[0]!.tanks[1]!.fill = "planned";
  const ids = () => asAppliedOf([lawn], planned, written).wrong.map(({ id }) => id);
  expect(ids()).toEqual(["task-1-tank-1-fill-planned", "task-1-tank-3-fill-planned", "rest-words"]);
  for (const tank of written.tasks[0]!.tanks) tank.fill = "planned";
  written.restWords = "the strip by the drive was left out";
  written.unexpected = "a hose came off";
  expect(fieldsOf([lawn], written)).toEqual({
    format: "tussock.as-applied/1",
    unexpected:
      "a hose came off Otherwise than planned, and not told in figures: the strip by the drive was left out",
    task: [{ id: "lawn", tank: asPlanned }],
  });
});

test("what is recorded as planned and what is left open is listed", () => {
  const written = untouched([lawn]);
  expect(asPlannedOf([lawn], planned, written)).toEqual([
    "J. Example applied it, under the certificate KS-00000.",
    "lawn: Brackwater 1 SC (invented) on all of its place as planned, 4,327 sq ft of ground, with hand pump.",
    "lawn, tanks 1, 2: filled as planned, each 2.00 gal of spray, 14 mL Brackwater 1 SC (invented).",
    "lawn, tank 3: filled as planned, 0.79 gal of spray, 6 mL Brackwater 1 SC (invented).",
    "Nothing was left over.",
  ]);
  written.people.applicator = "A. Other";
  written.tasks[0]!.tanks[0]!.fill = "otherwise";
  written.tasks[0]!.tanks[2]!.fill = "none";
  written.tasks[0]!.tanks[1]!.left = "0.1";
  expect(asPlannedOf([lawn], planned, written)).toEqual([
    "lawn: Brackwater 1 SC (invented) on all of its place as planned, 4,327 sq ft of ground, with hand pump.",
    "lawn, tank 2: filled as planned, 2.00 gal of spray, 14 mL Brackwater 1 SC (invented).",
  ]);
  expect(leftOpen([lawn], written)).toContain("Work began");
  written.started = "07:05";
  expect(leftOpen([lawn], written)).not.toContain("Work began");
});

test("what differed stands in the file, in the units of the person", () => {
  const written = nothingWritten([lawn]);
  written.started = "7:05";
  written.nothingUnexpected = true;
  written.start = { wind: "4", gust: "6.5", from: "degrees", degrees: "200", temperature: "72" };
  written.end.from = "calm";
  written.signWhere = "front lawn";
  const task = written.tasks[0]!;
  task.lots = ["B-0417, B-0418"];
  const [first, second, third] = task.tanks as [TankWritten, TankWritten, TankWritten];
  Object.assign(first, { emptiedAt: "07:40", left: "0.3", way: "stayed", hasWeather: true });
  first.weather.from = "SSW";
  Object.assign(second, {
    fill: "otherwise",
    spray: "1.8",
    amounts: ["13.8"],
    covered: "1210",
    filledAt: "07:52",
  });
  Object.assign(second, { left: "0.2", way: "kept", became: "closed and labelled" });
  third.fill = "none";
  expect(fieldsOf([lawn], written)).toEqual({
    format: "tussock.as-applied/1",
    started: "2026-07-07T07:05:00-05:00",
    unexpected: { does_not_arise: true },
    weather: {
      start: { wind: "4 mph", gust: "6.5 mph", wind_from: 200, temperature: "72 °F" },
      end: { wind: "0 mph", wind_from: { does_not_arise: true } },
    },
    notice: [{ to: "front lawn", how: "sign" }],
    task: [
      {
        id: "lawn",
        lot: [{ label: "brackwater-sc", numbers: ["B-0417", "B-0418"] }],
        tank: [
          {
            number: 1,
            emptied_at: "2026-07-07T07:40:00-05:00",
            carried_over: "0.3 gal",
            weather: { wind_from: 202.5 },
          },
          {
            number: 2,
            spray: "1.8 gal",
            product: [{ label: "brackwater-sc", amount: "13.8 mL" }],
            covered: "1210 sq ft",
            filled_at: "2026-07-07T07:52:00-05:00",
            leftover: { spray: "0.2 gal", became: "closed and labelled", way: "kept" },
          },
          { number: 3, not_filled: true },
        ],
      },
    ],
  });
});

test("each field that cannot be read is named, with what was found and what is expected", () => {
  const written = nothingWritten([lawn]);
  written.start.wind = "4 mph";
  written.end.from = "degrees";
  written.end.degrees = "361";
  written.end.temperature = "-3.5";
  written.ended = "24:00";
  Object.assign(written.tasks[0]!.tanks[1]!, {
    fill: "otherwise",
    amounts: ["-1"],
    covered: "1,210",
    left: "0.1",
    way: "handed-in",
  });
  written.units = "metric";
  const { wrong } = asAppliedOf([lawn], planned, written);
  expect(wrong.map(({ id, name, found }) => [id, name, found])).toEqual([
    ["ended", "Work ended", "24:00"],
    ["start-wind", "Weather on the spot, At the start: Wind", "4 mph"],
    ["task-1-tank-2-product-1", "lawn, Tank 2: Brackwater 1 SC (invented) in it", "-1"],
    ["task-1-tank-2-covered", "lawn, Tank 2: area covered", "1,210"],
    ["task-1-tank-2-became", "lawn, What became of it", ""],
    ["end-degrees", "Weather on the spot, At the end: Degrees clockwise from north", "361"],
  ]);
  expect(wrong[1]!.expected).toContain("a number in km/h");
});

test("what was written is held against a plan that was made anew", () => {
  const bed = { ...lawn, id: "bed" } as PlannedTask;
  const written = nothingWritten([lawn, bed]);
  written.started = "07:05";
  for (const task of written.tasks) task.tanks[2]!.covered = "1210";
  expect(fitted(written, [lawn, bed], planned.date, "us")).toEqual(written);
  // The bed has a tank less, and the tasks stand in another order.
  const fewer = { ...bed, batches: [batch, batch] } as unknown as PlannedTask;
  const all = fitted(written, [fewer, lawn], planned.date, "us");
  // Nothing that was written is lost: it stands there as it was written.
  expect(all.unfit).toEqual([{ task: "bed", said: ["Tank 3: area covered 1210 sq ft"] }]);
  expect(fitted(all, [lawn], planned.date, "us").unfit).toEqual(all.unfit);
  expect(fitted(nothingWritten([lawn, bed]), [fewer], planned.date, "us").unfit).toEqual([]);
  // Who said that all went as planned said so of another plan.
  expect(all.rest).toBe("");
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
  expect(fieldsOf([lawn], written)).toEqual({
    format: "tussock.as-applied/1",
    date: "2026-07-09",
    applicator: "A. Other",
    certification_number: { does_not_arise: true },
    supervisor: "J. Example",
    nothing_left_over: true,
    task: [{ id: "lawn", tank: asPlanned }],
  });
  // The planned person by name is no other.
  const same = nothingWritten([lawn]);
  same.people.applicator = "J. Example";
  expect(lacksCertification(same.people, planned)).toBe(false);
  expect(fieldsOf([lawn], same)).toMatchObject({ task: [{ id: "lawn" }] });
  expect(fieldsOf([lawn], same)).not.toHaveProperty("applicator");
});

test("what was written before a field was asked has it as nobody said it", () => {
  const { people: _, day: __, rest: ___, units: ____, ...old } = untouched([lawn]);
  for (const tank of old.tasks[0]!.tanks) tank.fill = "planned";
  expect(fitted(old, [lawn], "2026-07-08", "metric")).toEqual(blankOf([lawn], "2026-07-08", "metric"));

  // What was left stood with the task, and the wind in degrees.
  const [{ tanks, ...task }] = old.tasks as [(typeof old.tasks)[number]];
  const before = {
    ...old,
    start: { wind: "4", gust: "", from: "200", temperature: "" },
    tasks: [
      {
        ...task,
        leftSpray: "0.2",
        became: "kept closed",
        tanks: tanks.map(({ amounts }) => ({
          fill: "planned",
          spray: "",
          amounts,
          covered: "",
          filledAt: "",
        })),
      },
    ],
  } as unknown as typeof old;
  const all = fitted(before, [lawn], "2026-07-08", "us");
  expect(all.unfit).toEqual([]);
  expect(all.start).toMatchObject({ wind: "4", from: "degrees", degrees: "200" });
  expect(all.tasks[0]!.tanks[2]).toMatchObject({
    left: "0.2",
    way: "other",
    became: "kept closed",
    fill: "",
  });
});

test("what went out of a tank is what was filled, what had stayed in it, less what was left", () => {
  const { tanks } = untouched([lawn]).tasks[0]!;
  const out = (index: number) => sprayOut(tanksOf(lawn), tanks, index, "metric");
  expect([out(0), out(1), out(2)]).toEqual([7.57, 7.57, 3]);
  Object.assign(tanks[0]!, { left: "1", way: "stayed" });
  Object.assign(tanks[1]!, { fill: "otherwise", spray: "6", left: "0.5", way: "kept" });
  expect([out(0), out(1), out(2)]).toEqual([6.57, 6.5, 3]);
  tanks[1]!.left = "half";
  expect(out(1)).toBeNull();
});

test("figures stay in the units in which they were begun, whatever the settings say since", () => {
  const written = nothingWritten([lawn]);
  // Without a figure there is nothing to keep.
  written.people.supervisor = "K. Example";
  expect(fitted(written, [lawn], planned.date, "metric").units).toBe("metric");
  written.end.temperature = "72";
  const all = fitted(written, [lawn], planned.date, "metric");
  expect(all.units).toBe("us");
  expect(fieldsOf([lawn], all)).toMatchObject({ weather: { end: { temperature: "72 °F" } } });
  for (const figure of ["spray", "covered", "left"] as const) {
    const tank = untouched([lawn], "metric");
    tank.tasks[0]!.tanks[0]![figure] = "3";
    expect(fitted(tank, [lawn], planned.date, "us").units).toBe("metric");
  }
});

const HAND = { applicator: "J. Example", certification: "KS-00000" };
/** The same lawn with the same tanks, of which each takes more. */
const stronger = {
  ...lawn,
  batches: lawn.batches.map((one) => ({
    ...one,
    spray_l: one.spray_l! + 1,
    measured_ml: one.measured_ml! * 2,
  })),
} as unknown as PlannedTask;
const onDay = (written: Parameters<typeof fitted>[0], tasks: readonly PlannedTask[], hand = HAND) =>
  fitted(written, tasks, planned.date, "metric", hand);

test("a tank filled as an earlier plan had it is recorded with the figures of that plan", () => {
  const written = blankOf([lawn], planned.date, "metric", HAND);
  const [first, second] = written.tasks[0]!.tanks as [TankWritten, TankWritten, TankWritten];
  Object.assign(first, { fill: "planned", filledAt: "07:10" });
  Object.assign(second, { fill: "otherwise", spray: "7" });
  expect(onDay(written, [lawn])).toMatchObject({ tasks: written.tasks, unfit: [] });
  const all = onDay(written, [stronger]);
  expect(all.tasks[0]!.tanks).toMatchObject([
    { fill: "otherwise", spray: "7.57", amounts: ["14"], filledAt: "07:10", covered: "" },
    { fill: "otherwise", spray: "7", amounts: ["14"] },
    { fill: "", spray: "", amounts: [""] },
  ]);
  const filling = "planned then: 7.57 L of spray, 14 mL Brackwater 1 SC (invented), for 110 m²";
  expect(all.unfit).toEqual([
    {
      task: "lawn",
      said: [`Tank 1: As planned; ${filling}`, `Tank 2: Otherwise; spray in it 7 L; ${filling}`],
      how: "then",
    },
  ]);
  // Held against the same plan once more it stays as it is.
  expect(onDay(all, [stronger])).toEqual(all);
  expect(onDay(written, [lawn]).rest).toBe("");
});

test("that all the rest went as planned holds of the plan of which it was said, and of no other", () => {
  const written = { ...blankOf([lawn], planned.date, "metric", HAND), rest: "planned" as const };
  expect(onDay(written, [lawn])).toEqual(written);
  const all = onDay(written, [stronger]);
  expect(all.rest).toBe("");
  expect(all.tasks).toEqual(written.tasks);
  expect(all.unfit.map(({ said }) => said.length)).toEqual([3]);
  expect(all.unfit[0]!.said[2]).toContain("planned then: 3.00 L of spray, 6 mL");
  for (const other of [{ rate: { per: "another" } }, { ground_m2: 300 }, { equipment: "another pump" }])
    expect(onDay(written, [{ ...lawn, ...other } as unknown as PlannedTask]).rest).toBe("");
  expect(onDay(written, [lawn], { ...HAND, applicator: "K. Example" }).rest).toBe("");
  expect(onDay(written, [lawn], { ...HAND, certification: "KS-11111" }).rest).toBe("");
});

test("lots and amounts of one product are never taken for those of another", () => {
  const written = blankOf([lawn], planned.date, "metric", HAND);
  written.tasks[0]!.lots = ["B-0417"];
  written.tasks[0]!.tanks[0]!.fill = "planned";
  const other = { ...lawn, label: "reedmace-sc", product: "Reedmace 2 SC (invented)" } as PlannedTask;
  const all = onDay(written, [other]);
  expect(all.tasks).toEqual(blankOf([other], planned.date, "metric").tasks);
  expect(all.unfit.map(({ said }) => said)).toEqual([
    [
      "Lot numbers on the container: B-0417",
      "Tank 1: As planned; planned then: 7.57 L of spray, 14 mL Brackwater 1 SC (invented), for 110 m²",
    ],
  ]);
});

test("what an earlier build kept as planned, without what was planned, is asked anew", () => {
  const { against: _, ...old } = {
    ...blankOf([lawn], planned.date, "metric", HAND),
    rest: "planned" as const,
  };
  Object.assign(old.tasks[0]!.tanks[1]!, { fill: "planned", filledAt: "07:10" });
  const all = onDay(old, [lawn]);
  expect(all.rest).toBe("");
  expect(all.tasks[0]!.tanks[1]).toMatchObject({ fill: "", filledAt: "07:10" });
  expect(all.unfit).toEqual([{ task: "lawn", said: ["Tank 2: As planned"], how: "unknown" }]);
});
