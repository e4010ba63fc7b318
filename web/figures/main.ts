// `make page-figures`: how fast the pages are, measured in the browser and held against the goals. `docs/pages.md` says
// what is measured.
import { loadavg } from "node:os";
import { closeBrowser, house } from "../tests/support";
import { keepDemo } from "../tests/demo";
import { drags, type Drag, type Dragged } from "./drag";
import { firstPages, type FirstPage } from "./first-page";
import { CORNER, keepLot } from "./lot";
import { share } from "./reckon";

const DRAGS = Number(process.env.FIGURES_DRAGS ?? 4);

/** Measures everything, and prints it as tables. */
export async function main(): Promise<void> {
  const load = loadavg()[0]!;
  const home = await house();
  try {
    const empty = await firstPages(false);
    const { visit } = await keepDemo(home);
    const forty = await keepLot(home.origin, visit);
    const filled = await firstPages(true);
    const lot = [-97.62, 38.84] as const;
    const of = (what: Pick<Drag, "visit" | "corner" | "slowed">) =>
      drags({ origin: home.origin, lot, drags: DRAGS, ...what });
    console.log(
      "| from a corner's move to its zones on the screen | moves | p50 | p95 | longest | goal for p95 |\n" +
        "| --- | --- | --- | --- | --- | --- |",
    );
    const parts = [
      printed("demo property", 100, await of({ visit, corner: [30, 85], slowed: 1 })),
      printed(
        "40 features, processor slowed 4 times",
        250,
        await of({ visit: forty, corner: CORNER, slowed: 4 }),
      ),
    ];
    console.log(
      "\n| of this, at the median | until asked | server and way | until drawn | until the next frame | questions | refused | answer |\n" +
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    );
    for (const part of parts) console.log(part);
    console.log(
      "\n| first page | transferred | files | first paint | ready | goals |\n| --- | --- | --- | --- | --- | --- |",
    );
    printFirst("empty books", empty);
    printFirst("with the demo", filled);
    console.log(
      `\nOther work on the machine as this began: a load of ${load.toFixed(1)} (0 is a quiet machine).`,
    );
  } finally {
    await closeBrowser();
    await home.stop();
  }
}

/** Prints the figures of some drags. @returns the line of what they are made of */
function printed(name: string, goal: number, { samples, questions, refused, answerBytes }: Dragged): string {
  const seen = samples.map((sample) => sample.seen);
  const p95 = share(seen, 0.95);
  const ms = (value: number) => `${value.toFixed(0)} ms`;
  console.log(
    `| ${name} | ${seen.length} | ${ms(share(seen, 0.5))} | ${ms(p95)} | ${ms(Math.max(...seen))} | ` +
      `under ${goal} ms: ${p95 < goal ? "met" : `missed by ${ms(p95 - goal)}`} |`,
  );
  const median = (of: (sample: (typeof samples)[number]) => number) => ms(share(samples.map(of), 0.5));
  return (
    `| ${name} | ${median((one) => one.asked)} | ${median((one) => one.server)} | ` +
    `${median((one) => one.drawn - one.asked - one.server)} | ${median((one) => one.seen - one.drawn)} | ` +
    `${questions} | ${refused.length} | ${(answerBytes / 1000).toFixed(0)} kB |`
  );
}

function printFirst(name: string, pages: readonly FirstPage[]): void {
  const kilobytes = Math.max(...pages.map(({ bytes }) => bytes)) / 1000;
  const ready = share(
    pages.map(({ readyMs }) => readyMs),
    0.95,
  );
  const met = kilobytes < 250 && ready < 1000;
  console.log(
    `| ${name} | ${kilobytes.toFixed(0)} kB | ${pages[0]!.files} | ` +
      `${share(
        pages.map(({ paintMs }) => paintMs),
        0.95,
      ).toFixed(0)} ms | ${ready.toFixed(0)} ms | ` +
      `under 250 kB and 1,000 ms: ${met ? "met" : "missed"} |`,
  );
}
