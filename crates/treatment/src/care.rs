//! What to wear, whom to keep off until when, and what becomes of water afterwards.

use crate::cautions::cautions;
use crate::hours::later;
use crate::resolve::Resolved;
use crate::visit::{Caution, IrrigationAdvice, KeepOffAdvice, Ppe, Sentence};
use jiff::civil::DateTime;
use label::{Clause, Label, Required, Requirements, UseRow};
use quantity::{Duration, DurationUnit};

/// What labels ask around an application, whenever it is made.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelCare {
    /// When people and pets may come back; no moment, since no finish is known.
    pub keep_off: KeepOffAdvice,
    /// When water may or must be given; likewise.
    pub irrigation: IrrigationAdvice,
    /// Text and conditions to post.
    pub posting: Vec<Sentence>,
    /// What becomes of clippings and grazing, and when may be harvested and seeded.
    pub afterwards: Vec<Sentence>,
    /// Precautions, first aid, storage and spill advice from the labels, and the general cautions.
    pub cautions: Vec<Caution>,
}

/// What labels ask around an application. Each entry is what one task puts down: its labels, each with the use
/// row that governs it. The labels are those of the place ([`label::for_state`]).
pub fn label_care(tasks: &[Vec<(&Label, &UseRow)>]) -> LabelCare {
    let requirements: Vec<Requirements> = tasks.iter().map(|parts| label::combined(parts).0).collect();
    let mut labels: Vec<&Label> = Vec::new();
    for (label, _) in tasks.iter().flatten() {
        if !labels.iter().any(|known| known.id == label.id) {
            labels.push(label);
        }
    }
    LabelCare {
        keep_off: keep_off(&requirements, None),
        irrigation: irrigation(&requirements, None, None),
        posting: posting(&requirements),
        afterwards: afterwards(&requirements),
        cautions: cautions(&labels),
    }
}

/// Protective equipment of all tasks: each piece once, with all its tasks; the label's order.
pub(crate) fn protective_equipment(tasks: &[Resolved<'_>]) -> Vec<Ppe> {
    let mut all: Vec<Ppe> = Vec::new();
    for required in tasks.iter().flat_map(|task| &task.requirements.ppe) {
        match all.iter_mut().find(|held| held.item.eq_ignore_ascii_case(&required.value.item)) {
            Some(held) => {
                held.tasks.extend(required.value.tasks.iter().copied());
                held.tasks.sort_unstable();
                held.tasks.dedup();
            }
            None => all.push(Ppe {
                item: required.value.item.clone(),
                tasks: required.value.tasks.clone(),
                clause: Some(required.clause.text.clone()),
                page: required.clause.page,
            }),
        }
    }
    all
}

fn sentence<T>(required: &Required<T>) -> Sentence {
    own(&required.clause, &required.label)
}

fn own(clause: &Clause, label: &str) -> Sentence {
    Sentence { text: clause.text.clone(), page: clause.page, label: Some(label.to_owned()) }
}

fn add(sentences: &mut Vec<Sentence>, new: Sentence) {
    if !sentences.contains(&new) {
        sentences.push(new);
    }
}

/// When people and pets may come back, for a job that ends at `finish` at the latest.
pub(crate) fn keep_off<'r>(
    tasks: impl IntoIterator<Item = &'r Requirements>,
    finish: Option<DateTime>,
) -> KeepOffAdvice {
    let mut longest = None;
    let mut conditions = Vec::new();
    let mut sentences = Vec::new();
    let mut condition = |words: &str| {
        if !conditions.iter().any(|held| held == words) {
            conditions.push(words.to_owned());
        }
    };
    for required in tasks {
        for time in required.keep_off_at_least.iter() {
            longest = Some(longest.map_or(time.value, |held: Duration| held.max(time.value)));
            add(&mut sentences, sentence(time));
        }
        for dry in required.keep_off_until_dry.iter().filter(|dry| dry.value) {
            condition("the spray has dried");
            add(&mut sentences, sentence(dry));
        }
        for watered in required.keep_off_until_watered_in.iter().filter(|watered| watered.value) {
            condition("it has been watered in and the surface has dried");
            add(&mut sentences, sentence(watered));
        }
        // The interval of agricultural uses is kept on a residence too: it is the longer care.
        for time in required.restricted_entry.iter() {
            longest = Some(longest.map_or(time.value, |held: Duration| held.max(time.value)));
            add(&mut sentences, sentence(time));
        }
        let silent = required.keep_off_at_least.silent
            && required.restricted_entry.binding().is_none()
            && required.keep_off_until_dry.silent
            && required.keep_off_until_watered_in.silent;
        if silent {
            // Common practice, no source.
            condition("the surface is dry (the label states no time)");
        }
    }
    if let Some(time) = longest {
        let hours = crate::hours::hours_words(time);
        let passed = if hours == "1" { "hour has" } else { "hours have" };
        conditions.insert(0, format!("at least {hours} {passed} passed since the work ended"));
    }
    let not_before = finish.map(|finish| later(finish, longest.unwrap_or(Duration::ZERO)));
    KeepOffAdvice { not_before, at_least: longest, conditions, sentences }
}

/// When water may or must be given: not before the job's latest finish has its time, and within the
/// deadline even where the job ends at its first.
pub(crate) fn irrigation<'r>(
    tasks: impl IntoIterator<Item = &'r Requirements>,
    first_finish: Option<DateTime>,
    latest_finish: Option<DateTime>,
) -> IrrigationAdvice {
    let mut prohibited: Option<Duration> = None;
    let mut water_in = Vec::new();
    let mut sentences = Vec::new();
    for task in tasks {
        for time in task.irrigation_prohibited_for.iter() {
            prohibited = Some(prohibited.map_or(time.value, |held| held.max(time.value)));
            add(&mut sentences, sentence(time));
        }
        for watering in &task.watering_in {
            let deadline = first_finish.map(|finish| later(finish, watering.value.within));
            let new = (watering.value.depth, deadline);
            if !water_in.contains(&new) {
                water_in.push(new);
            }
            add(&mut sentences, sentence(watering));
        }
    }
    let first_permitted = match (latest_finish, prohibited) {
        (Some(finish), Some(prohibited)) => Some(to_minute_up(later(finish, prohibited))),
        _ => None,
    };
    IrrigationAdvice { first_permitted, prohibited_for: prohibited, water_in, sentences }
}

/// A prohibition is not over before its last minute.
fn to_minute_up(time: DateTime) -> DateTime {
    if time.second() == 0 && time.subsec_nanosecond() == 0 {
        return time;
    }
    let down = time.with().second(0).subsec_nanosecond(0).build().unwrap_or(time);
    later(down, Duration::new(1.0, DurationUnit::Minute))
}

/// What the labels say to post.
pub(crate) fn posting<'r>(tasks: impl IntoIterator<Item = &'r Requirements>) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    for required in tasks.into_iter().flat_map(|task| &task.posting) {
        add(
            &mut sentences,
            Sentence { text: required.value.clone(), page: required.clause.page, label: Some(required.label.clone()) },
        );
    }
    sentences
}

/// What the labels say of clippings, grazing, harvest and seeding after the work.
pub(crate) fn afterwards<'r>(tasks: impl IntoIterator<Item = &'r Requirements>) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    for task in tasks {
        for words in &task.clippings {
            add(&mut sentences, sentence(words));
        }
        for days in task.harvest_interval_days.iter().chain(task.reseeding_interval_days.iter()) {
            add(&mut sentences, sentence(days));
        }
    }
    sentences
}
