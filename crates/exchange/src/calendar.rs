//! The visit as calendar entries: when to start, who keeps off until when, when to water, when the
//! same may be done again.
//!
//! There is no clock here, so the stamp of every entry is the start of the visit's date, and its
//! identifier is made of property, date and subject: the same visit gives the same bytes, and a
//! calendar that takes the file twice keeps one entry of each.
//!
//! # Source
//! RFC 5545, sections 3.1 (lines of at most 75 octets, ended by CR LF), 3.3.11 (escaped text),
//! 3.6.1 (events), 3.8.4.7 (identifiers), 3.8.7.2 (stamps).

use icalendar::{Calendar, Component, Event, Property};
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use quantity::{DurationUnit, Length, LengthUnit};
use std::fmt::Write as _;
use treatment::{Sentence, Status, Visit};

/// The program that made a calendar.
pub(crate) const PRODUCER: &str = "-//tussock//visit//EN";

/// The calendar of a visit; `None` when there is nothing to put into one, since RFC 5545, section 3.6,
/// asks for an entry at the least. A refused visit has none: nothing is to be applied.
///
/// It is a file, not a message between calendars, and so has no `METHOD` (RFC 5546 would ask for an
/// organizer). An entry planned anew keeps its identifier.
pub fn write_calendar(visit: &Visit) -> Option<String> {
    let entries = entries(visit);
    if entries.is_empty() {
        return None;
    }
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", PRODUCER));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    for entry in entries {
        calendar.push(entry.event(visit));
    }
    Some(calendar.to_string())
}

enum When {
    /// From one time to another.
    Between(DateTime, DateTime),
    /// At one time.
    At(DateTime),
    /// The whole day.
    On(Date),
}

struct Entry {
    /// Unique within the visit; part of the identifier.
    subject: String,
    summary: String,
    description: Vec<String>,
    when: When,
}

fn entries(visit: &Visit) -> Vec<Entry> {
    let mut entries = Vec::new();
    if visit.verdict() == Status::Refused {
        return entries;
    }
    if let Some(window) = &visit.start_window {
        let minutes = visit.duration.to(DurationUnit::Minute);
        entries.push(Entry {
            subject: "start-window".to_owned(),
            summary: format!("{}: start the treatment", visit.name),
            description: vec![
                format!("Start from {} to {}.", clock(window.first), clock(window.last)),
                format!(
                    "The job takes {minutes:.0} minutes: started first it ends at {}, started last at {}.",
                    clock(window.finish_if_first),
                    clock(window.finish_if_last)
                ),
                "Look at wind and rain on the spot before and while applying; the label is the law.".to_owned(),
            ],
            when: When::Between(window.first, window.last),
        });
    }
    if let Some(not_before) = visit.keep_off.not_before {
        let mut description = vec![format!(
            "People and pets stay off until {}, for a finish at the latest lawful minute.",
            moment(not_before)
        )];
        description.extend(visit.keep_off.conditions.iter().map(|condition| format!("And not before: {condition}.")));
        description.extend(visit.keep_off.sentences.iter().map(quoted));
        entries.push(Entry {
            subject: "keep-off-end".to_owned(),
            summary: format!("{}: keeping off may end", visit.name),
            description,
            when: When::At(not_before),
        });
    }
    if let Some(first) = visit.irrigation.first_permitted {
        let mut description =
            vec![format!("No irrigation before {}, for a finish at the latest lawful minute.", moment(first))];
        description.extend(visit.irrigation.sentences.iter().map(quoted));
        entries.push(Entry {
            subject: "first-irrigation".to_owned(),
            summary: format!("{}: irrigation permitted again", visit.name),
            description,
            when: When::At(first),
        });
    }
    for (index, (depth, by)) in visit.irrigation.water_in.iter().enumerate() {
        let Some(by) = by else { continue };
        let mut description =
            vec![format!("Water in with {} by {}, and not to the point of runoff.", depth_words(*depth), moment(*by))];
        description.extend(visit.irrigation.sentences.iter().map(quoted));
        entries.push(Entry {
            subject: format!("watering-in-{}", index + 1),
            summary: format!("{}: watering-in deadline", visit.name),
            description,
            when: When::At(*by),
        });
    }
    for task in &visit.tasks {
        let Some(date) = task.next_lawful() else { continue };
        entries.push(Entry {
            subject: format!("earliest-repeat-{}", task.id),
            summary: format!("{}: {} may be repeated", visit.name, task.id),
            description: vec![
                format!(
                    "First date on which interval, number and what is left of the label allow {} again here: {date}.",
                    product_names(task)
                ),
                "A date is no reason to treat: count first, and treat only where the count calls for it.".to_owned(),
            ],
            when: When::On(date),
        });
    }
    entries
}

/// The products of a task, in words.
fn product_names(task: &treatment::Task) -> String {
    task.products().map(|product| product.name.as_str()).collect::<Vec<_>>().join(" with ")
}

impl Entry {
    fn event(&self, visit: &Visit) -> Event {
        let mut event = Event::new();
        event.uid(&identifier(&visit.name, visit.date, &self.subject));
        event.add_property("DTSTAMP", utc(visit.date.at(0, 0, 0, 0), visit.offset));
        event.summary(&plain(&self.summary));
        event.description(&plain(&self.description.join("\n")));
        event.add_property("TRANSP", "TRANSPARENT");
        match self.when {
            When::Between(from, to) => {
                event.add_property("DTSTART", utc(from, visit.offset));
                // An event ends after it starts; a window of one minute has its start alone.
                if to > from {
                    event.add_property("DTEND", utc(to, visit.offset));
                }
            }
            When::At(at) => {
                event.add_property("DTSTART", utc(at, visit.offset));
            }
            When::On(date) => {
                let mut property = Property::new("DTSTART", date.strftime("%Y%m%d").to_string());
                event.append_property(property.add_parameter("VALUE", "DATE").done());
            }
        }
        event.done()
    }
}

/// The same for the same property, date and subject, and for no other: letters, digits and hyphens
/// stand for themselves, every other byte for its two hexadecimal digits after an underscore.
pub(crate) fn identifier(property: &str, date: Date, subject: &str) -> String {
    let escaped = |text: &str| {
        text.bytes().fold(String::new(), |mut out, byte| {
            if byte.is_ascii_alphanumeric() || byte == b'-' {
                out.push(char::from(byte));
            } else {
                let _ = write!(out, "_{byte:02x}");
            }
            out
        })
    };
    format!("{}.{date}.{}@tussock.invalid", escaped(property), escaped(subject))
}

/// A local time in universal time, in the form of a calendar.
fn utc(local: DateTime, offset: Offset) -> String {
    let seconds = i64::from(offset.seconds());
    let universal = local.saturating_sub(jiff::SignedDuration::from_secs(seconds));
    universal.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// Text without control characters other than the new line.
pub(crate) fn plain(text: &str) -> String {
    text.chars().filter(|c| *c == '\n' || !c.is_control()).collect()
}

fn clock(time: DateTime) -> String {
    time.strftime("%H:%M").to_string()
}

fn moment(time: DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}

fn depth_words(depth: Length) -> String {
    format!("{:.2} in ({:.0} mm) of water", depth.to(LengthUnit::Inch), depth.to(LengthUnit::Millimetre))
}

fn quoted(sentence: &Sentence) -> String {
    match sentence.page {
        Some(page) => format!("\"{}\" (label, page {page})", sentence.text),
        None => format!("\"{}\"", sentence.text),
    }
}
