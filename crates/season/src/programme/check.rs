//! Holds a programme against every rule, straight from the request and its dates. It shares nothing with the rows of
//! the integer programme, so that each can find the other wrong: no answer leaves [`super::solve()`] unchecked.

use super::demand::WhyClosed;
use super::money::MinorUnits;
use super::product_use::{HAIR, LabelLimit, LimitKind, ProductUse, same_name};
use super::request::{Planned, SeasonRequest};
use super::rule::RuleKind;
use super::weeks::{Week, days_between};
use jiff::civil::Date;
use label::Window;
use quantity::{Amount, MassPerArea};

/// A rule that a programme breaks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// What kind of rule.
    pub kind: RuleKind,
    /// What happened.
    pub words: String,
}

/// What a programme gains over doing nothing more, in minor units: damage prevented less money spent. The damage that
/// is prevented by what was applied before counts for nothing here.
pub fn gain(request: &SeasonRequest, planned: &[Planned]) -> f64 {
    let mut total = 0.0;
    for week in request.weeks.iter() {
        for ground in 0..request.grounds.len() {
            for pest in 0..request.pests.len() {
                let before = request.control_by_past(ground, pest, week);
                let now = control(request, planned, ground, pest, week);
                total += request.damage(ground, pest, week) * (now - before).max(0.0);
            }
        }
    }
    total - spent(request, planned).figure()
}

/// The share of a pest controlled on a ground in a week, by the programme and by what lay there before.
pub(crate) fn control(request: &SeasonRequest, planned: &[Planned], ground: usize, pest: usize, week: Week) -> f64 {
    let of_planned = planned.iter().filter(|one| one.ground == ground && one.week <= week);
    of_planned
        .map(|one| request.uses[one.product_use].control(pest, week.index() - one.week.index()))
        .fold(request.control_by_past(ground, pest, week), f64::max)
}

/// What a programme costs: applications, and the way for each week with a visit.
pub fn spent(request: &SeasonRequest, planned: &[Planned]) -> MinorUnits {
    let applications: MinorUnits =
        planned.iter().map(|one| request.uses[one.product_use].cost.on(request.grounds[one.ground].area)).sum();
    let mut visits: Vec<Week> = planned.iter().map(|one| one.week).collect();
    visits.sort_unstable();
    visits.dedup();
    applications + visits.iter().map(|_| request.travel).sum()
}

/// Every rule that a programme breaks.
pub fn violations(request: &SeasonRequest, planned: &[Planned]) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut say = |kind, words: String| found.push(Violation { kind, words });
    for one in planned {
        single(request, *one, &mut say);
    }
    demands(request, planned, &mut say);
    for ground in 0..request.grounds.len() {
        let mut here: Vec<Planned> = planned.iter().filter(|one| one.ground == ground).copied().collect();
        here.sort_unstable();
        if here.windows(2).any(|pair| pair[0].week == pair[1].week) {
            say(RuleKind::OneUseAVisit, format!("two uses in one visit on `{}`", request.grounds[ground].id));
        }
        let past = Lay::past(request, ground);
        let plan: Vec<Lay<'_>> = here.iter().map(|one| Lay::planned(request, *one)).collect();
        over_windows(request, &past, &plan, &mut say);
        intervals(request, &past, &plan, &mut say);
        in_a_row(request, ground, &past, &plan, &mut say);
        rotation(request, &past, &plan, &mut say);
    }
    money_and_stock(request, planned, &mut say);
    found
}

fn single(request: &SeasonRequest, one: Planned, say: &mut impl FnMut(RuleKind, String)) {
    let (date, ground) = (request.weeks.date(one.week), &request.grounds[one.ground]);
    let offered = &request.uses[one.product_use];
    let what = format!("`{}` on `{}` on {date}", offered.id, ground.id);
    let is_pinned = request.demands.pins.iter().any(|pin| {
        pin.ground == one.ground
            && pin.week == one.week
            && pin.product_use.is_none_or(|pinned| pinned == one.product_use)
    });
    if !offered.sites.contains(&ground.site) {
        say(RuleKind::Closed, format!("{what}: not a site of the row"));
    }
    if date < request.from || one.week.index() >= request.weeks.count() {
        say(RuleKind::Closed, format!("{what}: not in the weeks that are planned"));
    }
    if !is_pinned && !request.meets_something(one) {
        say(RuleKind::Closed, format!("{what}: meets no pest expected"));
    }
    for closed in &request.blackouts {
        let concerns = closed.ground.is_none_or(|ground| ground == one.ground)
            && closed.product_use.is_none_or(|closed| closed == one.product_use);
        if concerns && closed.from <= date && date <= closed.to {
            let why = match closed.why {
                WhyClosed::Bloom => "in bloom",
                WhyClosed::Client => "closed by the client",
                WhyClosed::SeasonOfUse => "out of its season",
            };
            say(RuleKind::Closed, format!("{what}: {why}"));
        }
    }
    for forbidden in &request.demands.forbidden {
        if forbidden.ground.is_none_or(|ground| ground == one.ground)
            && forbidden.product_use.is_none_or(|forbidden| forbidden == one.product_use)
            && forbidden.weeks.is_none_or(|(from, to)| from <= one.week && one.week <= to)
        {
            say(RuleKind::Forbidden, what.clone());
        }
    }
    if request.counted_below(one) {
        say(RuleKind::Counted, format!("{what}: counted below the threshold"));
    }
}

fn demands(request: &SeasonRequest, planned: &[Planned], say: &mut impl FnMut(RuleKind, String)) {
    for pin in &request.demands.pins {
        let is_met = planned.iter().any(|one| {
            one.ground == pin.ground
                && one.week == pin.week
                && pin.product_use.is_none_or(|wanted| wanted == one.product_use)
        });
        if !is_met {
            say(RuleKind::Pinned, format!("nothing on {}", request.weeks.date(pin.week)));
        }
    }
    for required in &request.demands.required {
        for week in request.weeks.within(required.from, required.to) {
            let now = control(request, planned, required.ground, required.pest, week);
            if now < required.share - HAIR {
                say(RuleKind::Required, format!("{now} of {} on {}", required.share, request.weeks.date(week)));
            }
        }
    }
}

/// Something that lies on a ground.
struct Lay<'a> {
    date: Date,
    label: &'a str,
    groups: &'a [String],
    ingredients: &'a [(String, MassPerArea)],
    /// Of the season's uses, where it is one.
    product_use: Option<usize>,
    per_area: quantity::AmountPerArea,
}

impl<'a> Lay<'a> {
    fn past(request: &'a SeasonRequest, ground: usize) -> Vec<Self> {
        let mut all: Vec<Self> = request
            .past
            .iter()
            .filter(|past| past.ground == ground)
            .map(|past| Self {
                date: past.date,
                label: &past.label,
                groups: &past.groups,
                ingredients: &past.ingredients,
                product_use: past.product_use,
                per_area: past.per_area,
            })
            .collect();
        all.sort_by_key(|lay| lay.date);
        all
    }

    fn planned(request: &'a SeasonRequest, one: Planned) -> Self {
        let offered = &request.uses[one.product_use];
        Self {
            date: request.weeks.date(one.week),
            label: &offered.label,
            groups: &offered.groups,
            ingredients: &offered.ingredients,
            product_use: Some(one.product_use),
            per_area: offered.per_area,
        }
    }

    fn is_of(&self, offered: &ProductUse) -> bool {
        same_name(self.label, &offered.label) || same_name(self.label, &offered.product)
    }

    /// What it adds to a limit that this use states, as a share of the limit.
    fn share_of(&self, limit: &LabelLimit, holder: &ProductUse) -> f64 {
        match &limit.kind {
            LimitKind::Number(most) if self.is_of(holder) => 1.0 / f64::from(*most).max(f64::MIN_POSITIVE),
            LimitKind::Product(most) if self.is_of(holder) => self.per_area.ratio(*most).unwrap_or(f64::INFINITY),
            LimitKind::Ingredient { name, most, counts_other_products }
                if *counts_other_products || self.is_of(holder) =>
            {
                let held = self.ingredients.iter().filter(|(known, _)| same_name(known, name));
                held.map(|(_, mass)| mass.ratio(*most)).sum()
            }
            _ => 0.0,
        }
    }
}

/// Whether a limit of this label is stated for an application.
fn holds(request: &SeasonRequest, lay: &Lay<'_>, limit: &LabelLimit, label: &str) -> bool {
    same_name(lay.label, label)
        && lay.product_use.is_none_or(|at| request.uses[at].limits.iter().any(|own| own == limit))
}

fn over_windows(request: &SeasonRequest, past: &[Lay<'_>], plan: &[Lay<'_>], say: &mut impl FnMut(RuleKind, String)) {
    for (index, holder) in request.uses.iter().enumerate() {
        for limit in &holder.limits {
            let is_told =
                request.uses[..index].iter().any(|other| other.label == holder.label && other.limits.contains(limit));
            if is_told || !request.keeps(limit.said.strength) {
                continue;
            }
            for end in plan {
                let (first, last) = match limit.window {
                    Window::CalendarYear => treatment::window_around(limit.window, end.date),
                    _ => (treatment::window_around(limit.window, end.date).0, end.date),
                };
                let inside = |lay: &&Lay<'_>| (first..=last).contains(&lay.date);
                let is_held =
                    past.iter().chain(plan).filter(inside).any(|lay| holds(request, lay, limit, &holder.label));
                let before: f64 = past.iter().filter(inside).map(|lay| lay.share_of(limit, holder)).sum();
                let added: f64 = plan.iter().filter(inside).map(|lay| lay.share_of(limit, holder)).sum();
                if is_held && added > 0.0 && before + added > 1.0 + HAIR {
                    let kind = match limit.kind {
                        LimitKind::Number(_) => RuleKind::Number,
                        LimitKind::Product(_) => RuleKind::ProductCap,
                        LimitKind::Ingredient { .. } => RuleKind::IngredientCap,
                    };
                    say(
                        kind,
                        format!(
                            "{:.4} of the limit in the window that ends {last}: {}",
                            before + added,
                            limit.said.text
                        ),
                    );
                }
            }
        }
    }
}

fn intervals(request: &SeasonRequest, past: &[Lay<'_>], plan: &[Lay<'_>], say: &mut impl FnMut(RuleKind, String)) {
    for (index, later) in plan.iter().enumerate() {
        let Some(offered) = later.product_use.map(|at| &request.uses[at]) else { continue };
        for (days, said) in offered.interval_days.iter().filter(|(_, said)| request.keeps(said.strength)) {
            for earlier in past.iter().chain(&plan[..index]).filter(|lay| lay.is_of(offered)) {
                if i64::from(days_between(earlier.date, later.date)) < i64::from(*days) {
                    say(RuleKind::Interval, format!("{} after {}: {}", later.date, earlier.date, said.text));
                }
            }
        }
    }
}

/// A run of one group may be as long as the strictest sentence of a use of that group on this ground allows.
fn in_a_row(
    request: &SeasonRequest,
    ground: usize,
    past: &[Lay<'_>],
    plan: &[Lay<'_>],
    say: &mut impl FnMut(RuleKind, String),
) {
    let offered: Vec<&ProductUse> =
        (0..request.uses.len()).filter(|at| request.is_offered(*at, ground)).map(|at| &request.uses[at]).collect();
    let mut groups: Vec<&String> = offered.iter().flat_map(|offered| &offered.groups).collect();
    groups.sort();
    groups.dedup();
    for group in groups {
        let of_group = offered.iter().filter(|offered| offered.groups.contains(group));
        let kept = of_group.flat_map(|offered| &offered.in_a_row).filter(|(_, said)| request.keeps(said.strength));
        let Some(most) = kept.map(|(most, _)| *most).min() else { continue };
        let mut run = 0;
        // Of a group that nobody knows neither that it goes on nor that it ends a run can be said.
        for (lay, is_planned) in past
            .iter()
            .filter(|lay| !lay.groups.is_empty())
            .map(|lay| (lay, false))
            .chain(plan.iter().map(|lay| (lay, true)))
        {
            run = if lay.groups.contains(group) { run + 1 } else { 0 };
            if is_planned && run > most {
                say(RuleKind::InARow, format!("{run} in a row of {group} on {}", lay.date));
            }
        }
    }
}

/// No group that met one generation meets the next.
fn rotation(request: &SeasonRequest, past: &[Lay<'_>], plan: &[Lay<'_>], say: &mut impl FnMut(RuleKind, String)) {
    for (at, pest) in request.pests.iter().enumerate().filter(|(_, pest)| pest.rotates) {
        let meets = |lay: &Lay<'_>| match lay.product_use {
            Some(used) => request.uses[used].controls.iter().any(|control| control.pest == at),
            // What it was meant for is not known: it may have been this pest.
            None => true,
        };
        for generations in pest.generations.windows(2) {
            let of = |generation: &super::Generation, list: &'_ [Lay<'_>]| -> Vec<String> {
                list.iter()
                    .filter(|lay| generation.holds(lay.date) && meets(lay))
                    .flat_map(|lay| lay.groups.iter().cloned())
                    .collect()
            };
            let mut earlier = of(&generations[0], past);
            earlier.extend(of(&generations[0], plan));
            let later = of(&generations[1], plan);
            if let Some(group) = later.iter().find(|group| earlier.contains(group)) {
                say(RuleKind::Rotation, format!("{group} for two generations of {} in a row", pest.name));
            }
        }
    }
}

fn money_and_stock(request: &SeasonRequest, planned: &[Planned], say: &mut impl FnMut(RuleKind, String)) {
    let cost = spent(request, planned);
    if request.budget.is_some_and(|budget| cost > budget) {
        say(RuleKind::Budget, format!("costs {} minor units", cost.0));
    }
    for stock in &request.stock {
        let mut used: Option<Amount> = None;
        for one in planned.iter().filter(|one| request.uses[one.product_use].label == stock.label) {
            let amount = request.uses[one.product_use].per_area.over(request.grounds[one.ground].area);
            used = match used {
                None => Some(amount),
                Some(sum) => sum.checked_add(amount),
            };
        }
        if used.and_then(|used| used.ratio(stock.amount)).is_some_and(|times| times > 1.0 + HAIR) {
            say(RuleKind::Stock, format!("more than is in hand of `{}`", stock.label));
        }
    }
}
