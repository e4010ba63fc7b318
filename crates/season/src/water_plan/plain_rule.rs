//! The rule that people know, an inch a week in the morning, beside the plan.

use super::WaterRequest;
use crate::root_zone::{BalanceDay, Giving, WaterDay, follow};
use jiff::civil::Date;
use quantity::{Length, LengthUnit};

/// What the rule gives over the planned days, and what comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlainRule {
    /// Its waterings.
    pub waterings: Vec<PlainWatering>,
    /// The balance of the planned days by it.
    pub days: Vec<BalanceDay>,
}

/// One watering of the rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainWatering {
    /// The day, in the morning.
    pub date: Date,
    /// How deep.
    pub depth: Length,
    /// The prohibition that it falls into, by its place in the request.
    pub prohibited_by: Option<usize>,
}

impl PlainRule {
    /// A sum over its days.
    pub fn sum(&self, of: impl Fn(&BalanceDay) -> Length) -> Length {
        self.days.iter().map(of).sum()
    }

    /// How many days leave the grass short of water.
    pub fn short_days(&self) -> usize {
        self.days.iter().filter(|day| day.is_short).count()
    }

    /// How many of its waterings fall into prohibitions.
    pub fn prohibited(&self) -> usize {
        self.waterings.iter().filter(|watering| watering.prohibited_by.is_some()).count()
    }
}

/// An inch, less the rain of the seven days before, on the first planned day and every seventh after it, in the morning, whatever
/// was treated.
///
/// # Source
/// Common practice, no source.
pub(super) fn by_an_inch_a_week(request: &WaterRequest, days: &[WaterDay], planned: &[BalanceDay]) -> PlainRule {
    let inch = Length::new(1.0, LengthUnit::Inch);
    let first = days.iter().position(|day| day.date >= request.plan_from).unwrap_or(days.len());
    let mut waterings = Vec::new();
    let own: Vec<WaterDay> = days[first..]
        .iter()
        .enumerate()
        .map(|(since, day)| {
            let at = first + since;
            let rain: Length = days[at.saturating_sub(7)..at].iter().map(WaterDay::effective_rain).sum();
            let depth = if since.is_multiple_of(7) { (inch - rain).max(Length::ZERO) } else { Length::ZERO };
            if depth.is_positive() {
                let (from, until) = request.hours.clock();
                let (from, until) = (day.date.to_datetime(from), day.date.to_datetime(until));
                let prohibited_by = request.no_watering.iter().position(|other| other.touches(from, until));
                waterings.push(PlainWatering { date: day.date, depth, prohibited_by });
            }
            WaterDay { giving: Giving::Fixed(depth), ..*day }
        })
        .collect();
    let gone = if first == 0 { request.gone } else { planned[first - 1].gone };
    PlainRule { waterings, days: follow(request.root_zone, gone, &own, |_, wanted| wanted) }
}
