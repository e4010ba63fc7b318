//! `tussock mow`: when to mow a lawn.

use super::lawn::{LawnArgs, read_lawn};
use super::plan::{both_depths, wrapped};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::OutFolder;
use clap::Args;
use exchange::care_calendar::write_mowing_calendar;
use exchange::mow_json::write_mowing;
use problem::Problem;
use quantity::{Length, LengthUnit};
use season::mow_plan::{MayMow, MowPlan, plan_mowing};
use season::mowing::mow_at;
use sheet::Units;
use std::fmt::Write;

/// Show on which days to mow a lawn, and how high the grass stands
///
/// Grass grows with the temperature (growth potential of Gelernter and Stowell 2005) and is mown on the last day on which no more than a
/// third has to go, before treatments and not after them. Grass that is too high comes down in steps. Writes mow.json and
/// mow.ics.
///
/// Exit codes: 0 planned, 1 bad input, 2 wrong use of the command.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock mow demo/alder-bend/lawn.toml",
    "tussock mow demo/alder-bend/lawn.toml --json > mow.json",
))]
pub(crate) struct MowArgs {
    #[command(flatten)]
    lawn: LawnArgs,
}

impl MowArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.lawn.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &MowArgs) -> CommandResult {
    let (lawn, warnings) = read_lawn(&args.lawn)?;
    let Some(request) = lawn.mowing.clone() else {
        return Err(Problem::error("lawn::no-mowing", "the lawn file tells nothing of mowing")
            .expected("`[mowing]` with `height` and `standing`")
            .mend("measure the height of the cut on a hard floor, and the grass in five places")
            .in_file(args.lawn.file())
            .into());
    };
    let plan = plan_mowing(request).map_err(|problems| problems.in_file(&args.lawn.file()))?;
    complain(&warnings);
    let text = write_mowing(&lawn, &plan, &warnings);
    let mut written = String::new();
    if let Some(folder) = args.lawn.folder() {
        let mut folder = OutFolder::new(folder);
        folder.write("mow.json", "the mowing as data", text.as_bytes())?;
        match write_mowing_calendar(&lawn.name, &plan) {
            Some(calendar) => folder.write("mow.ics", "the mowings as calendar entries", calendar.as_bytes())?,
            None => folder.without("mow.ics")?,
        }
        for (path, what) in folder.written() {
            let _ = writeln!(written, "  {} ({what})", path.display());
        }
    }
    if args.lawn.json {
        say(&text);
    } else {
        say(&words(&lawn.name, lawn.is_growth_assumed, &plan, args.lawn.units.units()));
        say(&format!("Written:\n{written}"));
    }
    Ok(Outcome::Done)
}

fn words(lawn: &str, is_growth_assumed: bool, plan: &MowPlan, units: Units) -> String {
    let mut out = String::new();
    let request = &plan.request;
    let last = plan.days.last().map_or(request.plan_from, |day| day.weather.date);
    let depth = |depth| both_depths(depth, units);
    let _ = writeln!(out, "{lawn}: mowing from {} to {last}", request.plan_from);
    let by = if is_growth_assumed { ", which nobody has measured" } else { "" };
    out.push_str(&wrapped(
        "  ",
        &format!(
            "Cut to {}, at {} at the latest; it grows {} on its best days{by}.",
            depth(request.height_of_cut),
            depth(mow_at(request.height_of_cut)),
            depth(request.best_growth)
        ),
    ));
    out.push('\n');
    if plan.mowings().next().is_none() {
        out.push_str("No mowing is needed on these days.\n");
    }
    for (date, mowing) in plan.mowings() {
        let step = if mowing.is_step { "; too high for one mowing, so again some days later" } else { "" };
        let (from, until) = (mowing.within.from.strftime("%H:%M"), mowing.within.until.strftime("%H:%M"));
        let text = format!(
            "Mow on {} {date}, between {from} and {until}: from {} to {}{step}",
            date.strftime("%A"),
            depth(mowing.standing),
            depth(mowing.cut_to)
        );
        out.push_str(&wrapped("", &text));
        let rain = plan.days.iter().find(|day| day.weather.date == date).and_then(|day| day.weather.rain);
        if let Some(rain) = rain.filter(|rain| rain.is_positive()) {
            let text =
                format!("Rain of {} is told for that day: mow while the grass is dry, or the day before.", depth(rain));
            out.push_str(&wrapped("  ! ", &text));
        }
    }
    let too_high: Vec<String> = plan.too_high().map(|date| date.to_string()).collect();
    if !too_high.is_empty() {
        let text = format!("It stands too high for one mowing in the evening of {}.", too_high.join(", "));
        out.push_str(&wrapped("! ", &text));
    }
    table(&mut out, plan, units);
    for (index, other) in request.no_mowing.iter().enumerate() {
        if index == 0 {
            out.push_str("\nNobody mows\n");
        }
        let at = |time: jiff::civil::DateTime| time.strftime("%Y-%m-%d %H:%M").to_string();
        out.push_str(&wrapped("  ", &format!("{} to {}: {}", at(other.from), at(other.until), other.why)));
    }
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}

fn table(out: &mut String, plan: &MowPlan, units: Units) {
    let (unit, decimals, symbol) = match units {
        Units::UsCustomary => (LengthUnit::Inch, 2, "in"),
        Units::Metric => (LengthUnit::Millimetre, 0, "mm"),
    };
    let number = |height: Length| format!("{:.decimals$}", height.to(unit));
    let _ = writeln!(out, "\n  day            growth  evening  ({symbol})");
    for day in &plan.days {
        let remark = match (day.mowing, day.may_mow) {
            (Some(_), _) => "  mown",
            (None, MayMow::Past) => "  so far",
            (None, MayMow::Prohibited(_)) => "  nobody mows",
            (None, MayMow::NotThisWeekday) => "  no day for mowing",
            (None, MayMow::Within(_)) => "",
        };
        let _ = writeln!(
            out,
            "  {} {} {:>6}   {:>6}{remark}",
            day.weather.date.strftime("%a"),
            day.weather.date,
            number(day.growth),
            number(day.standing)
        );
    }
}
