//! Lists, totals of places, complaints.

use super::Common;
use super::place::{place_of, rules, standing_word, today};
use crate::console::{remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::write_file;
use exchange::books_json::{ThingJson, write_answer};
use exchange::complaint_json::write_complaint;
use exchange::record_list_json::{ListedRecordJson, RecordListJson};
use exchange::totals_json::{CAUTION, CountedTotals, totals_geojson, write_totals};
use geometry::GeoPosition;
use jiff::Timestamp;
use jiff::civil::Date;
use jurisdiction::{Jurisdiction, RuleSet};
use ledger::trade::HeldRecord;
use ledger::{Filter, Kind};
use problem::Problem;
use quantity::{AreaUnit, Length, LengthUnit, MassPerAreaUnit, Speed, SpeedUnit, counted};
use record::{
    ApplicationRecord, Complaint, DOWNWIND_ANGLE_DEGREES, Downwind, Fact, Moment, Near, Observed, PlaceTotal,
    complaint, kept_until, late_notices, standing,
};
use std::fmt::Write as _;
use std::path::Path;

/// Carries `list` out.
pub(super) fn list(on: Option<Date>, common: &Common) -> CommandResult {
    let today = on.unwrap_or_else(today);
    let desk = common.books.open_existing()?;
    let rules = rules()?;
    let mut out = String::new();
    let mut listed = Vec::new();
    for held in desk.ask(desk.book.records(&Filter::default()))? {
        let place = place_of(&desk, &held, None)?;
        if common.json {
            listed.push(listed_record(&held, place.as_ref(), &rules, today));
            continue;
        }
        let _ = writeln!(
            out,
            "{}  {}  {} (version {}): {}{}",
            held.thing,
            held.record.date,
            held.record.name,
            held.version,
            standing_word(&held, place.as_ref(), &rules, today),
            judged_words(&held.record)
        );
    }
    if out.is_empty() {
        out.push_str("the books keep no record\n");
    }
    say(&if common.json { write_answer(&RecordListJson::new(listed)) } else { out });
    Ok(Outcome::Done)
}

/// What a list says of a record under its labels; nothing where all was judged and nothing was passed.
fn judged_words(record: &ApplicationRecord) -> String {
    let passed = match record.sentences_passed() {
        0 => String::new(),
        passed => format!("; {} of a label passed", counted(passed, "sentence", "sentences")),
    };
    let not_judged = if record.not_judged.is_empty() { "" } else { "; not all of it could be judged" };
    format!("{passed}{not_judged}")
}

fn listed_record(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> ListedRecordJson {
    let thing = ThingJson {
        thing: held.thing.to_string(),
        kind: Kind::Record.to_string(),
        version: held.version,
        title: held.record.name.clone(),
        date: Some(held.record.date.to_string()),
        client: held.indexed.client.map(|client| client.to_string()),
        property: held.indexed.property.map(|property| property.to_string()),
    };
    let Some(place) = place else { return ListedRecordJson::nowhere(thing, &held.record) };
    let circumstances = held.circumstances(place);
    let standing = standing(&held.record, rules, &circumstances);
    let late = late_notices(&held.record, rules, &circumstances);
    ListedRecordJson::new(thing, &held.record, place, (&standing, &late), &kept_until(rules, &circumstances), today)
}

/// Carries `totals` out.
pub(super) fn totals(
    at: Option<GeoPosition>,
    days: (Date, Date),
    out: Option<&Path>,
    common: &Common,
) -> CommandResult {
    if days.0 > days.1 {
        return Err(Problem::error(
            "record::days",
            format!("the first day, {}, is after the last, {}", days.0, days.1),
        )
        .expected("--from before --until")
        .into());
    }
    let desk = common.books.open_existing()?;
    let days_and_place = Filter {
        from: Some(days.0),
        until: Some(days.1),
        near: at.and_then(|at| Filter::around(at, Length::ZERO)),
        ..Filter::default()
    };
    let counted = desk.ask(desk.book.counted(&days_and_place))?;
    let Some(laid) = counted.totals(at, days)? else {
        return Err(Problem::error("record::none", "the books keep no record of those days")
            .expected("one record or more")
            .into());
    };
    if let Some(file) = out {
        write_file(file, laid.told(totals_geojson).as_bytes())?;
        remark(&format!("written {}", file.display()));
    }
    say(&laid.told(if common.json { write_totals } else { total_words }));
    Ok(Outcome::Done)
}

fn total_words(counted: &CountedTotals<'_>) -> String {
    let mut out = String::new();
    let record = |number: usize| {
        counted.records.get(number).map_or_else(String::new, |counted| {
            format!("{} of {} ({})", counted.record.name, counted.record.date, counted.thing)
        })
    };
    for (place, names) in counted.named_places() {
        let _ = writeln!(out, "{}", place_words(place, &names));
        let mut told: Vec<String> = Vec::new();
        for (layer, names) in place.layers.iter().zip(&names) {
            let line = format!("  by {}: {}, {}", record(layer.record), layer.product, names.join(", "));
            if !told.contains(&line) {
                let _ = writeln!(out, "{line}");
                told.push(line);
            }
        }
    }
    for other in &counted.totals.off_ground {
        let _ = writeln!(out, "on walls or places not drawn: {} (task {})", other.product, other.task);
        let _ = writeln!(out, "  by {}", record(other.record));
    }
    if out.is_empty() {
        out.push_str("nothing was put down there on those days\n");
    }
    for (property, since) in counted.complete_since {
        let _ = match since {
            Some(day) => writeln!(out, "{property}: all applications since {day} are in the books, by its kept record"),
            None => writeln!(out, "{property}: nothing says since when all its applications are in the books"),
        };
    }
    let _ = writeln!(out, "{CAUTION}");
    out
}

fn place_words(place: &PlaceTotal, names: &[Vec<String>]) -> String {
    let mut called: Vec<&str> = Vec::new();
    // The newest layer has the names of today.
    for name in names.last().into_iter().flatten() {
        called.push(name);
    }
    let mut out = format!("{} of {}", place.area.show(AreaUnit::SquareFoot), called.join(", "));
    for total in place.products() {
        let _ = write!(
            out,
            "\n  {}: {}, last on {}",
            total.product,
            counted(total.applications, "time", "times"),
            total.last
        );
    }
    for total in place.active_ingredients() {
        let _ = write!(
            out,
            "\n  {}: {} ({})",
            total.name,
            total.per_area.show(MassPerAreaUnit::PoundPerAcre),
            total.per_area.show(MassPerAreaUnit::KilogramPerHectare)
        );
        if !total.untold.is_empty() {
            let _ = write!(out, ", and what {} brought", total.untold.join(", "));
        }
    }
    out
}

/// Carries `near` out.
pub(super) fn near(
    at: GeoPosition,
    within: Length,
    (from, until): (Timestamp, Timestamp),
    common: &Common,
) -> CommandResult {
    if from > until {
        return Err(Problem::error("record::times", format!("the beginning, {from}, is after the end, {until}"))
            .expected("--from before --until")
            .into());
    }
    let desk = common.books.open_existing()?;
    let around = Filter { near: Filter::around(at, within), ..Filter::default() };
    let (things, records): (Vec<String>, Vec<ApplicationRecord>) =
        desk.ask(desk.book.records(&around))?.into_iter().map(|held| (held.thing.to_string(), held.record)).unzip();
    let asked = Complaint { at, within, from, until, angle_degrees: DOWNWIND_ANGLE_DEGREES };
    let found = complaint(&records, &asked);
    if common.json {
        say(&write_complaint(&asked, &found, &things));
        return Ok(Outcome::Done);
    }
    let mut out = String::new();
    for near in &found {
        out.push_str(&near_words(near));
    }
    if out.is_empty() {
        out.push_str("the books hold no application there at that time\n");
    }
    say(&out);
    Ok(Outcome::Done)
}

/// What who complains, and who answers, must know of one application.
fn near_words(near: &Near<'_>) -> String {
    let record = near.of;
    let time = |moment: Option<&Moment>| moment.map_or_else(|| "time not recorded".to_owned(), ToString::to_string);
    let applicator = record.applicator.value().map_or("not recorded", String::as_str);
    let mut out = format!(
        "{} on {}, {} of {}, {} away\n  from {} to {}, by {applicator}\n",
        record.name,
        record.date,
        near.task.id,
        record.property.name,
        near.distance.show(LengthUnit::Foot),
        time(record.started.value()),
        time(record.ended.value()),
    );
    for product in &near.task.products {
        let number = product.registration_number.value().map_or("number not recorded", String::as_str);
        let _ = writeln!(out, "  {} ({number}): {}", product.name, super::super::stock::amount_words(product.amount));
    }
    for (when, seen, downwind) in
        [("at the start", &record.weather_at_start, near.at_start), ("at the end", &record.weather_at_end, near.at_end)]
    {
        let _ = writeln!(out, "  {when}: {}; the place lay {}", wind_words(seen), downwind_words(downwind));
    }
    for &(number, downwind) in &near.at_tanks {
        let seen = number.checked_sub(1).and_then(|index| near.task.tanks.get(index)).map(|tank| &tank.weather);
        if let Some(seen) = seen {
            let _ =
                writeln!(out, "  at tank {number}: {}; the place lay {}", wind_words(seen), downwind_words(downwind));
        }
    }
    out
}

fn wind_words(seen: &Observed) -> String {
    let speed = |speed: Speed| speed.show(SpeedUnit::MilePerHour);
    let from = match seen.wind_from {
        Fact::Recorded(from) => format!(" from {:.0} degrees", from.degrees()),
        Fact::DoesNotArise => ", calm".to_owned(),
        Fact::Absent => ", direction not recorded".to_owned(),
    };
    let gust = seen.gust.value().map(|gust| format!(", gusts {}", speed(*gust))).unwrap_or_default();
    seen.wind.value().map_or_else(
        || format!("wind speed not recorded{from}{gust}"),
        |wind| format!("wind {}{from}{gust}", speed(*wind)),
    )
}

fn downwind_words(downwind: Downwind) -> String {
    match downwind {
        Downwind::OnTreatedGround => "on treated ground".to_owned(),
        Downwind::Inside { nearest } => format!("downwind, {} from treated ground", nearest.show(LengthUnit::Foot)),
        Downwind::Outside => "outside the downwind sector".to_owned(),
        Downwind::Calm => "calm".to_owned(),
        Downwind::Unknown => "the wind is not recorded".to_owned(),
    }
}
