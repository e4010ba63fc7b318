//! What a pest is expected to do, week by week, and what that is worth.

use super::weeks::days_between;
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::Area;

/// What one unit of pressure costs in one week on an area where nothing controls it. The user's own figure: no
/// source can give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// So many minor units of money.
    pub minor_units: f64,
    /// On so much ground.
    pub per: Area,
}

impl Worth {
    /// Of one unit of pressure on so much ground, in minor units.
    pub fn on(self, ground: Area) -> f64 {
        self.minor_units * ground.ratio(self.per)
    }
}

/// One generation of a pest: its pressure from a first to a last date.
#[derive(Debug, Clone, PartialEq)]
pub struct Generation {
    first: Date,
    last: Date,
    pressure: Vec<f64>,
}

impl Generation {
    /// A generation whose figures stand evenly from the first date to the last; one figure holds throughout.
    ///
    /// # Errors
    /// All that is wrong: `season::generation-dates` for an end before the beginning, `season::pressure` for no
    /// figure, or one that is negative or no number.
    pub fn new(first: Date, last: Date, pressure: Vec<f64>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if last < first {
            problems.push(
                Problem::error("season::generation-dates", format!("from {first} to {last}"))
                    .expected("an end that is not before the beginning"),
            );
        }
        if pressure.is_empty() || pressure.iter().any(|figure| !figure.is_finite() || *figure < 0.0) {
            problems.push(
                Problem::error("season::pressure", format!("pressure {pressure:?}"))
                    .expected("one figure or several, none below nothing"),
            );
        }
        problems.unless_errors(Self { first, last, pressure }).map(|(generation, _)| generation)
    }

    /// Its first date.
    pub fn first(&self) -> Date {
        self.first
    }

    /// Its last date.
    pub fn last(&self) -> Date {
        self.last
    }

    /// Whether a date lies in it.
    pub fn holds(&self, date: Date) -> bool {
        (self.first..=self.last).contains(&date)
    }

    /// The pressure on a date, on the straight line between two figures; nothing outside of it.
    pub fn on(&self, date: Date) -> f64 {
        if !self.holds(date) {
            return 0.0;
        }
        let steps = self.pressure.len() - 1;
        let days = days_between(self.first, self.last);
        if steps == 0 || days == 0 {
            return self.pressure[0];
        }
        let at = f64::from(days_between(self.first, date)) / f64::from(days) * steps as f64;
        let before = (at.floor() as usize).min(steps - 1);
        let share = at - before as f64;
        self.pressure[before] * (1.0 - share) + self.pressure[before + 1] * share
    }
}

/// A pest as it is expected over the season.
#[derive(Debug, Clone, PartialEq)]
pub struct PestPressure {
    /// Common name, lower case.
    pub name: String,
    /// What the pressure is counted in (`nymphs/sq ft`).
    pub unit: String,
    /// What one unit of it costs.
    pub worth: Worth,
    /// The count from which treating is justified, in the same unit; `None` where none is known.
    pub threshold: Option<f64>,
    /// Its generations, one after the other.
    pub generations: Vec<Generation>,
    /// How much of the pressure each ground has: 1 for all of it.
    pub share_by_ground: Vec<f64>,
    /// Whether the next generation has to meet another mode-of-action group.
    pub rotates: bool,
}

impl PestPressure {
    /// The generation in which a date lies.
    pub fn generation_on(&self, date: Date) -> Option<usize> {
        self.generations.iter().position(|generation| generation.holds(date))
    }

    /// What is expected on a ground on a date, before any count.
    pub fn expected(&self, ground: usize, date: Date) -> f64 {
        let here = self.share_by_ground.get(ground).copied().unwrap_or(1.0);
        self.generation_on(date).map_or(0.0, |at| self.generations[at].on(date) * here)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn figures_stand_evenly_over_the_generation() {
        let generation = Generation::new(date(2026, 5, 1), date(2026, 5, 29), vec![0.0, 10.0, 4.0]).unwrap();
        assert_eq!(generation.on(date(2026, 5, 15)), 10.0);
        assert_eq!(generation.on(date(2026, 5, 8)), 5.0);
        assert_eq!(generation.on(date(2026, 5, 22)), 7.0);
        assert_eq!(generation.on(date(2026, 5, 30)), 0.0);
    }

    #[test]
    fn wrong_figures_and_dates_are_told_together() {
        let problems = Generation::new(date(2026, 5, 2), date(2026, 5, 1), vec![-1.0]).unwrap_err();
        assert_eq!(problems.len(), 2);
        assert!(Generation::new(date(2026, 5, 1), date(2026, 5, 1), vec![f64::NAN]).is_err());
    }
}
