import { expect, test } from "vitest";
import { amendedOf, tasksOf, workOf, type Amended, type RecordJson } from "./amended";
import { amendmentOf } from "./amendment";
import { joinedOf, lostOf, partsOf } from "./leaves";

const unseen = {
  wind_m_per_s: "absent",
  gust_m_per_s: "absent",
  wind_from_deg: "absent",
  temperature_cel: "absent",
  remarks: "absent",
};
const fill = { spray_l: 10, products: [{ volume_ml: 20 }], covered_m2: { recorded: 100 } };
const tank = { planned: fill, filled: fill, filled_at: "absent", told: "filling" };

const ground = {
  type: "MultiPolygon",
  coordinates: [
    [
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 0],
      ],
    ],
  ],
};

const zoneOf = (to: number) => ({
  id: "lawn",
  kind: "turf",
  ground: {
    ...ground,
    coordinates: [
      [
        [
          [0, 0],
          [to, 0],
          [to, to],
          [0, 0],
        ],
      ],
    ],
  },
});

/** A record of two tanks, with what is said of it otherwise. */
const recordOf = (otherwise: object = {}) =>
  ({
    name: "Alder Bend (invented)",
    date: "2026-07-07",
    client: "absent",
    client_address: "absent",
    location: "absent",
    applicator: { recorded: "J. Example" },
    certification_number: { recorded: "KS-00000" },
    supervisor: "absent",
    noncertified_applicator: "absent",
    started: { recorded: "2026-07-07T21:05:30-05:00" },
    ended: { recorded: "2026-07-08T00:20:00-04:00" },
    weather_at_start: unseen,
    weather_at_end: unseen,
    tasks: [
      {
        id: "lawn",
        equipment: "absent",
        ground_m2: 200,
        zones: [zoneOf(1)],
        wall_m2: 0,
        products: [
          {
            label: "brackwater-sc",
            name: "Brackwater (invented)",
            amount: { volume_ml: 40 },
            lots: "absent",
          },
        ],
        tanks: [{ ...tank, carried_over_l: { recorded: 2 } }, tank],
      },
    ],
    unexpected: "absent",
    disposal: "absent",
    notices: {
      recorded: [
        { to: "the client", how: "by telephone", given: { recorded: "2026-07-06T17:30:00-04:00" } },
        { to: "front lawn", how: "sign", given: { recorded: "2026-07-07T07:00:15-05:00" } },
      ],
    },
    target_counts: "absent",
    leftover: "absent",
    ...otherwise,
  }) as unknown as RecordJson;

/** What becomes of a record that is put right. */
function putRight(change: (all: Amended) => void, record = recordOf()) {
  const before = amendedOf(record, "metric");
  const after = structuredClone(before);
  change(after);
  return amendmentOf(tasksOf(record), workOf(record, "-05:00"), before, after);
}
const amendment = (fields: object) => ({ fields: { format: "tussock.as-applied/1", ...fields }, wrong: [] });

test("what is not touched is not told", () => {
  expect(putRight(() => undefined)).toEqual({ fields: null, wrong: [] });
});

test("a notice that is touched leaves the moments of all as they were told", () => {
  const [first, second] = [
    { to: "the client", how: "by telephone", given: "2026-07-06T17:30:00-04:00" },
    { to: "front lawn", how: "sign", given: "2026-07-07T07:00:15-05:00" },
  ];
  expect(putRight((all) => (all.notices[1]!.to = "back lawn"))).toEqual(
    amendment({ notice: [first, { ...second, to: "back lawn" }] }),
  );
  // A time that is put right is by the clock of that notice, a new one by that of the record.
  const change = (all: Amended) => {
    all.notices[0]!.given = "2026-07-06T17:45";
    all.notices = [...all.notices, { to: "the gate", how: "sign", given: "2026-07-07T07:10" }];
  };
  expect(putRight(change)).toEqual(
    amendment({
      notice: [
        { ...first, given: "2026-07-06T17:45:00-04:00" },
        second,
        { to: "the gate", how: "sign", given: "2026-07-07T07:10:00-05:00" },
      ],
    }),
  );
  // Where one is taken out, each keeps its own.
  expect(putRight((all) => all.notices.shift())).toEqual(amendment({ notice: [second] }));
});

test("an end after midnight stays on its day and by its clock", () => {
  expect(putRight((all) => (all.ended = "00:40"))).toEqual(amendment({ ended: "2026-07-08T00:40:00-04:00" }));
  expect(putRight((all) => (all.started = "21:10"))).toEqual(
    amendment({ started: "2026-07-07T21:10:00-05:00" }),
  );
});

test("where the day of the work is another its moments move along", () => {
  expect(putRight((all) => (all.day = "2026-06-30"))).toEqual(
    amendment({
      date: "2026-06-30",
      started: "2026-06-30T21:05:30-05:00",
      ended: "2026-07-01T00:20:00-04:00",
    }),
  );
});

test("a tank's times have their own day and clock", () => {
  const record = recordOf();
  const [first, second] = record.tasks[0]!.tanks;
  first!.filled_at = { recorded: "2026-07-07T23:50:10-05:00" };
  second!.filled_at = { recorded: "2026-07-08T00:10:00-04:00" };
  second!.emptied_at = { recorded: "2026-07-08T00:30:00-04:00" };
  const change = (all: Amended) => {
    all.tasks[0]!.tanks[1]!.emptiedAt = "00:35";
    all.tasks[0]!.tanks[0]!.emptiedAt = "23:58";
    all.tasks[0]!.tanks[1]!.filledAt = "00:15";
  };
  expect(putRight(change, record)).toEqual(
    amendment({
      task: [
        {
          id: "lawn",
          tank: [
            { number: 1, emptied_at: "2026-07-07T23:58:00-05:00" },
            { number: 2, filled_at: "2026-07-08T00:15:00-04:00", emptied_at: "2026-07-08T00:35:00-04:00" },
          ],
        },
      ],
    }),
  );
});

test("what stayed in a tank can be told as taken out, or as not there", () => {
  const tanks = (...tank: object[]) => amendment({ task: [{ id: "lawn", tank }] });
  for (const way of ["kept", "handed-in", "other"] as const) {
    const became = "in the shed";
    const change = (all: Amended) => Object.assign(all.tasks[0]!.tanks[0]!, { way, became });
    const leftover = { spray: "2 L", way, became };
    expect(putRight(change)).toEqual(tanks({ number: 1, carried_over: "0 L", leftover }));
  }
  const empty = (all: Amended) => {
    all.nothingLeft = true;
    all.tasks[0]!.tanks[0]!.left = "";
  };
  expect(putRight(empty, recordOf({ leftover: "does-not-arise" }))).toEqual(
    tanks({ number: 1, carried_over: "0 L" }),
  );
  // Neither said: the record is not taken back to nothing.
  const { wrong } = putRight((all) => (all.tasks[0]!.tanks[0]!.left = ""));
  expect(wrong.map(({ id }) => id)).toEqual(["task-1-tank-1-left"]);
});

test("what was taken out is shown, though the tank says that nothing stayed", () => {
  const left = { task: "lawn", tank: 1, spray_l: 2, products: [{ volume_ml: 4 }] };
  const record = recordOf({
    leftover: { recorded: [{ ...left, became: { recorded: { kept: "in the shed" } } }] },
  });
  record.tasks[0]!.tanks[0]!.carried_over_l = { recorded: 0 };
  expect(amendedOf(record, "metric").tasks[0]!.tanks[0]).toMatchObject({
    left: "2",
    way: "kept",
    became: "in the shed",
  });
});

test("another person's work is not put under the certificate that stands there without a word", () => {
  const another = (all: Amended) => (all.people.applicator = "R. Example");
  const { wrong } = putRight(another);
  expect(wrong.map(({ id }) => id)).toEqual(["certification"]);
  expect(wrong[0]!.expected).toContain("KS-00000");
  const told = (change: (all: Amended) => void) =>
    putRight((all) => {
      another(all);
      change(all);
    });
  const applicator = "R. Example";
  expect(told((all) => (all.people.certification = "KS-00001"))).toEqual(
    amendment({ applicator, certification_number: "KS-00001" }),
  );
  const none = (all: Amended) =>
    (Object.assign(all, { certificateOf: all.people.applicator }).people.noCertification = true);
  expect(told(none)).toEqual(amendment({ applicator, certification_number: { does_not_arise: true } }));
  expect(told((all) => (all.certificateOf = all.people.applicator))).toEqual(amendment({ applicator }));
  // What was said of one person holds for nobody else who is named afterwards.
  const renamed = putRight((all) => {
    another(all);
    all.certificateOf = all.people.applicator;
    all.people.applicator = "S. Sample";
  });
  expect(renamed.wrong.map(({ id }) => id)).toEqual(["certification"]);
});

test("that one person has no certificate says nothing of another who is named", () => {
  const without = recordOf({ certification_number: "does-not-arise" });
  const named = (name: string, change: (all: Amended) => void = () => undefined) =>
    putRight((all) => {
      all.people.applicator = name;
      change(all);
    }, without);
  const { wrong, fields } = named("R. Example");
  expect(wrong.map(({ id }) => id)).toEqual(["certification"]);
  expect(wrong[0]!.expected).toContain("whether R. Example has a certificate");
  // It is asked, and not taken back to nothing beside.
  expect(fields).toEqual({ format: "tussock.as-applied/1", applicator: "R. Example" });
  const number = (all: Amended) => (all.people.certification = "KS-00001");
  expect(named("R. Example", number)).toEqual(
    amendment({ applicator: "R. Example", certification_number: "KS-00001" }),
  );
  const said = (all: Amended) => (all.certificateOf = all.people.applicator);
  expect(named("R. Example", said)).toEqual(amendment({ applicator: "R. Example" }));
  // What was ticked of one holds for nobody who is named after.
  const renamed = putRight((all) => {
    Object.assign(all.people, { applicator: "R. Example", certification: "", noCertification: true });
    all.certificateOf = all.people.applicator;
    all.people.applicator = "S. Sample";
  });
  expect(renamed.wrong.map(({ id }) => id)).toEqual(["certification"]);
  // The name that the record has keeps what the record says of it.
  expect(named("J. Example")).toEqual({ fields: null, wrong: [] });
});

test("what a record says is told in words where it cannot be taken back", () => {
  const { wrong } = putRight((all) => (all.noNotices = false), recordOf({ notices: "does-not-arise" }));
  expect(wrong.map(({ expected }) => expected)).toEqual([expect.stringContaining("says “none”")]);
});

/** A record of which a rest of the last tank was put down on the strip beside. */
function withRest(): RecordJson {
  const rest = { task: "lawn", spray_l: 1, products: [{ volume_ml: 2 }] };
  const record = recordOf({
    leftover: { recorded: [{ ...rest, became: { recorded: { applied_as_task: "lawn-leftover" } } }] },
  });
  const [lawn] = record.tasks;
  const made = { ...lawn!, id: "lawn-leftover", tanks: [], sites: { recorded: ["turf"] } };
  const zones = [{ id: "lawn-leftover", kind: "turf", ground }];
  record.tasks.push({ ...made, zones } as unknown as (typeof record.tasks)[number]);
  return record;
}

test("a rest that was put down is shown as such, and stays as it is where nothing of it is told otherwise", () => {
  expect(amendedOf(withRest(), "metric").tasks[0]!.tanks[1]).toMatchObject({ left: "1", way: "applied" });
  expect(putRight(() => undefined, withRest())).toEqual({ fields: null, wrong: [] });
  expect(putRight((all) => (all.location = "behind the house"), withRest())).toEqual(
    amendment({ location: "behind the house" }),
  );
});

test("of a rest that was put down another amount is told with its ground, and its task comes again", () => {
  const applied = { ground, site: "turf" };
  expect(putRight((all) => (all.tasks[0]!.tanks[1]!.left = "1.5"), withRest())).toEqual(
    amendment({
      task: [{ id: "lawn", tank: [{ number: 2, leftover: { spray: "1.5 L", applied } }] }],
    }),
  );
});

test("a rest that was not put down after all is told as kept, and its task goes", () => {
  const kept = (all: Amended) =>
    Object.assign(all.tasks[0]!.tanks[1]!, { way: "kept", became: "in the closed can" });
  expect(putRight(kept, withRest())).toEqual(
    amendment({
      task: [
        {
          id: "lawn",
          tank: [{ number: 2, leftover: { spray: "1 L", became: "in the closed can", way: "kept" } }],
        },
      ],
    }),
  );
  // Its lots would be lost with it.
  const { wrong } = putRight((all) => {
    kept(all);
    all.tasks[1]!.lots = ["B-1"];
  }, withRest());
  expect(wrong.map(({ id }) => id)).toEqual(["task-2-lot-1"]);
});

/** A record of bait on single mounds, which has no tanks, with what became of the rest of it. */
function withBait(became?: object): RecordJson {
  const bait = { label: "anthollow-rb", name: "Anthollow (invented)" };
  const product = { ...bait, amount: { mass_g: 60 }, lots: "absent" };
  const task = { ...recordOf().tasks[0]!, id: "mounds", products: [product], tanks: [] };
  const left = { task: "mounds", spray_l: null, products: [{ mass_g: 12 }], became };
  const leftover = became === undefined ? "absent" : { recorded: [left] };
  return recordOf({ tasks: [task], leftover });
}

test("what was left of a task without tanks is shown, and told otherwise", () => {
  const product = (amount: string) => [{ label: "anthollow-rb", amount }];
  const became = "in its own container, closed";
  const kept = withBait({ recorded: { kept: became } });
  expect(amendedOf(kept, "metric").treated[0]!.rest).toEqual({
    left: "",
    leftAmounts: ["12"],
    way: "kept",
    became,
  });
  expect(putRight(() => undefined, kept)).toEqual({ fields: null, wrong: [] });
  const rest = (change: object) => (all: Amended) => Object.assign(all.treated[0]!.rest!, change);
  const told = (leftover: object) => amendment({ task: [{ id: "mounds", leftover }] });
  const [way, handedIn] = ["kept", "handed-in"];
  expect(putRight(rest({ leftAmounts: ["15"] }), kept)).toEqual(
    told({ product: product("15 g"), became, way }),
  );
  expect(putRight(rest({ way: handedIn, became: "the county" }), kept)).toEqual(
    told({ product: product("12 g"), became: "the county", way: handedIn }),
  );
  // Where nothing was told, it can be told.
  const first = { leftAmounts: ["3"], way, became };
  expect(putRight(rest(first), withBait())).toEqual(told({ product: product("3 g"), became, way }));
  // It is taken back for nothing left, and not without a word.
  const none = rest({ leftAmounts: [""] });
  expect(putRight(none, kept).wrong.map(({ id }) => id)).toEqual(["nothing-left"]);
  const nothing = (all: Amended) => none(all) && (all.nothingLeft = true);
  expect(putRight(nothing, kept)).toEqual(
    amendment({ nothing_left_over: true, task: [{ id: "mounds", leftover: { nothing: true } }] }),
  );
  const wrong = (change: object) => putRight(rest(change), kept).wrong.map(({ id }) => id);
  expect(wrong({ leftAmounts: ["some"] })).toContain("task-1-rest-left-1");
  expect(wrong({ became: "" })).toEqual(["task-1-rest-became"]);
});

test("a rest of a task without tanks that was put down keeps its ground", () => {
  const record = withBait({ recorded: { applied_as_task: "mounds-leftover" } });
  const zones = [{ id: "mounds-leftover", kind: "turf", ground }];
  const made = { ...record.tasks[0]!, id: "mounds-leftover", sites: { recorded: ["turf"] }, zones };
  record.tasks.push(made as unknown as (typeof record.tasks)[number]);
  const before = amendedOf(record, "metric");
  expect(before.treated.map(({ rest }) => rest?.way)).toEqual(["applied", undefined]);
  expect(putRight((all) => (all.treated[0]!.rest!.leftAmounts = ["10"]), record)).toEqual(
    amendment({
      task: [
        {
          id: "mounds",
          leftover: {
            product: [{ label: "anthollow-rb", amount: "10 g" }],
            applied: { ground, site: "turf" },
          },
        },
      ],
    }),
  );
});

test("ground, wall, places and sprayer are told otherwise, each alone", () => {
  const told = (change: (all: Amended) => void) =>
    putRight(change, Object.assign(recordOf(), { tasks: [{ ...recordOf().tasks[0]!, wall_m2: 30 }] }));
  const task = (fields: object) => amendment({ task: [{ id: "lawn", ...fields }] });
  expect(told((all) => (all.treated[0]!.wall = "32"))).toEqual(task({ wall: "32 m²" }));
  expect(told((all) => (all.treated[0]!.places = "12"))).toEqual(task({ places: 12 }));
  expect(told((all) => (all.treated[0]!.equipment = "backpack"))).toEqual(task({ equipment: "backpack" }));
  const feature = { type: "Feature", properties: {}, geometry: ground };
  for (const text of [ground, feature, { type: "FeatureCollection", features: [feature] }])
    expect(told((all) => (all.treated[0]!.ground = JSON.stringify(text)))).toEqual(task({ ground }));
  const wrong = (change: (all: Amended) => void) => told(change).wrong.map(({ id }) => id);
  expect(wrong((all) => (all.treated[0]!.wall = ""))).toEqual(["task-1-wall"]);
  expect(wrong((all) => (all.treated[0]!.wall = "much"))).toEqual(["task-1-wall"]);
  expect(wrong((all) => (all.treated[0]!.places = "1.5"))).toEqual(["task-1-places"]);
  const line = { type: "LineString", coordinates: [] };
  for (const text of ["{", JSON.stringify(line), JSON.stringify({ features: [feature, feature] })])
    expect(wrong((all) => (all.treated[0]!.ground = text))).toEqual(["task-1-ground"]);
});

test("two answers that differ in nothing that is seen are no choice", () => {
  const [mine, theirs] = [amendedOf(recordOf(), "metric"), amendedOf(recordOf(), "metric")];
  delete mine.notices[0]!.told;
  expect(partsOf(theirs, mine, theirs)).toEqual([]);
});

test("that nothing was left over does not stand beside what was", () => {
  const tick = (all: Amended) => (all.nothingLeft = true);
  const kept = { task: "lawn", tank: 2, spray_l: 1, products: [{ volume_ml: 2 }] };
  const became = { recorded: { kept: "in the shed" } };
  const record = recordOf({ leftover: { recorded: [{ ...kept, became }] } });
  for (const one of [record, withRest()]) {
    const { wrong } = putRight(tick, one);
    expect(wrong.map(({ id }) => id)).toEqual(["nothing-left"]);
    expect(wrong[0]!.expected).toContain("one of the two");
  }
  // Where it is taken out at its tank, it is told of that tank and of all.
  const none = (all: Amended) => {
    tick(all);
    all.tasks[0]!.tanks[1]!.left = "";
  };
  expect(putRight(none, record)).toEqual(
    amendment({
      nothing_left_over: true,
      task: [{ id: "lawn", tank: [{ number: 2, leftover: { nothing: true } }] }],
    }),
  );
});

test("that nothing was left over is not taken back to nothing", () => {
  const nothing = recordOf({ leftover: "does-not-arise" });
  const untick = (all: Amended) => (all.nothingLeft = false);
  const { wrong, fields } = putRight(untick, nothing);
  expect(fields).toBeNull();
  expect(wrong.map(({ id }) => id)).toEqual(["nothing-left"]);
  expect(wrong[0]!.expected).toContain("says “none”");
  const left = (all: Amended) =>
    Object.assign(all.tasks[0]!.tanks[1]!, { left: "1", way: "kept", became: "in the shed" });
  const told = { spray: "1 L", way: "kept", became: "in the shed" };
  expect(
    putRight((all) => {
      untick(all);
      left(all);
    }, nothing),
  ).toEqual(amendment({ task: [{ id: "lawn", tank: [{ number: 2, leftover: told }] }] }));
  expect(putRight(left, nothing).wrong.map(({ id }) => id)).toEqual(["nothing-left"]);
});

/** The form of a record whose lawn has other ground. */
function drawn(to: number): Amended {
  const record = recordOf();
  record.tasks[0]!.zones = [zoneOf(to)];
  record.tasks[0]!.ground_m2 = 200 * to * to;
  return amendedOf(record, "metric");
}

test("of two people's grounds neither is proposed, and each is told in words", () => {
  const [base, mine, theirs] = [drawn(1), drawn(1), drawn(2)];
  mine.treated[0]!.ground = JSON.stringify(zoneOf(3).ground);
  const [part, ...others] = partsOf(base, mine, theirs);
  expect(others).toEqual([]);
  expect(part).toMatchObject({ key: "treated[1].ground", legend: "lawn: ground", proposed: null });
  for (const said of [part!.before, part!.mine, part!.theirs]) expect(said).toMatch(/^ground of \d+ m²$/);
  expect(new Set([part!.before, part!.mine, part!.theirs]).size).toBe(3);
  const record = recordOf();
  record.tasks[0]!.zones = [zoneOf(2)];
  const toldBy = (isMine: string[]) => {
    const joined = joinedOf(mine, theirs, new Set(isMine));
    expect(joined.treated[0]!.recorded).toBe(theirs.treated[0]!.recorded);
    return amendmentOf(tasksOf(record), workOf(record, "-05:00"), theirs, joined);
  };
  expect(toldBy([part!.key])).toEqual(amendment({ task: [{ id: "lawn", ground: zoneOf(3).ground }] }));
  expect(toldBy([])).toEqual({ fields: null, wrong: [] });
});

test("a ground that one person told is proposed, and the ground before can be told again", () => {
  const [base, theirs] = [drawn(1), drawn(2)];
  const [part] = partsOf(base, drawn(1), theirs);
  expect(part).toMatchObject({ key: "treated[1].ground", proposed: "theirs" });
  expect(joinedOf(drawn(1), theirs, new Set()).treated).toEqual(theirs.treated);
  const back = joinedOf(drawn(1), theirs, new Set([part!.key])).treated[0]!;
  expect(JSON.parse(back.ground)).toEqual(zoneOf(1).ground);
  const mine = drawn(1);
  mine.treated[0]!.ground = JSON.stringify(zoneOf(3).ground);
  expect(partsOf(base, mine, drawn(1))).toMatchObject([{ key: "treated[1].ground", proposed: "mine" }]);
  // A draft of an earlier build does not know what ground the record had.
  const old = drawn(1);
  Reflect.deleteProperty(old.treated[0]!, "recorded");
  old.treated[0]!.ground = JSON.stringify(zoneOf(3).ground);
  const before = drawn(1);
  Reflect.deleteProperty(before.treated[0]!, "recorded");
  expect(partsOf(before, old, theirs)).toMatchObject([{ key: "treated[1].ground", proposed: null }]);
});

test("the ground of a rest that was put down is not chosen: it is put right with its tank", () => {
  const [base, theirs] = [withRest(), withRest()];
  theirs.tasks[1]!.zones = [zoneOf(2)];
  const [was, there] = [amendedOf(base, "metric"), amendedOf(theirs, "metric")];
  expect(partsOf(was, structuredClone(was), there)).toEqual([]);
});

test("tasks of two people's are put together by their names, in whatever order they stand", () => {
  const record = recordOf();
  const hedge = { ...structuredClone(record.tasks[0]!), id: "hedge", equipment: { recorded: "backpack" } };
  record.tasks.unshift(hedge);
  const base = amendedOf(record, "metric");
  const mine = structuredClone(base);
  mine.tasks[0]!.lots = ["B-1"];
  mine.treated[1]!.wall = "30";
  record.tasks.reverse();
  const theirs = amendedOf(record, "metric");
  const parts = partsOf(base, mine, theirs);
  expect(parts.map(({ legend, proposed }) => [legend, proposed])).toEqual([
    ["hedge: lots[1]", "mine"],
    ["lawn: wall", "mine"],
  ]);
  const joined = joinedOf(mine, theirs, new Set(parts.map(({ key }) => key)));
  expect(joined.tasks.map(({ id, lots }) => [id, lots])).toEqual([
    ["lawn", [""]],
    ["hedge", ["B-1"]],
  ]);
  expect(joined.treated.map(({ wall, equipment }) => [wall, equipment])).toEqual([
    ["30", ""],
    ["", "backpack"],
  ]);
  expect(joined.against).toEqual(theirs.against);
  // A task that is there no more takes what was changed of it along: that is told.
  record.tasks.pop();
  expect(lostOf(base, mine, amendedOf(record, "metric"))).toEqual(["hedge"]);
  expect(lostOf(base, base, amendedOf(record, "metric"))).toEqual([]);
});

test("nothing left over, and a leftover, are one of the two", () => {
  const left = {
    leftover: {
      recorded: [
        {
          task: "lawn",
          tank: 2,
          spray_l: 2,
          products: [{ volume_ml: 4 }],
          became: { recorded: { kept: "in the shed" } },
        },
      ],
    },
  };
  const { wrong } = putRight((all) => (all.nothingLeft = true), recordOf(left));
  expect(wrong.map(({ id }) => id)).toEqual(["nothing-left"]);
  // What was said is not taken back to nothing without a word.
  const back = putRight((all) => (all.nothingLeft = false), recordOf({ leftover: "does-not-arise" }));
  expect(back.wrong.map(({ id }) => id)).toContain("nothing-left");
});

test("ground that somebody else put right is told, and not overwritten unseen", () => {
  const side = (metres: number) => (metres / 111_320).toFixed(9);
  const zone = (metres: number) => {
    const to = Number(side(metres));
    const ring = [
      [0, 0],
      [to, 0],
      [to, to],
      [0, to],
      [0, 0],
    ];
    return { id: "z", ground: { type: "MultiPolygon", coordinates: [[ring]] } };
  };
  const withGround = (metres: number) => {
    const record = recordOf();
    (record.tasks[0] as unknown as { zones: unknown[] }).zones = [zone(metres)];
    return amendedOf(record, "metric");
  };
  const [base, mine, theirs] = [withGround(10), withGround(10), withGround(20)];
  mine.treated[0]!.ground = JSON.stringify(zone(30).ground);
  const part = partsOf(base, mine, theirs).find(({ key }) => key === "treated[1].ground")!;
  expect(part.proposed).toBeNull();
  expect(part.theirs).toMatch(/^ground of (39\d|40\d)/);
  expect(part.before).toMatch(/^ground of (99|100)/);
  // Theirs holds, and none is told; mine takes its place where that is chosen.
  expect(joinedOf(mine, theirs, new Set()).treated[0]!.ground).toBe("");
  expect(joinedOf(mine, theirs, new Set(["treated[1].ground"])).treated[0]!.ground).toBe(
    mine.treated[0]!.ground,
  );
});

test("tasks are put together by their names, in whatever order they stand", () => {
  const two = (first: string, second: string) => {
    const record = recordOf();
    const [lawn] = record.tasks;
    record.tasks = [first, second].map((id) => ({ ...lawn!, id }));
    return amendedOf(record, "metric");
  };
  const [base, mine, theirs] = [two("lawn", "rest"), two("lawn", "rest"), two("rest", "lawn")];
  mine.tasks[1]!.lots = ["A-17"];
  const [part] = partsOf(base, mine, theirs);
  expect([part!.key, part!.proposed]).toEqual(["tasks[1].lots[1]", "mine"]);
  const joined = joinedOf(mine, theirs, new Set(["tasks[1].lots[1]"]));
  expect(joined.tasks.map(({ id, lots }) => [id, lots[0]])).toEqual([
    ["rest", "A-17"],
    ["lawn", ""],
  ]);
});
