use super::*;
use jiff::ToSpan;
use jiff::civil::date;
use pest::{Cited, HeatMethod, HeatStart, StageStep, StepSpread};
use proptest::prelude::*;
use quantity::{DegreeDayUnit, Temperature, TemperatureUnit};
use weather::{DailyReading, HourlyReading};

fn heat(value: f64) -> DegreeDays {
    DegreeDays::new(value, DegreeDayUnit::Celsius)
}

fn step(to: &str, middle: f64, deviation: f64) -> Cited<StageStep> {
    let spread = StepSpread::StandardDeviation(Cited { what: heat(deviation), source: "a".into() });
    let what = StageStep { to: to.into(), middle: heat(middle), spread: Some(spread), note: None };
    Cited { what, source: "a".into() }
}

/// Above 10 °C from 1 March: nymphs at 100, adults at 300.
fn model() -> DegreeDayModel {
    DegreeDayModel {
        base: Temperature::new(10.0, TemperatureUnit::Celsius),
        scale: TemperatureUnit::Celsius,
        upper: None,
        method: Some(HeatMethod::Average),
        start: HeatStart::Day { month: 3, day: 1 },
        first: "egg".into(),
        steps: vec![step("nymph", 100.0, 10.0), step("adult", 300.0, 20.0)],
        variance_per_degree_day: None,
        susceptible: Vec::new(),
        place: "nowhere, invented".into(),
        note: None,
        source: "a".into(),
    }
}

/// Every day of some years, at so many degrees above the base.
fn days(years: std::ops::RangeInclusive<i16>, last: Date, above: impl Fn(Date) -> f64) -> DailySeries {
    let first = date(*years.start(), 1, 1);
    let all = first.series(1.day()).take_while(|day| *day <= last);
    let reading = |day: Date| {
        let air = Some(Temperature::new(10.0 + above(day), TemperatureUnit::Celsius));
        DailyReading { lowest: air, highest: air, ..DailyReading::unknown(day) }
    };
    // Constant days are warned of as those of a stuck sensor; that is no matter here.
    DailySeries::new(all.map(reading).collect()).unwrap().0
}

fn question<'a>(model: &'a DegreeDayModel, readings: &'a DailySeries) -> StageQuestion<'a> {
    StageQuestion {
        model,
        readings: Readings::Days(readings),
        past: None,
        biofix: None,
        year: None,
        through: None,
        by: None,
        susceptible: &[],
        sightings: &[],
        prior: Prior::new(0.1, 1.0).unwrap(),
    }
}

fn codes(found: &Problems) -> Vec<&'static str> {
    found.iter().map(|problem| problem.code).collect()
}

#[test]
fn a_season_goes_through_its_stages_and_the_window_is_that_of_the_nymphs() {
    let (model, readings) = (model(), days(2026..=2026, date(2026, 5, 31), |_| 5.0));
    let reached = ["nymph".to_owned()];
    let (course, found) =
        stage_course(&StageQuestion { susceptible: &reached, ..question(&model, &readings) }).unwrap();
    // Five a day from 1 March on: 100 on the 20th day, 300 on the 60th.
    assert_eq!(course.days.len(), 92);
    assert_eq!(course.last().unwrap().total, heat(460.0));
    assert_eq!(course.steps[0].reached, Some(ReachedRange::On(date(2026, 3, 20))));
    assert_eq!(course.steps[1].reached, Some(ReachedRange::On(date(2026, 4, 29))));
    let window = course.window.unwrap();
    assert_eq!((window.days, window.is_open), (Some((date(2026, 3, 20), date(2026, 4, 29))), false));
    assert!(window.best_share > 0.99);
    assert_eq!(course.past_years, Vec::<i16>::new());
    // No past years: told, and no fault.
    assert_eq!(codes(&found), ["weather::few-years"]);
    assert!(course.window_ahead.is_none() && !course.is_spread_assumed);
}

#[test]
fn dates_ahead_are_a_range_over_the_readings_own_past() {
    let warmth = |day: Date| match day.year() {
        2021 => 4.0,
        2023 => 6.0,
        2024 => 8.0,
        2025 => 10.0,
        _ => 5.0,
    };
    let readings = days(2021..=2026, date(2026, 3, 10), warmth);
    let (model, reached) = (model(), ["nymph".to_owned()]);
    let (course, _) = stage_course(&StageQuestion { susceptible: &reached, ..question(&model, &readings) }).unwrap();
    assert_eq!(course.past_years, [2021, 2022, 2023, 2024, 2025]);
    // Fifty by 10 March; fifty more take 5, 7, 9, 10 and 13 days.
    let Some(ReachedRange::Ahead { early, middle, late, reached, years }) = course.steps[0].reached else {
        panic!("{:?}", course.steps)
    };
    assert_eq!((early, middle, late), (Some(date(2026, 3, 15)), Some(date(2026, 3, 19)), Some(date(2026, 3, 23))));
    assert_eq!((reached, years), (5, 5));
    let ahead = course.window_ahead.unwrap();
    assert_eq!(ahead.first.early, Some(date(2026, 3, 15)));
    assert!(course.window.unwrap().is_open);
}

#[test]
fn own_sightings_move_shares_and_dates() {
    let (model, readings) = (model(), days(2026..=2026, date(2026, 5, 31), |_| 5.0));
    // By 15 March 75 are counted; many nymphs say that it was more.
    let seen = [StageSighting { date: date(2026, 3, 15), counts: vec![("nymph".into(), 40), ("egg".into(), 40)] }];
    let (plain, _) = stage_course(&question(&model, &readings)).unwrap();
    let (course, _) = stage_course(&StageQuestion { sightings: &seen, ..question(&model, &readings) }).unwrap();
    let factor = course.correction.as_ref().unwrap().factor();
    assert!(factor > 1.15 && factor < 1.35, "{factor}");
    assert!((course.steps[0].heat.to(DegreeDayUnit::Celsius) - 100.0 / factor).abs() < 1e-9);
    let by = |course: &StageCourse| match course.steps[0].reached {
        Some(ReachedRange::On(date)) => date,
        _ => panic!("{:?}", course.steps),
    };
    assert!(by(&course) < by(&plain));
    assert!(course.days[15].shares.shares()[1] > plain.days[15].shares.shares()[1] + 0.2);
}

#[test]
fn hours_are_counted_by_themselves_unless_the_figures_say_how() {
    let start = date(2026, 3, 1);
    let hours = start.at(0, 0, 0, 0).series(1.hour()).take(24 * 3).map(|hour| HourlyReading {
        // Half of each day at the base, half twelve degrees above it.
        temperature: Some(Temperature::new(if hour.hour() < 12 { 10.0 } else { 22.0 }, TemperatureUnit::Celsius)),
        ..HourlyReading::unknown(hour)
    });
    let hours = HourlySeries::new(jiff::tz::Offset::UTC, hours.collect()).unwrap().0;
    let days = DailySeries::from_hours(&hours).unwrap().0;
    let open = DegreeDayModel { method: None, ..model() };
    let of = |model: &DegreeDayModel, by| {
        let asked = StageQuestion { by, readings: Readings::Hours(&hours, &days), ..question(model, &days) };
        let (course, found) = stage_course(&asked).unwrap();
        (course.by, course.last().unwrap().total.to(DegreeDayUnit::Celsius), codes(&found).len())
    };
    assert_eq!(of(&open, None), (HeatBy::Hours, 18.0, 1));
    assert_eq!(of(&model(), None), (HeatBy::Days(Method::Average), 18.0, 1));
    assert_eq!(of(&model(), Some(HeatBy::Hours)).0, HeatBy::Hours);
    // Of days nobody can count by hours.
    let asked = StageQuestion { by: Some(HeatBy::Hours), ..question(&open, &days) };
    let (course, found) = stage_course(&asked).unwrap();
    assert_eq!((course.by, codes(&found)[0]), (HeatBy::Days(Method::SingleSine), "stages::method"));
    // Through a day within, and past the hours.
    let through = |day| {
        let asked =
            StageQuestion { through: Some(day), readings: Readings::Hours(&hours, &days), ..question(&open, &days) };
        stage_course(&asked).map(|(course, _)| course.days.len()).map_err(|found| codes(&found))
    };
    assert_eq!(through(date(2026, 3, 2)), Ok(2));
    assert_eq!(through(date(2026, 3, 9)), Err(vec!["weather::start-not-read"]));
}

#[test]
fn everything_wrong_is_told_at_once() {
    let readings = days(2026..=2026, date(2026, 4, 30), |_| 5.0);
    let model = DegreeDayModel { start: HeatStart::Biofix("the first hatch".into()), ..model() };
    let reached = ["larva".to_owned(), "nymph".to_owned()];
    let seen = [StageSighting { date: date(2026, 4, 1), counts: vec![("grub".into(), 3)] }];
    let asked = StageQuestion { susceptible: &reached, sightings: &seen, ..question(&model, &readings) };
    let found = stage_course(&asked).unwrap_err();
    assert_eq!(codes(&found), ["stages::no-biofix", "stages::unknown-stage", "stages::unknown-stage"]);
    let seen = [StageSighting { date: date(2026, 2, 1), counts: vec![("nymph".into(), 3)] }];
    let asked = StageQuestion { sightings: &seen, biofix: Some(date(2026, 3, 4)), ..question(&model, &readings) };
    let found = stage_course(&asked).unwrap_err();
    assert_eq!(codes(&found), ["stages::sighting-outside"]);
    let several = DegreeDayModel {
        steps: vec![step("small larva", 50.0, 5.0), step("large larva", 90.0, 5.0)],
        start: HeatStart::Day { month: 3, day: 1 },
        ..model.clone()
    };
    let seen = [StageSighting { date: date(2026, 4, 1), counts: vec![("larva".into(), 3)] }];
    let found = stage_course(&StageQuestion { sightings: &seen, ..question(&several, &readings) }).unwrap_err();
    assert_eq!(codes(&found), ["stages::several-stages"]);
    // Readings that end before the start.
    let early = days(2026..=2026, date(2026, 2, 10), |_| 5.0);
    let plain = DegreeDayModel { start: HeatStart::Day { month: 3, day: 1 }, ..model };
    assert_eq!(codes(&stage_course(&question(&plain, &early)).unwrap_err()), ["weather::start-not-read"]);
}

#[test]
fn a_spread_that_is_not_published_is_assumed_and_said() {
    let mut bare = model();
    for step in &mut bare.steps {
        step.what.spread = None;
    }
    let readings = days(2026..=2026, date(2026, 5, 31), |_| 5.0);
    let (course, _) = stage_course(&question(&bare, &readings)).unwrap();
    assert!(course.is_spread_assumed);
    // A tenth of 100: 16 % have taken the step one deviation before it, at 90 on the 18th day.
    let share = 1.0 - course.days[17].shares.shares()[0];
    assert!((share - 0.1587).abs() < 0.001, "{share}");
}

proptest! {
    #[test]
    fn shares_are_the_whole_heat_never_falls_and_nobody_grows_younger(
        warmth in prop::collection::vec(-15.0..20.0_f64, 20..80),
        first in 20.0..200.0_f64, more in 10.0..200.0_f64, deviation in 1.0..60.0_f64,
        seen in prop::option::of(1_u32..40), is_shared in any::<bool>(),
    ) {
        let start = date(2026, 3, 1);
        let reading = |(day, above): (Date, f64)| {
            let scale = TemperatureUnit::Celsius;
            let (low, high) = (Temperature::new(6.0 + above, scale), Temperature::new(16.0 + above, scale));
            DailyReading { lowest: Some(low), highest: Some(high), ..DailyReading::unknown(day) }
        };
        let days = start.series(1.day()).zip(warmth.iter().copied()).map(reading).collect();
        let readings = DailySeries::new(days).unwrap().0;
        let mut model = DegreeDayModel {
            steps: vec![step("nymph", first, deviation), step("adult", first + more, deviation)],
            method: None,
            ..model()
        };
        if is_shared {
            for step in &mut model.steps {
                step.what.spread = None;
            }
            model.variance_per_degree_day = Some(Cited { what: heat(deviation / 20.0), source: "a".into() });
        }
        let sightings: Vec<StageSighting> = seen
            .map(|count| StageSighting { date: date(2026, 3, 15), counts: vec![("nymph".into(), count)] })
            .into_iter()
            .collect();
        let reached = ["nymph".to_owned()];
        let asked = StageQuestion { susceptible: &reached, sightings: &sightings, ..question(&model, &readings) };
        let (course, _) = stage_course(&asked).unwrap();
        prop_assert_eq!(course.days.len(), warmth.len());
        for day in &course.days {
            prop_assert!((day.shares.shares().iter().sum::<f64>() - 1.0).abs() < 1e-9);
            prop_assert!(day.shares.shares().iter().all(|share| (0.0..=1.0 + 1e-12).contains(share)));
            prop_assert!(day.heat >= DegreeDays::ZERO);
        }
        for pair in course.days.windows(2) {
            prop_assert!(pair[1].total >= pair[0].total);
            for stage in 0..3 {
                let beyond = |day: &StageDay| day.shares.shares()[stage..].iter().sum::<f64>();
                prop_assert!(beyond(&pair[1]) >= beyond(&pair[0]) - 1e-9);
            }
        }
        let window = course.window.unwrap();
        prop_assert!(course.days.iter().any(|day| day.date == window.best));
        if let Some((first, last)) = window.days {
            prop_assert!(first <= window.best && window.best <= last);
        }
    }
}
