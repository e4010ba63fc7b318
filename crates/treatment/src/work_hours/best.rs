//! Of all lawful starts of a day the best one, and why.

use super::{WorkHour, clock, end_of, is_open};
use crate::hours::{Dryness, HourLimits, dry_after, hours_words, later};
use crate::visit::StartWindow;
use jiff::civil::{Date, DateTime};
use quantity::{Duration, DurationUnit, SpeedUnit};
use weather::{HourlySeries, SunTimes};

/// The best start of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct BestStart {
    /// When to start.
    pub start: DateTime,
    /// When the work ends then.
    pub finish: DateTime,
    /// From when what was sprayed last is likely dry in the shade; `None` where it cannot be told.
    pub dry_from: Option<DateTime>,
    /// What speaks for it.
    pub reasons: Vec<String>,
    /// What asks for care all the same.
    pub cautions: Vec<String>,
    cost: u64,
}

impl BestStart {
    /// How much care it asks for: the shares of the work under each caution, added up, in thousandths. The least is best.
    pub const fn cost(&self) -> u64 {
        self.cost
    }
}

/// Minutes between starts that are compared.
const STEP_MINUTES: i64 = 15;
/// Work in the dark counts as so many cautions, and rain within the time wanted after it likewise.
const DARK: f64 = 3.0;
const RAIN: f64 = 2.0;

/// The best start of each day that has any.
pub(super) fn starts(
    hours: &[WorkHour],
    windows: &[StartWindow],
    duration: Duration,
    days: &[(Date, SunTimes)],
    series: &HourlySeries,
    limits: &HourLimits,
) -> Vec<BestStart> {
    let of_day = |date: Date| {
        let candidates = windows.iter().filter(move |window| window.first.date() == date).flat_map(candidates);
        let weighed = candidates.map(|start| weigh(start, hours, duration, series, limits));
        weighed.min_by_key(|weighed| (weighed.cost, weighed.start))
    };
    days.iter()
        .filter_map(|(date, _)| {
            let best = of_day(*date)?;
            Some(told(best, hours, windows))
        })
        .collect()
}

/// Starts of a window: its first and last minute, and every quarter of an hour between.
fn candidates(window: &StartWindow) -> impl Iterator<Item = DateTime> + use<> {
    let (first, last) = (window.first, window.last);
    let step = move |from: &DateTime| {
        let minute = i64::from(from.minute());
        let ahead = STEP_MINUTES - minute % STEP_MINUTES;
        from.checked_add(jiff::Span::new().minutes(ahead)).ok().filter(|next| *next < last)
    };
    std::iter::successors(Some(first), step).chain(std::iter::once(last))
}

/// A start with what it costs, and the hours that the work lies in with its share in each.
struct Weighed {
    start: DateTime,
    finish: DateTime,
    cost: u64,
    dryness: Vec<(Duration, Dryness)>,
}

fn weigh(
    start: DateTime,
    hours: &[WorkHour],
    duration: Duration,
    series: &HourlySeries,
    limits: &HourLimits,
) -> Weighed {
    let finish = later(start, duration);
    let mut cost = 0.0;
    for (hour, share) in shares(hours, start, finish) {
        let cautions = hour.hour.reasons.iter().map(|reason| if reason.rule == "hour::dark" { DARK } else { 1.0 });
        cost += share * cautions.sum::<f64>();
    }
    let dryness: Vec<(Duration, Dryness)> =
        limits.rain_free.iter().map(|limit| (limit.value, dry_after(series, finish, limit.value))).collect();
    cost += RAIN * dryness.iter().filter(|(_, dryness)| matches!(dryness, Dryness::RainAt(_))).count() as f64;
    Weighed { start, finish, cost: (cost * 1000.0).round() as u64, dryness }
}

/// The hours that a stretch of time lies in, each with its share of the stretch.
fn shares(hours: &[WorkHour], start: DateTime, finish: DateTime) -> impl Iterator<Item = (&WorkHour, f64)> {
    let whole = seconds(start, finish).max(1.0);
    hours.iter().filter_map(move |hour| {
        let (from, to) = (hour.hour.start.max(start), end_of(&hour.hour).min(finish));
        (from < to).then(|| (hour, seconds(from, to) / whole))
    })
}

fn seconds(from: DateTime, to: DateTime) -> f64 {
    from.duration_until(to).as_secs_f64()
}

/// A start with the words for and against it.
fn told(best: Weighed, hours: &[WorkHour], windows: &[StartWindow]) -> BestStart {
    let Weighed { start, finish, cost, dryness } = best;
    let mut reasons = Vec::new();
    let mut cautions: Vec<String> = Vec::new();
    for (hour, _) in shares(hours, start, finish) {
        for reason in &hour.hour.reasons {
            let words = format!("{} from {}: {}", reason.text, clock(hour.hour.start), reason.detail);
            if !cautions.iter().any(|known| known.starts_with(&reason.text)) {
                cautions.push(words);
            }
        }
    }
    let winds: Vec<f64> = shares(hours, start, finish)
        .filter_map(|(hour, _)| hour.hour.wind)
        .map(|wind| wind.to(SpeedUnit::MilePerHour))
        .collect();
    let (low, high) =
        winds.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), wind| (low.min(*wind), high.max(*wind)));
    if low.is_finite() {
        let speed = |speed: f64| quantity::significant(speed, 2);
        let between = if speed(low) == speed(high) { speed(low) } else { format!("{} to {}", speed(low), speed(high)) };
        reasons.push(format!("wind of {between} mph"));
    }
    if cautions.is_empty() {
        reasons.push("nothing asks for care in its hours".to_owned());
    } else {
        let avoided = avoided(hours, windows, start, &cautions);
        if !avoided.is_empty() {
            reasons.push(format!("it keeps clear of hours with: {}", avoided.join(", ")));
        }
    }
    for (wanted, dryness) in dryness {
        let hours = hours_words(wanted);
        match dryness {
            Dryness::Dry => reasons.push(format!("no rain in the forecast for {hours} h after its end")),
            Dryness::RainAt(rain) => cautions.push(format!(
                "rain from {} on {}, within the {hours} h that are wanted dry",
                clock(rain),
                rain.date()
            )),
            Dryness::Unknown => cautions.push(format!("the forecast does not reach {hours} h past its end")),
        }
    }
    if let Some(reason) = next_refusal(hours, finish) {
        reasons.push(reason);
    }
    let dry_from = shares(hours, start, finish)
        .filter_map(|(hour, _)| Some((hour.air.drying?, hour)))
        .last()
        .map(|(time, _)| later(finish, Duration::new((time.to(DurationUnit::Minute)).ceil(), DurationUnit::Minute)));
    BestStart { start, finish, dry_from, reasons, cautions, cost }
}

/// Cautions of other starts of the day that this one does not have.
fn avoided(hours: &[WorkHour], windows: &[StartWindow], start: DateTime, own: &[String]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let in_windows = |hour: &&WorkHour| {
        windows.iter().any(|window| {
            window.first.date() == start.date()
                && hour.hour.start < window.finish_if_last
                && end_of(&hour.hour) > window.first
        })
    };
    for reason in hours.iter().filter(in_windows).flat_map(|hour| &hour.hour.reasons) {
        if !own.iter().any(|words| words.starts_with(&reason.text)) && !found.contains(&reason.text) {
            found.push(reason.text.clone());
        }
    }
    found
}

/// The first hour after the work that may not be worked in.
fn next_refusal(hours: &[WorkHour], finish: DateTime) -> Option<String> {
    let next = hours.iter().find(|hour| hour.hour.start >= finish && !is_open(&hour.hour))?;
    if next.hour.start.date() != finish.date() {
        return None;
    }
    let reason = next.strongest()?;
    let spare = seconds(finish, next.hour.start) / 60.0;
    Some(format!("{spare:.0} minutes to spare before {} ({})", clock(next.hour.start), reason.text))
}
