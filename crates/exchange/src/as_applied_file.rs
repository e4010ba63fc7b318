//! What differed from a planned visit, as a TOML file that a person writes after it.
//!
//! Whatever the file does not say was done as planned. The fields are told in `docs/as-applied.md`.

mod clock;
mod fact;
mod task;

use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
pub use clock::clock_of;
use fact::{fact, moment, read_fact, text};
use geometry::LocalPlane;
use jiff::civil::Date;
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Bearing, parse_temperature};
use record::{
    Actual, ActualTask, ApplicationRecord, Fact, Left, NoticeGiven, Observed, TargetCounts, apply, check_actual,
};
use sprayer::Sprayer;

/// The first line of the file.
pub const FORMAT: &str = "tussock.as-applied/1";

/// The clock and the ground of the visit that the file tells of.
#[derive(Debug, Clone, Copy)]
struct Day<'a> {
    date: Date,
    offset: Offset,
    plane: &'a LocalPlane,
}

/// Reads what differed from a planned visit. `file` is the name that its user gave it and only serves
/// messages; `planned` is the record of the visit as planned; times without an offset are on the clock of
/// `offset`; `equipment` is what is known of the sprayers. What cannot be, or is unlikely, is told as well.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_as_applied(
    file: &str,
    text: &str,
    planned: &ApplicationRecord,
    offset: Offset,
    equipment: &[Sprayer],
) -> Result<(Actual, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let plane = planned.plane();
    let actual = read(&source, planned, offset, &plane);
    check_actual(&actual, planned, equipment).into_iter().for_each(|problem| source.report(problem));
    source.into_problems().unless_errors(actual)
}

/// Reads what differed, and applies it to the record as planned.
///
/// # Errors
/// As [`parse_as_applied`], and all that [`record::apply`] finds, placed at its field.
pub fn record_as_applied(
    file: &str,
    text: &str,
    planned: &ApplicationRecord,
    offset: Offset,
    equipment: &[Sprayer],
) -> Result<(ApplicationRecord, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let plane = planned.plane();
    let actual = read(&source, planned, offset, &plane);
    let unread: Vec<String> = source.errors_so_far().into_iter().filter_map(|problem| problem.place.path).collect();
    // Without its first line it is no such file, and nothing else of it was read.
    let is_other = unread.iter().any(|path| path == "format") || source.has_errors() && unread.is_empty();
    if is_other {
        return Err(source.into_problems());
    }
    check_actual(&actual, planned, equipment).into_iter().for_each(|problem| source.report(problem));
    match apply(planned, &actual) {
        Ok(record) => source.into_problems().unless_errors(record),
        Err(found) => {
            // What is said of a place that could not be read, or of what holds it, may come of that alone.
            let is_of = |path: &str, other: &str| {
                path.strip_prefix(other).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
            };
            let is_told = |problem: &Problem| {
                let path = problem.place.path.as_deref().unwrap_or_default();
                unread.iter().any(|unread| is_of(path, unread) || is_of(unread, path))
            };
            for problem in found.into_iter().filter(|problem| !is_told(problem)) {
                source.report(problem);
            }
            Err(source.into_problems())
        }
    }
}

fn read(source: &Source<'_>, planned: &ApplicationRecord, offset: Offset, plane: &LocalPlane) -> Actual {
    let root = source.root();
    let mut actual = Actual::default();
    if !crate::format_line::check(&root, FORMAT) {
        return actual;
    }
    root.know("format");
    actual.date = root.optional("date").and_then(|field| field.date());
    let day = Day { date: actual.date.unwrap_or(planned.date), offset, plane };
    actual.started = read_fact(&root, "started", |field| moment(field, &day));
    actual.ended = read_fact(&root, "ended", |field| moment(field, &day));
    if let Some(weather) = root.table("weather") {
        actual.weather_at_start = weather.table("start").map(observed).unwrap_or_default();
        actual.weather_at_end = weather.table("end").map(observed).unwrap_or_default();
        weather.finish();
    }
    actual.client = text(&root, "client");
    actual.client_address = text(&root, "client_address");
    actual.location = text(&root, "location");
    actual.applicator = text(&root, "applicator");
    actual.certification_number = text(&root, "certification_number");
    actual.supervisor = text(&root, "supervisor");
    actual.noncertified_applicator = text(&root, "noncertified_applicator");
    actual.unexpected = text(&root, "unexpected");
    actual.disposal = text(&root, "disposal");
    actual.notices = notices(&root, &day);
    actual.target_counts = read_fact(&root, "target_counts", counts);
    actual.nothing_left_over = root.optional("nothing_left_over").and_then(|field| field.flag()) == Some(true);
    actual.tasks = root.tables("task").into_iter().map(|table| task::read_task(table, &day)).collect();
    let is_left = |task: &ActualTask| {
        let mut all = task.leftover.iter().chain(task.tanks.iter().filter_map(|tank| tank.leftover.as_ref()));
        all.any(|leftover| leftover.left != Left::Nothing)
    };
    if actual.nothing_left_over && actual.tasks.iter().any(is_left) {
        root.report(
            Problem::error("as-applied::left-over", "nothing was left over, and a task says what was left")
                .expected("one of the two")
                .mend("delete `nothing_left_over`, or the leftover of the task")
                .at("nothing_left_over"),
        );
    }
    root.finish();
    actual
}

fn observed(table: Table<'_>) -> Observed {
    let observed = Observed {
        wind_from: read_fact(&table, "wind_from", |field| field.number_between(0.0, 360.0).map(Bearing::from_degrees)),
        wind: read_fact(&table, "wind", quantity_of::speed),
        gust: read_fact(&table, "gust", quantity_of::speed),
        temperature: read_fact(&table, "temperature", |field| {
            field.quantity(parse_temperature).map(|(temperature, _)| temperature)
        }),
        remarks: text(&table, "remarks"),
    };
    table.finish();
    observed
}

fn notices(root: &Table<'_>, day: &Day<'_>) -> Fact<Vec<NoticeGiven>> {
    let Some(field) = root.optional("notice") else { return Fact::Absent };
    if !field.is_list() {
        return fact(&field, |_| None);
    }
    let read = |table: Table<'_>| {
        let to = table.required_as("to", "to whom, or where the sign stood").and_then(|field| field.text());
        let how = table.required_as("how", "by telephone, by letter, by sign").and_then(|field| field.text());
        let given = read_fact(&table, "given", |field| moment(field, day));
        table.finish();
        Some(NoticeGiven { to: to?.to_owned(), how: how?.to_owned(), given })
    };
    Fact::Recorded(field.tables().into_iter().filter_map(read).collect())
}

fn counts(field: &Field<'_>) -> Option<TargetCounts> {
    let table = field.table()?;
    let pest = table.required("pest").and_then(|field| field.text());
    let counts = table.required_as("counts", "one whole number a station").and_then(|field| field.each(Field::whole));
    let count_area = table.optional("count_area").map(|field| quantity_of::area(&field));
    table.finish();
    Some(TargetCounts {
        pest: pest?.to_owned(),
        counts: counts?,
        count_area: count_area.map_or(Some(None), |area| area.map(Some))?,
    })
}
