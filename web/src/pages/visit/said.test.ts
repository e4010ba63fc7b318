import { expect, test } from "vitest";
import { saidOf } from "./said";

test("what was found is told in the words of its form, a field on a line", () => {
  const finding = {
    pest: "grub",
    identified_by: "J. Example",
    counts: [1, 2],
    count_area: "1 sq ft",
    threshold: { count: 8, area: "1 sq yd", place: "rangeland" },
    preventive: true,
  };
  expect(saidOf("finding", finding).split("\n")).toEqual([
    "Pest: grub",
    "By whom: J. Example",
    "Counts, one a station: 1, 2",
    "Ground that one count covers: 1 sq ft",
    "Threshold: So many: 8; On an area of: 1 sq yd; Where, and on which plants it holds: rangeland",
    "Treated before the pest is there: yes",
  ]);
});

test("a task tells its way, its rate and its ground as the form offers them", () => {
  const task = {
    id: "lawn",
    method: "broadcast",
    rate: "highest lawful",
    partner: [
      { label: "a", rate: "lowest" },
      { label: "b", rate: "0.2 fl oz/gal" },
    ],
    target: { site: "turf" },
  };
  expect(saidOf("task", task).split("\n")).toEqual([
    "Name: lawn",
    "Way to apply: Broadcast spray",
    "Rate: The highest lawful today",
    "In the same tank: Label: a; Rate: The label's lowest; Label: b; Rate: 0.2 fl oz/gal",
    "Where: The lawn that no other task claims",
  ]);
  expect(
    saidOf("task", { finding: "grubs", target: { hot_spots: "turf", may_stay: 0.2 } }).split("\n"),
  ).toEqual([
    "Rests on what was found: grubs",
    "Where: Hot spots of that lawn, by the places of the counts: Turf; Share of the infested ground that may stay untreated: 0.2",
  ]);
  const band = { target: { structures: "all", band_width: "3 ft", wall_height: "2 ft" } };
  expect(saidOf("task", band)).toBe(
    "Where: Buildings: All of them; Width of the band on the ground: 3 ft; Height on the wall: 2 ft",
  );
});

test("names stand for what a person knows by another name, and nothing for what nobody said", () => {
  const known = (name: string) => ({ "thing:1": "brackwater-sc", hedge: "Privet hedge" })[name];
  expect(saidOf("labels", ["thing:1", "other.toml"], known)).toBe("brackwater-sc, other.toml");
  expect(saidOf("feature", { hedge: { in_bloom: false, seen_on: "2026-07-07" } }, known)).toBe(
    "Privet hedge: In bloom: no; Looked at on: 2026-07-07",
  );
  expect(saidOf("setbacks", { "food-plants": "6 ft" })).toBe("Food plants: 6 ft");
  expect(saidOf("history", "books:history")).toBe("What the books hold");
  expect(saidOf("property", "books:property/Alder Bend")).toBe("the kept map of the property");
  expect(saidOf("property", "drawn.geojson")).toBe("a map kept with this visit");
  expect(saidOf("finding", undefined)).toBe("nothing");
});
