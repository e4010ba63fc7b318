//! The hours of a whole forecast for each task by itself: which are lawful, what the air does in them, the best start of
//! each day, and what has still to be looked at on the spot.

mod air;
mod best;
mod checks;

pub use air::AirOfHour;
pub use best::BestStart;
pub use checks::SpotCheck;

use crate::hours::{self, Asked, HourLimits};
use crate::plan::{plan_with, site, zones_of_resolved};
use crate::request::VisitRequest;
use crate::sensitive::{in_words, refuses_wind, sectors};
use crate::verdict::Status;
use crate::visit::{Hour, StartWindow};
use geometry::ArcFineness;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use label::Method;
use problem::{Problem, Problems};
use property::{Feature, Kind};
use quantity::{Area, AreaUnit, Duration, Length, LengthUnit};
use weather::SunTimes;

/// Chords per quarter of a circle, as for the visit.
const CHORDS: u16 = 32;

/// The hours of a forecast, held against each task of a visit.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkHours {
    /// What the visit is called.
    pub name: String,
    /// The date for which it is planned.
    pub date: Date,
    /// Offset of all local times from universal time.
    pub offset: Offset,
    /// The days of the forecast with their sun, in order.
    pub days: Vec<(Date, SunTimes)>,
    /// The tasks, in the order of the visit.
    pub tasks: Vec<TaskHours>,
}

/// The hours of one task.
#[derive(Debug, Clone, PartialEq)]
pub struct TaskHours {
    /// The task.
    pub task: String,
    /// How it is done.
    pub method: Method,
    /// The products that it puts down, by name.
    pub products: Vec<String>,
    /// Its time, with setting up.
    pub duration: Duration,
    /// The hours in order of time.
    pub hours: Vec<WorkHour>,
    /// Every run of starts from which it ends inside hours that are not refused, with the rain-free time that labels
    /// demand; within a day each.
    pub windows: Vec<StartWindow>,
    /// The best start of each day that has one, in order of time.
    pub starts: Vec<BestStart>,
    /// What to look at on the spot before starting.
    pub checks: Vec<SpotCheck>,
}

impl TaskHours {
    /// The best start of all days; of equal ones the earliest.
    pub fn best(&self) -> Option<&BestStart> {
        self.starts.iter().min_by_key(|start| (start.cost(), start.start))
    }
}

/// One hour for one task.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkHour {
    /// The hour, with every reason against it.
    pub hour: Hour,
    /// What the air does.
    pub air: AirOfHour,
}

impl WorkHour {
    /// The strongest reason against it.
    pub fn strongest(&self) -> Option<&crate::HourReason> {
        let worst = self.hour.reasons.iter().map(|reason| reason.status).max()?;
        self.hour.reasons.iter().find(|reason| reason.status == worst)
    }
}

/// Holds every hour of the forecast against each task.
///
/// An hour is refused here exactly when a visit of this task alone would refuse it; what the air adds to that asks for care.
///
/// # Errors
/// Everything that keeps the visit from being planned; `hours::no-forecast` when the request has no forecast.
pub fn work_hours(request: &VisitRequest) -> Result<WorkHours, Problems> {
    let arcs = ArcFineness::per_quarter(CHORDS);
    let Some(series) = &request.forecast else {
        return Err(Problem::error("hours::no-forecast", "the visit request names no forecast")
            .expected("`forecast`, a file of hourly readings")
            .mend("name an hourly forecast in the request")
            .into());
    };
    let visit = plan_with(request, arcs)?;
    let (resolved, zoning) = zones_of_resolved(request, arcs)?;
    let place = site(&request.property)?;
    let mut days: Vec<(Date, SunTimes)> = Vec::new();
    for hour in series.hours() {
        let date = hour.start.date();
        if days.last().is_none_or(|(last, _)| *last != date) {
            days.push((date, weather::sun_times(date, series.offset(), place)));
        }
    }
    let tasks = resolved.iter().zip(&zoning.grounds).map(|(task, ground)| {
        let reach = ground.reach(arcs);
        let near = sectors(&request.property, &reach, &request.practice, arcs, refuses_wind);
        let is_sprayed = task.request.method.is_sprayed();
        let asked = [Asked { requirements: &task.requirements, sprayed: is_sprayed }];
        let limits = HourLimits::of(&asked, &request.practice, near);
        let planned = visit.tasks.iter().find(|planned| planned.id == task.request.id);
        let working = planned.map_or(Duration::ZERO, |planned| planned.duration);
        let duration = working + task.equipment.set_up_time();
        let film = planned.and_then(|planned| planned.output).map(|output| {
            let metre = Area::new(1.0, AreaUnit::SquareMetre);
            Length::new((output * metre).to(quantity::VolumeUnit::Litre), LengthUnit::Millimetre)
        });
        let bees_at = sectors(&request.property, &reach, &request.practice, arcs, draws_bees);
        let around = air::Around { place, offset: series.offset(), is_sprayed, film, bees_at: &bees_at };
        let hours: Vec<WorkHour> = series
            .hours()
            .iter()
            .filter_map(|reading| {
                let (_, sun) = days.iter().find(|(date, _)| *date == reading.start.date())?;
                let mut hour = hours::judge_hour(series, reading, &limits, sun);
                let air = air::of(reading, sun, &around);
                air::add_cautions(&air, &around, &mut hour);
                Some(WorkHour { hour, air })
            })
            .collect();
        let judged: Vec<Hour> = hours.iter().map(|hour| hour.hour.clone()).collect();
        let windows: Vec<StartWindow> = days
            .iter()
            .flat_map(|(date, _)| hours::start_windows(&judged, series, duration, &limits.rain_free, *date))
            .collect();
        let starts = best::starts(&hours, &windows, duration, &days, series, &limits);
        let flowers: Vec<String> = request
            .property
            .features()
            .iter()
            .filter(|feature| feature.kind().kind().may_bloom())
            .map(in_words)
            .collect();
        TaskHours {
            task: task.request.id.clone(),
            method: task.request.method,
            products: task.products().map(|product| product.label.product.name.clone()).collect(),
            duration,
            checks: checks::of(&limits, &task.requirements, is_sprayed, &bees_at, !flowers.is_empty()),
            hours,
            windows,
            starts,
        }
    });
    let tasks = tasks.collect();
    Ok(WorkHours { name: request.name.clone(), date: request.date, offset: series.offset(), days, tasks })
}

/// What bees come from or go to.
fn draws_bees(feature: &Feature) -> bool {
    feature.is(Kind::Hive) || feature.kind().is_in_bloom()
}

/// The end of an hour.
fn end_of(hour: &Hour) -> DateTime {
    hour.start.checked_add(jiff::Span::new().hours(1)).unwrap_or(DateTime::MAX)
}

/// A time of the day as a person writes it.
fn clock(time: DateTime) -> String {
    format!("{:02}:{:02}", time.hour(), time.minute())
}

/// Whether an hour may be worked in.
fn is_open(hour: &Hour) -> bool {
    hour.status != Status::Refused
}
