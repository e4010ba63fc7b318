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
];
