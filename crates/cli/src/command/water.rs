//! `tussock water`: when to water a lawn, how deep, and how the sprinklers run.

mod words;

use super::lawn::{LawnArgs, read_lawn};
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::OutFolder;
use clap::Args;
use exchange::care_calendar::write_water_calendar;
use exchange::water_json::write_water;
use problem::Problem;
use season::water_plan::plan_water;
use sheet::{WaterBalanceOptions, water_balance_svg};
use std::fmt::Write;

/// Show on which mornings to water a lawn, how deep, and how long each sprinkler zone runs
///
/// Follows the water in the root zone from day to day: what the air asks of the grass (FAO-56 Penman-Monteith where the readings allow it,
/// else Hargreaves), rain, and what was given. A morning is watered when the grass would want before the next one on which water may be
/// given. No water is given while the labels of the visits forbid it; what they want watered in is watered in as soon as the work
/// is done. The rule of an inch a week stands beside it. Writes water.json, the balance (SVG) and water.ics.
///
/// The local rules on watering go first: tell their days and hours in the lawn file.
///
/// Exit codes: 0 planned, 1 bad input, 2 wrong use of the command, 3 a treatment cannot be watered in as its label wants.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock water demo/alder-bend/lawn.toml",
    "tussock water demo/alder-bend/lawn.toml --json > water.json",
    "tussock water demo/alder-bend/lawn.toml --from 2026-07-09 --units metric",
))]
pub(crate) struct WaterArgs {
    #[command(flatten)]
    lawn: LawnArgs,
    /// Draw in black and white only
    #[arg(long)]
    black_and_white: bool,
}

impl WaterArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.lawn.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &WaterArgs) -> CommandResult {
    let (lawn, warnings) = read_lawn(&args.lawn)?;
    let Some(request) = lawn.water.clone() else {
        return Err(Problem::error("lawn::no-root-zone", "the lawn file tells no root zone")
            .expected("`[root_zone]` with `soil`, `depth`, `allowed_depletion` and `gone`")
            .mend("dig a plug, see how deep the roots go, and add the table")
            .in_file(args.lawn.file())
            .into());
    };
    let plan = plan_water(request).map_err(|problems| problems.in_file(&args.lawn.file()))?;
    complain(&warnings);
    let text = write_water(&lawn, &plan, &warnings);
    let mut written = String::new();
    if let Some(folder) = args.lawn.folder() {
        let mut folder = OutFolder::new(folder);
        folder.write("water.json", "the watering as data", text.as_bytes())?;
        let options = WaterBalanceOptions {
            colour: !args.black_and_white,
            units: args.lawn.units.units(),
            ..WaterBalanceOptions::default()
        };
        let svg = water_balance_svg(&lawn.name, &plan, options);
        folder.write("water-balance.svg", "the water of each day, drawn", svg.as_bytes())?;
        match write_water_calendar(&lawn.name, &plan) {
            Some(calendar) => folder.write("water.ics", "the waterings as calendar entries", calendar.as_bytes())?,
            None => folder.without("water.ics")?,
        }
        for (path, what) in folder.written() {
            let _ = writeln!(written, "  {} ({what})", path.display());
        }
    }
    if args.lawn.json {
        say(&text);
    } else {
        say(&words::of(&lawn.name, &plan, args.lawn.units.units()));
        say(&format!("Written:\n{written}"));
    }
    Ok(if plan.unmet.is_empty() { Outcome::Done } else { Outcome::Refused })
}
