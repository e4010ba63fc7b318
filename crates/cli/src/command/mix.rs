//! `tussock mix`: how much product goes into each tank or load.

use super::plan::wrapped;
use crate::argument;
use crate::care::{REMINDER, examples_and_care};
use crate::console::say;
use crate::outcome::{CommandResult, Failure, Outcome};
use clap::Args;
use exchange::mix_json::write_mix;
use problem::{Problem, Problems};
use quantity::{
    Amount, AmountPerArea, AmountUnit, Area, Graduation, Mass, MassUnit, Rate, Substance, Volume, VolumePerArea,
    VolumeUnit,
};
use sprayer::{Batch, BatchPlan, Concentration, Dose, DryDose, LoadOrder, MixOrder, plan_batches, plan_loads};
use std::fmt::Write;

/// How much product to measure into each tank or load
///
/// Rounds to the marks of the measure in hand and never above the most: without --at-most the rate
/// itself is the most.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock mix --rate \"0.4 fl oz/1,000 sq ft\" --area \"7,988 sq ft\" --output \"1.6875 gal/1,000 sq ft\" --tank \"2 gal\" --graduation \"0.2 mL\"",
    "tussock mix --rate \"0.05 fl oz/gal\" --spray \"1.2 gal\" --tank \"2 gal\" --graduation \"0.1 mL\"",
    "tussock mix --rate \"1.5 lb/acre\" --area \"6,320 sq ft\" --hopper \"10 lb\" --graduation \"0.1 oz (weight)\"",
))]
pub(crate) struct MixArgs {
    /// The rate with its basis, as the label writes it
    #[arg(long, value_parser = argument::rate)]
    rate: Rate,
    /// The area to be treated
    #[arg(long, value_parser = argument::area)]
    area: Option<Area>,
    /// Spray per area, from a calibration
    #[arg(long, value_parser = argument::output, conflicts_with_all = ["spray", "hopper"])]
    output: Option<VolumePerArea>,
    /// All the spray, instead of area times output
    #[arg(long, value_parser = argument::volume, conflicts_with = "hopper")]
    spray: Option<Volume>,
    /// The tank
    #[arg(long, value_parser = argument::volume, conflicts_with = "hopper", required_unless_present = "hopper")]
    tank: Option<Volume>,
    /// The hopper, for a dry product
    #[arg(long, value_parser = argument::mass)]
    hopper: Option<Mass>,
    /// The smallest mark of the measure in hand
    #[arg(long, value_parser = argument::graduation)]
    graduation: Graduation,
    /// The label's highest rate, on the same basis as the rate
    #[arg(long, value_parser = argument::rate)]
    at_most: Option<Rate>,
    /// The label's lowest rate where less is prohibited, on the same basis as the rate
    #[arg(long, value_parser = argument::rate)]
    at_least: Option<Rate>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

impl MixArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &MixArgs) -> CommandResult {
    if args.rate.substance() == Substance::ActiveIngredient {
        return Err(Problem::error("mix::active-ingredient", format!("`{}` doses the active ingredient", args.rate))
            .expected("a rate of the product, which is what is measured")
            .mend("divide by the content of active ingredient that the label states")
            .into());
    }
    let planned = if args.hopper.is_some() { loads(args) } else { tanks(args) };
    let plan = match planned {
        Ok(plan) => plan,
        Err(problems) if problems.iter().all(sprayer::is_refusal) => {
            let most = args.at_most.unwrap_or(args.rate);
            let asked = format!("--rate \"{}\" with --at-most \"{most}\"", args.rate);
            let problems = problems.into_iter().map(|problem| problem.at(asked.clone())).collect();
            return Ok(refused(&problems, args.json));
        }
        Err(problems) => return Err(Failure(problems)),
    };
    if args.json {
        say(&write_mix(&args.rate, &plan));
    } else {
        say(&words(args, &plan));
    }
    Ok(Outcome::Done)
}

fn refused(problems: &Problems, json: bool) -> Outcome {
    crate::console::complain(problems);
    if json {
        say(&exchange::problems_json::write_problems(problems));
    } else {
        say("verdict  REFUSED\n");
    }
    Outcome::Refused
}

fn tanks(args: &MixArgs) -> Result<BatchPlan, Problems> {
    let missing = |found: &str| {
        Problem::error("mix::no-spray", found.to_owned())
            .expected("--spray, or --area together with --output")
            .mend("calibrate first: `tussock calibrate --help`")
    };
    let spray = match (args.spray, args.area, args.output) {
        (Some(spray), _, _) => spray,
        (None, Some(area), Some(output)) => output * area,
        (None, _, _) => return Err(missing("how much spray there will be is not said").into()),
    };
    // With area and spray given, the output that they mean is theirs.
    let output = args.output.or_else(|| args.area.filter(|area| area.is_positive()).map(|area| spray / area));
    let concentration = |rate: &Rate| {
        if let Some(dilution) = Concentration::of_dilution(rate) {
            return Ok(dilution);
        }
        let Some(per_area) = rate.per_area() else {
            return Err(Problem::error("mix::basis", format!("`{rate}` is neither per area nor per volume of spray"))
                .expected("a rate such as `0.4 fl oz/1,000 sq ft` or `0.05 fl oz/gal`"));
        };
        let Some(output) = output else {
            return Err(missing("a rate per area needs the spray per area")
                .expected("--output, from a calibration of this sprayer and this person"));
        };
        Concentration::of_rate(per_area, output).ok_or_else(|| {
            Problem::error("mix::no-output", "the spray per area is nothing").expected("more than nothing")
        })
    };
    let mut problems = Problems::new();
    let mut of = |rate: &Rate| concentration(rate).map_err(|problem| problems.push(problem)).ok();
    let wanted = of(&args.rate);
    let at_most = args.at_most.as_ref().map_or(wanted, &mut of);
    let at_least = args.at_least.as_ref().and_then(&mut of);
    let (Some(wanted), Some(tank), false) = (wanted, args.tank, problems.has_errors()) else {
        return Err(problems);
    };
    plan_batches(&MixOrder { spray, tank, dose: Dose { wanted, at_most, at_least }, graduation: args.graduation })
}

fn loads(args: &MixArgs) -> Result<BatchPlan, Problems> {
    let mut problems = Problems::new();
    let mut per_area = |rate: &Rate| {
        if let Some(AmountPerArea::Mass(mass)) = rate.per_area() {
            Some(mass)
        } else {
            problems.push(
                Problem::error("mix::basis", format!("`{rate}` is not a mass per area"))
                    .expected("a rate such as `2.3 lb/1,000 sq ft` for a hopper")
                    .mend("weigh dry products; for a sprayer give --tank"),
            );
            None
        }
    };
    let wanted = per_area(&args.rate);
    let at_most = args.at_most.as_ref().map_or(wanted, &mut per_area);
    let at_least = args.at_least.as_ref().and_then(&mut per_area);
    if args.area.is_none() {
        problems.push(Problem::error("mix::no-area", "the area is not said").expected("--area, with --hopper"));
    }
    let (Some(wanted), Some(area), Some(hopper), false) = (wanted, args.area, args.hopper, problems.has_errors())
    else {
        return Err(problems);
    };
    plan_loads(&LoadOrder { area, hopper, dose: DryDose { wanted, at_most, at_least }, graduation: args.graduation })
}

fn words(args: &MixArgs, plan: &BatchPlan) -> String {
    let unit = args.graduation.unit();
    let mut out = String::new();
    let _ = writeln!(out, "rate      {}", args.rate);
    if let Some(spray) = plan.spray() {
        let _ = writeln!(
            out,
            "spray     {} ({})",
            spray.show_digits(VolumeUnit::UsGallon, 4),
            spray.show_digits(VolumeUnit::Litre, 4)
        );
    }
    let _ = writeln!(out, "product   {}", with_trade_unit(plan.product(), unit));
    let (vessel, full_vessel) = if plan.spray().is_some() { ("tank", "full tanks") } else { ("load", "full loads") };
    if plan.full_tanks > 0
        && let Some(full) = plan.full
    {
        let _ = writeln!(out, "\n{} {full_vessel}, each", plan.full_tanks);
        batch_words(&mut out, &full, unit);
    }
    if let Some(last) = plan.last() {
        let _ = match plan.part_filled.len() {
            1 => writeln!(out, "\nlast {vessel}"),
            // So little would be left for the last one alone that the measure could not tell it.
            share => writeln!(out, "\nlast {share} {vessel}s, sharing evenly, each"),
        };
        batch_words(&mut out, &last, unit);
    }
    let _ = writeln!(out, "\nmeasured in all  {}", with_trade_unit(plan.measured(), unit));
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}

fn batch_words(out: &mut String, batch: &Batch, unit: AmountUnit) {
    if let Some(spray) = batch.spray {
        let _ = writeln!(
            out,
            "  spray    {} ({})",
            spray.show_digits(VolumeUnit::UsGallon, 4),
            spray.show_digits(VolumeUnit::Litre, 4)
        );
    }
    let exact = batch.product.show_digits(unit, 4).unwrap_or_default();
    let _ = writeln!(out, "  measure  {}   (unrounded {exact})", with_trade_unit(batch.measured, unit));
}

/// In the unit of the measure, and in the unit of the trade where that is another one.
fn with_trade_unit(amount: Amount, unit: AmountUnit) -> String {
    let shown = amount.show_digits(unit, 4).unwrap_or_default();
    let other = match unit {
        AmountUnit::Volume(VolumeUnit::UsFluidOunce) => AmountUnit::Volume(VolumeUnit::Millilitre),
        AmountUnit::Volume(_) => AmountUnit::Volume(VolumeUnit::UsFluidOunce),
        AmountUnit::Mass(MassUnit::Ounce) => AmountUnit::Mass(MassUnit::Gram),
        AmountUnit::Mass(_) => AmountUnit::Mass(MassUnit::Ounce),
    };
    match amount.show(other) {
        Some(other) => format!("{shown} ({other})"),
        None => shown,
    }
}
