//! Counts of a pest on one day, as a TOML file that a person writes on the spot. The fields are told in
//! `docs/survey-file.md`.

use crate::business_file::{all, text, whole};
use crate::how_counted::{AREA_FIELD, HowCounted, PER_FIELD, one_count};
use crate::kept::{
    AreaText, Day, Position, Reference, Station, Survey, SurveyThreshold, SurveyThresholdOf, SurveyTreatment,
    counted_before, station_twice,
};
use crate::quantity_field as quantity_of;
use crate::survey_counts::wrong_places;
use crate::toml_source::{Field, Source, Table};
use crate::toml_text::toml_to_json;
use problem::{Problem, Problems};
use property::Property;
use serde_json::json;

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
    /// The profile by which it was judged, by its id.
    pub profile: Option<String>,
    /// Its life stage.
    pub stage: Option<String>,
    /// How it was sampled.
    pub method: String,
    /// The area that one count covers.
    pub count_area: Option<AreaText>,
    /// What else one count was made on.
    pub count_per: Option<String>,
    /// What the counts were held against.
    pub threshold: Option<SurveyThreshold>,
    /// The treatment that the count follows.
    pub treated: Option<SurveyTreatment>,
    /// The stations: those of the lists first, then those under `[[station]]`.
    pub stations: Vec<Station>,
    /// How many stand in the lists.
    pub listed: usize,
    /// Who counted.
    pub by: String,
    /// Anything else.
    pub note: Option<String>,
}

impl SurveyFile {
    /// The document that the books keep, on the property of this identifier.
    pub fn kept(self, property: Reference) -> Survey {
        let Self { date, pest, profile, stage, method, .. } = self;
        let Self { count_area, count_per, threshold, treated, stations, by, note, .. } = self;
        Survey {
            property,
            date,
            pest,
            profile,
            stage,
            method,
            count_area,
            count_per,
            threshold,
            treated,
            stations,
            by,
            note,
        }
    }

    /// How its counts were made.
    pub fn how_counted(&self) -> HowCounted<'_> {
        let area = self.count_area.as_ref().map(AreaText::value);
        HowCounted { method: &self.method, area, per: self.count_per.as_deref() }
    }

    /// What one count was made on, as it was written.
    pub fn one_count(&self) -> String {
        one_count(self.count_area.as_ref().map(AreaText::as_str), self.count_per.as_deref())
    }

    /// Where a station stands in the file, of a problem that names it by its place among the stations (`/stations/19/position`,
    /// from 0); any other problem as it is.
    pub fn placed(&self, problem: Problem) -> Problem {
        station_in_file(problem, self.listed)
    }
}

/// What is wrong with the places of the stations under `[[station]]` on a property, for a file that could not be read: a
/// place outside the property is told with the other faults.
pub fn outside_in(file: &str, text: &str, property: &Property) -> Problems {
    let document = toml_to_json(file, text).unwrap_or_default();
    let found = wrong_places(&document["station"], Some(property)).into_iter();
    // Two stations at one place are told by the reader.
    let outside = found.filter(|problem| problem.code == "scouting::outside");
    outside.map(|problem| station_in_file(problem, 0).in_file(file)).collect()
}

fn station_in_file(mut problem: Problem, listed: usize) -> Problem {
    let named = problem.place.path.as_deref().and_then(|path| path.strip_prefix("/stations/")?.split_once('/'));
    let Some((index, field)) = named.and_then(|(index, field)| Some((index.parse::<usize>().ok()?, field))) else {
        return problem;
    };
    // A count of a list has a number of its own in the words; its list is not told apart here.
    problem.place.path = Some(match index.checked_sub(listed) {
        Some(placed) => format!("station[{}].{field}", placed + 1),
        None => "counts".to_owned(),
    });
    problem
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
    let profile = text(&root, "profile");
    let stage = text(&root, "stage");
    let method = required("method", "how it was sampled, such as `frame`, `float can` or `soap flush`");
    let how = read_how_counted(&root, method.as_deref());
    let counted = HowCounted { method: method.as_deref().unwrap_or_default(), area: None, per: None };
    let threshold = whole(root.table("threshold"), |table| read_threshold(table, counted));
    let treated = whole(root.table("treated"), |table| read_treated(table, date.map(Day::new)));
    let stations = read_stations(&root);
    let by = required("by", "who counted");
    let note = text(&root, "note");
    root.finish();
    let (stations, listed) = stations?;
    let (count_area, count_per) = how?;
    Some(SurveyFile {
        property: property?,
        date: Day::new(date?),
        pest: pest?.to_lowercase(),
        profile: profile.ok()?,
        stage: stage.ok()?,
        method: method?,
        count_area,
        count_per,
        threshold: threshold.ok()?,
        treated: treated.ok()?,
        stations,
        listed,
        by: by?,
        note: note.ok()?,
    })
}

/// The ground of one count, and what else it was made on; `None` where they could not be read.
fn read_how_counted(root: &Table<'_>, method: Option<&str>) -> Option<(Option<AreaText>, Option<String>)> {
    let per_field = root.optional(PER_FIELD);
    let area_field = match per_field {
        Some(_) => root.optional(AREA_FIELD),
        None => root.required_as(AREA_FIELD, "the area that one count covers; or `count_per`, such as `flush`"),
    };
    let area = whole(area_field.clone(), |field| {
        quantity_of::area(&field)?;
        AreaText::parse(field.text()?).ok()
    });
    let per = whole(per_field.clone(), |field| field.text().map(str::to_owned));
    let (Ok(area), Ok(per)) = (area, per) else { return None };
    if area.is_none() && per.is_none() {
        return None;
    }
    let how = HowCounted {
        method: method.unwrap_or_default(),
        area: area.as_ref().map(AreaText::value),
        per: per.as_deref(),
    };
    if let Err(mut problem) = how.ways() {
        let at_per = problem.place.path.take().as_deref() == Some(PER_FIELD);
        let field = if at_per { per_field.or(area_field) } else { area_field.or(per_field) };
        if let Some(field) = field {
            field.report(problem);
        }
        return None;
    }
    Some((area, per))
}

fn read_threshold(table: Table<'_>, counted: HowCounted<'_>) -> Option<SurveyThreshold> {
    let of_field = table.optional("of");
    let of = whole(of_field.clone(), |field| field.word(SurveyThresholdOf::ALL, SurveyThresholdOf::word));
    let count_field = table.required_as("count", "so many of the pest");
    let count = count_field.as_ref().and_then(|field| field.number_between(0.0, 1e9));
    let per_field =
        table.required_as("per", "on what: an area such as `1 sq yd`, `flush`, `trap`, `trap night` or `plant`");
    let per = per_field.as_ref().and_then(Field::text).map(str::to_owned);
    let stage = text(&table, "stage");
    let place = text(&table, "place");
    let source_field = table.required_as("source", "where it was published");
    let source = source_field.as_ref().and_then(Field::text).map(str::to_owned);
    let at_of = table.path_of("of");
    table.finish();
    // What could not be read is reported; the rest is held against what a threshold may be all the same.
    let is_whole = count.is_some() && per.is_some() && source.is_some();
    let mut read = SurveyThreshold {
        count: count.unwrap_or(1.0),
        of: of.ok()?,
        per: per.unwrap_or_else(|| "plant".to_owned()),
        stage: stage.ok()?,
        place: place.ok()?,
        source: source.unwrap_or_else(|| "-".to_owned()),
    };
    let Err(problems) = read.threshold(counted) else {
        if let Some((field, untold)) = count_field.zip(read.of_untold(counted)).filter(|_| is_whole) {
            field.report(untold.at(at_of));
        }
        read.of.get_or_insert(SurveyThresholdOf::counted(counted));
        return is_whole.then_some(read);
    };
    for mut problem in problems {
        let field = match problem.place.path.take().as_deref() {
            Some("of") => &of_field,
            Some("per") => &per_field,
            Some("source") => &source_field,
            _ => &count_field,
        };
        if let Some(field) = field {
            field.report(problem);
        }
    }
    None
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

/// The stations: counts alone, counts alone on untreated ground, and those with their places; and how many stood in
/// the two lists.
fn read_stations(root: &Table<'_>) -> Option<(Vec<Station>, usize)> {
    let counts = counts_alone(root, ("counts", "dead_counts"), false);
    let check_counts = counts_alone(root, ("check_counts", "check_dead_counts"), true);
    let placed = read_placed(root);
    let given = ["counts", "check_counts", "station"].into_iter().any(|key| root.has(key));
    let (counts, check_counts) = (counts?, check_counts?);
    let listed = counts.len() + check_counts.len();
    let stations: Vec<Station> = counts.into_iter().chain(check_counts).chain(placed?).collect();
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
    Some((stations, listed))
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
        table.report(station_twice(first + 1, places.len()));
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

/// A kept survey as the file that a person could have written, on the property of this name. Its stations stand in the
/// order in which they were counted.
pub fn write_survey(survey: &Survey, property: &str) -> String {
    const ORDER: [&str; 11] =
        ["format", "property", "date", "pest", "profile", "stage", "method", "count_area", "count_per", "by", "note"];
    let station = |station: &Station| {
        let position =
            station.position.as_ref().map(|at| json!({ "longitude": at.longitude, "latitude": at.latitude }));
        json!({
            "count": station.count,
            "dead": station.dead,
            "is_check": station.is_check.then_some(true),
            "position": position,
        })
    };
    let threshold = survey.threshold.as_ref().map(|told| {
        json!({
            "count": told.count,
            "of": told.of.map(SurveyThresholdOf::word),
            "per": told.per,
            "stage": told.stage,
            "place": told.place,
            "source": told.source,
        })
    });
    let treated =
        survey.treated.as_ref().map(|treated| json!({ "on": treated.on.date().to_string(), "group": treated.group }));
    let document = json!({
        "format": FORMAT,
        "property": property,
        "date": survey.date.date().to_string(),
        "pest": survey.pest,
        "profile": survey.profile,
        "stage": survey.stage,
        "method": survey.method,
        "count_area": survey.count_area.as_ref().map(AreaText::as_str),
        "count_per": survey.count_per,
        "by": survey.by,
        "note": survey.note,
        "threshold": threshold,
        "treated": treated,
        "station": survey.stations.iter().map(station).collect::<Vec<_>>(),
    });
    crate::toml_text::json_to_toml(&document, &ORDER).unwrap_or_default()
}
