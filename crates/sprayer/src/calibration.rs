//! How much a person with a machine puts on an area, from runs.

use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{AmountPerArea, Area, AreaUnit, Duration, Flow, Mass, Volume, VolumePerArea};

use crate::pressure::Pressure;

/// How the output was found.
#[derive(Debug, Clone, PartialEq)]
pub enum Runs {
    /// Sprayed a measured area with water, then measured what refills the tank; once a run.
    TestArea {
        /// The area sprayed in each run.
        area: Area,
        /// What refilled the tank after each run.
        refills: Vec<Volume>,
    },
    /// Timed the walk over a course, and caught the spray standing still.
    TimedCatch {
        /// The area that the walk covers.
        course: Area,
        /// Catch and walk, once a run.
        runs: Vec<TimedRun>,
    },
    /// Timed the walk over 1/128 acre and caught for as long: fluid ounces caught are gallons per
    /// acre.
    OneTwentyEighthAcre {
        /// The course; `None` for 340.3125 sq ft, 1/128 acre exactly.
        course: Option<Area>,
        /// What was caught in the time of the walk, once a run.
        caught: Vec<Volume>,
    },
    /// Spread a dry product over a measured area and weighed what fell on it; once a run.
    SpreaderCatch {
        /// The area of the catch in each run.
        area: Area,
        /// What was caught in each run.
        caught: Vec<Mass>,
    },
    /// The business states the output, found by another method.
    Stated {
        /// The output.
        output: AmountPerArea,
        /// The method, in the words of the business.
        method: Option<String>,
    },
}

/// One run of a timed catch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedRun {
    /// Spray caught standing still.
    pub caught: Volume,
    /// For how long it was caught.
    pub caught_in: Duration,
    /// How long the walk over the course took.
    pub walked_in: Duration,
}

/// A calibration as it was written down.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationRecord {
    /// What it is for, such as `lawn`; unique in its sprayer.
    pub name: String,
    /// The runs.
    pub runs: Runs,
    /// Who walked.
    pub person: Option<String>,
    /// When.
    pub date: Option<Date>,
    /// The nozzle, or the setting of a spreader.
    pub nozzle: Option<String>,
    /// Pressure at the nozzle.
    pub pressure: Option<Pressure>,
}

/// A calibration that was checked: its output is more than nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    record: CalibrationRecord,
    outputs: Vec<AmountPerArea>,
    output: AmountPerArea,
    variation: Option<f64>,
}

/// 1/128 acre.
const ONE_128TH_ACRE: f64 = 43_560.0 / 128.0;

impl Calibration {
    /// Mean output and its variation from the runs.
    ///
    /// Too few runs, too great a variation, age, another person and another nozzle are not refused
    /// here, since a record knows no job: see [`Calibration::findings`] and
    /// [`crate::Sprayer::findings`].
    ///
    /// # Errors
    /// All of these that are found:
    /// - no run, or a run with nothing in it (volume, mass or time not above zero);
    /// - a test area or course outside 50 to 2,000 sq ft;
    /// - a course of the 1/128-acre method more than 1 % off;
    /// - an empty name.
    pub fn new(record: CalibrationRecord) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if record.name.trim().is_empty() {
            problems.push(
                Problem::error("sprayer::calibration-name", "calibration without a name")
                    .expected("a word for what it is for, such as `lawn`"),
            );
        }
        let outputs = outputs_of(&record.runs, &mut problems);
        let Some(&first) = outputs.first().filter(|_| !problems.has_errors()) else {
            return Err(problems.into_iter().map(|problem| problem.at(record.name.clone())).collect());
        };
        // Every run has the dimension of the first, since one variant of `Runs` made them all.
        let shares: Vec<f64> = outputs.iter().filter_map(|run| run.ratio(first)).collect();
        let count = shares.len() as f64;
        let mean = shares.iter().sum::<f64>() / count;
        let variation = (shares.len() > 1).then(|| {
            let squares: f64 = shares.iter().map(|share| (share - mean).powi(2)).sum();
            (squares / (count - 1.0)).sqrt() / mean
        });
        Ok(Self { record, outputs, output: first.scaled(mean), variation })
    }

    /// What it is for.
    pub fn name(&self) -> &str {
        &self.record.name
    }

    /// The record it was made from.
    pub fn record(&self) -> &CalibrationRecord {
        &self.record
    }

    /// Mean output per area: spray of a sprayer, product of a spreader.
    pub fn output(&self) -> AmountPerArea {
        self.output
    }

    /// Mean spray per area; `None` for a spreader.
    pub fn spray_output(&self) -> Option<VolumePerArea> {
        self.output.volume()
    }

    /// The output of each run; one for a stated output.
    pub fn outputs(&self) -> &[AmountPerArea] {
        &self.outputs
    }

    /// Mean flow of all nozzles together; `None` where the runs do not tell it.
    pub fn flow(&self) -> Option<Flow> {
        let Runs::TimedCatch { runs, .. } = &self.record.runs else { return None };
        let flows = runs.iter().map(|run| run.caught / run.caught_in);
        Some(flows.sum::<Flow>() / runs.len() as f64)
    }

    /// Number of runs; none for a stated output.
    pub fn runs(&self) -> usize {
        if self.is_stated() { 0 } else { self.outputs.len() }
    }

    /// Coefficient of variation: sample standard deviation over mean. `None` with fewer than two
    /// runs.
    pub fn variation(&self) -> Option<f64> {
        self.variation
    }

    /// Whether the output is stated and not calculated from runs.
    pub fn is_stated(&self) -> bool {
        matches!(self.record.runs, Runs::Stated { .. })
    }

    /// The area that a hopper's load of a dry product covers; `None` for a sprayer.
    pub fn covered_by_load(&self, load: Mass) -> Option<Area> {
        let each = self.output.mass()? * Area::new(1.0, AreaUnit::SquareMetre);
        each.is_positive().then(|| Area::new(load.ratio(each), AreaUnit::SquareMetre))
    }

    /// The area that a volume of spray covers; `None` for a spreader.
    pub fn covered_by(&self, spray: Volume) -> Option<Area> {
        self.spray_output().map(|output| spray / output)
    }
}

fn outputs_of(runs: &Runs, problems: &mut Problems) -> Vec<AmountPerArea> {
    let spray = |outputs: Vec<VolumePerArea>| outputs.into_iter().map(AmountPerArea::Volume).collect();
    match runs {
        Runs::TestArea { area, refills } => {
            check_area("test area", *area, problems);
            check_each("refill", refills.iter().map(|volume| volume.is_positive()), problems);
            spray(refills.iter().map(|&refill| refill / *area).collect())
        }
        Runs::TimedCatch { course, runs } => {
            check_area("course", *course, problems);
            let sound =
                |run: &TimedRun| run.caught.is_positive() && run.caught_in.is_positive() && run.walked_in.is_positive();
            check_each("timed catch", runs.iter().map(sound), problems);
            spray(runs.iter().map(|run| run.caught * run.walked_in.ratio(run.caught_in) / *course).collect())
        }
        Runs::OneTwentyEighthAcre { course, caught } => {
            let exact = Area::new(ONE_128TH_ACRE, AreaUnit::SquareFoot);
            let course = course.unwrap_or(exact);
            let off = course.ratio(exact) - 1.0;
            if off.abs() > 0.01 {
                problems.push(
                    Problem::error(
                        "sprayer::course-128th",
                        format!("course of `{:.1} sq ft` is not 1/128 acre", course.to(AreaUnit::SquareFoot)),
                    )
                    .expected("340.3 sq ft within 1 %, such as 18.5 x 18.5 ft or 10 x 34 ft")
                    .mend("use the timed catch for a course of another size"),
                );
            }
            check_each("catch", caught.iter().map(|volume| volume.is_positive()), problems);
            spray(caught.iter().map(|&volume| volume / course).collect())
        }
        Runs::SpreaderCatch { area, caught } => {
            check_area("catch area", *area, problems);
            check_each("catch", caught.iter().map(|mass| mass.is_positive()), problems);
            caught.iter().map(|&mass| AmountPerArea::Mass(mass / *area)).collect()
        }
        Runs::Stated { output, .. } => {
            let positive = match output {
                AmountPerArea::Volume(output) => output.is_positive(),
                AmountPerArea::Mass(output) => output.is_positive(),
            };
            check_each("stated output", std::iter::once(positive), problems);
            vec![*output]
        }
    }
}

fn check_area(what: &str, area: Area, problems: &mut Problems) {
    let feet = area.to(AreaUnit::SquareFoot);
    if !(50.0..=2_000.0).contains(&feet) {
        problems.push(
            Problem::error("sprayer::test-area", format!("{what} of `{feet:.1} sq ft`"))
                .expected("50 to 2,000 sq ft")
                .mend("mark out 250 or 1,000 sq ft and run again"),
        );
    }
}

fn check_each(what: &str, positive: impl Iterator<Item = bool>, problems: &mut Problems) {
    let mut count = 0;
    for (index, positive) in positive.enumerate() {
        count += 1;
        if !positive {
            problems.push(
                Problem::error("sprayer::empty-run", format!("{what} `{}` is not above nothing", index + 1))
                    .expected("amounts and times above zero")
                    .mend("leave a failed run out"),
            );
        }
    }
    if count == 0 {
        problems.push(Problem::error("sprayer::no-runs", format!("no {what}")).expected("three runs or more"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{AmountUnit, VolumePerAreaUnit, VolumeUnit};

    fn record(runs: Runs) -> CalibrationRecord {
        CalibrationRecord { name: "lawn".into(), runs, person: None, date: None, nozzle: None, pressure: None }
    }

    fn square_feet(value: f64) -> Area {
        Area::new(value, AreaUnit::SquareFoot)
    }

    fn ounces(values: &[f64]) -> Vec<Volume> {
        values.iter().map(|&value| Volume::new(value, VolumeUnit::UsFluidOunce)).collect()
    }

    #[test]
    fn three_refills_give_mean_and_variation() {
        let runs = Runs::TestArea { area: square_feet(250.0), refills: ounces(&[53.0, 55.0, 54.0]) };
        let calibration = Calibration::new(record(runs)).unwrap();
        let output = calibration.spray_output().unwrap().to(VolumePerAreaUnit::UsGallonPer1000SquareFeet);
        // 54 fl oz on 250 sq ft is 216 fl oz, 1.6875 gal, on 1,000; the runs' deviation is 1 fl oz.
        assert!((output - 1.6875).abs() < 1e-12);
        assert!((calibration.variation().unwrap() - 1.0 / 54.0).abs() < 1e-12);
        assert_eq!(calibration.runs(), 3);
    }

    #[test]
    fn every_fault_is_reported() {
        let runs = Runs::TestArea { area: square_feet(40.0), refills: ounces(&[53.0, 0.0, -1.0]) };
        let mut bad = record(runs);
        bad.name = String::new();
        let codes: Vec<_> = Calibration::new(bad).unwrap_err().iter().map(|problem| problem.code).collect();
        assert_eq!(
            codes,
            ["sprayer::calibration-name", "sprayer::test-area", "sprayer::empty-run", "sprayer::empty-run"]
        );
        let none = Calibration::new(record(Runs::TestArea { area: square_feet(250.0), refills: vec![] }));
        assert_eq!(none.unwrap_err().iter().next().unwrap().code, "sprayer::no-runs");
    }

    #[test]
    fn one_run_has_no_variation() {
        let runs = Runs::TestArea { area: square_feet(250.0), refills: ounces(&[53.0]) };
        assert_eq!(Calibration::new(record(runs)).unwrap().variation(), None);
    }

    #[test]
    fn a_stated_output_counts_no_runs() {
        let output = quantity::Amount::new(2.0, AmountUnit::Volume(VolumeUnit::UsGallon)).per_area(square_feet(1000.0));
        let calibration = Calibration::new(record(Runs::Stated { output, method: None })).unwrap();
        assert_eq!((calibration.runs(), calibration.variation()), (0, None));
        assert!(calibration.is_stated());
    }
}
