//! A treatment as the client is told of it: beforehand from the plan, afterwards from what was done.

use crate::{Applied, AppliedProduct, LawnDate, TreatedPlace};
use jiff::civil::{Date, DateTime, DateTimeRound};
use jiff::{RoundMode, Span, Unit};
use quantity::{Duration, DurationUnit, Length};
use treatment::{
    Applicator, Caution, Finding, IrrigationAdvice, KeepOffAdvice, LabelCare, Sentence, StartWindow, Task, Visit,
    ZoneKind, ZoneUse,
};

/// What the client, the neighbours and the sign are told of a treatment.
#[derive(Debug, Clone, PartialEq)]
pub struct Treatment {
    /// What the visit is called.
    pub visit: String,
    /// Name of the property.
    pub property: String,
    /// When: planned or done.
    pub when: When,
    /// What is treated, place by place, in the order of the work.
    pub places: Vec<TreatedPlace>,
    /// The products.
    pub products: Vec<AppliedProduct>,
    /// Who applies.
    pub by: Vec<Applicator>,
    /// Why, in words.
    pub why: Vec<String>,
    /// What was done against a label and concerns those who live there, and what they must do; sentences.
    pub misapplied: Vec<String>,
    /// What follows from the labels.
    pub advice: Advice,
}

/// When a treatment is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// It is planned.
    Planned {
        /// The day.
        date: Date,
        /// The runs of lawful start times; empty when none is known.
        starts: Vec<StartWindow>,
    },
    /// It was done.
    Done {
        /// Local time of the start.
        start: DateTime,
        /// Local time of the end.
        end: DateTime,
    },
}

impl When {
    /// The day.
    pub fn date(&self) -> Date {
        match self {
            Self::Planned { date, .. } => *date,
            Self::Done { start, .. } => start.date(),
        }
    }

    /// Whether it is over.
    pub fn is_done(&self) -> bool {
        matches!(self, Self::Done { .. })
    }

    /// The end, or the latest end planned, on the next whole minute, so that no time told after it is too
    /// early; `None` when no lawful start is known.
    pub fn latest_end(&self) -> Option<DateTime> {
        let end = match self {
            Self::Planned { starts, .. } => starts.iter().map(|window| window.finish_if_last).max(),
            Self::Done { end, .. } => Some(*end),
        }?;
        let up = DateTimeRound::new().smallest(Unit::Minute).mode(RoundMode::Ceil);
        Some(end.round(up).unwrap_or(end))
    }
}

/// What the labels ask of those who live there, and the cautions.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// People and pets are kept off for so long after the end at least, when a label states a time.
    pub keep_off_at_least: Option<Duration>,
    /// And until this is so.
    pub keep_off_conditions: Vec<String>,
    /// The sentences behind both.
    pub keep_off_sentences: Vec<Sentence>,
    /// No water is given for so long after the end, when a label says so.
    pub no_water_for: Option<Duration>,
    /// Water that must be given.
    pub water_in: Vec<Length>,
    /// The sentences on water.
    pub water_sentences: Vec<Sentence>,
    /// What the labels ask to post.
    pub posting: Vec<Sentence>,
    /// When the lawn is watered and mown around the treatment, where that is planned.
    pub lawn: Vec<LawnDate>,
    /// What the labels say of clippings, grazing, harvest and seeding.
    pub afterwards: Vec<Sentence>,
    /// Precautions and first aid of the labels, and the general cautions.
    pub cautions: Vec<Caution>,
}

impl Advice {
    /// What the labels of a planned visit ask.
    pub fn of(visit: &Visit) -> Self {
        Self::of_labels(LabelCare {
            keep_off: visit.keep_off.clone(),
            irrigation: visit.irrigation.clone(),
            posting: visit.posting.clone(),
            afterwards: visit.afterwards.clone(),
            cautions: visit.cautions.clone(),
        })
    }

    /// What the labels used ask, where nothing but the record of the work is known.
    pub fn of_labels(care: LabelCare) -> Self {
        let LabelCare { keep_off, irrigation, posting, afterwards, cautions } = care;
        let KeepOffAdvice { at_least, conditions, sentences, .. } = keep_off;
        let IrrigationAdvice { prohibited_for, water_in, sentences: water_sentences, .. } = irrigation;
        Self {
            keep_off_at_least: at_least,
            keep_off_conditions: conditions,
            keep_off_sentences: sentences,
            no_water_for: prohibited_for,
            water_in: water_in.into_iter().map(|(depth, _)| depth).collect(),
            water_sentences,
            posting,
            lawn: Vec::new(),
            afterwards,
            cautions,
        }
    }
}

impl Treatment {
    /// A visit as it is planned: `will be applied`.
    pub fn planned(visit: &Visit) -> Self {
        Self {
            visit: visit.name.clone(),
            property: visit.property.name().to_owned(),
            when: When::Planned { date: visit.date, starts: visit.start_windows.clone() },
            places: visit.tasks.iter().map(|task| place_of(visit, task)).collect(),
            products: products_of(visit),
            by: visit.applicator.iter().cloned().collect(),
            why: visit.findings.iter().map(why).collect(),
            misapplied: Vec::new(),
            advice: Advice::of(visit),
        }
    }

    /// What was done: `was applied`. `advice` is what the labels used ask.
    pub fn done(applied: &Applied, advice: Advice) -> Self {
        Self {
            visit: applied.visit.clone(),
            property: applied.property.clone(),
            when: When::Done { start: applied.start, end: applied.end },
            places: applied.places.clone(),
            products: applied.products.clone(),
            by: applied.by.clone(),
            why: applied.why.clone(),
            misapplied: applied.misapplied.clone(),
            advice,
        }
    }

    /// The first moment at which people and pets may come back by the times of the labels; for a planned
    /// treatment it is that of the latest end. The conditions hold beside it.
    pub fn keep_off_until(&self) -> Option<DateTime> {
        after(self.when.latest_end()?, self.advice.keep_off_at_least?)
    }

    /// The first moment at which water may be given, likewise.
    pub fn no_water_until(&self) -> Option<DateTime> {
        after(self.when.latest_end()?, self.advice.no_water_for?)
    }
}

/// So long after a moment, on the next whole minute.
fn after(moment: DateTime, time: Duration) -> Option<DateTime> {
    let minutes = time.to(DurationUnit::Minute).ceil();
    moment.checked_add(Span::new().try_minutes(minutes as i64).ok()?).ok()
}

fn place_of(visit: &Visit, task: &Task) -> TreatedPlace {
    let treated = visit.zones.iter().filter(|zone| zone.use_of == ZoneUse::Treated(task.id.clone()));
    let mut places: Vec<String> = Vec::new();
    for zone in treated {
        let feature = visit.property.feature(&zone.id);
        let name = match (feature, zone.kind) {
            (Some(feature), _) => feature.label().to_owned(),
            (None, ZoneKind::Turf) => "lawn".to_owned(),
            (None, ZoneKind::Band) => "band along the building".to_owned(),
            (None, _) => zone.id.replace('-', " "),
        };
        if !places.contains(&name) {
            places.push(name);
        }
    }
    if places.is_empty() {
        places.push(task.id.clone());
    }
    let mut pests: Vec<String> = Vec::new();
    for product in task.products() {
        if !pests.contains(&product.pest) {
            pests.push(product.pest.clone());
        }
    }
    TreatedPlace {
        places,
        method: task.method,
        products: task.products().map(|product| product.name.clone()).collect(),
        pests,
        ground: task.ground,
        wall: task.wall,
    }
}

fn products_of(visit: &Visit) -> Vec<AppliedProduct> {
    let of_label = |label: &str| {
        let mut all = visit.tasks.iter().flat_map(Task::products);
        all.find(|product| product.label == label)
    };
    visit
        .products
        .iter()
        .map(|total| {
            let product = of_label(&total.label);
            let ingredients = product.map(|product| product.active_ingredients.as_slice()).unwrap_or_default();
            AppliedProduct {
                name: total.product.clone(),
                registration_number: product.and_then(|product| product.registration_number.clone()),
                active_ingredients: ingredients.iter().map(|ingredient| ingredient.name.clone()).collect(),
                amount: Some(total.measured),
            }
        })
        .collect()
}

fn why(finding: &Finding) -> String {
    let stage = finding.stage.as_ref().map_or_else(String::new, |stage| format!(" ({stage})"));
    let who = finding.identified_by.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
    let counted = match (&finding.density, &finding.threshold) {
        (Some((mean, _)), Some((threshold, _))) => {
            format!("; {} counted on average, against a threshold of {}", mean.show(), threshold.show())
        }
        (Some((mean, _)), None) => format!("; {} counted on average", mean.show()),
        (None, _) => String::new(),
    };
    format!("{}{stage}, identified{who}: {}{counted}", finding.pest, finding.basis)
}
