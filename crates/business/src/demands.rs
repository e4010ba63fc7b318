//! What the rules of the place demand around one visit, with its deadlines.

use crate::{Business, Client, Neighbour, Treatment, When};
use jiff::civil::{DateTime, Time};
use jurisdiction::{
    Binding, Circumstances, CustomerNotice, CustomerNoticeTime, Demand, Ground, HeightContradiction, Known,
    NoticeDeadline, Posting, RuleSet, Sign, Work, notice_deadlines, posting, sign,
};
use std::collections::BTreeSet;
use treatment::{Visit, ZoneKind, ZoneUse};

/// What is demanded around one visit: notices, signs, what the client is given. Say
/// [`jurisdiction::CONFIRM_LOCAL_LAW`] beside all of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Demands<'r> {
    /// What the rules were asked with.
    pub circumstances: Circumstances,
    /// The start that deadlines are reckoned from: the earliest.
    pub start: DateTime,
    /// The end that times of signs are reckoned from: the latest.
    pub end: DateTime,
    /// Whether both are known; otherwise they are the two ends of the day, the stricter way.
    pub times_known: bool,
    /// Notices before the application, the earliest first.
    pub neighbours: Known<Vec<NeighbourDeadline<'r>>>,
    /// Neighbours who asked to be told and whom no rule known means.
    pub by_courtesy: Vec<Neighbour>,
    /// What the client is given.
    pub client: Known<Vec<ClientNoticeDeadline<'r>>>,
    /// The signs, rule by rule.
    pub postings: Known<Vec<(Binding<'r>, &'r Posting)>>,
    /// One sign that meets every rule, or the two rules of which no one height meets both.
    pub sign: Result<Known<Sign<'r>>, HeightContradiction<'r>>,
    /// What only a person can hold.
    pub duties: Vec<Binding<'r>>,
    /// That no rule of the state is known, or the state is not.
    pub not_known: Option<String>,
}

/// A notice before the application, and who gets it.
#[derive(Debug, Clone, PartialEq)]
pub struct NeighbourDeadline<'r> {
    /// The notice, the rule and the latest moment.
    pub deadline: NoticeDeadline<'r>,
    /// The neighbours that it means, as far as the client file tells.
    pub to: Vec<Neighbour>,
}

/// What the client is given, and by when.
#[derive(Debug, Clone, PartialEq)]
pub struct ClientNoticeDeadline<'r> {
    /// The rule.
    pub binding: Binding<'r>,
    /// The notice that it demands.
    pub notice: &'r CustomerNotice,
    /// The latest moment.
    pub by: DateTime,
}

/// What the rules known demand around a treatment.
///
/// The rules are those of the client's place, or else of the business's.
pub fn demands<'r>(
    rules: &'r RuleSet,
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    facts: Facts,
) -> Demands<'r> {
    let date = treatment.when.date();
    let place = client.place.as_ref().unwrap_or(&business.place);
    let circumstances = Circumstances {
        place: place.clone(),
        date,
        restricted_use: facts.restricted_use,
        work: Work::ForHire,
        ground: facts.ground,
        conditions: client.conditions.clone(),
    };
    let known = match &treatment.when {
        When::Planned { starts, .. } => starts.iter().map(|window| window.first).min().zip(treatment.when.latest_end()),
        When::Done { start, .. } => Some(*start).zip(treatment.when.latest_end()),
    };
    let whole_day = (date.to_datetime(Time::midnight()), date.to_datetime(Time::MAX));
    let (start, end) = known.unwrap_or(whole_day);
    let neighbours = match notice_deadlines(rules, &circumstances, start, &business.holidays) {
        Known::NoRuleKnown => Known::NoRuleKnown,
        Known::Demanded(deadlines) => {
            let with_names = |deadline: NoticeDeadline<'r>| {
                let meant = client.neighbours.iter().filter(|one| one.is_meant_by(deadline.notice.to));
                NeighbourDeadline { deadline, to: meant.cloned().collect() }
            };
            Known::Demanded(deadlines.into_iter().map(with_names).collect())
        }
    };
    let meant = |one: &Neighbour| {
        let demanded = neighbours.as_ref().demanded();
        demanded.is_some_and(|all: &Vec<NeighbourDeadline<'r>>| all.iter().any(|deadline| deadline.to.contains(one)))
    };
    let by_courtesy = client.neighbours.iter().filter(|one| one.asked_for_notice && !meant(one)).cloned().collect();
    let bindings = rules.binding_on(&circumstances);
    let to_client: Vec<ClientNoticeDeadline<'r>> = bindings
        .iter()
        .filter_map(|binding| match &binding.rule.demand {
            Demand::CustomerNotice(notice) => {
                let by = if notice.when == CustomerNoticeTime::OnCompletion { end } else { start };
                Some(ClientNoticeDeadline { binding: *binding, notice, by })
            }
            _ => None,
        })
        .collect();
    let duties = bindings.iter().filter(|binding| binding.rule.demand == Demand::Duty).copied().collect();
    Demands {
        start,
        end,
        times_known: known.is_some(),
        neighbours,
        by_courtesy,
        client: if to_client.is_empty() { Known::NoRuleKnown } else { Known::Demanded(to_client) },
        postings: posting(rules, &circumstances),
        sign: sign(rules, &circumstances, end),
        duties,
        not_known: rules.not_known(place),
        circumstances,
    }
}

/// What rules ask of an application and a treatment does not tell.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// Whether a restricted use pesticide is among the products.
    pub restricted_use: bool,
    /// What is treated ([`ground_of`]); empty when it is not known, and then every rule counts.
    pub ground: BTreeSet<Ground>,
}

/// What a visit treats, as rules tell it apart; empty, so that every rule counts, where a task has no drawn
/// ground or ground that is none of the three.
pub fn ground_of(visit: &Visit) -> BTreeSet<Ground> {
    let mut all = BTreeSet::new();
    for task in &visit.tasks {
        let mut kinds = visit
            .zones
            .iter()
            .filter(|zone| zone.use_of == ZoneUse::Treated(task.id.clone()))
            .map(|zone| match zone.kind {
                ZoneKind::Turf | ZoneKind::Setback => Some(Ground::Turf),
                ZoneKind::Ornamental | ZoneKind::Mulch => Some(Ground::Ornamental),
                ZoneKind::Band => Some(Ground::Perimeter),
                _ => None,
            })
            .peekable();
        if kinds.peek().is_none() {
            return BTreeSet::new();
        }
        for kind in kinds {
            let Some(ground) = kind else { return BTreeSet::new() };
            all.insert(ground);
        }
    }
    all
}
