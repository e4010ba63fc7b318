// Records. They come last: what was done refuses what was planned for the same day.
import { demoFile } from "../tests/demo";
import { askedAs } from "../tests/support";
import { opened, type Pictured, type Stage } from "./pictured";

/** The record of the demo's visit, kept where there is none yet. */
async function recordOf({ page, books }: Stage): Promise<string> {
  const { entries } = await askedAs<{ entries: { thing: string }[] }>(page, "GET", "/api/records");
  if (entries[0] !== undefined) return entries[0].thing;
  const visit = await askedAs<{ request: string; files: Record<string, string> }>(
    page,
    "GET",
    `/api/visits/${books.visit}`,
  );
  const { kept } = await askedAs<{ kept: { thing: string } }>(page, "POST", "/api/records/of-visit", {
    visit: visit.request,
    files: visit.files,
    as_applied: demoFile("alder-bend/as-applied.toml"),
    kept: books.visit,
  });
  return kept.thing;
}

/** Counts round the treatment: enough of both to tell whether it worked. */
async function countedRound({ page, books }: Stage): Promise<void> {
  const { entries } = await askedAs<{ entries: { date?: string }[] }>(page, "GET", "/api/surveys");
  if (entries.some(({ date }) => date === "2026-07-14")) return;
  const check = [3, 2, 4, 3, 2, 3, 4, 2];
  for (const [date, counts] of [
    ["2026-07-06", [2, 3, 4, 2, 1, 3, 2, 5, 3, 2]],
    ["2026-07-14", [0, 1, 0, 0, 0, 1, 0, 0, 0, 1]],
  ] as const) {
    const station = (is_check: boolean) => (count: number) => ({ count, is_check });
    await askedAs(page, "POST", "/api/surveys", {
      format: "tussock.kept-survey/1",
      property: books.property,
      date,
      pest: "grasshopper",
      method: "frame",
      count_area: "1 sq ft",
      by: "J. Example",
      stations: [...counts.map(station(false)), ...check.map(station(true))],
    });
  }
}

/** Control that falls over many treatments by one group, of another pest than the demo's. */
async function fallingControl({ page, books }: Stage): Promise<void> {
  const pest = "chinch bug";
  const { entries } = await askedAs<{ entries: { title: string }[] }>(page, "GET", "/api/surveys?limit=200");
  if (entries.some(({ title }) => title.includes(pest))) return;
  const many = [8, 10, 6, 9, 7, 8, 9, 8];
  const counted = (date: string, counts: number[], more: object = {}) => {
    const station = (is_check: boolean) => (count: number) => ({ count, is_check });
    return askedAs(page, "POST", "/api/surveys", {
      format: "tussock.kept-survey/1",
      property: books.property,
      date,
      pest,
      method: "frame",
      count_area: "1 sq ft",
      by: "J. Example",
      stations: [...counts.map(station(false)), ...many.map(station(true))],
      ...more,
    });
  };
  for (const [at, left] of [0, 0, 1, 2, 3, 5, 6].entries()) {
    const month = String(at + 3).padStart(2, "0");
    await counted(`2026-${month}-02`, many);
    const treated = { on: `2026-${month}-03`, group: "3A" };
    const after = many.map((_, station) => left + (station % 2));
    await counted(`2026-${month}-10`, after, { treated });
  }
}

export const RECORDS: readonly Pictured[] = [
  {
    name: "record",
    route: "/records/:thing",
    open: async (stage) => {
      await opened(stage, `/records/${await recordOf(stage)}`, "Alder Bend");
      await stage.page.getByRole("heading", { name: "Done otherwise than planned" }).waitFor();
    },
  },
  {
    name: "records",
    route: "/records",
    open: async (stage) => {
      await recordOf(stage);
      await opened(stage, "/records", "Records");
      await stage.page
        .getByRole("link", { name: /^Alder Bend/ })
        .first()
        .waitFor();
    },
  },
  {
    name: "efficacy",
    route: "/properties/:thing/efficacy",
    open: async (stage) => {
      await recordOf(stage);
      await countedRound(stage);
      await stage.page.goto(`/properties/${stage.books.property}/efficacy`);
      await stage.page.getByRole("article").first().waitFor();
    },
  },
  {
    name: "efficacy-resistance",
    route: "/properties/:thing/efficacy",
    open: async (stage) => {
      await stage.page.goto("/settings");
      await fallingControl(stage);
      await stage.page.goto(`/properties/${stage.books.property}/efficacy?pest=chinch%20bug`);
      await stage.page
        .getByText("A sign of resistance: control falls for certain", { exact: false })
        .waitFor();
    },
  },
  {
    name: "amend",
    route: "/records/:thing/amend",
    open: async (stage) => {
      await opened(stage, `/records/${await recordOf(stage)}/amend`, /^Put right/);
      await stage.page.getByRole("button", { name: "Keep it as a new version" }).waitFor();
    },
  },
  {
    name: "near",
    route: "/records/near",
    open: async (stage) => {
      await recordOf(stage);
      const time = "from=2026-07-07T00:00:00-05:00&until=2026-07-07T20:00:00-05:00";
      const place = "longitude=-97.61951&latitude=38.84018&within_m=91.44";
      await opened(stage, `/records/near?${place}&${time}`, "Who applied what near a place");
      await stage.page.getByRole("article").first().waitFor();
    },
  },
  {
    name: "totals",
    route: "/records/totals",
    open: async (stage) => {
      await recordOf(stage);
      const days = "from=2026-01-01&until=2026-12-31";
      await opened(stage, `/records/totals?property=${stage.books.property}&${days}`, "What lies where");
      await stage.page.getByRole("heading", { level: 2, name: /^Place 1/ }).waitFor();
    },
  },
];
