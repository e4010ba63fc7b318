//! Counts of a pest on one day, as a TOML file that a person writes on the spot. The fields are told in
//! `docs/survey-file.md`.

use crate::business_file::{all, text, whole};
use crate::kept::{AreaText, Day, Position, Reference, Station, Survey, SurveyTreatment, counted_before};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
use problem::{Problem, Problems};

/// The first line of the file.
pub const FORMAT: &str = "tussock.survey/1";

/// A survey file as it was read. It names the property as the books call it.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyFile {
    /// The property's name in the books.
    pub property: String,
    /// The day.
    pub date: Day,
    /// The pest, by common name.
    pub pest: String,
    /// Its life stage.
    pub stage: Option<String>,
    /// How it was sampled.
    pub method: String,
    /// The area that one count covers.
    pub count_area: AreaText,
    /// The treatment that the count follows.
    pub treated: Option<SurveyTreatment>,
    /// The stations: those without a place first.
    pub stations: Vec<Station>,
    /// Who counted.
    pub by: String,
    /// Anything else.
    pub note: Option<String>,
}

impl SurveyFile {
    /// The document that the books keep, on the property of this identifier.
    pub fn kept(self, property: Reference) -> Survey {
        let Self { date, pest, stage, method, count_area, treated, stations, by, note, .. } = self;
        Survey { property, date, pest, stage, method, count_area, treated, stations, by, note }
    }
}

/// Reads a survey file. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_survey(file: &str, text: &str) -> Result<(SurveyFile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    match read(&source) {
        Some(survey) => source.into_problems().unless_errors(survey),
        None => Err(source.into_problems()),
    }
}

/// Every field that the reader asked for in this text, without the numbers of list entries. For comparing
/// with what is told about the file.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read(&source);
            source.asked().into_iter().collect()
        },
    )
}

fn read(source: &Source<'_>) -> Option<SurveyFile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let required = |key, meaning| root.required_as(key, meaning).and_then(|field| field.text()).map(str::to_owned);
    let property = required("property", "the name of the property as the books keep it");
    let date = root.required_as("date", "the day of the count").and_then(|field| field.date());
    let pest = required("pest", "its common name, such as `chinch bug`");
    let stage = text(&root, "stage");
    let method = required("method", "how it was sampled, such as `frame`, `float can` or `soap flush`");
    let count_area = root.required_as("count_area", "the area that one count covers").and_then(|field| area(&field));
    let treated = whole(root.table("treated"), |table| read_treated(table, date.map(Day::new)));
    let stations = read_stations(&root);
    let by = required("by", "who counted");
    let note = text(&root, "note");
    root.finish();
    Some(SurveyFile {
        property: property?,
        date: Day::new(date?),
        pest: pest?.to_lowercase(),
        stage: stage.ok()?,
        method: method?,
        count_area: count_area?,
        treated: treated.ok()?,
        stations: stations?,
        by: by?,
        note: note.ok()?,
    })
}

fn area(field: &Field<'_>) -> Option<AreaText> {
    let area = quantity_of::area(field)?;
    if !area.is_positive() {
        field.report(
            Problem::error("survey::count-area", "one count covers no ground")
                .expected("an area above zero, such as `1 sq ft`"),
        );
        return None;
    }
    AreaText::parse(field.text()?).ok()
}

fn read_treated(table: Table<'_>, counted: Option<Day>) -> Option<SurveyTreatment> {
    let on = table.required_as("on", "the day of the treatment that the count follows");
    let day = on.as_ref().and_then(Field::date).map(Day::new);
    let group = text(&table, "group");
    table.finish();
    let (on, day) = (on?, day?);
    if let Some(counted) = counted.filter(|counted| day.date() > counted.date()) {
        on.report(counted_before(day, counted));
        return None;
    }
    Some(SurveyTreatment { on: day, group: group.ok()?.map(|group| group.to_uppercase()) })
}

/// The stations: counts alone, counts alone on untreated ground, and those with their places.
fn read_stations(root: &Table<'_>) -> Option<Vec<Station>> {
    let counts = counts_alone(root, ("counts", "dead_counts"), false);
    let check_counts = counts_alone(root, ("check_counts", "check_dead_counts"), true);
    let placed = read_placed(root);
    let given = ["counts", "check_counts", "station"].into_iter().any(|key| root.has(key));
    let stations: Vec<Station> = counts?.into_iter().chain(check_counts?).chain(placed?).collect();
    if stations.is_empty() {
        let found = if given { "the lists of counts are empty" } else { "nothing was counted" };
        root.report(
            Problem::error("survey::no-station", found)
                .expected("one count or more in `counts`, `check_counts` or `[[station]]`")
                .mend("write the counts, 0 for a station without a pest")
                .at("counts"),
        );
        return None;
    }
    Some(stations)
}

/// Counts of a list, with those of the dead beside them where they were counted.
fn counts_alone(
    root: &Table<'_>,
    (key, dead_key): (&'static str, &'static str),
    is_check: bool,
) -> Option<Vec<Station>> {
    let numbers = |field: Option<Field<'_>>| whole(field, |field| field.each(Field::whole));
    let counts = numbers(root.optional(key));
    let dead_field = root.optional(dead_key);
    let dead = numbers(dead_field.clone());
    let (counts, dead) = (counts.ok()?.unwrap_or_default(), dead.ok()?);
    if let (Some(field), Some(dead)) = (dead_field, &dead)
        && dead.len() != counts.len()
    {
        field.report(
            Problem::error(
                "survey::dead-counts",
                format!("`{dead_key}` has `{}` counts, `{key}` has `{}`", dead.len(), counts.len()),
            )
            .expected("the dead of every station in the same order")
            .mend("write 0 where no dead one was found, or leave the list out"),
        );
        return None;
    }
    let station = |(index, count): (usize, u32)| {
        let dead = dead.as_ref().and_then(|dead| dead.get(index)).map(|dead| u64::from(*dead));
        Station { count: count.into(), dead, is_check, position: None }
    };
    Some(counts.into_iter().enumerate().map(station).collect())
}

/// Stations with their places, of which no two are one.
fn read_placed(root: &Table<'_>) -> Option<Vec<Station>> {
    let mut places = Vec::new();
    all(root.tables("station"), |table| read_station(table, &mut places))
}

/// A station; `places` are those of the stations before, `None` where it has none.
fn read_station(table: Table<'_>, places: &mut Vec<Option<Position>>) -> Option<Station> {
    let count = table.required_as("count", "how many were counted").and_then(|field| field.whole());
    let dead = whole(table.optional("dead"), |field| field.whole());
    let is_check = table.optional("is_check").map_or(Some(false), |field| field.flag());
    let position = whole(table.table("position"), read_position);
    let place = position.as_ref().ok().cloned().flatten();
    let first = places.iter().position(|other| other.is_some() && *other == place);
    places.push(place);
    if let Some(first) = first {
        table.report(
            Problem::error(
                "survey::station-twice",
                format!("stations `{}` and `{}` are at one place", first + 1, places.len()),
            )
            .expected("one station at a place")
            .mend("leave the one out that was written twice, or correct its position"),
        );
    }
    table.finish();
    let dead = dead.ok()?.map(u64::from);
    let station = Station { count: count?.into(), dead, is_check: is_check?, position: position.ok()? };
    first.is_none().then_some(station)
}

fn read_position(table: Table<'_>) -> Option<Position> {
    let degrees =
        |key, meaning, most: f64| table.required_as(key, meaning).and_then(|field| field.number_between(-most, most));
    let longitude = degrees("longitude", "degrees east of Greenwich", 180.0);
    let latitude = degrees("latitude", "degrees north of the equator", 90.0);
    table.finish();
    Some(Position { longitude: longitude?, latitude: latitude? })
}
