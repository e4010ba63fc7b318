//! The first page: when, what to keep off until when, what was found, who applies.

use super::number;
use crate::Units;
use crate::number::{amount, duration};
use crate::words::{plain, time};
use quantity::counted;
use serde_json::{Value, json};
use std::fmt::Write as _;
use treatment::{Call, Finding, StartWindow, Status, Visit};

/// Pairs of a heading and its words: the work on the left, what comes after it on the right, and below
/// both what led to the visit.
pub(super) fn of(visit: &Visit, units: Units) -> Value {
    let is_refused = visit.verdict() == Status::Refused;
    let first = if is_refused { Vec::new() } else { work(visit, units) };
    let second = if is_refused { Vec::new() } else { afterwards(visit, units) };
    json!({ "first": pairs(first), "second": pairs(second), "below": pairs(before(visit)) })
}

fn pairs(list: Vec<(&str, String)>) -> Vec<Value> {
    list.into_iter().map(|(head, text)| json!([head, text])).collect()
}

fn work(visit: &Visit, units: Units) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    let each =
        |window: &StartWindow| format!("{} to {}", time(visit, window.first, units), time(visit, window.last, units));
    let windows: Vec<String> = visit.start_windows.iter().map(each).collect();
    let start =
        if windows.is_empty() { "no lawful start is known on this date".to_owned() } else { windows.join("; ") };
    facts.push(("Start", start));
    let ends = visit.start_windows.first().zip(visit.start_windows.last());
    let end = ends.map_or_else(String::new, |(first, last)| {
        let (first, last) = (time(visit, first.finish_if_first, units), time(visit, last.finish_if_last, units));
        format!("; done by {first} to {last}")
    });
    facts.push(("Duration", format!("{}{end}", duration(visit.duration))));
    if let (Some(rise), Some(set)) = (visit.sun.rise, visit.sun.set) {
        facts.push(("Sun", format!("up {}, down {}", time(visit, rise, units), time(visit, set, units))));
    }
    for product in &visit.products {
        facts.push(("Product", format!("{}: {} in all", product.product, amount(product.measured))));
    }
    if visit.spray.is_positive() {
        let tanks = counted(visit.tanks, "tank", "tanks");
        facts.push(("Spray", format!("{} in {tanks}", units.spray_both(visit.spray))));
    }
    facts
}

/// A line to fill in on the spot.
const BLANK: &str = "________";

fn afterwards(visit: &Visit, units: Units) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    let latest = visit
        .start_windows
        .last()
        .map_or_else(String::new, |window| format!(" for the latest start, {}", time(visit, window.last, units)));
    let mut until: Vec<String> = visit.keep_off.conditions.iter().map(|text| plain(visit, text)).collect();
    if let Some(at) = visit.keep_off.not_before {
        until.push(format!("not before {}{latest}", time(visit, at, units)));
    }
    if until.is_empty() {
        until.push("not known: ask before anyone returns".to_owned());
    }
    facts.push(("Keep off until", format!("{}.", until.join("; "))));
    facts.push(("", format!("Finished at {BLANK}, so keep off until {BLANK}")));
    let mut water = Vec::new();
    if let Some(time) = visit.irrigation.prohibited_for {
        water.push(format!("none for {} after the finish", duration(time)));
    }
    if let Some(first) = visit.irrigation.first_permitted {
        water.push(format!("not before {}{latest}", time(visit, first, units)));
    }
    if !water.is_empty() {
        facts.push(("Watering", format!("{}.", water.join("; "))));
    }
    for (depth, by) in &visit.irrigation.water_in {
        let by = by.map_or_else(String::new, |by| format!(" by {}, for the earliest finish", time(visit, by, units)));
        facts.push(("Water in", format!("{}{by}", units.depth(*depth))));
    }
    if visit.posting.is_empty() {
        facts.push(("Posting", "the labels state nothing; check state and local rules".to_owned()));
    } else {
        facts.push(("Posting", "as the labels say, on the next page; check state and local rules too".to_owned()));
    }
    facts
}

fn before(visit: &Visit) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    let several = visit.findings.len() > 1;
    for finding in &visit.findings {
        let tasks: Vec<&str> = visit
            .tasks
            .iter()
            .filter(|task| task.finding.as_ref() == Some(&finding.id))
            .map(|task| task.id.as_str())
            .collect();
        let named = if several { format!("{}, for {}: ", finding.id, or_none(&tasks)) } else { String::new() };
        facts.push(("Found", format!("{named}{}", found(finding))));
    }
    if let Some(applicator) = &visit.applicator {
        let number = applicator.certification.as_ref().map_or_else(String::new, |number| format!(", {number}"));
        // Where the books hold something against the certificate, the request's own word for it is not repeated.
        let is_doubted = visit.verdicts.iter().any(|verdict| verdict.rule.starts_with("authority::"));
        let word = match (is_doubted, applicator.certified) {
            (true, _) => "authority not shown: see the points above",
            (false, true) => "certified for this category, as the request says",
            (false, false) => "not certified for this category, as the request says",
        };
        facts.push(("Applicator", format!("{}{number}, {word}", applicator.name)));
    }
    facts
}

fn or_none(tasks: &[&str]) -> String {
    if tasks.is_empty() { "no task".to_owned() } else { tasks.join(", ") }
}

fn found(finding: &Finding) -> String {
    let stage = finding.stage.as_ref().map_or_else(String::new, |stage| format!(", {stage}"));
    let who = finding.identified_by.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
    let mut text = format!("{}{stage}; {}{who}", finding.pest, finding.basis);
    if let Some((mean, error)) = &finding.density {
        let counts = counted(finding.counts, "count", "counts");
        let _ = match error {
            Some(error) => write!(
                text,
                "; {} ± {} {} (mean and standard error of {counts})",
                number(mean),
                number(error),
                mean.unit
            ),
            None => write!(text, "; {} {} ({counts})", number(mean), mean.unit),
        };
    }
    if let Some((survey, date)) = &finding.survey {
        let _ = write!(text, "; counted on {date} ({survey})");
    }
    if let Some((threshold, source)) = &finding.threshold {
        let _ = write!(text, "; threshold {} ({source})", threshold.show());
    }
    match finding.call {
        Call::Treat => text.push_str("; the threshold is reached"),
        Call::Broadcast => text.push_str("; more than that: broadcast"),
        Call::MoundsAlone => text.push_str("; not more than that: the mounds alone"),
        Call::DoNotTreat => text.push_str("; the threshold is not reached"),
        Call::CountOn(more) => {
            let _ = write!(text, "; not decided: about {}", counted(more, "more count", "more counts"));
        }
        Call::NotShown => {}
    }
    if finding.preventive {
        text.push_str("; meant to be preventive");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;

    /// Of two runs of start times the later one decides when people may come back.
    #[test]
    fn the_latest_start_is_that_of_the_last_window() {
        let mut visit = sample::visit();
        let mut second = *visit.start_windows.first().expect("a window");
        for time in [&mut second.first, &mut second.last, &mut second.finish_if_first, &mut second.finish_if_last] {
            *time = time.with().hour(time.hour() + 10).build().expect("a time");
        }
        visit.start_windows.push(second);
        let units = Units::Metric;
        let latest = time(&visit, second.last, units);
        let (_, keep_off) = &afterwards(&visit, units)[0];
        assert!(keep_off.contains(&format!("for the latest start, {latest}")), "{keep_off}");
        let all = work(&visit, units);
        let (_, duration) = all.iter().find(|(head, _)| *head == "Duration").expect("a duration");
        assert!(duration.ends_with(&time(&visit, second.finish_if_last, units)), "{duration}");
    }
}
