//! The counts of a survey as scouting takes them.

use crate::kept::Station;
use geometry::GeoPosition;
use problem::{Problem, Problems};
use property::Property;
use scouting::CountAt;

/// The counts of ground that is to be judged, in the order in which they were made; a check stays out.
///
/// # Errors
/// Every count that nobody could have made.
pub fn counted(stations: &[Station]) -> Result<Vec<u32>, Problems> {
    let mut problems = Problems::new();
    let mut counts = Vec::new();
    for (index, station) in judged(stations) {
        match u32::try_from(station.count) {
            Ok(count) => counts.push(count),
            Err(_) => problems.push(
                Problem::error("scouting::count", format!("`{}` pests at one station", station.count))
                    .expected("at most 4,294,967,295")
                    .at(format!("/stations/{index}/count")),
            ),
        }
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
        let place = GeoPosition::from_degrees(position.longitude, position.latitude).map_err(|_| ());
        let at =
            place.map(|place| property.plane().to_plane(place)).ok().filter(|at| property.boundary().contains(*at));
        let Some(at) = at else {
            problems.push(
                Problem::error("scouting::outside", format!("count {} was made outside the property", index + 1))
                    .expected("a place within the boundary of the map")
                    .mend("look for a slip in longitude or latitude, or leave the place out")
                    .at(format!("/stations/{index}/position")),
            );
            continue;
        };
        counts.push(CountAt { at, count: u32::try_from(station.count).unwrap_or(u32::MAX) });
    }
    problems.unless_errors(counts).map(|(counts, _)| counts)
}

fn judged(stations: &[Station]) -> impl Iterator<Item = (usize, &Station)> {
    stations.iter().enumerate().filter(|(_, station)| !station.is_check)
}
