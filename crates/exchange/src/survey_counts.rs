//! The counts of a survey as scouting takes them.

use crate::how_counted::HowCounted;
use crate::kept::{Day, Station, stations_twice};
use crate::pest_file::known_name;
use geometry::GeoPosition;
use problem::{Problem, Problems};
use property::Property;
use scouting::{CountAt, CountedDay, StationCount, too_many};
use serde_json::Value;

/// The counts of ground that is to be judged, in the order in which they were made; a check stays out.
///
/// # Errors
/// Every count that nobody could have made.
pub fn counted(stations: &[Station]) -> Result<Vec<u32>, Problems> {
    let mut problems = Problems::new();
    let mut counts = Vec::new();
    for (index, station) in judged(stations) {
        counts.extend(whole(station.count, &format!("/stations/{index}/count"), &mut problems));
    }
    problems.unless_errors(counts).map(|(counts, _)| counts)
}

/// Those of these counts whose place was noted, on the plane of the property.
///
/// # Errors
/// Every place that is none on earth or lies outside the property.
pub fn counted_at(stations: &[Station], property: &Property) -> Result<Vec<CountAt>, Problems> {
    let mut problems = Problems::new();
    let mut counts = Vec::new();
    for (index, station) in judged(stations) {
        let Some(position) = &station.position else { continue };
        match on_property(property, position.longitude, position.latitude) {
            Some(at) => counts.push(CountAt { at, count: u32::try_from(station.count).unwrap_or(u32::MAX) }),
            None => problems.push(outside(index)),
        }
    }
    problems.unless_errors(counts).map(|(counts, _)| counts)
}

/// The counts of a day, treated ground and check, to be held against a treatment.
///
/// # Errors
/// Every count that nobody could have made; counts of which nobody says on what they were made.
pub fn counted_day(
    (property, pest): (&str, &str),
    day: Day,
    how: HowCounted<'_>,
    stations: &[Station],
    follows: Option<Day>,
) -> Result<CountedDay, Problems> {
    let mut problems = Problems::new();
    let mut counts = Vec::new();
    for (index, station) in stations.iter().enumerate() {
        let living = whole(station.count, &format!("/stations/{index}/count"), &mut problems);
        let dead = station.dead.and_then(|dead| whole(dead, &format!("/stations/{index}/dead"), &mut problems));
        counts.extend(living.map(|living| StationCount { living, dead, is_check: station.is_check }));
    }
    let ways = how.ways().map_err(|mut problem| {
        let field = problem.place.path.take().unwrap_or_default();
        problem.at(format!("/{field}"))
    })?;
    let Some(basis) = ways.first().copied() else { return Err(problems) };
    let counted = CountedDay {
        property: property.to_owned(),
        pest: known_name(pest),
        day: day.date(),
        basis,
        stations: counts,
        follows: follows.map(Day::date),
    };
    problems.unless_errors(counted).map(|(counted, _)| counted)
}

fn whole(count: u64, path: &str, problems: &mut Problems) -> Option<u32> {
    let whole = u32::try_from(count).ok();
    if whole.is_none() {
        problems.push(too_many(count).at(path));
    }
    whole
}

fn judged(stations: &[Station]) -> impl Iterator<Item = (usize, &Station)> {
    stations.iter().enumerate().filter(|(_, station)| !station.is_check)
}

fn on_property(property: &Property, longitude: f64, latitude: f64) -> Option<geometry::Point> {
    let place = GeoPosition::from_degrees(longitude, latitude).ok()?;
    Some(property.plane().to_plane(place)).filter(|at| property.boundary().contains(*at))
}

fn outside(index: usize) -> Problem {
    Problem::error("scouting::outside", format!("count {} was made outside the property", index + 1))
        .expected("a place within the boundary of the map")
        .mend("look for a slip in longitude or latitude, or leave the place out")
        .at(format!("/stations/{index}/position"))
}

/// What is wrong with the places of stations, where other faults of their survey keep it from being read: those outside the
/// property, where its map is known, and those at the place of another. `stations` is the list as it stands in a document
/// of the books or, read as JSON, in a survey file.
pub fn wrong_places(stations: &Value, property: Option<&Property>) -> Problems {
    let stations = stations.as_array().map(Vec::as_slice).unwrap_or_default();
    let place = |station: &Value| {
        let degrees = |name: &str| station["position"][name].as_f64();
        degrees("longitude").zip(degrees("latitude"))
    };
    let mut problems: Problems = stations_twice(stations.iter().map(place)).collect();
    if let Some(property) = property {
        let is_judged = |station: &Value| station["is_check"] != Value::Bool(true);
        let judged = stations.iter().enumerate().filter(|(_, station)| is_judged(station));
        let places = judged.filter_map(|(index, station)| Some((index, place(station)?)));
        let is_outside = |(longitude, latitude): (f64, f64)| on_property(property, longitude, latitude).is_none();
        problems.extend(places.filter(|(_, at)| is_outside(*at)).map(|(index, _)| outside(index)));
    }
    problems
}
