//! Waterings and mowings of a lawn as calendar entries.
//!
//! Times are those of the clock on the wall, without a zone: a controller and a mower go by it wherever the calendar is read. The
//! stamp of every entry is the beginning of the first planned day, and its identifier is made of lawn, day and subject, so that
//! the same plan gives the same bytes.
//!
//! # Source
//! RFC 5545, sections 3.3.5 (form 1, date with local time), 3.6.1 (events), 3.8.4.7 (identifiers).

use crate::calendar::{identifier, plain};
use icalendar::{Calendar, Component, Event, Property};
use jiff::civil::{Date, DateTime};
use quantity::{Length, LengthUnit};
use season::mow_plan::MowPlan;
use season::water_plan::WaterPlan;

const PRODUCER: &str = "-//tussock//lawn//EN";

/// The waterings of a lawn; `None` when none is planned, since RFC 5545, section 3.6, asks for an entry at the least.
pub fn write_water_calendar(lawn: &str, plan: &WaterPlan) -> Option<String> {
    let zones = plan.request.controller.zones();
    let entries = plan.programs().map(|program| {
        let mut lines = vec![format!("{} that reaches the roots.", depth_words(program.depth))];
        if let Some(asked) = plan.watered_in(program) {
            lines.push(format!("Waters in the treatment of {}, by {}.", asked.visit, moment(asked.by)));
        }
        lines.extend(program.runs.iter().map(|run| {
            let name = zones.get(run.zone).map_or("", |zone| zone.name());
            format!("{} {name}: {} min", run.start.strftime("%H:%M"), run.minutes)
        }));
        Entry {
            subject: format!("water-{}", program.start.strftime("%H%M")),
            date: program.start.date(),
            summary: format!("{lawn}: water {}", depth_words(program.depth)),
            lines,
            from: program.start,
            until: program.end,
        }
    });
    calendar(lawn, plan.request.plan_from, entries.collect())
}

/// The mowings of a lawn; `None` when none is planned.
pub fn write_mowing_calendar(lawn: &str, plan: &MowPlan) -> Option<String> {
    let entries = plan.mowings().map(|(date, mowing)| {
        let mut lines = vec![format!("From {} to {}.", depth_words(mowing.standing), depth_words(mowing.cut_to))];
        if mowing.is_step {
            lines.push("The grass is too high for one mowing: cut it again some days later.".to_owned());
        }
        Entry {
            subject: "mow".to_owned(),
            date,
            summary: format!("{lawn}: mow to {}", depth_words(mowing.cut_to)),
            lines,
            from: mowing.within.from,
            until: mowing.within.until,
        }
    });
    calendar(lawn, plan.request.plan_from, entries.collect())
}

struct Entry {
    subject: String,
    date: Date,
    summary: String,
    lines: Vec<String>,
    from: DateTime,
    until: DateTime,
}

fn calendar(lawn: &str, stamp: Date, entries: Vec<Entry>) -> Option<String> {
    if entries.is_empty() {
        return None;
    }
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", PRODUCER));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    for entry in entries {
        let mut event = Event::new();
        event.uid(&identifier(lawn, entry.date, &entry.subject));
        event.add_property("DTSTAMP", stamp.strftime("%Y%m%dT000000Z").to_string());
        event.summary(&plain(&entry.summary));
        event.description(&plain(&entry.lines.join("\n")));
        event.add_property("TRANSP", "TRANSPARENT");
        event.add_property("DTSTART", local(entry.from));
        // An event ends after it starts.
        if entry.until > entry.from {
            event.add_property("DTEND", local(entry.until));
        }
        calendar.push(event.done());
    }
    Some(calendar.to_string())
}

fn local(time: DateTime) -> String {
    time.strftime("%Y%m%dT%H%M%S").to_string()
}

fn moment(time: DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}

fn depth_words(depth: Length) -> String {
    format!("{:.2} in ({:.0} mm)", depth.to(LengthUnit::Inch), depth.to(LengthUnit::Millimetre))
}
