//! `tussock calibrate`: spray or product per area from runs, their spread, and the checks beside it.

use crate::argument;
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use clap::{Args, Subcommand};
use exchange::calibration_json::write_calibration;
use quantity::{
    AmountPerArea, Area, AreaUnit, Duration, Flow, Length, Mass, MassPerAreaUnit, SpeedUnit, Volume, VolumePerAreaUnit,
    significant,
};
use sprayer::{Calibration, CalibrationFinding, CalibrationRecord, NozzleWear, Runs, TimedRun};
use std::fmt::Write;

/// Output per area from runs with water, their spread, walking speed and nozzle wear
///
/// Three runs or more, by the person who will apply, with the nozzle and pressure of the job.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock calibrate test-area --area \"250 sq ft\" --refill \"53 fl oz\" --refill \"55 fl oz\" --refill \"54 fl oz\"",
    "tussock calibrate acre-128 --caught \"40 fl oz\" --caught \"41 fl oz\" --caught \"40 fl oz\" --tank \"4 gal\"",
    "tussock calibrate nozzle --found \"0.44 gal/min\" --nominal \"0.4 gal/min\"",
))]
pub(crate) struct CalibrateArgs {
    #[command(subcommand)]
    way: Way,
}

#[derive(Debug, Subcommand)]
enum Way {
    /// Sprayed a measured area with water, then measured what refills the tank
    #[command(after_long_help = examples_and_care!(
        "tussock calibrate test-area --area \"250 sq ft\" --refill \"53 fl oz\" --refill \"55 fl oz\" --refill \"54 fl oz\"",
    ))]
    TestArea {
        /// The area sprayed in each run, 50 to 2,000 sq ft
        #[arg(long, value_parser = argument::area)]
        area: Area,
        /// What refilled the tank after a run; once for each run
        #[arg(long = "refill", required = true, value_parser = argument::volume)]
        refills: Vec<Volume>,
        #[command(flatten)]
        limits: Limits,
    },
    /// Timed the walk over a course, and caught the spray standing still
    #[command(after_long_help = examples_and_care!(
        "tussock calibrate timed-catch --course \"1,000 sq ft\" --caught \"50 fl oz\" --caught-in \"30 s\" --walked-in \"65 s\"",
    ))]
    TimedCatch {
        /// The area that the walk covers, 50 to 2,000 sq ft
        #[arg(long, value_parser = argument::area)]
        course: Area,
        /// Spray caught in a run; once for each run
        #[arg(long, required = true, value_parser = argument::volume)]
        caught: Vec<Volume>,
        /// For how long it was caught; once for each run
        #[arg(long, required = true, value_parser = argument::duration)]
        caught_in: Vec<Duration>,
        /// How long the walk over the course took; once for each run
        #[arg(long, required = true, value_parser = argument::duration)]
        walked_in: Vec<Duration>,
        #[command(flatten)]
        limits: Limits,
    },
    /// Timed the walk over 1/128 acre and caught for as long: fluid ounces are gallons per acre
    #[command(name = "acre-128", after_long_help = examples_and_care!(
        "tussock calibrate acre-128 --caught \"40 fl oz\" --caught \"41 fl oz\" --caught \"40 fl oz\" --tank \"4 gal\"",
    ))]
    Acre128 {
        /// What was caught in the time of the walk; once for each run
        #[arg(long, required = true, value_parser = argument::volume)]
        caught: Vec<Volume>,
        /// The course, when it is not 340.3 sq ft exactly
        #[arg(long, value_parser = argument::area)]
        course: Option<Area>,
        #[command(flatten)]
        limits: Limits,
    },
    /// Spread a dry product over a measured area, and weighed what fell on it
    #[command(after_long_help = examples_and_care!(
        "tussock calibrate spreader --area \"100 sq ft\" --caught \"0.23 lb\" --caught \"0.24 lb\" --caught \"0.23 lb\"",
    ))]
    Spreader {
        /// The area of the catch in each run, 50 to 2,000 sq ft
        #[arg(long, value_parser = argument::area)]
        area: Area,
        /// What was caught in a run; once for each run
        #[arg(long, required = true, value_parser = argument::mass)]
        caught: Vec<Mass>,
        #[command(flatten)]
        limits: Limits,
    },
    /// Walking speed from a distance and a time
    #[command(after_long_help = examples_and_care!("tussock calibrate speed --distance \"100 ft\" --time \"23 s\"",))]
    Speed {
        /// How far
        #[arg(long, value_parser = argument::length)]
        distance: Length,
        /// In which time
        #[arg(long, value_parser = argument::duration)]
        time: Duration,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Wear of a nozzle tip against its nominal flow at the same pressure
    #[command(after_long_help = examples_and_care!(
        "tussock calibrate nozzle --found \"0.44 gal/min\" --nominal \"0.4 gal/min\"",
    ))]
    Nozzle {
        /// The flow found
        #[arg(long, value_parser = argument::flow)]
        found: Flow,
        /// The flow of a new tip at the same pressure
        #[arg(long, value_parser = argument::flow)]
        nominal: Flow,
        /// Percent off the nominal flow above which the tip is replaced
        #[arg(long, default_value = "10", value_parser = argument::percent)]
        highest: f64,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
}

#[derive(Debug, Args)]
struct Limits {
    /// A full tank, to say how much ground it covers
    #[arg(long, value_parser = argument::volume)]
    tank: Option<Volume>,
    /// Greatest spread of the runs in percent, sample standard deviation over mean
    #[arg(long, default_value = "10", value_parser = argument::percent)]
    highest_variation: f64,
    /// Fewest runs
    #[arg(long, default_value_t = 3)]
    fewest_runs: usize,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

impl CalibrateArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        match &self.way {
            Way::TestArea { limits, .. }
            | Way::TimedCatch { limits, .. }
            | Way::Acre128 { limits, .. }
            | Way::Spreader { limits, .. } => limits.json,
            Way::Speed { json, .. } | Way::Nozzle { json, .. } => *json,
        }
    }
}

/// Carries the command out.
pub(crate) fn run(args: &CalibrateArgs) -> CommandResult {
    match &args.way {
        Way::TestArea { area, refills, limits } => {
            calibration(Runs::TestArea { area: *area, refills: refills.clone() }, limits)
        }
        Way::TimedCatch { course, caught, caught_in, walked_in, limits } => {
            let counts = [caught.len(), caught_in.len(), walked_in.len()];
            if counts.iter().any(|&count| count != counts[0]) {
                return Err(problem::Problem::error(
                    "calibrate::uneven-runs",
                    format!(
                        "`{}` catches, `{}` times of catching and `{}` times of walking",
                        counts[0], counts[1], counts[2]
                    ),
                )
                .expected("--caught, --caught-in and --walked-in once for each run")
                .into());
            }
            let runs = caught
                .iter()
                .zip(caught_in)
                .zip(walked_in)
                .map(|((&caught, &caught_in), &walked_in)| TimedRun { caught, caught_in, walked_in })
                .collect();
            calibration(Runs::TimedCatch { course: *course, runs }, limits)
        }
        Way::Acre128 { caught, course, limits } => {
            calibration(Runs::OneTwentyEighthAcre { course: *course, caught: caught.clone() }, limits)
        }
        Way::Spreader { area, caught, limits } => {
            calibration(Runs::SpreaderCatch { area: *area, caught: caught.clone() }, limits)
        }
        Way::Speed { distance, time, json } => speed(*distance, *time, *json),
        Way::Nozzle { found, nominal, highest, json } => nozzle(*found, *nominal, *highest, *json),
    }
}

fn calibration(runs: Runs, limits: &Limits) -> CommandResult {
    let record = CalibrationRecord {
        name: "calibration".to_owned(),
        runs,
        person: None,
        date: None,
        nozzle: None,
        pressure: None,
    };
    let calibration = Calibration::new(record)?;
    // Day and person are asked of a calibration in a file; here only the runs are judged.
    let findings = calibration.findings_of_runs(limits.highest_variation, limits.fewest_runs);
    let covers = limits.tank.and_then(|tank| calibration.covered_by(tank));
    if limits.json {
        say(&write_calibration(&calibration, covers, &findings));
    } else {
        say(&words(&calibration, limits.tank.zip(covers), &findings));
    }
    complain(&findings.iter().map(|finding| finding.problem(calibration.name())).collect());
    Ok(if findings.iter().any(CalibrationFinding::refuses) { Outcome::Refused } else { Outcome::Done })
}

fn words(calibration: &Calibration, tank: Option<(Volume, Area)>, findings: &[CalibrationFinding]) -> String {
    let mut out = String::new();
    for (index, run) in calibration.outputs().iter().enumerate() {
        let _ = writeln!(out, "run {}      {}", index + 1, first_unit(*run));
    }
    let _ = writeln!(out, "output     {}", every_unit(calibration.output()));
    if let Some(variation) = calibration.variation() {
        let _ = writeln!(out, "spread     {} % of the mean", significant(variation * 100.0, 3));
    }
    if let Some((tank, covers)) = tank {
        let _ = writeln!(
            out,
            "full tank  {} covers {} ({})",
            tank.show(quantity::VolumeUnit::UsGallon),
            covers.show(AreaUnit::SquareFoot),
            covers.show(AreaUnit::SquareMetre)
        );
    }
    let refused = findings.iter().any(CalibrationFinding::refuses);
    out.push_str(match (refused, findings.is_empty()) {
        (true, _) => "verdict    REFUSED: not to be used for a mix\n",
        (false, false) => "verdict    within the stated limits, with cautions\n",
        (false, true) => "verdict    within the stated limits\n",
    });
    out
}

fn first_unit(output: AmountPerArea) -> String {
    match output {
        AmountPerArea::Volume(volume) => volume.show(VolumePerAreaUnit::UsGallonPer1000SquareFeet),
        AmountPerArea::Mass(mass) => mass.show(MassPerAreaUnit::PoundPer1000SquareFeet),
    }
}

fn every_unit(output: AmountPerArea) -> String {
    let (first, rest) = match output {
        AmountPerArea::Volume(volume) => (
            volume.show_digits(VolumePerAreaUnit::UsGallonPer1000SquareFeet, 5),
            [volume.show(VolumePerAreaUnit::UsGallonPerAcre), volume.show(VolumePerAreaUnit::LitrePerHectare)],
        ),
        AmountPerArea::Mass(mass) => (
            mass.show_digits(MassPerAreaUnit::PoundPer1000SquareFeet, 5),
            [mass.show(MassPerAreaUnit::PoundPerAcre), mass.show(MassPerAreaUnit::KilogramPerHectare)],
        ),
    };
    format!("{first} = {} = {}", rest[0], rest[1])
}

fn speed(distance: Length, time: Duration, json: bool) -> CommandResult {
    let Some(speed) = sprayer::speed_over(distance, time).filter(|speed| speed.is_positive()) else {
        return Err(problem::Problem::error("calibrate::no-speed", "distance or time is nothing")
            .expected("a distance and a time above nothing")
            .into());
    };
    if json {
        let document = serde_json::json!({
            "format": "tussock.walking-speed/1",
            "speed_m_per_s": speed.to(SpeedUnit::MetrePerSecond),
        });
        say(&format!("{document:#}\n"));
    } else {
        say(&format!(
            "walking speed  {} = {} = {}\n",
            speed.show(SpeedUnit::MilePerHour),
            speed.show(SpeedUnit::FootPerMinute),
            speed.show(SpeedUnit::KilometrePerHour)
        ));
    }
    Ok(Outcome::Done)
}

fn nozzle(found: Flow, nominal: Flow, highest: f64, json: bool) -> CommandResult {
    let Some(wear) = NozzleWear::new(found, nominal) else {
        return Err(problem::Problem::error("calibrate::no-flow", "one of the flows is nothing")
            .expected("the flow found and the nominal flow, both above nothing")
            .into());
    };
    let replace = wear.replace(highest);
    let off = significant((wear.fraction() * 100.0).abs(), 3);
    let side = if wear.fraction() < 0.0 { "below" } else { "above" };
    if json {
        let document = serde_json::json!({
            "format": "tussock.nozzle-wear/1",
            "off_nominal": wear.fraction(),
            "highest": highest,
            "replace": replace,
        });
        say(&format!("{document:#}\n"));
    } else {
        say(&format!("flow     {off} % {side} nominal\nverdict  "));
        say(if replace { "REFUSED: clean or replace the tip\n" } else { "within the stated limits: keep the tip\n" });
    }
    Ok(if replace { Outcome::Refused } else { Outcome::Done })
}
