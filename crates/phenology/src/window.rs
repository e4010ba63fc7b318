//! The days in which the stages that can be reached are the most.

use crate::development::{Development, StageShares};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::DegreeDays;

/// The stages that a treatment reaches, by their places in a development.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Susceptible {
    stages: Vec<usize>,
}

impl Susceptible {
    /// Some stages of a development, the first of which has the number 0.
    ///
    /// # Errors
    /// `phenology::no-stage` without any; `phenology::stage` for each number that is no stage, or stands twice.
    pub fn new(development: &Development, stages: &[usize]) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if stages.is_empty() {
            problems.push(
                Problem::error("phenology::no-stage", "no stage is named as susceptible")
                    .expected("one stage or more that a treatment reaches"),
            );
        }
        let mut sorted = stages.to_vec();
        sorted.sort_unstable();
        let last = development.stages() - 1;
        for stage in sorted.iter().filter(|stage| **stage > last) {
            problems.push(
                Problem::error("phenology::stage", format!("there is no stage `{stage}`"))
                    .expected(format!("a number from 0 to {last}")),
            );
        }
        for pair in sorted.windows(2).filter(|pair| pair[0] == pair[1]) {
            problems.push(
                Problem::error("phenology::stage", format!("stage `{}` stands twice", pair[0]))
                    .expected("each stage once"),
            );
        }
        problems.unless_errors(Self { stages: sorted }).map(|(own, _)| own)
    }

    /// Their numbers, in order.
    pub fn stages(&self) -> &[usize] {
        &self.stages
    }

    /// Whether they are together at least as many as those not so far yet, and as those beyond or between them.
    fn are_the_most(&self, shares: &StageShares) -> bool {
        let own = shares.of(&self.stages);
        let first = self.stages.first().copied().unwrap_or(0);
        let before: f64 = shares.shares()[..first].iter().sum();
        own >= before && own >= 1.0 - own - before
    }
}

/// Days in a row, with the best of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The day on which the share of the susceptible stages is the largest.
    pub best: Date,
    /// That share, 0 to 1.
    pub best_share: f64,
    /// The first and the last day round it on which they are the most; `None` when they never are.
    pub days: Option<(Date, Date)>,
    /// Whether the days that are known end before the window does.
    pub is_open: bool,
}

/// The window in a course of days, each with its sum of heat; `None` without a day.
///
/// The susceptible stages are the most when they are together at least as many as those that are not so far yet, and as
/// the others: that is when a treatment reaches more than it misses on either side.
pub fn window(
    course: impl IntoIterator<Item = (Date, DegreeDays)>,
    shares: impl Fn(DegreeDays) -> StageShares,
    susceptible: &Susceptible,
) -> Option<Window> {
    let days: Vec<(Date, f64, bool)> = course
        .into_iter()
        .map(|(date, heat)| {
            let shares = shares(heat);
            (date, shares.of(susceptible.stages()), susceptible.are_the_most(&shares))
        })
        .collect();
    let better = |best: usize, day: usize| if days[day].1 > days[best].1 { day } else { best };
    let best = (0..days.len()).reduce(better)?;
    let (first, last) = (
        (0..=best).rev().take_while(|day| days[*day].2).last(),
        (best..days.len()).take_while(|day| days[*day].2).last(),
    );
    let bounds = first.zip(last);
    Some(Window {
        best: days[best].0,
        best_share: days[best].1,
        days: bounds.map(|(first, last)| (days[first].0, days[last].0)),
        // Where the share still grows on the last day, the best day is not known either.
        is_open: match bounds {
            Some((_, last)) => last + 1 == days.len(),
            None => days.last().is_some_and(|(_, share, _)| *share >= days[best].1),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use quantity::DegreeDayUnit;

    fn heat(value: f64) -> DegreeDays {
        DegreeDays::new(value, DegreeDayUnit::Celsius)
    }

    fn development() -> Development {
        Development::by_dennis_1986(vec![heat(95.0), heat(205.0)], heat(1.0)).unwrap()
    }

    /// Ten degree-days a day from 1 June on.
    fn june(days: usize) -> Vec<(Date, DegreeDays)> {
        let dates = date(2026, 6, 1).series(jiff::ToSpan::days(1)).take(days);
        dates.zip(1..).map(|(date, day)| (date, heat(10.0 * f64::from(day)))).collect()
    }

    fn nymphs() -> Susceptible {
        Susceptible::new(&development(), &[1]).unwrap()
    }

    #[test]
    fn the_window_goes_from_the_middle_of_one_step_to_that_of_the_next() {
        let development = development();
        let found = window(june(60), |heat| development.at(heat), &nymphs()).unwrap();
        assert_eq!(found.days, Some((date(2026, 6, 10), date(2026, 6, 20))));
        assert_eq!((found.best, found.is_open), (date(2026, 6, 15), false));
        assert!(found.best_share > 0.95);
    }

    #[test]
    fn a_window_that_is_not_over_is_open() {
        let development = development();
        let shares = |heat| development.at(heat);
        let found = window(june(15), shares, &nymphs()).unwrap();
        assert_eq!((found.days, found.is_open), (Some((date(2026, 6, 10), date(2026, 6, 15))), true));
        let early = window(june(5), shares, &nymphs()).unwrap();
        assert_eq!((early.days, early.is_open), (None, true));
        assert_eq!(window(Vec::new(), shares, &nymphs()), None);
    }

    #[test]
    fn stages_that_never_are_the_most_have_no_window() {
        let development = Development::by_dennis_1986(vec![heat(100.0), heat(101.0)], heat(20.0)).unwrap();
        let found = window(june(60), |heat| development.at(heat), &nymphs()).unwrap();
        assert_eq!((found.days, found.is_open), (None, false));
        assert!(found.best_share < 0.02);
    }

    #[test]
    fn numbers_that_are_no_stages_are_refused() {
        let codes = |stages: &[usize]| {
            Susceptible::new(&development(), stages).unwrap_err().iter().map(|problem| problem.code).collect::<Vec<_>>()
        };
        assert_eq!(codes(&[]), ["phenology::no-stage"]);
        assert_eq!(codes(&[3, 1, 1]), ["phenology::stage", "phenology::stage"]);
    }
}
