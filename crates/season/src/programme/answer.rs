//! A programme with what it protects, costs, leaves and proves.

use super::check;
use super::model::Model;
use super::money::MinorUnits;
use super::product_use::{LimitKind, same_name};
use super::request::{Planned, SeasonRequest};
use super::rule::{Rule, RuleKind, Said};
use super::selection::{Index, Selection};
use super::weeks::Week;
use jiff::civil::Date;
use quantity::{AmountPerArea, MassPerArea};
use std::collections::BTreeMap;

/// How well the programme is proven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// What it gains over doing nothing more, in minor units.
    pub gain: f64,
    /// No lawful programme gains more than this.
    pub bound: f64,
}

impl Proof {
    pub(crate) fn new(gain: f64, bound: f64) -> Self {
        Self { gain, bound: bound.max(gain) }
    }

    /// Whether nothing better exists: what is left open is less than a hundredth of a minor unit.
    pub fn is_optimal(self) -> bool {
        self.bound - self.gain <= 0.01 + 1e-9 * self.gain.abs()
    }

    /// What a better programme could gain at the most, as a share of the gain; `None` where nothing is gained and
    /// something might be.
    pub fn gap(self) -> Option<f64> {
        if self.is_optimal() { Some(0.0) } else { (self.gain > 0.0).then(|| (self.bound - self.gain) / self.gain) }
    }
}

/// What one pest would cost on one ground from now on, and how much of it is prevented.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Protection {
    /// Where.
    pub ground: usize,
    /// Which pest.
    pub pest: usize,
    /// What it would cost if nothing controlled it, minor units.
    pub damage: f64,
    /// How much of that is prevented, by the programme and by what lay there before.
    pub prevented: f64,
}

/// How much of a limit is used.
#[derive(Debug, Clone, PartialEq)]
pub enum UsedOf {
    /// Applications.
    Number {
        /// Made and planned.
        used: u32,
        /// Allowed.
        most: u32,
    },
    /// Product.
    Product {
        /// Put down and planned.
        used: AmountPerArea,
        /// Allowed.
        most: AmountPerArea,
    },
    /// An active ingredient.
    Ingredient {
        /// Its name.
        name: String,
        /// Put down and planned.
        used: MassPerArea,
        /// Allowed.
        most: MassPerArea,
    },
}

/// What a limit leaves on a ground after the programme.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomLeft {
    /// Where.
    pub ground: usize,
    /// The product of the label that says so.
    pub product: String,
    /// The window, first and last date.
    pub window: (Date, Date),
    /// How much of it is used.
    pub used: UsedOf,
    /// The sentence.
    pub said: Said,
}

/// A rule that stands in the way of something that would gain.
#[derive(Debug, Clone, PartialEq)]
pub struct Binding {
    /// The rule.
    pub rule: Rule,
    /// What the best application that it forbids would gain by itself, minor units.
    pub gain: f64,
    /// Where, when and with what.
    pub example: Planned,
}

/// The programme.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// What is planned, in the order of weeks.
    pub planned: Vec<Planned>,
    /// How well that is proven.
    pub proof: Proof,
    /// What applications cost.
    pub applications_cost: MinorUnits,
    /// What the way costs.
    pub travel_cost: MinorUnits,
    /// What is protected, by ground and pest.
    pub protection: Vec<Protection>,
    /// Active ingredients put down by the programme, by ground and name.
    pub ingredients: Vec<(usize, String, MassPerArea)>,
    /// What is left of each limit, by ground.
    pub room: Vec<RoomLeft>,
    /// What binds, the dearest first.
    pub bindings: Vec<Binding>,
    /// What the labels say and a programme cannot hold, and what is not known.
    pub cautions: Vec<String>,
}

impl Programme {
    pub(crate) fn new(
        request: &SeasonRequest,
        model: &Model,
        selection: &Selection<'_>,
        planned: Vec<Planned>,
        proof: Proof,
    ) -> Self {
        let mut visits: Vec<Week> = planned.iter().map(|one| one.week).collect();
        visits.dedup();
        let travel_cost = visits.iter().map(|_| request.travel).sum();
        let all = check::spent(request, &planned);
        Self {
            proof,
            applications_cost: all - travel_cost,
            travel_cost,
            protection: protection(request, &planned),
            ingredients: ingredients(request, &planned),
            room: room(request, &planned),
            bindings: bindings(request, model, selection),
            cautions: cautions(request, &planned),
            planned,
        }
    }

    /// All that it costs.
    pub fn cost(&self) -> MinorUnits {
        self.applications_cost + self.travel_cost
    }

    /// The weeks with a visit.
    pub fn visits(&self) -> Vec<Week> {
        let mut weeks: Vec<Week> = self.planned.iter().map(|one| one.week).collect();
        weeks.dedup();
        weeks
    }

    /// The share of what pests would cost that is prevented.
    pub fn share_prevented(&self) -> Option<f64> {
        let damage: f64 = self.protection.iter().map(|part| part.damage).sum();
        let prevented: f64 = self.protection.iter().map(|part| part.prevented).sum();
        (damage > 0.0).then_some(prevented / damage)
    }
}

/// Weeks that can still be planned.
fn weeks_ahead(request: &SeasonRequest) -> impl Iterator<Item = Week> + '_ {
    request.weeks.iter().filter(|week| request.weeks.date(*week) >= request.from)
}

/// What a programme protects, by ground and pest, over the weeks to come.
pub fn protection(request: &SeasonRequest, planned: &[Planned]) -> Vec<Protection> {
    let mut all = Vec::new();
    for ground in 0..request.grounds.len() {
        for pest in 0..request.pests.len() {
            let (mut damage, mut prevented) = (0.0, 0.0);
            for week in weeks_ahead(request) {
                let here = request.damage(ground, pest, week);
                damage += here;
                prevented += here * check::control(request, planned, ground, pest, week);
            }
            if damage > 0.0 {
                all.push(Protection { ground, pest, damage, prevented });
            }
        }
    }
    all
}

/// Active ingredients that a programme puts down, by ground and name.
pub fn ingredients(request: &SeasonRequest, planned: &[Planned]) -> Vec<(usize, String, MassPerArea)> {
    let mut sums: BTreeMap<(usize, String), MassPerArea> = BTreeMap::new();
    for one in planned {
        for (name, mass) in &request.uses[one.product_use].ingredients {
            let sum = sums.entry((one.ground, name.to_lowercase())).or_insert(MassPerArea::ZERO);
            *sum += *mass;
        }
    }
    sums.into_iter().map(|((ground, name), mass)| (ground, name, mass)).collect()
}

/// What the limits of the uses offered on each ground leave, in the windows that end with the season.
fn room(request: &SeasonRequest, planned: &[Planned]) -> Vec<RoomLeft> {
    let Some(last_week) = request.weeks.iter().next_back() else { return Vec::new() };
    let end = request.weeks.date(last_week);
    let mut all = Vec::new();
    for ground in 0..request.grounds.len() {
        for (index, holder) in request.uses.iter().enumerate() {
            if !request.is_offered(index, ground) {
                continue;
            }
            for limit in &holder.limits {
                let is_told = request.uses[..index].iter().enumerate().any(|(at, other)| {
                    other.label == holder.label && other.limits.contains(limit) && request.is_offered(at, ground)
                });
                if is_told {
                    continue;
                }
                let around = treatment::window_around(limit.window, end);
                let is_year = limit.window == label::Window::CalendarYear;
                let window = (around.0, if is_year { around.1 } else { end });
                let is_inside = |date: Date| (window.0..=end).contains(&date);
                let lays = request
                    .past
                    .iter()
                    .filter(|past| past.ground == ground && is_inside(past.date))
                    .map(|past| (past.label.as_str(), past.per_area, past.ingredients.as_slice()))
                    .chain(
                        planned
                            .iter()
                            .filter(|one| one.ground == ground && is_inside(request.weeks.date(one.week)))
                            .map(|one| &request.uses[one.product_use])
                            .map(|one| (one.label.as_str(), one.per_area, one.ingredients.as_slice())),
                    );
                let is_own = |label: &str| same_name(label, &holder.label) || same_name(label, &holder.product);
                let used = match &limit.kind {
                    LimitKind::Number(most) => {
                        UsedOf::Number { used: lays.filter(|lay| is_own(lay.0)).count() as u32, most: *most }
                    }
                    LimitKind::Product(most) => {
                        let used = lays
                            .filter(|lay| is_own(lay.0))
                            .try_fold(most.scaled(0.0), |sum, lay| sum.checked_add(lay.1));
                        UsedOf::Product { used: used.unwrap_or(*most), most: *most }
                    }
                    LimitKind::Ingredient { name, most, counts_other_products } => {
                        let counted = lays.filter(|lay| *counts_other_products || is_own(lay.0));
                        let used = counted
                            .flat_map(|lay| lay.2)
                            .filter(|(known, _)| same_name(known, name))
                            .map(|(_, mass)| *mass)
                            .sum();
                        UsedOf::Ingredient { name: name.clone(), used, most: *most }
                    }
                };
                all.push(RoomLeft { ground, product: holder.product.clone(), window, used, said: limit.said.clone() });
            }
        }
    }
    all
}

/// Rules that forbid something that would gain if they alone did not.
fn bindings(request: &SeasonRequest, model: &Model, selection: &Selection<'_>) -> Vec<Binding> {
    let planned = selection.planned();
    let mut all: Vec<Binding> = Vec::new();
    for (number, rule) in model.rules.iter().enumerate() {
        if matches!(rule.kind, RuleKind::Pinned | RuleKind::Required) {
            continue;
        }
        let freed = Model::build(request, &|at| at != number);
        let index = Index::of(&freed);
        let chosen = freed.candidates.iter().enumerate().filter(|(_, one)| planned.contains(&one.planned));
        let chosen: Vec<usize> = chosen.map(|(at, _)| at).collect();
        let freed_selection = Selection::of(&freed, &index, chosen);
        let best = (0..freed.candidates.len())
            .filter(|at| !freed_selection.has(*at))
            .map(|at| (at, freed_selection.worth(at).1))
            .filter(|(at, gain)| *gain > 0.5 && freed_selection.allows(&index, *at))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        if let Some((at, gain)) = best {
            all.push(Binding { rule: rule.clone(), gain, example: freed.candidates[at].planned });
        }
    }
    all.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    all
}

fn cautions(request: &SeasonRequest, planned: &[Planned]) -> Vec<String> {
    let mut all = Vec::new();
    if !request.past_is_known {
        all.push(
            "what lay on the ground before is not known: numbers, caps and intervals are not proved until it is"
                .to_owned(),
        );
    }
    let mut told: Vec<usize> = planned.iter().map(|one| one.product_use).collect();
    told.sort_unstable();
    told.dedup();
    for at in told {
        let of = &request.uses[at];
        all.extend(of.cautions.iter().map(|caution| format!("{}: {caution}", of.product)));
    }
    all.dedup();
    for past in request.past.iter().filter(|past| past.groups.is_empty()) {
        all.push(format!("the mode-of-action group of {}, applied on {}, is not known", past.label, past.date));
    }
    all
}
