//! Trade words in the words of those who live there.

use crate::Units;
use business::{Treatment, When};
use jiff::civil::{DateTime, Time};
use label::Method;
use quantity::{Area, Duration, DurationUnit};
use treatment::Sentence;

/// How something is applied.
pub(super) const fn method(method: Method) -> &'static str {
    match method {
        Method::Broadcast => "sprayed evenly over the ground",
        Method::Perimeter => "sprayed in a band along the building and on the lower wall",
        Method::Foliar => "sprayed on the leaves",
        Method::Spot => "sprayed on individual spots",
        Method::CrackAndCrevice => "applied into cracks and gaps",
        Method::Drench => "poured on the soil",
        Method::GranularBroadcast => "granules spread evenly over the ground",
        Method::BaitBroadcast => "bait scattered over the ground",
        Method::Mound => "applied to individual mounds",
        Method::BaitStation => "in bait stations",
        Method::Injection => "injected into the trunk",
    }
}

/// Ground and wall: `5,936 sq ft and 496 sq ft of wall`.
pub(super) fn areas(ground: Area, wall: Area, units: Units) -> String {
    match (ground.is_positive(), wall.is_positive()) {
        (true, true) => format!("{} and {} of wall", units.area(ground), units.area(wall)),
        (false, true) => format!("{} of wall", units.area(wall)),
        (true, false) => units.area(ground),
        (false, false) => "individual places".to_owned(),
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
            format!("{}; the time of day is not known yet", units.long_date(*date))
        }
        When::Planned { date, starts } => {
            let windows: Vec<String> = starts
                .iter()
                .map(|window| format!("between {} and {}", units.clock(window.first), units.clock(window.last)))
                .collect();
            let end = treatment
                .when
                .latest_end()
                .map_or_else(String::new, |end| format!("; finished by {} at the latest", units.clock(end)));
            format!("{}, starting {}{end}", units.long_date(*date), windows.join(" or "))
        }
    }
}

/// Until when people and pets keep off, in whole sentences: the conditions, then the time; `None` where nothing is
/// known of it.
pub(super) fn keep_off(treatment: &Treatment, units: Units) -> Option<String> {
    let conditions: Vec<String> =
        treatment.advice.keep_off_conditions.iter().map(|text| text.replace('`', "")).collect();
    let time = treatment.keep_off_until().map(|time| moment(time, units));
    let first = (!conditions.is_empty()).then(|| format!("Until {}.", conditions.join(", and until ")));
    let second = time.map(|time| {
        if treatment.when.is_done() {
            format!("That is not before {time}.")
        } else {
            format!("If we start at the latest time, that is not before {time}.")
        }
    });
    let both: Vec<String> = first.into_iter().chain(second).collect();
    (!both.is_empty()).then(|| both.join(" "))
}

/// The same as briefly as a passer-by reads it: the time first, without the hours that it is made of.
pub(super) fn keep_off_briefly(treatment: &Treatment, units: Units) -> Vec<String> {
    let time = treatment.keep_off_until();
    // Where a label states hours, they stand first among the conditions.
    let hours = usize::from(time.is_some());
    let conditions = treatment.advice.keep_off_conditions.iter().skip(hours);
    let time = time.map(|time| moment(time, units));
    time.into_iter().chain(conditions.map(|text| text.replace('`', ""))).collect()
}

/// A time in whole words: `24 hours`, `1 hour 30 minutes`.
pub(super) fn whole_time(time: Duration) -> String {
    let minutes = time.to(DurationUnit::Minute).round().max(0.0) as u64;
    let words = |number: u64, one: &str, many: &str| (number > 0).then(|| quantity::counted(number, one, many));
    let parts = [words(minutes / 60, "hour", "hours"), words(minutes % 60, "minute", "minutes")];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "no time".to_owned() } else { parts.join(" ") }
}

/// Label sentences, verbatim, each once.
pub(super) fn sentences(list: &[Sentence]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for sentence in list {
        let text = if sentence.label.is_some() {
            format!("From the label: “{}”", sentence.text)
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
