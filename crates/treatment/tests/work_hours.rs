//! Hours to work in: laws over forecasts drawn by lot, and what the air adds.

mod support;

use jiff::Span;
use jiff::civil::{DateTime, date};
use proptest::prelude::*;
use quantity::{Length, LengthUnit, Speed, SpeedUnit, Temperature, TemperatureUnit};
use support::{KANSAS, alder_bend, property, request};
use treatment::{Status, TaskHours, VisitRequest, WorkHours, plan, work_hours};
use weather::{CloudCover, HourlyReading, HourlySeries, RelativeHumidity};

fn first() -> DateTime {
    date(2026, 7, 6).at(0, 0, 0, 0)
}

/// °F, mph, mph of gust above the wind, direction, inches of rain, humidity, clouds: what an hour of the lot may be like.
type Drawn = (f64, f64, f64, Option<u16>, f64, f64, f64);

fn series(drawn: &[Drawn]) -> HourlySeries {
    let hours = drawn.iter().enumerate().map(|(index, &(heat, wind, gust, from, rain, humidity, clouds))| {
        let mut reading =
            HourlyReading::unknown(first().saturating_add(Span::new().hours(i64::try_from(index).unwrap())));
        reading.temperature = Some(Temperature::new(heat, TemperatureUnit::Fahrenheit));
        reading.wind_speed = Some(Speed::new(wind, SpeedUnit::MilePerHour));
        reading.wind_gust = Some(Speed::new(wind + gust, SpeedUnit::MilePerHour));
        reading.wind_from = from.map(|from| quantity::Bearing::from_degrees(f64::from(from)));
        reading.rain = Some(Length::new(rain, LengthUnit::Inch));
        reading.relative_humidity = RelativeHumidity::from_fraction(humidity).ok();
        reading.cloud_cover = CloudCover::from_fraction(clouds).ok();
        reading
    });
    HourlySeries::new(jiff::tz::offset(-5), hours.collect()).unwrap().0
}

fn asked(series: HourlySeries) -> VisitRequest {
    let mut request = request(property(&alder_bend(), KANSAS), 0.0);
    request.forecast = Some(series);
    request
}

fn hour() -> impl Strategy<Value = Drawn> {
    let rain = prop_oneof![8 => Just(0.0), 1 => 0.01..0.6_f64];
    let from = prop_oneof![1 => Just(None), 9 => (0..360_u16).prop_map(Some)];
    (50.0..95.0_f64, 0.0..13.0_f64, 0.0..5.0_f64, from, rain, 0.2..1.0_f64, 0.0..1.0_f64)
}

/// Forecasts that have good stretches: each hour is drawn anew or like the one before.
fn forecast() -> impl Strategy<Value = HourlySeries> {
    prop::collection::vec((hour(), 0.0..1.0_f64), 60..80).prop_map(|drawn| {
        let mut hours: Vec<Drawn> = Vec::new();
        for (hour, lot) in drawn {
            hours.push(if lot < 0.7 { hours.last().copied().unwrap_or(hour) } else { hour });
        }
        series(&hours)
    })
}

fn end(start: DateTime) -> DateTime {
    start.saturating_add(Span::new().hours(1))
}

/// The label of the lot: wind 3 to 10 mph with gusts, at most 88 °F, no rain, no soaked soil; held apart from the program.
fn is_lawful(reading: &HourlyReading, series: &HourlySeries) -> bool {
    let mph = |speed: Option<Speed>| speed.map(|speed| speed.to(SpeedUnit::MilePerHour));
    let wind = mph(reading.wind_speed).is_some_and(|wind| wind >= 3.0 - 1e-6);
    let gust = mph(reading.wind_gust).is_some_and(|gust| gust <= 10.0 + 1e-6);
    let cool = reading.temperature.is_some_and(|air| air.to(TemperatureUnit::Fahrenheit) <= 88.0 + 1e-6);
    let day_ago = end(reading.start).saturating_sub(Span::new().hours(24));
    let soaked: f64 = series
        .hours()
        .iter()
        .filter(|hour| hour.start >= day_ago && hour.start <= reading.start)
        .filter_map(|hour| hour.rain)
        .map(|rain| rain.to(LengthUnit::Inch))
        .sum();
    let dry = reading.rain.is_some_and(|rain| !rain.is_positive());
    wind && gust && cool && dry && soaked < 0.5 + 1e-6 && reading.wind_from.is_some()
}

fn is_open(task: &TaskHours, from: DateTime, to: DateTime) -> bool {
    let mut at = from;
    for hour in task.hours.iter().filter(|hour| hour.hour.start < to && end(hour.hour.start) > from) {
        if hour.hour.status == Status::Refused || hour.hour.start > at {
            return false;
        }
        at = end(hour.hour.start);
    }
    at >= to
}

fn found(series: &HourlySeries) -> WorkHours {
    work_hours(&asked(series.clone())).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_hour_called_lawful_breaks_a_limit_and_no_start_leaves_them(series in forecast()) {
        let hours = found(&series);
        prop_assert_eq!(hours.tasks.len(), 3);
        for task in &hours.tasks {
            prop_assert_eq!(task.hours.len(), series.hours().len());
            for (hour, reading) in task.hours.iter().zip(series.hours()) {
                prop_assert!(hour.hour.status == Status::Refused || is_lawful(reading, &series), "{:?}", hour);
                prop_assert_eq!(hour.hour.reasons.iter().map(|reason| reason.status).max().unwrap_or(Status::Allowed), hour.hour.status);
            }
            for window in &task.windows {
                prop_assert!(is_open(task, window.first, window.finish_if_last), "{:?}", window);
            }
            for start in &task.starts {
                prop_assert!(is_open(task, start.start, start.finish), "{:?}", start);
                let in_a_window = task.windows.iter().any(|window| window.first <= start.start && start.start <= window.last);
                prop_assert!(in_a_window, "{:?}", start);
                // The label wants four hours without rain.
                let dry_until = start.finish.saturating_add(Span::new().hours(4));
                let rain = series.hours().iter().any(|hour| {
                    end(hour.start) > start.finish && hour.start < dry_until && hour.rain.is_some_and(Length::is_positive)
                });
                prop_assert!(!rain, "{:?}", start);
                prop_assert!(task.best().is_some_and(|best| best.cost() <= start.cost()));
            }
            let days: Vec<_> = task.starts.iter().map(|start| start.start.date()).collect();
            let with_windows: std::collections::BTreeSet<_> = task.windows.iter().map(|window| window.first.date()).collect();
            prop_assert_eq!(days, with_windows.into_iter().collect::<Vec<_>>());
        }
    }

    #[test]
    fn an_hour_is_refused_just_where_the_visit_of_this_task_alone_refuses_it(series in forecast()) {
        for task in found(&series).tasks {
            let mut alone = asked(series.clone());
            alone.tasks.retain(|asked| asked.id == task.task);
            // The ground of a task alone reaches where an earlier task would have had it first.
            if task.task != "perimeter" {
                continue;
            }
            let visit = plan(&alone).unwrap();
            for (hour, own) in visit.hours.iter().zip(&task.hours) {
                // Sunrise of the visit's own date stands for all days there.
                if hour.start.date() == alone.date {
                    prop_assert_eq!(hour.status == Status::Refused, own.hour.status == Status::Refused, "{:?} {:?}", hour, own);
                }
            }
        }
    }
}

#[test]
fn a_good_day_has_a_best_start_in_the_light_and_says_why() {
    // Two days alike: light wind from the north by day, calm and clear by night, dew toward morning.
    let day = |hour: i32| -> Drawn {
        let light = (7..20).contains(&hour);
        let heat = if light { 76.0 } else { 60.0 };
        (heat, if light { 5.0 } else { 3.5 }, 1.0, Some(350), 0.0, if light { 0.5 } else { 0.97 }, 0.0)
    };
    let hours: Vec<Drawn> = (0..60).map(|hour| day(hour % 24)).collect();
    let found = found(&series(&hours));
    for task in &found.tasks {
        let Some(best) = task.best() else { panic!("{}: {:#?}", task.task, task.hours[36]) };
        assert!(best.start.hour() >= 7 && best.finish.hour() < 20, "{best:?}");
        assert!(best.reasons.iter().any(|reason| reason.contains("mph")), "{best:?}");
        assert!(best.dry_from.is_none_or(|dry| dry > best.finish), "{best:?}");
        let at = |hour: usize| task.hours[24 + hour].hour.reasons.iter().map(|reason| reason.rule).collect::<Vec<_>>();
        assert!(at(2).contains(&"hour::dark") && at(2).contains(&"hour::leaves-wet"), "{:?}", at(2));
        assert!(at(2).contains(&"hour::layered-air"), "{:?}", at(2));
        assert!(!at(12).contains(&"hour::dark") && !at(12).contains(&"hour::layered-air"), "{:?}", at(12));
        // Flowers are in bloom and hives stand near.
        assert!(at(12).contains(&"hour::bees-fly") && !at(2).contains(&"hour::bees-fly"), "{:?}", at(12));
        let checks: Vec<&str> = task.checks.iter().map(|check| check.what.as_str()).collect();
        assert!(
            checks.iter().any(|check| check.contains("nozzle")) && checks.iter().any(|check| check.contains("bees"))
        );
    }
}

#[test]
fn without_a_forecast_there_are_no_hours() {
    let mut asked = asked(series(&[(70.0, 5.0, 1.0, Some(180), 0.0, 0.5, 0.0)]));
    asked.forecast = None;
    let problems = work_hours(&asked).unwrap_err();
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["hours::no-forecast"]);
}
