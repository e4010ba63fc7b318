//! The line of the survival over treatments: what it is taken for, and how often its intervals hold.

use crate::control::Grounds;
use crate::{by_two, heading, percent};
use jiff::ToSpan as _;
use jiff::civil::date;
use scouting::{Dispersion, Draws, EXPECTED_CONTROL, Resistance, ResistanceSign, TreatmentResult, resistance};

/// Survival at the first treatment.
const FIRST: f64 = 0.1;
/// k of the counts.
const K: f64 = 1.5;

/// Treatments a month apart, whose survival grows from one to the next and scatters about that.
struct Series {
    treatments: i32,
    between: f64,
    growth: f64,
    /// Pests a station before each.
    before: f64,
    stations: usize,
}

impl Series {
    fn told(&self, draws: &mut Draws) -> Option<Resistance> {
        let results = (0..self.treatments).filter_map(|number| {
            let survival = FIRST * self.growth.powi(number) * (self.between * draws.normal()).exp();
            let grounds = Grounds {
                before: self.before,
                survival: survival.min(1.0),
                growth: 1.0,
                dispersion: Dispersion::clumped(K)?,
                stations: self.stations,
            };
            Some(TreatmentResult {
                day: date(2025, 5, 1) + (number * 30).days(),
                property: "invented".into(),
                group: "3A".into(),
                estimate: grounds.by_living(true, draws).control().ok()?,
            })
        });
        resistance(&results.collect::<Vec<_>>(), EXPECTED_CONTROL).into_iter().next()
    }
}

/// How often a sign of resistance is told.
pub(crate) fn signs() {
    let series = 400;
    println!(
        "\nWhat {series} series of treatments are taken for: in the last two lines half as many again survive from one to the next, in the others as many.\n"
    );
    heading(
        "treatments | scatter between visits | growth of the survival a use",
        ["falls", "a sign of resistance"].iter().map(|name| (*name).to_owned()),
    );
    let mut draws = Draws::of_seed(14);
    for (treatments, between, growth) in
        [(6, 0.0, 1.0), (6, 0.5, 1.0), (12, 0.0, 1.0), (12, 0.5, 1.0), (6, 0.3, 1.5), (12, 0.3, 1.5)]
    {
        let one = Series { treatments, between, growth, before: 8.0, stations: 12 };
        let signs: Vec<ResistanceSign> =
            (0..series).filter_map(|_| one.told(&mut draws)).map(|found| found.sign).collect();
        let count = |of: &[ResistanceSign]| signs.iter().filter(|sign| of.contains(sign)).count() as u32;
        println!(
            "| {treatments} | {between} | {growth} | {} | {} |",
            percent(count(&[ResistanceSign::Falling, ResistanceSign::Signal]), series),
            percent(count(&[ResistanceSign::Signal]), series),
        );
    }
}

/// Series for each figure.
const SERIES: u32 = 1_000;

/// How often the intervals of the growth and of the latest control hold.
pub(crate) fn trends() {
    println!(
        "\nHow often the interval of the growth of the survival, and that of the latest control, hold the true one, of {SERIES} series.\n"
    );
    heading(
        "pests a station before | stations | treatments | scatter between visits | growth a use",
        ["growth", "latest control"].iter().map(|name| (*name).to_owned()),
    );
    let rows: Vec<Series> = [(8.0, 12), (3.0, 8)]
        .into_iter()
        .flat_map(|ground| [4, 6, 12].map(|treatments| (ground, treatments)))
        .flat_map(|(ground, treatments)| [0.0, 0.3, 0.6].map(|between| (ground, treatments, between)))
        .flat_map(|((before, stations), treatments, between)| {
            [1.0, 1.15].map(|growth| Series { treatments, between, growth, before, stations })
        })
        .collect();
    let found = by_two(&rows, |number, row| {
        let mut draws = Draws::of_seed(1_500 + number as u64);
        let last = 1.0 - FIRST * row.growth.powi(row.treatments - 1);
        let (mut told, mut growth, mut latest) = (0, 0, 0);
        for _ in 0..SERIES {
            let Some(trend) = row.told(&mut draws).and_then(|found| found.trend) else { continue };
            told += 1;
            let (low, high) = trend.growth_interval;
            growth += u32::from((low..=high).contains(&row.growth));
            let (low, high) = trend.last_interval;
            latest += u32::from((low.share()..=high.share()).contains(&last));
        }
        (growth, latest, told)
    });
    for (Series { treatments, between, growth, before, stations }, (grows, latest, told)) in rows.iter().zip(found) {
        println!(
            "| {before} | {stations} | {treatments} | {between} | {growth} | {} | {} |",
            percent(grows, told),
            percent(latest, told),
        );
    }
}
