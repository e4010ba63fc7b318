//! What was seen and filled, held against what can be: a slip of the pen is found before it is kept.

use crate::actual::Actual;
use crate::application::{ApplicationRecord, Moment, Observed};
use crate::fact::Fact;
use jiff::{SignedDuration, Timestamp};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Speed, SpeedUnit, Temperature, TemperatureUnit, Volume, VolumeUnit};
use sprayer::Sprayer;
use weather::{is_air_temperature, is_wind_outdoors};

/// Below and above these nobody sprays, though the air can be so, °C. Common practice, no source.
const TEMPERATURES_OF_WORK: std::ops::RangeInclusive<f64> = 0.0..=45.0;

/// From here on large branches move (Beaufort 6), mph: unlikely in work. Common practice, no source.
const STRONG_BREEZE: f64 = 25.0;

/// A day's work of one crew at one place hardly lasts longer, hours. Common practice, no source.
const LONG_DAY: f64 = 16.0;

/// A tank holds a hair more than is stamped on it: what reading a volume can hold.
const READING: f64 = 1e-3;

/// What cannot be in what a person wrote after the visit, placed at the fields of an as-applied file. Errors are
/// impossible, warnings unlikely. `equipment` is what the visit knows of sprayers.
///
/// Codes: `record::temperature`, `record::wind`, `record::gust-below-wind`, `record::calm-with-wind`,
/// `record::ends-before-start`, `record::long-work`, `record::overfilled`, `record::poured-out`.
pub fn check_actual(actual: &Actual, planned: &ApplicationRecord, equipment: &[Sprayer]) -> Problems {
    let mut problems = weather(&actual.weather_at_start, "weather.start");
    problems.extend(weather(&actual.weather_at_end, "weather.end"));
    let said = |told: &Fact<Moment>, held: &Fact<Moment>| told.value().or(held.value()).copied();
    let both = (said(&actual.started, &planned.started), said(&actual.ended, &planned.ended));
    if !actual.started.is_absent() || !actual.ended.is_absent() {
        problems.extend(span(both));
    }
    for (index, task) in actual.tasks.iter().enumerate() {
        for (place, tank) in task.tanks.iter().enumerate() {
            problems.extend(weather(&tank.weather, &format!("task[{}].tank[{}].weather", index + 1, place + 1)));
        }
        let held = planned.task(&task.task).and_then(|task| task.equipment.value());
        let Some(holds) = tank_of(task.equipment.value().or(held), equipment) else { continue };
        for (place, tank) in task.tanks.iter().enumerate() {
            let at = format!("task[{}].tank[{}].spray", index + 1, place + 1);
            problems.extend(overfill(&task.task, tank.number, tank.spray, &holds).map(|problem| problem.at(at)));
        }
    }
    problems.extend(crate::poured_out::in_actual(actual));
    problems
}

/// An application that lies ahead of the moment at which it is recorded: error `record::not-yet`. A clock may be an hour
/// off; a day without its hours is the day somewhere on earth.
pub fn not_yet(record: &ApplicationRecord, now: Timestamp) -> Problems {
    let hours = |hours: i64| now.checked_add(SignedDuration::from_hours(hours)).unwrap_or(Timestamp::MAX);
    let ahead = |moment: &Fact<Moment>| moment.value().filter(|moment| moment.instant() > hours(1)).copied();
    let told = ahead(&record.ended).or(ahead(&record.started)).map(|moment| moment.to_string());
    let latest = jiff::tz::Offset::UTC.to_datetime(hours(14)).date();
    let told = told.or((record.date > latest).then(|| record.date.to_string()));
    told.into_iter()
        .map(|told| {
            Problem::error("record::not-yet", format!("the application is told for {told}, which is yet to come"))
                .expected("what was done; a visit to come is planned, and recorded after it")
                .mend("put the day or the hours right, or record it when it is done")
                .at("date")
        })
        .collect()
}

/// Tanks of a record that were filled with more than the tank of their sprayer holds: errors
/// `record::overfilled`. What is said of equipment that is not known here is not judged.
pub fn overfilled(record: &ApplicationRecord, equipment: &[Sprayer]) -> Problems {
    let mut problems = Problems::new();
    for (index, task) in record.tasks.iter().enumerate() {
        let Some(holds) = tank_of(task.equipment.value(), equipment) else { continue };
        for (place, tank) in task.tanks.iter().enumerate() {
            let spray = tank.filled.as_ref().and_then(|fill| fill.spray);
            let at = format!("task[{}].tank[{}]", index + 1, place + 1);
            problems.extend(overfill(&task.id, place + 1, spray, &holds).map(|problem| problem.at(at)));
        }
    }
    problems
}

/// The weather of a record, and its times.
pub(crate) fn seen(record: &ApplicationRecord) -> Problems {
    let mut problems = weather(&record.weather_at_start, "weather_at_start");
    problems.extend(weather(&record.weather_at_end, "weather_at_end"));
    for (index, task) in record.tasks.iter().enumerate() {
        for (place, tank) in task.tanks.iter().enumerate() {
            problems.extend(weather(&tank.weather, &format!("tasks[{}].tanks[{}].weather", index + 1, place + 1)));
        }
    }
    problems.extend(span((record.started.value().copied(), record.ended.value().copied())));
    problems
}

/// A sprayer, and what its tank holds.
struct Tank<'e> {
    equipment: &'e str,
    volume: Volume,
}

fn tank_of<'e>(id: Option<&String>, equipment: &'e [Sprayer]) -> Option<Tank<'e>> {
    let used = equipment.iter().find(|sprayer| Some(sprayer.id()) == id.map(String::as_str))?;
    Some(Tank { equipment: used.id(), volume: used.tank()? })
}

fn overfill(task: &str, number: usize, spray: Option<Volume>, holds: &Tank<'_>) -> Option<Problem> {
    let spray = spray.filter(|spray| spray.ratio(holds.volume) > 1.0 + READING)?;
    let words = |volume: Volume| format!("{} ({})", volume.show(VolumeUnit::UsGallon), volume.show(VolumeUnit::Litre));
    let Tank { equipment, volume } = holds;
    Some(
        Problem::error(
            "record::overfilled",
            format!("tank `{number}` of task `{task}` is told as filled with `{}`", words(spray)),
        )
        .expected(format!("at most {}, what the tank of `{equipment}` holds", words(*volume)))
        .mend("correct the spray, tell it as two tanks, or correct the tank in the equipment file"),
    )
}

fn span((started, ended): (Option<Moment>, Option<Moment>)) -> Option<Problem> {
    let (started, ended) = (started?, ended?);
    let lasted = ended.instant().duration_since(started.instant());
    if lasted.is_negative() {
        return Some(
            Problem::error(
                "record::ends-before-start",
                format!("the work ended at `{ended}`, before it began at `{started}`"),
            )
            .expected("an end after the start")
            .mend("exchange the two, or correct the one that is wrong")
            .at("ended"),
        );
    }
    let lasted = Duration::new(lasted.as_secs_f64(), DurationUnit::Second);
    (lasted.to(DurationUnit::Hour) > LONG_DAY).then(|| {
        Problem::warning("record::long-work", format!("the work lasted from `{started}` to `{ended}`"))
            .expected("at most 16 hours, a long day")
            .mend("correct the time that is wrong, or its date")
            .at("ended")
    })
}

fn weather(seen: &Observed, at: &str) -> Problems {
    let mut problems = Problems::new();
    let (wind, gust) = (seen.wind.value().copied(), seen.gust.value().copied());
    problems.extend(
        seen.temperature.value().and_then(|told| temperature(*told)).map(|one| one.at(format!("{at}.temperature"))),
    );
    for (what, field, speed) in [("wind", "wind", wind), ("gust", "gust", gust)] {
        problems.extend(speed.and_then(|speed| blowing(what, speed)).map(|one| one.at(format!("{at}.{field}"))));
    }
    if let (Some(wind), Some(gust)) = (wind, gust)
        && gust < wind
    {
        problems.push(
            Problem::error(
                "record::gust-below-wind",
                format!("the gust is `{}`, below the mean wind of `{}`", miles(gust), miles(wind)),
            )
            .expected("a gust at least as strong as the mean wind")
            .mend("exchange the two, or leave out the gust that nobody measured")
            .at(format!("{at}.gust")),
        );
    }
    if seen.wind_from == Fact::DoesNotArise && wind.is_some_and(|wind| wind.to(SpeedUnit::MilePerHour) >= 1.0) {
        problems.push(
            Problem::warning(
                "record::calm-with-wind",
                "the wind has a speed, and it is said that it came from nowhere",
            )
            .expected("where the wind came from, in degrees clockwise from north")
            .mend("write `wind_from`, or a wind of `0 mph` for a calm")
            .at(format!("{at}.wind_from")),
        );
    }
    problems
}

fn temperature(told: Temperature) -> Option<Problem> {
    let celsius = told.to(TemperatureUnit::Celsius);
    let found = format!("the air is told as `{}`", both(told));
    let mend = "look at the scale, Celsius or Fahrenheit, and at the thermometer";
    if !is_air_temperature(told) {
        let problem = Problem::error("record::temperature", found);
        return Some(
            problem.expected("-60 to 60 °C (-76 to 140 °F): no air is colder or warmer where plants grow").mend(mend),
        );
    }
    (!TEMPERATURES_OF_WORK.contains(&celsius)).then(|| {
        let problem = Problem::warning("record::temperature", format!("{found}, unlikely in such work"));
        problem.expected("0 to 45 °C (32 to 113 °F)").mend(mend)
    })
}

fn blowing(what: &str, speed: Speed) -> Option<Problem> {
    let found = format!("the {what} is told as `{}`", miles(speed));
    let mend = "look at the unit: mph, km/h, m/s or knots";
    if !is_wind_outdoors(speed) {
        let problem = Problem::error("record::wind", found).expected("0 to 100 mph (45 m/s)");
        return Some(problem.mend(mend));
    }
    (speed.to(SpeedUnit::MilePerHour) >= STRONG_BREEZE).then(|| {
        let problem = Problem::warning("record::wind", format!("{found}, unlikely in such work"));
        problem.expected("less than 25 mph (11 m/s), where large branches begin to move").mend(mend)
    })
}

fn miles(speed: Speed) -> String {
    format!("{} ({})", speed.show(SpeedUnit::MilePerHour), speed.show(SpeedUnit::MetrePerSecond))
}

fn both(temperature: Temperature) -> String {
    format!("{} ({})", temperature.show(TemperatureUnit::Fahrenheit), temperature.show(TemperatureUnit::Celsius))
}

#[cfg(test)]
mod tests {
    use super::*;
    use problem::Severity;

    fn told(seen: &Observed) -> Vec<(&'static str, Severity, Option<String>)> {
        weather(seen, "w").iter().map(|one| (one.code, one.severity, one.place.path.clone())).collect()
    }

    fn celsius(value: f64) -> Observed {
        Observed {
            temperature: Fact::Recorded(Temperature::new(value, TemperatureUnit::Celsius)),
            ..Observed::default()
        }
    }

    fn wind(wind: f64, gust: f64) -> Observed {
        let speed = |value| Fact::Recorded(Speed::new(value, SpeedUnit::MilePerHour));
        Observed { wind: speed(wind), gust: speed(gust), ..Observed::default() }
    }

    #[test]
    fn air_is_judged_by_what_it_reaches() {
        let at = || Some("w.temperature".to_owned());
        assert_eq!(told(&celsius(22.0)), []);
        assert_eq!(told(&celsius(72.0)), [("record::temperature", Severity::Error, at())]);
        assert_eq!(told(&celsius(-61.0)), [("record::temperature", Severity::Error, at())]);
        for unlikely in [-1.0, 46.0, 60.0, -60.0] {
            assert_eq!(told(&celsius(unlikely)), [("record::temperature", Severity::Warning, at())], "{unlikely}");
        }
        assert_eq!((told(&celsius(0.0)), told(&celsius(45.0))), (vec![], vec![]));
    }

    #[test]
    fn a_gust_is_never_below_the_wind() {
        assert_eq!((told(&wind(6.0, 6.0)), told(&wind(6.0, 9.0))), (vec![], vec![]));
        assert_eq!(told(&wind(8.0, 6.0)), [("record::gust-below-wind", Severity::Error, Some("w.gust".to_owned()))]);
        let strong = told(&wind(25.0, 101.0));
        assert_eq!(strong.iter().map(|one| one.1).collect::<Vec<_>>(), [Severity::Warning, Severity::Error]);
        let calm = Observed { wind_from: Fact::DoesNotArise, ..wind(0.0, 0.0) };
        assert_eq!(told(&calm), []);
        let breeze = Observed { wind_from: Fact::DoesNotArise, ..wind(4.0, 5.0) };
        assert_eq!(told(&breeze), [("record::calm-with-wind", Severity::Warning, Some("w.wind_from".to_owned()))]);
    }

    #[test]
    fn an_end_comes_after_its_start_and_within_a_long_day() {
        let at = |hour: i8, day: i8| {
            let local = jiff::civil::date(2026, 7, day).at(hour, 0, 0, 0);
            Some(Moment { local, offset: jiff::tz::offset(-5) })
        };
        let told = |started, ended| span((started, ended)).map(|one| (one.code, one.severity));
        assert_eq!(told(at(7, 7), at(23, 7)), None);
        assert_eq!(told(at(9, 7), at(7, 7)), Some(("record::ends-before-start", Severity::Error)));
        assert_eq!(told(at(7, 7), at(0, 8)), Some(("record::long-work", Severity::Warning)));
        assert_eq!(told(None, at(0, 8)), None);
    }
}
