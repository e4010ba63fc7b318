//! What a visit request names or holds: map, labels, equipment, forecast, history.

use super::facts;
use crate::forecast_csv::{COLUMNS, Column, RowReader, Spot, Written};
use crate::forecast_form::parse_forecast;
use crate::geojson_map::{self, Map};
use crate::named_file::Shelf;
use crate::toml_source::{Field, Table, nearest, shown};
use crate::{equipment_file, history_file, label_file};
use jiff::civil::Date;
use label::Label;
use problem::{Problem, Problems, Severity};
use property::Property;
use sprayer::Sprayer;
use std::borrow::Cow;
use treatment::History;
use weather::HourlySeries;

/// A list of which parts may be unread, so that a name not found in it proves nothing.
pub(super) struct Listed<T> {
    pub(super) entries: Vec<T>,
    pub(super) is_whole: bool,
}

impl<T> Listed<T> {
    /// The list, unless a part of it is missing.
    pub(super) fn whole(self) -> Option<Vec<T>> {
        self.is_whole.then_some(self.entries)
    }
}

pub(super) fn property(root: &Table<'_>, shelf: &mut Shelf<'_>) -> Option<Property> {
    let facts = facts::read_all(root);
    let field = root.required_as("property", "the map: the name of a GeoJSON file, or GeoJSON itself")?;
    // What is kept under a title is called so, and not after what its map or a visit may be called.
    let kept = field.is_text().then(|| field.text()).flatten().and_then(|name| name.strip_prefix("books:property/"));
    let kept = kept.map(str::to_owned);
    let made = |map: Map| {
        let mut map = map;
        facts::apply(&facts, &mut map.features);
        let name = kept.clone().or_else(|| map.called());
        // A map without a name is called after the visit.
        let name = name.or_else(|| root.entry("name").filter(Field::is_text)?.text().map(str::to_owned));
        map.into_property(name.as_deref().unwrap_or("property"))
    };
    if field.is_table() {
        let json = field.json().to_string();
        let reading = geojson_map::read_map(&json).map_err(Problems::from).and_then(made);
        // Lines of the text made just now mean nothing to anybody.
        let unplaced = |problems: Problems| -> Problems {
            problems
                .into_iter()
                .map(|mut problem| {
                    problem.place.line = None;
                    problem
                })
                .collect()
        };
        let reading = reading.map(|(property, problems)| (property, unplaced(problems))).map_err(unplaced);
        return shelf.keep_inline(&field, &json, reading);
    }
    let text = field.text()?;
    if text.starts_with('{') {
        let reading = geojson_map::read_map(text).map_err(Problems::from).and_then(made);
        return shelf.keep_inline(&field, text, reading);
    }
    let (file, text) = shelf.fetch(&field)?;
    let reading = geojson_map::read_map(&text).map_err(Problems::from).and_then(made);
    let reading = reading
        .map(|(property, problems)| (property, problems.in_file(&file)))
        .map_err(|problems| problems.in_file(&file));
    let property = shelf.keep(reading)?;
    Some(property)
}

pub(super) fn labels(root: &Table<'_>, shelf: &mut Shelf<'_>) -> Listed<Label> {
    let mut listed = Listed { entries: Vec::<Label>::new(), is_whole: true };
    let Some(field) = root.required_as("labels", "the shelf: a list of names of label files") else {
        listed.is_whole = false;
        return listed;
    };
    for entry in field.items() {
        let label = if entry.is_table() {
            entry.table().and_then(label_file::read_table).filter(|label| {
                let faults = label::check(label);
                let errors: Vec<Problem> = faults.into_iter().filter(|p| p.severity == Severity::Error).collect();
                let sound = errors.is_empty();
                for mut problem in errors {
                    problem.place.path = Some(match problem.place.path {
                        Some(path) => format!("{}.{path}", entry.path()),
                        None => entry.path().to_owned(),
                    });
                    entry.report(problem);
                }
                sound
            })
        } else {
            shelf.fetch(&entry).and_then(|(file, text)| {
                // What the label leaves open is told by the verdicts, and by a check of the label alone.
                let (label, found) = label_file::check_label(&file, &text);
                if found.has_errors() {
                    shelf.problems.extend(found.into_iter().filter(|problem| problem.severity == Severity::Error));
                    return None;
                }
                label
            })
        };
        let Some(label) = label else {
            listed.is_whole = false;
            continue;
        };
        if listed.entries.iter().any(|before| before.id == label.id) {
            entry.report(
                Problem::error("visit::label-twice", format!("two labels on the shelf are called `{}`", label.id))
                    .expected("an `id` for each label that no other has")
                    .mend(
                        "take one of the two off the list; an older text of the same product needs an `id` of its own",
                    ),
            );
        }
        listed.entries.push(label);
    }
    if listed.entries.is_empty() && listed.is_whole {
        field.report(Problem::error("visit::no-label", "the shelf is empty").expected("one label or more"));
        listed.is_whole = false;
    }
    listed
}

pub(super) fn equipment(root: &Table<'_>, shelf: &mut Shelf<'_>) -> Listed<Sprayer> {
    let unread = || Listed { entries: Vec::new(), is_whole: false };
    let expected = "the name of an equipment file, a list of such names, or `[[equipment]]` tables";
    let Some(field) = root.required_as("equipment", expected) else {
        return unread();
    };
    if field.is_list() {
        let items = field.items();
        if items.iter().any(Field::is_text) {
            return equipment_of_files(&items, shelf);
        }
        let entries = equipment_file::read_equipment(&field);
        let is_whole = entries.len() == items.len() && !items.is_empty();
        return Listed { entries, is_whole };
    }
    let Some((file, text)) = shelf.fetch(&field) else { return unread() };
    match shelf.keep(equipment_file::parse_equipment(&file, &text)) {
        Some(entries) => Listed { entries, is_whole: true },
        None => unread(),
    }
}

/// The equipment of several files, one after the other.
fn equipment_of_files(names: &[Field<'_>], shelf: &mut Shelf<'_>) -> Listed<Sprayer> {
    let mut listed = Listed { entries: Vec::<Sprayer>::new(), is_whole: true };
    for name in names {
        // What is no text is reported as it is read.
        let read = name.text().and_then(|_| shelf.fetch(name));
        let read = read.and_then(|(file, text)| shelf.keep(equipment_file::parse_equipment(&file, &text)));
        let Some(pieces) = read else {
            listed.is_whole = false;
            continue;
        };
        for piece in pieces {
            if listed.entries.iter().any(|before| before.id() == piece.id()) {
                name.report(
                    Problem::error(
                        "visit::equipment-twice",
                        format!("two files of the visit have a piece of equipment called `{}`", piece.id()),
                    )
                    .expected("an `id` for each piece that no other has")
                    .mend("take one of the two files off the list, or rename the piece in one of them"),
                );
            }
            listed.entries.push(piece);
        }
    }
    listed
}

/// What was given cannot be used, and was reported.
pub(super) struct Unread;

pub(super) fn forecast(
    root: &Table<'_>,
    shelf: &mut Shelf<'_>,
    date: Option<Date>,
) -> Result<Option<HourlySeries>, Unread> {
    let Some(field) = root.optional("forecast") else {
        root.report(
            Problem::warning("visit::no-forecast", "no forecast is named")
                .expected("the name of a forecast file, or `[[forecast]]` tables")
                .mend("add one, or no hour can be found in which the visit may be carried out")
                .at("forecast"),
        );
        return Ok(None);
    };
    let series = read_forecast(&field, shelf).ok_or(Unread)?;
    if let Some(date) = date
        && !series.hours().iter().any(|hour| hour.start.date() == date)
    {
        field.report(
            Problem::warning("visit::other-day", format!("the forecast has no hour of `{date}`"))
                .expected("the hours of the day planned")
                .mend("name a forecast of that day, or correct the date"),
        );
    }
    Ok(Some(series))
}

fn read_forecast(field: &Field<'_>, shelf: &mut Shelf<'_>) -> Option<HourlySeries> {
    if field.is_list() {
        return inline_forecast(field);
    }
    let text = field.text()?;
    if text.contains('\n') {
        return shelf.keep_inline(field, text, parse_forecast("", text));
    }
    let (file, text) = shelf.fetch(field)?;
    shelf.keep(parse_forecast(&file, &text))
}

/// A list of tables whose fields are named like the columns of a forecast file.
fn inline_forecast(field: &Field<'_>) -> Option<HourlySeries> {
    let mut reader = RowReader::default();
    let mut problems = Problems::new();
    for table in field.tables() {
        let mut cells: Vec<(Column, Written<'_>)> = Vec::new();
        for (name, column) in COLUMNS {
            let Some(cell) = table.optional(name) else { continue };
            let text = match cell.json() {
                serde_json::Value::String(text) => text,
                serde_json::Value::Null => "nan".to_owned(),
                other => other.to_string(),
            };
            if let Some((before, _)) = cells.iter().find(|(before, _)| before.is_same_quantity(*column)) {
                cell.report(
                    Problem::error(
                        "forecast::column-twice",
                        format!("`{}` and `{name}` name the same quantity", before.name()),
                    )
                    .expected("one field for each quantity")
                    .mend("delete one of the two"),
                );
            }
            cells.push((*column, Written { text: Cow::Owned(text), spot: Spot::Field(cell.path().to_owned()) }));
        }
        reader.read(&cells, &Spot::Field(table.path().to_owned()), &mut problems);
        table.finish();
    }
    let (series, problems) = match reader.finish(problems) {
        Ok((series, problems)) => (Some(series), problems),
        Err(problems) => (None, problems),
    };
    for problem in problems {
        field.report(problem);
    }
    series
}

pub(super) fn history(root: &Table<'_>, shelf: &mut Shelf<'_>, property: Option<&Property>) -> Option<History> {
    let field = root.required_as("history", "the name of a history file, a table, or `\"unknown\"`")?;
    let plane = property.map(Property::plane);
    if field.is_table() {
        let history = history_file::read_history(field.table()?, plane, &mut |named| {
            super::link::check_feature(named, property);
        });
        return Some(history);
    }
    let text = field.text()?;
    if text.eq_ignore_ascii_case("unknown") {
        return Some(History::Unknown);
    }
    if nearest(text, ["unknown"]).is_some() {
        field.report(
            Problem::error("toml::unknown-word", format!("`{}` is no word known here", shown(text)))
                .expected("the name of a history file, or `unknown`")
                .mend("did you mean `unknown`?"),
        );
        return None;
    }
    let (file, text) = shelf.fetch(&field)?;
    shelf.keep(history_file::parse_history_for(&file, &text, plane, &mut |named| {
        super::link::check_feature(named, property);
    }))
}
