//! The rows of the integer programme: candidates, what they protect, and the rules as linear rows over them.
//!
//! A model is built for a chosen set of the rules, so that the search for a conflict can leave out one after the other;
//! the rules have the same numbers in every model of one request.

mod limits;
mod orders;

use super::product_use::HAIR;
use super::request::{Planned, SeasonRequest};
use super::rule::{Rule, RuleKind, Said};
use super::weeks::Week;
use std::collections::BTreeMap;

/// An application that may be planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Candidate {
    pub(crate) planned: Planned,
    /// Minor units.
    pub(crate) cost: f64,
}

/// What one pest costs on one ground in one week, and what would prevent it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cell {
    /// Minor units where nothing is controlled.
    pub(crate) damage: f64,
    /// The share controlled by the past.
    pub(crate) base: f64,
    /// Candidates with the share that each controls, the highest first; only those above the base.
    pub(crate) covers: Vec<(usize, f64)>,
}

/// Which way a row binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bind {
    AtMost,
    AtLeast,
}

/// A linear rule over candidates.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    pub(crate) rule: usize,
    pub(crate) terms: Vec<(usize, f64)>,
    pub(crate) bind: Bind,
    pub(crate) limit: f64,
    /// Where there are such, it holds only if one of these, which are among its terms, is chosen.
    pub(crate) only_if: Option<Vec<usize>>,
}

/// Not one of these together with one of those.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Exclusion {
    pub(crate) rule: usize,
    pub(crate) one: Vec<usize>,
    pub(crate) other: Vec<usize>,
}

/// At most so many members in a row on a ground.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sequence {
    pub(crate) rule: usize,
    pub(crate) ground: usize,
    pub(crate) most: u32,
    /// So many in a row lie there already.
    pub(crate) before: u32,
    /// By use, whether it is a member.
    pub(crate) member: Vec<bool>,
}

/// The whole of it.
#[derive(Debug, Clone)]
pub(crate) struct Model {
    pub(crate) rules: Vec<Rule>,
    pub(crate) candidates: Vec<Candidate>,
    pub(crate) cells: Vec<Cell>,
    pub(crate) rows: Vec<Row>,
    pub(crate) exclusions: Vec<Exclusion>,
    pub(crate) sequences: Vec<Sequence>,
    /// The rule and the most money.
    pub(crate) budget: Option<(usize, f64)>,
    /// Minor units for each week with a visit.
    pub(crate) travel: f64,
    pub(crate) weeks: usize,
    /// By candidate: the cells that it covers, with its share.
    pub(crate) cells_of: Vec<Vec<(usize, f64)>>,
    /// By candidate: its rows and its part in each.
    pub(crate) rows_of: Vec<Vec<(usize, f64)>>,
    /// By ground, its candidates.
    pub(crate) of_ground: Vec<Vec<usize>>,
    /// By ground, whether one use in one visit is a rule here.
    pub(crate) is_single: Vec<bool>,
}

/// Builds the rules in one fixed order.
struct Builder<'a> {
    request: &'a SeasonRequest,
    is_active: &'a dyn Fn(usize) -> bool,
    rules: Vec<Rule>,
    /// Everything that may be planned at all, and whether an active rule keeps it out.
    potential: Vec<(Planned, bool)>,
    rows: Vec<Row>,
    exclusions: Vec<Exclusion>,
    sequences: Vec<Sequence>,
    is_single: Vec<bool>,
}

impl Builder<'_> {
    fn rule(&mut self, kind: RuleKind, words: String, said: Option<Said>) -> (usize, bool) {
        let number = self.rules.len();
        self.rules.push(Rule { kind, words, said });
        (number, (self.is_active)(number))
    }

    /// A rule that keeps candidates out; none where it keeps out none.
    fn close(&mut self, kind: RuleKind, words: String, said: Option<Said>, closes: impl Fn(Planned) -> bool) {
        if !self.potential.iter().any(|(planned, _)| closes(*planned)) {
            return;
        }
        let (_, is_active) = self.rule(kind, words, said);
        if is_active {
            for (planned, is_out) in &mut self.potential {
                *is_out |= closes(*planned);
            }
        }
    }

    fn row(&mut self, rule: usize, terms: Vec<(usize, f64)>, bind: Bind, limit: f64) {
        self.rows.push(Row { rule, terms, bind, limit, only_if: None });
    }

    /// What is wanted of a ground, by its number among the potential; also what is kept out, so that the rules are
    /// the same whichever of them are active.
    fn on(&self, ground: usize, wanted: impl Fn(Planned) -> bool) -> Vec<usize> {
        let all = self.potential.iter().enumerate();
        all.filter(|(_, (planned, _))| planned.ground == ground && wanted(*planned)).map(|(at, _)| at).collect()
    }

    fn ground_name(&self, ground: usize) -> &str {
        &self.request.grounds[ground].name
    }
}

impl Model {
    /// The model of a request with the rules that are active, by number.
    pub(crate) fn build(request: &SeasonRequest, is_active: &dyn Fn(usize) -> bool) -> Self {
        let mut builder = Builder {
            request,
            is_active,
            rules: Vec::new(),
            potential: potential(request).into_iter().map(|planned| (planned, false)).collect(),
            rows: Vec::new(),
            exclusions: Vec::new(),
            sequences: Vec::new(),
            is_single: Vec::new(),
        };
        closed(&mut builder);
        orders::intervals_after_past(&mut builder);
        orders::rotation_after_past(&mut builder);
        one_use_a_visit(&mut builder);
        limits::over_windows(&mut builder);
        limits::stock(&mut builder);
        orders::intervals(&mut builder);
        orders::in_a_row(&mut builder);
        orders::rotation(&mut builder);
        demanded(&mut builder);
        let budget = request.budget.and_then(|budget| {
            let (number, is_active) = builder.rule(RuleKind::Budget, "the budget".to_owned(), None);
            is_active.then_some((number, budget.figure()))
        });
        finish(builder, budget)
    }
}

/// Everything that may be planned: on its site, in weeks to come, against something expected, or pinned.
fn potential(request: &SeasonRequest) -> Vec<Planned> {
    let mut all = Vec::new();
    for week in request.weeks.iter().filter(|week| request.weeks.date(*week) >= request.from) {
        for ground in 0..request.grounds.len() {
            for product_use in (0..request.uses.len()).filter(|at| request.is_offered(*at, ground)) {
                let planned = Planned { week, ground, product_use };
                let is_pinned = request.demands.pins.iter().any(|pin| {
                    pin.ground == ground
                        && pin.week == week
                        && pin.product_use.is_none_or(|wanted| wanted == product_use)
                });
                if is_pinned || request.meets_something(planned) {
                    all.push(planned);
                }
            }
        }
    }
    all
}

/// Weeks closed, what is forbidden, what was counted.
fn closed(builder: &mut Builder<'_>) {
    let request = builder.request;
    let where_words = |ground: Option<usize>| match ground {
        Some(ground) => request.grounds[ground].name.clone(),
        None => "all ground".to_owned(),
    };
    let what_words = |product_use: Option<usize>| match product_use {
        Some(at) => request.uses[at].id.clone(),
        None => "every use".to_owned(),
    };
    for closed in &request.blackouts {
        let why = match closed.why {
            super::WhyClosed::Bloom => "in bloom",
            super::WhyClosed::Client => "closed by the client",
            super::WhyClosed::SeasonOfUse => "out of its season",
        };
        let words = format!(
            "{} on {}: {why} from {} to {}",
            what_words(closed.product_use),
            where_words(closed.ground),
            closed.from,
            closed.to
        );
        let closes = |planned: Planned| {
            let date = request.weeks.date(planned.week);
            closed.ground.is_none_or(|ground| ground == planned.ground)
                && closed.product_use.is_none_or(|at| at == planned.product_use)
                && (closed.from..=closed.to).contains(&date)
        };
        builder.close(RuleKind::Closed, words, None, closes);
    }
    for forbidden in &request.demands.forbidden {
        let when = forbidden.weeks.map_or_else(
            || "in any week".to_owned(),
            |(from, to)| format!("from {} to {}", request.weeks.date(from), request.weeks.date(to)),
        );
        let why = forbidden.reason.as_ref().map(|reason| format!(" ({reason})")).unwrap_or_default();
        let words =
            format!("{} forbidden on {} {when}{why}", what_words(forbidden.product_use), where_words(forbidden.ground));
        let closes = |planned: Planned| {
            forbidden.ground.is_none_or(|ground| ground == planned.ground)
                && forbidden.product_use.is_none_or(|at| at == planned.product_use)
                && forbidden.weeks.is_none_or(|(from, to)| (from..=to).contains(&planned.week))
        };
        builder.close(RuleKind::Forbidden, words, None, closes);
    }
    let mut counted: Vec<(usize, Week)> =
        request.counts.iter().filter_map(|count| Some((count.ground, request.weeks.holding(count.date)?))).collect();
    counted.sort_unstable();
    counted.dedup();
    for (ground, week) in counted {
        let words = format!(
            "counted below the threshold on {} in the week of {}",
            request.grounds[ground].name,
            request.weeks.date(week)
        );
        let closes =
            |planned: Planned| planned.ground == ground && planned.week == week && request.counted_below(planned);
        builder.close(RuleKind::Counted, words, None, closes);
    }
}

fn one_use_a_visit(builder: &mut Builder<'_>) {
    for ground in 0..builder.request.grounds.len() {
        let words = format!("one use in one visit on {}", builder.ground_name(ground));
        let (rule, is_active) = builder.rule(RuleKind::OneUseAVisit, words, None);
        builder.is_single.push(is_active);
        if !is_active {
            continue;
        }
        for week in builder.request.weeks.iter() {
            let terms: Vec<_> =
                builder.on(ground, |planned| planned.week == week).into_iter().map(|at| (at, 1.0)).collect();
            if terms.len() > 1 {
                builder.row(rule, terms, Bind::AtMost, 1.0);
            }
        }
    }
}

/// What has to be in it.
fn demanded(builder: &mut Builder<'_>) {
    let request = builder.request;
    for pin in &request.demands.pins {
        let what = pin.product_use.map_or("a treatment", |at| request.uses[at].id.as_str());
        let words = format!("{what} on {} on {}", request.grounds[pin.ground].name, request.weeks.date(pin.week));
        let (rule, is_active) = builder.rule(RuleKind::Pinned, words, None);
        if is_active {
            let wanted = builder.on(pin.ground, |planned| {
                planned.week == pin.week && pin.product_use.is_none_or(|at| at == planned.product_use)
            });
            builder.row(rule, wanted.into_iter().map(|at| (at, 1.0)).collect(), Bind::AtLeast, 1.0);
        }
    }
    for required in &request.demands.required {
        let words = format!(
            "{} controlled to {:.0} % on {} from {} to {}",
            request.pests[required.pest].name,
            required.share * 100.0,
            request.grounds[required.ground].name,
            required.from,
            required.to
        );
        let (rule, is_active) = builder.rule(RuleKind::Required, words, None);
        if !is_active {
            continue;
        }
        for week in request.weeks.within(required.from, required.to) {
            let is_enough = |share: f64| share >= required.share - HAIR;
            if is_enough(request.control_by_past(required.ground, required.pest, week)) {
                continue;
            }
            let serving = builder.on(required.ground, |planned| {
                planned.week <= week
                    && is_enough(
                        request.uses[planned.product_use].control(required.pest, week.index() - planned.week.index()),
                    )
            });
            builder.row(rule, serving.into_iter().map(|at| (at, 1.0)).collect(), Bind::AtLeast, 1.0);
        }
    }
}

/// Leaves out what is kept out, and numbers the rest.
fn finish(builder: Builder<'_>, budget: Option<(usize, f64)>) -> Model {
    let Builder { request, rules, potential, mut rows, mut exclusions, sequences, is_single, .. } = builder;
    let mut number = vec![usize::MAX; potential.len()];
    let mut candidates = Vec::new();
    for (at, (planned, _)) in potential.iter().enumerate().filter(|(_, (_, is_out))| !is_out) {
        number[at] = candidates.len();
        let cost = request.uses[planned.product_use].cost.on(request.grounds[planned.ground].area).figure();
        candidates.push(Candidate { planned: *planned, cost });
    }
    let keep = |list: &mut Vec<usize>| {
        *list = list.iter().map(|at| number[*at]).filter(|at| *at != usize::MAX).collect();
    };
    for row in &mut rows {
        row.terms =
            row.terms.iter().map(|(at, part)| (number[*at], *part)).filter(|(at, _)| *at != usize::MAX).collect();
        if let Some(holders) = &mut row.only_if {
            keep(holders);
        }
    }
    // Where nothing that states a limit can be planned, nothing asks for it.
    rows.retain(|row| row.only_if.as_ref().is_none_or(|holders| !holders.is_empty()));
    for exclusion in &mut exclusions {
        keep(&mut exclusion.one);
        keep(&mut exclusion.other);
    }
    let cells = cells(request, &candidates);
    let mut cells_of = vec![Vec::new(); candidates.len()];
    for (at, cell) in cells.iter().enumerate() {
        for (candidate, share) in &cell.covers {
            cells_of[*candidate].push((at, *share));
        }
    }
    let mut rows_of = vec![Vec::new(); candidates.len()];
    for (at, row) in rows.iter().enumerate() {
        for (candidate, part) in &row.terms {
            rows_of[*candidate].push((at, *part));
        }
    }
    let mut of_ground = vec![Vec::new(); request.grounds.len()];
    for (at, candidate) in candidates.iter().enumerate() {
        of_ground[candidate.planned.ground].push(at);
    }
    Model {
        rules,
        candidates,
        cells,
        rows,
        exclusions,
        sequences,
        budget,
        travel: request.travel.figure(),
        weeks: request.weeks.count(),
        cells_of,
        rows_of,
        of_ground,
        is_single,
    }
}

fn cells(request: &SeasonRequest, candidates: &[Candidate]) -> Vec<Cell> {
    let mut covers: BTreeMap<(usize, usize, Week), Vec<(usize, f64)>> = BTreeMap::new();
    for (at, candidate) in candidates.iter().enumerate() {
        let Planned { week, ground, product_use } = candidate.planned;
        for pest in 0..request.pests.len() {
            for later in request.weeks.iter().skip(week.index()) {
                let share = request.uses[product_use].control(pest, later.index() - week.index());
                if share > 0.0 {
                    covers.entry((ground, pest, later)).or_default().push((at, share));
                }
            }
        }
    }
    let mut cells = Vec::new();
    for ((ground, pest, week), mut covers) in covers {
        let damage = request.damage(ground, pest, week);
        let base = request.control_by_past(ground, pest, week);
        covers.retain(|(_, share)| *share > base);
        if damage > 0.0 && !covers.is_empty() {
            covers.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            cells.push(Cell { damage, base, covers });
        }
    }
    cells
}
