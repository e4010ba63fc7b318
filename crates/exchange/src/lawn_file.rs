//! The lawn file: one TOML file that says where a lawn lies, what grows on which soil, how its sprinklers water it, how it is mown,
//! and which readings of the weather and which visits hold for it.
//!
//! The fields are told in `docs/water.md`.

mod clock;
mod sprinklers;

use crate::geojson_map::parse_property;
use crate::named_file::Shelf;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
use crate::weather_form::{Readings, parse_readings};
use clock::{prohibition, weekdays};
use jiff::civil::{Date, Weekday};
use problem::{Place, Problem, Problems, Severity};
use property::Property;
use quantity::{Duration, Length, LengthUnit};
use season::grass::Grass;
use season::lawn_day::{LawnDay, lawn_days};
use season::mow_plan::{MowRequest, usual_best_growth, usual_rest_after_treatment};
use season::prohibition::VisitTimes;
use season::root_zone::RootZone;
use season::soil::{AvailableWater, Soil};
use season::water_plan::WaterRequest;
use weather::evapotranspiration::ReadingPlace;
use weather::{DailySeries, HourlySeries};

/// The first line of the file.
pub const FORMAT: &str = "tussock.lawn/1";

/// A lawn with its weather.
#[derive(Debug, Clone, PartialEq)]
pub struct LawnFile {
    /// What it is called.
    pub name: String,
    /// Where its readings are from.
    pub place: ReadingPlace,
    /// Whether the height at which the wind is measured is the one taken where nothing is said.
    pub is_wind_height_assumed: bool,
    /// The visits that hold for it, by the names of their requests, relative to this file.
    pub visits: Vec<String>,
    /// Nobody mows for so long after a treatment.
    pub rest_after_treatment: Duration,
    /// What watering is planned from, but for visits; `None` where the file tells no root zone.
    pub water: Option<WaterRequest>,
    /// What mowing is planned from, but for visits; `None` where the file tells no height of cut.
    pub mowing: Option<MowRequest>,
    /// Whether nobody has measured how fast it grows.
    pub is_growth_assumed: bool,
}

impl LawnFile {
    /// The days of its readings, in order.
    pub fn days(&self) -> &[LawnDay] {
        let days = self.water.as_ref().map(|water| &water.days).or(self.mowing.as_ref().map(|mowing| &mowing.days));
        days.map_or(&[], Vec::as_slice)
    }

    /// Adds what visits forbid and demand.
    pub fn heed(&mut self, visits: impl IntoIterator<Item = VisitTimes>) {
        for times in visits {
            if let Some(water) = &mut self.water {
                water.no_watering.extend(times.no_watering);
                water.water_in.extend(times.water_in);
            }
            if let Some(mowing) = &mut self.mowing {
                mowing.no_mowing.extend(times.no_mowing);
            }
        }
    }
}

/// What is asked for on top of what the file says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LawnWish {
    /// Readings beside those of the file, each with its name and text; they come after those.
    pub readings: Vec<(String, String)>,
    /// The first planned day in place of the file's.
    pub plan_from: Option<Date>,
}

/// Reads a lawn file with everything it names but the visits. `file` is the name that its user gave it.
///
/// The reader opens no file itself: `fetch` is asked for the text of each file named, by its name relative to this one.
///
/// # Errors
/// Everything wrong in the file and in every file that it names, each with its own file, line and field.
pub fn parse_lawn(
    file: &str,
    text: &str,
    wish: &LawnWish,
    fetch: &mut dyn FnMut(&str) -> Result<String, String>,
) -> Result<(LawnFile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let mut shelf = Shelf::new(file, text, fetch);
    let lawn = read(&source, &mut shelf, wish);
    let mut problems = source.into_problems();
    problems.extend(shelf.problems);
    match lawn {
        Some(lawn) => problems.unless_errors(lawn),
        None => Err(problems),
    }
}

fn read(source: &Source<'_>, shelf: &mut Shelf<'_>, wish: &LawnWish) -> Option<LawnFile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "what the lawn is called").and_then(|field| field.text());
    let begin = root.optional("begin").and_then(|field| field.date());
    let property = property(&root, shelf);
    let (series, told_height) = readings(&root, shelf, begin, wish);
    let (place, is_wind_height_assumed) = place(&root, property.as_ref(), told_height);
    let said = root.optional("plan_from").and_then(|field| field.date());
    let visits = root.optional("visits").map(|field| names(&field)).unwrap_or_default();
    let grass = root.required("grass").and_then(|field| field.word(&Grass::ALL, Grass::word));
    let zone = root.optional("root_zone").map(|field| field.table().and_then(root_zone));
    let given: Vec<_> = root.tables("watered").into_iter().filter_map(watered).collect();
    let hours = sprinklers::hours(&root);
    let (soak, zones) = (sprinklers::soak(&root), sprinklers::zones(&root));
    let controller = sprinklers::controller(&root, zones, soak);
    let no_watering = root.tables("no_watering").into_iter().filter_map(prohibition).collect();
    let mowing = root.optional("mowing").map(|field| field.table().and_then(mowing));
    let no_mowing = root.tables("no_mowing").into_iter().filter_map(prohibition).collect();
    let days = place.zip(series).and_then(|(place, series)| days(&root, place, &series, begin));
    root.finish();
    let days = days?;
    let plan_from = wish.plan_from.or(said).or_else(|| days.first().map(|day| day.date))?;
    let latitude = place?.site().latitude();
    let grass = grass?;
    let mowing = match mowing {
        Some(read) => Some(read?),
        None => None,
    };
    let water = match zone {
        Some(read) => {
            let (root_zone, gone) = read?;
            Some(WaterRequest {
                root_zone,
                grass,
                latitude,
                gone,
                days: days.clone(),
                plan_from,
                given,
                controller: controller?,
                hours: hours?,
                no_watering,
                water_in: Vec::new(),
            })
        }
        None => None,
    };
    Some(LawnFile {
        name: name?.to_owned(),
        place: place?,
        is_wind_height_assumed,
        visits,
        rest_after_treatment: mowing.as_ref().map_or_else(usual_rest_after_treatment, |mowing| mowing.rest),
        is_growth_assumed: mowing.as_ref().is_some_and(|mowing| mowing.best_growth.is_none()),
        mowing: mowing.map(|mowing| MowRequest {
            grass,
            height_of_cut: mowing.height,
            standing: mowing.standing,
            best_growth: mowing.best_growth.unwrap_or_else(usual_best_growth),
            days,
            plan_from,
            weekdays: mowing.weekdays,
            no_mowing,
        }),
        water,
    })
}

/// The names of a list of texts, or the one of a text.
fn names(field: &Field<'_>) -> Vec<String> {
    if field.is_text() {
        return field.text().map(str::to_owned).into_iter().collect();
    }
    field.texts().into_iter().map(str::to_owned).collect()
}

/// The map, of which the place alone counts here: what else is noticed on it is told where it is planned on.
fn property(root: &Table<'_>, shelf: &mut Shelf<'_>) -> Option<Property> {
    let field = root.required_as("property", "the map: the name of a GeoJSON file")?;
    let (file, text) = shelf.fetch(&field)?;
    match parse_property(&file, &text) {
        Ok((property, _)) => Some(property),
        Err(problems) => {
            shelf.problems.extend(problems.into_iter().filter(|problem| problem.severity == Severity::Error));
            None
        }
    }
}

/// All readings as one series of days, what was named first before what was named later.
fn readings(
    root: &Table<'_>,
    shelf: &mut Shelf<'_>,
    begin: Option<Date>,
    wish: &LawnWish,
) -> (Option<DailySeries>, Option<Length>) {
    let fields = match root.optional("weather") {
        Some(field) if field.is_text() => vec![field],
        Some(field) => field.items(),
        None => Vec::new(),
    };
    if fields.is_empty() && wish.readings.is_empty() {
        root.report(
            Problem::error("lawn::no-weather", "nothing tells the weather")
                .expected("`weather`, the names of files of readings, what was measured before what is forecast")
                .mend("name a table of days, or a forecast")
                .at("weather"),
        );
        return (None, None);
    }
    let mut texts: Vec<(String, String)> = Vec::new();
    let mut is_whole = true;
    for field in &fields {
        match shelf.fetch(field) {
            Some(found) => texts.push(found),
            None => is_whole = false,
        }
    }
    texts.extend(wish.readings.iter().cloned());
    let mut all = Readings::default();
    for (file, text) in texts {
        let Some(read) = shelf.keep(parse_readings(&file, &text, begin)) else {
            is_whole = false;
            continue;
        };
        all.hours = joined(all.hours, read.hours, HourlySeries::joined_with);
        all.days = joined(all.days, read.days, DailySeries::joined_with);
        all.height = all.height.or(read.height);
    }
    if !is_whole {
        return (None, all.height);
    }
    let of_hours = match all.hours.as_ref().map(DailySeries::from_hours) {
        // What is missing between files of hours is told by the days that are missing.
        Some(Ok((days, _))) => Some(days),
        Some(Err(problems)) if all.days.is_none() => {
            shelf.problems.extend(problems);
            return (None, all.height);
        }
        // Days tell the weather: that these hours add nothing to them is told, and no fault.
        Some(Err(problems)) => {
            let told = problems.into_iter().map(|problem| Problem { severity: Severity::Warning, ..problem });
            shelf.problems.extend(told);
            None
        }
        None => None,
    };
    (joined(all.days, of_hours, DailySeries::joined_with), all.height)
}

fn joined<T>(first: Option<T>, then: Option<T>, join: impl Fn(&T, &T) -> T) -> Option<T> {
    match (first, then) {
        (Some(first), Some(then)) => Some(join(&first, &then)),
        (first, then) => first.or(then),
    }
}

/// Stations and forecasts of airports tell the wind at 10 m, as do weather services.
const USUAL_WIND_HEIGHT_M: f64 = 10.0;

fn place(root: &Table<'_>, property: Option<&Property>, told: Option<Length>) -> (Option<ReadingPlace>, bool) {
    let length = |key| root.optional(key).map(|field| quantity_of::length(&field));
    let (height, wind) = (length("height_above_sea"), length("wind_height"));
    let is_assumed = wind.is_none();
    let usual = Length::new(USUAL_WIND_HEIGHT_M, LengthUnit::Metre);
    let (Some(height), Some(wind)) =
        (height.map_or(Some(told), |height| height.map(Some)), wind.unwrap_or(Some(usual)))
    else {
        return (None, is_assumed);
    };
    let Some(property) = property else { return (None, is_assumed) };
    let origin = property.plane().origin();
    let site = weather::Site::new(origin.latitude(), origin.longitude());
    let place = site.and_then(|site| ReadingPlace::new(site, height, wind));
    (keep(root, place), is_assumed)
}

/// Takes a value that a table was made into, and reports at the table why there is none.
fn keep<T>(table: &Table<'_>, made: Result<T, Problems>) -> Option<T> {
    match made {
        Ok(value) => Some(value),
        Err(problems) => {
            for problem in problems {
                table.report(Problem { place: Place::default(), ..problem });
            }
            None
        }
    }
}

fn days(root: &Table<'_>, place: ReadingPlace, series: &DailySeries, begin: Option<Date>) -> Option<Vec<LawnDay>> {
    let kept: Vec<_> =
        series.days().iter().filter(|day| begin.is_none_or(|begin| day.date >= begin)).copied().collect();
    if kept.is_empty() {
        root.report(
            Problem::error("lawn::begin", "no reading is of the first day or later")
                .expected("`begin`, a day of the readings")
                .at("begin"),
        );
        return None;
    }
    // What is wrong with single readings was told where they stand.
    let (series, _) = keep(root, DailySeries::new(kept))?;
    let (days, warnings) = keep(root, lawn_days(place, &series))?;
    for problem in warnings {
        root.report(problem.at("weather"));
    }
    if let (Some(begin), Some(first)) = (begin, days.first())
        && first.date > begin
    {
        root.report(
            Problem::warning("lawn::begins-later", format!("the readings begin at `{}`", first.date))
                .expected(format!("`{begin}`, as `begin` says"))
                .mend("what is gone from the root zone is taken to be so on the first day of the readings")
                .at("begin"),
        );
    }
    Some(days)
}

fn root_zone(table: Table<'_>) -> Option<(RootZone, Length)> {
    let soil = table.optional("soil").map(|field| field.word(&Soil::ALL, Soil::word));
    let share = table.optional("available_water").map(|field| {
        let share = field.number()?;
        AvailableWater::of_share(share)
            .map_err(|problems| problems.into_iter().for_each(|problem| field.report(problem)))
            .ok()
    });
    let available = match (soil, share) {
        (Some(_), Some(_)) | (None, None) => {
            table.report(
                Problem::error("lawn::soil", "it is not clear how much water the soil holds")
                    .expected("either `soil`, such as \"loam\", or `available_water`, such as 0.15"),
            );
            None
        }
        (Some(soil), None) => soil.map(AvailableWater::from),
        (None, Some(share)) => share,
    };
    let depth = table.required("depth").and_then(|field| quantity_of::length(&field));
    let allowed = table.required_as("allowed_depletion", "the share of its water that may be used; one half is usual");
    let allowed = allowed.and_then(|field| field.number());
    let gone = table.required_as("gone", "what is gone at the beginning; nothing after a soaking rain");
    let gone = gone.and_then(|field| quantity_of::length(&field));
    let told = depth.zip(available).zip(allowed);
    let zone = told.and_then(|((depth, available), allowed)| keep(&table, RootZone::new(depth, available, allowed)));
    table.finish();
    zone.zip(gone)
}

fn watered(table: Table<'_>) -> Option<(Date, Length)> {
    let date = table.required("date").and_then(|field| field.date());
    let depth = table.required("depth").and_then(|field| quantity_of::length(&field));
    table.finish();
    Some((date?, depth?))
}

struct Mowing {
    height: Length,
    standing: Length,
    best_growth: Option<Length>,
    weekdays: Vec<Weekday>,
    rest: Duration,
}

fn mowing(table: Table<'_>) -> Option<Mowing> {
    let length = |field: Field<'_>| quantity_of::length(&field);
    let height = table.required_as("height", "the height to which it is cut").and_then(length);
    let standing =
        table.required_as("standing", "how high it stands on the first day of the readings").and_then(length);
    let best_growth = match table.optional("best_growth") {
        Some(field) => Some(quantity_of::length(&field)?),
        None => None,
    };
    let weekdays = weekdays(&table, "days");
    let rest = table.optional("rest_after_treatment").map(|field| quantity_of::duration(&field));
    let rest = rest.unwrap_or_else(|| Some(usual_rest_after_treatment()));
    table.finish();
    Some(Mowing { height: height?, standing: standing?, best_growth, weekdays: weekdays?, rest: rest? })
}

#[cfg(test)]
mod tests;
