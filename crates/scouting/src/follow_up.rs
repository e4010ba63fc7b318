//! Counts before and after treatments, put together: which counts tell of which treatment, and what they tell.

mod next;

use jiff::civil::Date;
use pest::is_same_pest;
use problem::{Problem, Problems};
use std::collections::{BTreeMap, BTreeSet};

use crate::count::{CountBasis, Counts};
use crate::efficacy::{Control, EfficacyEstimate, EfficacyTrial, GroundCounts};
use crate::resistance::{Resistance, TreatmentResult, resistance};

pub use next::CountNext;

/// Counts older than this before a treatment do not tell what it met. Common practice, no source.
pub const BEFORE_WITHIN_DAYS: i32 = 28;

/// Counts later than this after a treatment tell of it only where they say so: pests come in, and hatch, meanwhile. Common
/// practice, no source.
pub const AFTER_WITHIN_DAYS: i32 = 28;

/// Of several counts after one treatment resistance is told by the one nearest to this many days after it. Common practice,
/// no source.
const JUDGED_AFTER_DAYS: i32 = 7;

/// A station as it was counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StationCount {
    /// Living pests.
    pub living: u32,
    /// Dead ones; `None` where nobody counted them.
    pub dead: Option<u32>,
    /// Whether its ground is left untreated.
    pub is_check: bool,
}

/// The counts of a pest on one property and day.
#[derive(Debug, Clone, PartialEq)]
pub struct CountedDay {
    /// The property.
    pub property: String,
    /// The pest.
    pub pest: String,
    /// The day.
    pub day: Date,
    /// On what one count was made.
    pub basis: CountBasis,
    /// The stations.
    pub stations: Vec<StationCount>,
    /// The day of the treatment that it is said to follow.
    pub follows: Option<Date>,
}

impl CountedDay {
    /// Whether they are counts of what was treated on that property, by the same name, or one the general word of the other.
    fn is_beside(&self, treatment: &TreatmentDay) -> bool {
        self.property == treatment.property && is_same_pest(&self.pest, &treatment.pest)
    }

    fn stations_of(&self, is_check: bool) -> impl Iterator<Item = &StationCount> {
        self.stations.iter().filter(move |station| station.is_check == is_check)
    }

    fn living(&self, is_check: bool) -> Option<Counts> {
        self.counts(self.stations_of(is_check).map(|station| station.living).collect())
    }

    /// The dead, where they were counted at every station.
    fn dead(&self, is_check: bool) -> Option<Counts> {
        self.counts(self.stations_of(is_check).map(|station| station.dead).collect::<Option<_>>()?)
    }

    fn counts(&self, values: Vec<u32>) -> Option<Counts> {
        Counts::new(values, self.basis).ok().map(|(counts, _)| counts)
    }
}

/// By what names of one pest are known to be one: whether in capitals or not, and whatever stands around them.
pub fn pest_key(pest: &str) -> String {
    pest::name_key(pest)
}

/// A day on which a pest was treated on a property.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TreatmentDay {
    /// The property.
    pub property: String,
    /// The pest.
    pub pest: String,
    /// The day.
    pub day: Date,
    /// The group of the mode of action; `None` where nobody tells it, or not of all that was used, or several were used at once.
    pub group: Option<String>,
}

/// What a count after a treatment tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Followed {
    /// The count after, by its place among those given.
    pub after: usize,
    /// The count before, likewise.
    pub before: Option<usize>,
    /// Days from the treatment to the count after.
    pub days_after: i32,
    /// What both hold of treated ground and check.
    pub trial: EfficacyTrial,
    /// What it comes to, or why it comes to nothing.
    pub control: Result<EfficacyEstimate, Problems>,
    /// What is to be known of the names: a general word stands beside that of a kind.
    pub names: Problems,
}

/// A treatment with all that was counted after it, by day.
#[derive(Debug, Clone, PartialEq)]
pub struct FollowUp {
    /// The treatment, by its place among those given.
    pub treatment: usize,
    /// Each count after it. None where nobody counted in time.
    pub counts: Vec<Followed>,
}

impl Followed {
    /// What should be counted so that the next answer is surer, what weighs most first.
    pub fn count_next(&self, expected: Control) -> Vec<CountNext> {
        next::after(self, expected)
    }
}

impl FollowUp {
    /// What should be counted next time by the last count after the treatment, what weighs most first.
    pub fn count_next(&self, expected: Control) -> Vec<CountNext> {
        match self.counts.last() {
            Some(last) => last.count_next(expected),
            None => vec![CountNext::After, CountNext::Check, CountNext::Before],
        }
    }
}

/// Holds counts against the treatments that lie between them.
///
/// A count of grasshoppers tells of a treatment against two-striped ones, and the other way round; where names differ so, that
/// is told. Before a count of a kind stands one of that kind, else one of the general word; of several kinds that could stand
/// before a count of the general word none does.
///
/// A count tells of the treatment that it says it follows; else of the last one before its day, within
/// [`AFTER_WITHIN_DAYS`]. Against it stands the last count of that pest and property on as much ground from before the
/// treatment, within [`BEFORE_WITHIN_DAYS`] of it and not from before an earlier treatment. Treatments of one pest,
/// property and day are one. The answer has every treatment, in the order given.
pub fn follow_up(treatments: &[TreatmentDay], counted: &[CountedDay]) -> Vec<FollowUp> {
    let of = |(index, treatment): (usize, &TreatmentDay)| {
        let is_beside =
            |other: &&TreatmentDay| other.property == treatment.property && is_same_pest(&other.pest, &treatment.pest);
        let others = treatments.iter().filter(is_beside).map(|other| other.day);
        let earlier = others.clone().filter(|day| *day < treatment.day).max();
        let later = others.filter(|day| *day > treatment.day).min();
        let mut afters: Vec<usize> = (0..counted.len())
            .filter(|&at| counted[at].is_beside(treatment) && tells_of(&counted[at], treatment.day, later))
            .collect();
        afters.sort_by_key(|&at| counted[at].day);
        let counts = afters.into_iter().map(|after| followed(counted, treatment, earlier, after));
        FollowUp { treatment: index, counts: counts.collect() }
    };
    treatments.iter().enumerate().map(of).collect()
}

fn tells_of(counted: &CountedDay, treated: Date, later: Option<Date>) -> bool {
    if let Some(day) = counted.follows {
        return day == treated;
    }
    let days = days(treated, counted.day);
    (1..=AFTER_WITHIN_DAYS).contains(&days) && later.is_none_or(|later| counted.day <= later)
}

fn days(from: Date, to: Date) -> i32 {
    (to - from).get_days()
}

fn followed(counted: &[CountedDay], treatment: &TreatmentDay, earlier: Option<Date>, after: usize) -> Followed {
    let count = &counted[after];
    let is_before = |other: &CountedDay| {
        let is_before_this = other.day <= treatment.day && other.follows.is_none_or(|day| day < treatment.day);
        let is_behind_the_last = earlier.is_none_or(|day| other.day > day || other.follows == Some(day));
        is_before_this && is_behind_the_last && days(other.day, treatment.day) <= BEFORE_WITHIN_DAYS
    };
    let could_be: Vec<usize> = (0..counted.len())
        .filter(|&at| counted[at].is_beside(treatment) && is_same_ground(counted[at].basis, count.basis))
        .filter(|&at| is_same_pest(&counted[at].pest, &count.pest) && is_before(&counted[at]))
        .collect();
    let mut names = Problems::new();
    let before = before_of(counted, after, &could_be, &mut names);
    if pest_key(&count.pest) != pest_key(&treatment.pest) && pest::is_kind_of(&treatment.pest, &count.pest) {
        names.push(names_differ(format!(
            "treated against {} on {}, and counted {} on {}",
            treatment.pest, treatment.day, count.pest, count.day
        )));
    }
    let ground = |is_check: bool| GroundCounts {
        before: before.and_then(|before| counted[before].living(is_check)),
        after: count.living(is_check),
        dead: count.dead(is_check),
    };
    let trial = EfficacyTrial { treated: ground(false), check: ground(true) };
    let control = trial.control();
    Followed { after, before, days_after: days(treatment.day, count.day), trial, control, names }
}

/// The last count of those that could stand before another: of the same name where there is one, else of the only other name.
fn before_of(counted: &[CountedDay], after: usize, could_be: &[usize], names: &mut Problems) -> Option<usize> {
    let count = &counted[after];
    let last = |of: &str| {
        let of_it = could_be.iter().copied().filter(|&at| pest_key(&counted[at].pest) == of);
        of_it.max_by_key(|&at| counted[at].day)
    };
    if let Some(same) = last(&pest_key(&count.pest)) {
        return Some(same);
    }
    let kinds: BTreeSet<String> = could_be.iter().map(|&at| pest_key(&counted[at].pest)).collect();
    if kinds.len() > 1 {
        let kinds: Vec<&str> = kinds.iter().map(String::as_str).collect();
        names.push(
            Problem::warning(
                "scouting::which-pest",
                format!("counted {} on {}, and before that {}", count.pest, count.day, kinds.join(" and ")),
            )
            .expected("one pest by one name; which count stands before it is not guessed")
            .mend("name the kind that was counted"),
        );
        return None;
    }
    let before = last(kinds.first()?)?;
    names.push(names_differ(format!(
        "counted {} on {}, and before that {} on {}",
        count.pest, count.day, counted[before].pest, counted[before].day
    )));
    Some(before)
}

/// A general word beside that of a kind: the one counts more kinds than the other.
fn names_differ(found: String) -> Problem {
    Problem::warning("scouting::names-differ", found)
        .expected("one name for the same kinds: where one holds more kinds, the control is off by the others")
        .mend("name the same kind in both, where it was the same")
}

fn is_same_ground(one: CountBasis, other: CountBasis) -> bool {
    match (one, other) {
        (CountBasis::Area(one), CountBasis::Area(other)) => (one.ratio(other) - 1.0).abs() < 1e-9,
        (one, other) => one == other,
    }
}

/// What treatments say of resistance, pest by pest and group by group: of each the count nearest to a week after it.
pub fn resistance_of(treatments: &[TreatmentDay], told: &[FollowUp], expected: Control) -> Vec<(String, Resistance)> {
    // Of each the spelling that comes first.
    let mut pests: BTreeMap<String, &str> = BTreeMap::new();
    for one in treatments {
        pests.entry(pest_key(&one.pest)).or_insert(&one.pest);
    }
    let result = |one: &FollowUp| {
        let treatment = &treatments[one.treatment];
        let sound = one.counts.iter().filter_map(|count| Some((count.days_after, *count.control.as_ref().ok()?)));
        let (_, estimate) = sound.min_by_key(|(days, _)| (days - JUDGED_AFTER_DAYS).abs())?;
        let group = treatment.group.clone()?;
        let of = TreatmentResult { day: treatment.day, property: treatment.property.clone(), group, estimate };
        Some((pest_key(&treatment.pest), of))
    };
    let results: Vec<(String, TreatmentResult)> = told.iter().filter_map(result).collect();
    let of_pest = |(key, pest): (String, &str)| {
        let of_it = results.iter().filter(|(of, _)| *of == key).map(|(_, one)| one.clone());
        let found = resistance(&of_it.collect::<Vec<_>>(), expected);
        found.into_iter().map(|one| (pest.to_owned(), one)).collect::<Vec<_>>()
    };
    pests.into_iter().flat_map(of_pest).collect()
}

/// Two counts of one pest, property and day: which of them is meant is not guessed.
pub fn counted_twice(counted: &[CountedDay]) -> Vec<(usize, usize)> {
    let is_same = |one: &CountedDay, other: &CountedDay| {
        (&one.property, pest_key(&one.pest), one.day) == (&other.property, pest_key(&other.pest), other.day)
            && is_same_ground(one.basis, other.basis)
            && one.follows == other.follows
    };
    let first = |(at, one): (usize, &CountedDay)| {
        counted[..at].iter().position(|other| is_same(one, other)).map(|other| (other, at))
    };
    counted.iter().enumerate().filter_map(first).collect()
}

/// A number of pests at one station that cannot be reckoned with.
pub fn too_many(count: u64) -> Problem {
    Problem::error("scouting::count", format!("`{count}` pests at one station")).expected("at most 4,294,967,295")
}

#[cfg(test)]
mod tests;
