//! Everything that a programme is made from.

use super::demand::{Blackout, Count, Demands};
use super::ground::{Ground, PastApplication};
use super::money::MinorUnits;
use super::pest_pressure::PestPressure;
use super::product_use::ProductUse;
use super::weeks::{Week, Weeks};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::Amount;

/// Product in hand that is all there is for the season.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// The label's id.
    pub label: String,
    /// So much.
    pub amount: Amount,
}

/// What becomes of sentences that advise.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Advisory {
    /// They are kept like any other.
    #[default]
    Kept,
    /// They give way, for this reason.
    GivesWay(String),
}

/// The question: one property's season.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRequest {
    /// What it is called.
    pub name: String,
    /// The weeks planned.
    pub weeks: Weeks,
    /// From which date on applications may still be planned; what lies before is past.
    pub from: Date,
    /// Ground that is treated alike.
    pub grounds: Vec<Ground>,
    /// The uses that may be planned.
    pub uses: Vec<ProductUse>,
    /// The pests expected.
    pub pests: Vec<PestPressure>,
    /// What the way to the property costs, once for each week with a visit.
    pub travel: MinorUnits,
    /// The most that all of it may cost from now on.
    pub budget: Option<MinorUnits>,
    /// Product in hand, where no more is bought.
    pub stock: Vec<Stock>,
    /// Weeks closed.
    pub blackouts: Vec<Blackout>,
    /// Whether what lay on the grounds before is known for all windows.
    pub past_is_known: bool,
    /// What lay on the grounds before.
    pub past: Vec<PastApplication>,
    /// What is asked beside the labels.
    pub demands: Demands,
    /// What was counted.
    pub counts: Vec<Count>,
    /// What becomes of advice.
    pub advisory: Advisory,
}

/// One application of a programme.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Planned {
    /// When.
    pub week: Week,
    /// Where: its place among the grounds.
    pub ground: usize,
    /// Which: its place among the uses.
    pub product_use: usize,
}

impl SeasonRequest {
    /// What is expected of a pest on a ground in a week, by the stages expected and the counts made: the last count
    /// scales the rest of its generation.
    pub fn pressure(&self, ground: usize, pest: usize, week: Week) -> f64 {
        let date = self.weeks.date(week);
        let profile = &self.pests[pest];
        let expected = profile.expected(ground, date);
        let generation = profile.generation_on(date);
        let of_generation = self.counts.iter().filter(|count| {
            let from = self.weeks.holding(count.date).map_or(count.date, |week| self.weeks.date(week));
            count.ground == ground
                && count.pest == pest
                && from <= date
                && generation.is_some()
                && profile.generation_on(count.date) == generation
        });
        let Some(last) = of_generation.max_by_key(|count| count.date) else { return expected };
        let then = profile.expected(ground, last.date);
        if then > 0.0 { expected * last.found / then } else { expected }
    }

    /// What a pest would cost on a ground in a week if nothing controlled it, in minor units.
    pub fn damage(&self, ground: usize, pest: usize, week: Week) -> f64 {
        self.pressure(ground, pest, week) * self.pests[pest].worth.on(self.grounds[ground].area)
    }

    /// The share of a pest controlled by what lay on the ground before.
    pub fn control_by_past(&self, ground: usize, pest: usize, week: Week) -> f64 {
        let date = self.weeks.date(week);
        let on_ground = self.past.iter().filter(|past| past.ground == ground && past.date <= date);
        on_ground
            .filter_map(|past| {
                let age = super::weeks::days_between(past.date, date) / 7;
                Some(self.uses[past.product_use?].control(pest, usize::try_from(age).ok()?))
            })
            .fold(0.0, f64::max)
    }

    /// The share of a pest controlled on a ground in a week, by a programme and by what lay there before.
    pub fn control(&self, planned: &[Planned], ground: usize, pest: usize, week: Week) -> f64 {
        super::check::control(self, planned, ground, pest, week)
    }

    /// Whether a use may be planned on a ground at all: its row names the site.
    pub fn is_offered(&self, product_use: usize, ground: usize) -> bool {
        self.uses[product_use].sites.contains(&self.grounds[ground].site)
    }

    /// Whether a sentence of this strength is kept.
    pub fn keeps(&self, strength: label::Strength) -> bool {
        match strength {
            label::Strength::Mandatory => true,
            label::Strength::Advisory => self.advisory == Advisory::Kept,
            label::Strength::Descriptive => false,
        }
    }

    /// Whether an application in a week would meet anything expected of the pests that its use controls, while its
    /// residue lasts. Nothing is planned for nothing.
    pub fn meets_something(&self, planned: Planned) -> bool {
        self.uses[planned.product_use].controls.iter().any(|control| {
            control.by_age.iter().enumerate().any(|(age, share)| {
                let week = planned.week.index() + age;
                share.part() > 0.0
                    && week < self.weeks.count()
                    && self.damage(planned.ground, control.pest, Week(week as u16)) > 0.0
            })
        })
    }

    /// Whether counts of that week forbid a use on a ground: every pest expected there that it is meant for was counted
    /// below its threshold. A use that its label permits before the pest is there is not forbidden by counts.
    pub fn counted_below(&self, planned: Planned) -> bool {
        let mut any = false;
        for control in &self.uses[planned.product_use].controls {
            if control.preventive {
                return false;
            }
            let count = self.counts.iter().rev().find(|count| {
                count.ground == planned.ground
                    && count.pest == control.pest
                    && self.weeks.holding(count.date) == Some(planned.week)
            });
            match (count, self.pests[control.pest].threshold) {
                (Some(count), Some(threshold)) if count.found < threshold => any = true,
                _ if self.pressure(planned.ground, control.pest, planned.week) > 0.0 => return false,
                _ => {}
            }
        }
        any
    }

    /// What stands against solving it at all.
    ///
    /// # Errors
    /// All of them: `season::empty` without ground, use or pest; `season::generations` where generations of one pest
    /// overlap or are not in order; `season::amount-measure` where stock is by another measure than its label's rate.
    pub fn check(&self) -> Result<(), Problems> {
        let mut problems = Problems::new();
        if self.grounds.is_empty() || self.uses.is_empty() || self.pests.is_empty() {
            problems.push(
                Problem::error("season::empty", "there is nothing to plan")
                    .expected("at least one ground, one use and one pest"),
            );
        }
        for pest in &self.pests {
            if pest.generations.windows(2).any(|pair| pair[1].first() <= pair[0].last()) {
                problems.push(
                    Problem::error("season::generations", format!("generations of `{}` overlap", pest.name))
                        .expected("each after the one before it"),
                );
            }
        }
        for stock in &self.stock {
            let of_label = self.uses.iter().filter(|candidate| candidate.label == stock.label);
            let mut measures = of_label.map(|candidate| {
                let one = quantity::Area::new(1.0, quantity::AreaUnit::SquareMetre);
                candidate.per_area.over(one).ratio(stock.amount).is_some()
            });
            if measures.any(|fits| !fits) {
                problems.push(
                    Problem::error("season::amount-measure", format!("the stock of `{}`", stock.label))
                        .expected("an amount by the measure of the label's rate, fluid or weight"),
                );
            }
        }
        problems.unless_errors(()).map(|((), _)| ())
    }
}
