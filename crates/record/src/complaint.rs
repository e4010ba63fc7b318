//! Who applied what near a place, at a time, with what wind.

use crate::application::{ApplicationRecord, Moment, Observed};
use crate::fact::Fact;
use crate::task::TaskRecord;
use geometry::{GeoPosition, Point, Region, Shape};
use jiff::Timestamp;
use quantity::{Bearing, Length, LengthUnit};

/// How far to each side of the line on which the wind blows ground counts as downwind, in degrees.
///
/// # Source
/// Common practice, no source; the same angle by which planning keeps wind off sensitive features.
pub const DOWNWIND_ANGLE_DEGREES: f64 = 45.0;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Complaint {
    /// Where somebody complains of it.
    pub at: GeoPosition,
    /// How far round that place to look.
    pub within: Length,
    /// From when.
    pub from: Timestamp,
    /// Until when.
    pub until: Timestamp,
    /// How far to each side of the wind's line counts as downwind, in degrees, above 0 and under 90.
    pub angle_degrees: f64,
}

/// One task that was carried out near the place at that time.
#[derive(Debug, Clone, PartialEq)]
pub struct Near<'r> {
    /// Which of the records, from 0.
    pub record: usize,
    /// The record: who, when, with what wind.
    pub of: &'r ApplicationRecord,
    /// The task: what, how.
    pub task: &'r TaskRecord,
    /// From the place to the nearest treated ground; nothing on it.
    pub distance: Length,
    /// From the place toward that ground; `None` on it.
    pub toward: Option<Bearing>,
    /// Whether the times of the record are known, or the whole day was taken.
    pub times_known: bool,
    /// Whether the place lay downwind by the wind seen at the start.
    pub at_start: Downwind,
    /// Whether it lay downwind by the wind seen at the end.
    pub at_end: Downwind,
    /// The same by the wind seen with single tanks, by their numbers from 1, where it had changed.
    pub at_tanks: Vec<(usize, Downwind)>,
}

/// Whether a place lay downwind of treated ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Downwind {
    /// It was treated itself.
    OnTreatedGround,
    /// It lay in the downwind sector of some treated ground.
    Inside {
        /// The nearest ground upwind of it.
        nearest: Length,
    },
    /// It lay outside the sector of all treated ground.
    Outside,
    /// It was calm: nothing blew anywhere, and what hung in the air may have drifted any way.
    Calm,
    /// No wind direction is recorded.
    Unknown,
}

/// Every task with ground treated within the distance of the place, carried out in part between the two
/// times; the nearest first. Tasks without drawn ground (walls, counted places) are told where any other
/// ground of their record is that near.
///
/// A record without times is taken to have lasted from the midnight before its day to the one after it, on the
/// clock that is farthest from universal time either way: it is shown rather than missed.
pub fn complaint<'r>(records: impl IntoIterator<Item = &'r ApplicationRecord>, asked: &Complaint) -> Vec<Near<'r>> {
    let mut found: Vec<Near<'r>> = Vec::new();
    for (number, record) in records.into_iter().enumerate() {
        let ((first, last), times_known) = lasted(record);
        if last < asked.from || first > asked.until {
            continue;
        }
        let at = record.plane().to_plane(asked.at);
        let whole = Region::union_all(record.tasks.iter().flat_map(|task| task.zones.iter().map(|zone| &zone.ground)));
        for task in record.tasks.iter().filter(|task| task.was_put_down()) {
            let own = task.region();
            let ground = if own.is_empty() { &whole } else { &own };
            let Some((nearest, _)) = ground.nearest_approach(&Shape::Point(at)) else { continue };
            let is_on = ground.contains(at);
            let distance = if is_on { Length::ZERO } else { at.distance_to(nearest) };
            if distance > asked.within {
                continue;
            }
            let downwind = |seen: &Observed| downwind(ground, at, is_on, seen, asked);
            found.push(Near {
                record: number,
                of: record,
                task,
                distance,
                toward: (!is_on).then(|| at.bearing_to(nearest)),
                times_known,
                at_start: downwind(&record.weather_at_start),
                at_end: downwind(&record.weather_at_end),
                at_tanks: task
                    .tanks
                    .iter()
                    .enumerate()
                    .filter(|(_, tank)| tank.weather != Observed::default())
                    .map(|(index, tank)| (index + 1, downwind(&tank.weather)))
                    .collect(),
            });
        }
    }
    found.sort_by(|one, other| {
        one.distance
            .partial_cmp(&other.distance)
            .unwrap_or(std::cmp::Ordering::Equal)
            .then(one.record.cmp(&other.record))
    });
    found
}

/// The time over which a record was carried out, and whether it says so.
fn lasted(record: &ApplicationRecord) -> ((Timestamp, Timestamp), bool) {
    let (started, ended) = (record.started.value(), record.ended.value());
    let midnight = record.date.to_datetime(jiff::civil::Time::midnight());
    let anywhere = |hours: i8, days: i64| {
        let local = midnight.checked_add(jiff::Span::new().days(days)).unwrap_or(midnight);
        Moment { local, offset: jiff::tz::offset(hours) }.instant()
    };
    let first = started.map_or_else(|| anywhere(14, 0), |moment| moment.instant());
    let last = ended.map_or_else(|| anywhere(-12, 1), |moment| moment.instant());
    ((first, last), started.is_some() && ended.is_some())
}

/// Looks upwind from the place: whether treated ground lies in the sector from which the wind came.
fn downwind(ground: &Region, at: Point, is_on: bool, seen: &Observed, asked: &Complaint) -> Downwind {
    if is_on {
        return Downwind::OnTreatedGround;
    }
    let from = match seen.wind_from {
        Fact::Recorded(from) => from,
        Fact::DoesNotArise => return Downwind::Calm,
        Fact::Absent => return Downwind::Unknown,
    };
    let Some(sector) = sector(at, from, asked.angle_degrees, reach(ground, at)) else { return Downwind::Unknown };
    let upwind = ground.intersection(&sector);
    match upwind.nearest_approach(&Shape::Point(at)) {
        Some((nearest, _)) => Downwind::Inside { nearest: at.distance_to(nearest) },
        None => Downwind::Outside,
    }
}

/// Farther from the place than any of the ground.
fn reach(ground: &Region, at: Point) -> Length {
    let corners = ground.bounds().map(|bounds| {
        let (low, high) = (bounds.south_west(), bounds.north_east());
        let others = [Point::new(low.x(), high.y()), Point::new(high.x(), low.y())];
        [low, high, others[0], others[1]]
            .map(|corner| at.distance_to(corner))
            .into_iter()
            .fold(Length::ZERO, Length::max)
    });
    corners.unwrap_or(Length::ZERO) + Length::new(1.0, LengthUnit::Metre)
}

/// The sector that opens from a place toward where the wind comes from; a triangle that reaches past
/// `reach` everywhere. `None` for an angle that is none.
fn sector(at: Point, from: Bearing, angle: f64, reach: Length) -> Option<Region> {
    if !(angle > 0.0 && angle < 90.0) {
        return None;
    }
    let far = reach / angle.to_radians().cos();
    let corner = |degrees: f64| {
        let (sin, cos) = (from.degrees() + degrees).to_radians().sin_cos();
        at.moved(far * sin, far * cos)
    };
    Region::from_ring(&[at, corner(-angle), corner(angle)]).ok()
}
