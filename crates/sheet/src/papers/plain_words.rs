//! Trade words in the words of those who live there.

use crate::Units;
use business::{Treatment, When};
use jiff::civil::{DateTime, Time};
use label::Method;
use quantity::Area;
use treatment::Sentence;

/// How something is applied.
pub(super) const fn method(method: Method) -> &'static str {
    match method {
        Method::Broadcast => "sprayed evenly over the ground",
        Method::Perimeter => "sprayed along the building and the foot of its wall",
        Method::Foliar => "sprayed on the leaves",
        Method::Spot => "sprayed on single spots",
        Method::CrackAndCrevice => "put into gaps",
        Method::Drench => "poured on the soil",
        Method::GranularBroadcast => "granules, spread evenly over the ground",
        Method::BaitBroadcast => "bait, scattered over the ground",
        Method::Mound => "put on single mounds",
        Method::BaitStation => "in bait stations",
        Method::Injection => "put into trunks",
    }
}

/// Ground and wall: `5,936 sq ft and 496 sq ft of wall`.
pub(super) fn areas(ground: Area, wall: Area, units: Units) -> String {
    match (ground.is_positive(), wall.is_positive()) {
        (true, true) => format!("{} and {} of wall", units.area(ground), units.area(wall)),
        (false, true) => format!("{} of wall", units.area(wall)),
        (true, false) => units.area(ground),
        (false, false) => "single places".to_owned(),
    }
}

/// A moment with its day: `10:59 am on Tuesday, July 7, 2026`; midnight is the end of the day before.
pub(super) fn moment(moment: DateTime, units: Units) -> String {
    let before = moment.date().yesterday().ok().filter(|_| moment.time() == Time::midnight());
    match before {
        Some(date) => format!("the end of {}", units.long_date(date)),
        None => format!("{} on {}", units.clock(moment), units.long_date(moment.date())),
    }
}

/// When the work starts and ends, in one sentence without its full stop.
pub(super) fn when(treatment: &Treatment, units: Units) -> String {
    match &treatment.when {
        When::Done { start, end } => {
            format!("{}, from {} to {}", units.long_date(start.date()), units.clock(*start), units.clock(*end))
        }
        When::Planned { date, starts } if starts.is_empty() => {
            format!("{}; the hour is not known yet", units.long_date(*date))
        }
        When::Planned { date, starts } => {
            let windows: Vec<String> = starts
                .iter()
                .map(|window| format!("from {} to {}", units.clock(window.first), units.clock(window.last)))
                .collect();
            let end = treatment
                .when
                .latest_end()
                .map_or_else(String::new, |end| format!("; done by {} at the latest", units.clock(end)));
            format!("{}, start {}{end}", units.long_date(*date), windows.join(" or "))
        }
    }
}

/// Until when people and pets keep off: the conditions, then the time.
pub(super) fn keep_off(treatment: &Treatment, units: Units) -> Vec<String> {
    let mut until: Vec<String> =
        treatment.advice.keep_off_conditions.iter().map(|text| text.replace('`', "")).collect();
    if let Some(time) = treatment.keep_off_until() {
        let for_latest = if treatment.when.is_done() { "" } else { ", for the latest start" };
        until.push(format!("not before {}{for_latest}", moment(time, units)));
    }
    until
}

/// The same as briefly as a passer-by reads it: the time first, without the hours that it is made of.
pub(super) fn keep_off_briefly(treatment: &Treatment, units: Units) -> Vec<String> {
    let time = treatment.keep_off_until();
    let hours = |text: &&String| time.is_some() && text.ends_with("have passed since the finish");
    let conditions = treatment.advice.keep_off_conditions.iter().filter(|text| !hours(text));
    let time = time.map(|time| moment(time, units));
    time.into_iter().chain(conditions.map(|text| text.replace('`', ""))).collect()
}

/// Label sentences, verbatim, each once.
pub(super) fn sentences(list: &[Sentence]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for sentence in list {
        let text = if sentence.label.is_some() {
            format!("The label: “{}”", sentence.text)
        } else {
            sentence.text.clone()
        };
        if !all.contains(&text) {
            all.push(text);
        }
    }
    all
}

/// The products with what is in them.
pub(super) fn products(treatment: &Treatment, with_amounts: bool) -> Vec<Vec<String>> {
    treatment
        .products
        .iter()
        .map(|product| {
            let mut row = vec![
                product.name.clone(),
                product.active_ingredients.join(", "),
                product.registration_number.clone().unwrap_or_default(),
            ];
            if with_amounts {
                row.push(product.amount.map_or_else(|| "not known".to_owned(), crate::number::amount));
            }
            row
        })
        .collect()
}
