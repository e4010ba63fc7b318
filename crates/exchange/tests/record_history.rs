//! The visit closes the loop: a demo visit recorded as planned is the past of the next plan.

mod output_support;

use exchange::record_json::{parse_record, write_record};
use exchange::rule_file::{parse_rules, shipped};
use jiff::civil::date;
use jurisdiction::{Circumstances, Jurisdiction, RuleSet, Work};
use output_support::{demo_record, demo_request};
use quantity::{AreaUnit, VolumePerAreaUnit};
use record::{ApplicationRecord, Discarding, Fact, Standing, circumstances, discarding, history, standing};
use std::collections::BTreeMap;
use treatment::{History, Status, Verdict, Visit, VisitRequest, plan};

/// The demo visit planned again on another day, with its record (as it was written and read) in the past.
fn planned_again(day: jiff::civil::Date) -> Visit {
    let mut request = demo_request();
    let written = write_record(&demo_record());
    let record = parse_record("record.json", &written).unwrap_or_else(|problems| panic!("{problems}"));
    add_to_history(&mut request, &record);
    request.date = day;
    plan(&request).unwrap_or_else(|problems| panic!("{problems}"))
}

fn add_to_history(request: &mut VisitRequest, record: &ApplicationRecord) {
    let past = history([record], &request.property, None);
    assert!(past.gaps.is_empty(), "{:?}", past.gaps);
    let (History::Known { applications: held, .. }, History::Known { applications, .. }) =
        (&mut request.history, past.history)
    else {
        panic!("both histories are known")
    };
    held.extend(applications);
}

fn refusals<'v>(visit: &'v Visit, task: &str) -> Vec<&'v Verdict> {
    let task = visit.tasks.iter().find(|found| found.id == task).expect("the task");
    task.verdicts.iter().filter(|verdict| verdict.status == Status::Refused).collect()
}

/// The label's 21 days forbid every task of the demo on the next day; the band has no room left in the
/// year's cap either (0.060 fl oz/1,000 sq ft against 0.55).
#[test]
fn the_next_day_is_refused_by_interval_and_cap() {
    let visit = planned_again(date(2026, 7, 8));
    for task in ["perimeter", "hedge", "lawn"] {
        let rules: Vec<&str> = refusals(&visit, task).iter().map(|verdict| verdict.rule).collect();
        assert!(rules.contains(&"limit::interval"), "{task}: {rules:?}");
    }
    let band = refusals(&visit, "perimeter");
    let cap = band.iter().find(|verdict| verdict.rule == "limit::active-ingredient").expect("the cap refuses");
    // 0.80 of April, 0.55 of July, 0.55 again.
    let measured = cap.measured.as_ref().expect("measured");
    assert!((measured.value / 1.90 - 1.0).abs() < 2e-3, "{measured:?}");
    assert!(cap.clause.as_deref().is_some_and(|clause| clause.contains("0.48 lb exampthrin")));
}

/// From 28 July the interval is over (the acceptance example's earliest repeat): the lawn may be treated once
/// more, the band not.
#[test]
fn after_the_interval_the_lawn_has_one_more_and_the_band_none() {
    let rules = |visit: &Visit, task: &str| -> Vec<&'static str> {
        refusals(visit, task).iter().map(|verdict| verdict.rule).collect()
    };
    let early = planned_again(date(2026, 7, 27));
    assert!(rules(&early, "lawn").contains(&"limit::interval"));
    let visit = planned_again(date(2026, 7, 28));
    assert_eq!(rules(&visit, "lawn"), Vec::<&str>::new());
    assert!(rules(&visit, "perimeter").contains(&"limit::active-ingredient"));
    let lawn = visit.tasks.iter().find(|task| task.id == "lawn").expect("the lawn");
    assert_eq!(lawn.product.days_since_previous, Some(21));
    assert_eq!(lawn.product.remaining[0].more_at_todays, 0, "{:?}", lawn.product.remaining);
}

/// What lies on lawn and band of the demo, from the records alone.
#[test]
fn totals_of_the_demo_are_its_rates() {
    let record = demo_record();
    let found = record::totals([&record], &record.plane(), (date(2026, 1, 1), date(2026, 12, 31)));
    // Tanks are measured on marks of 0.2 mL, and down at a limit.
    for (task, rate, tolerance) in [("lawn", 0.4, 4e-3), ("perimeter", 0.55, 7e-3), ("hedge", 0.681_818, 2e-2)] {
        let place = found
            .places
            .iter()
            .filter(|place| place.layers.iter().any(|layer| layer.task == task))
            .max_by(|one, other| one.area.partial_cmp(&other.area).unwrap())
            .expect(task);
        assert_eq!(place.layers.len(), 1, "{task}: nothing was treated twice");
        let lies = place.layers[0].per_area.volume().unwrap().to(VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet);
        assert!((lies / rate - 1.0).abs() < tolerance, "{task}: {lies}");
    }
    let treated: f64 = found.places.iter().map(|place| place.area.to(AreaUnit::SquareFoot)).sum();
    // Broadcast, band on the ground and hedge of the acceptance example.
    assert!((treated / (7_988.020 + 380.343 + 88.0) - 1.0).abs() < 1e-3, "{treated}");
}

fn rules() -> RuleSet {
    parse_rules(shipped().iter().copied()).unwrap_or_else(|problems| panic!("{problems}")).0
}

fn in_state(record: &ApplicationRecord, state: &str) -> Circumstances {
    circumstances(record, &Jurisdiction::parse(state).unwrap(), Work::ForHire, &BTreeMap::new())
}

/// Ohio (901:5-11-10) asks for times, wind and temperature, on the same day.
#[test]
fn a_record_without_times_and_weather_is_a_draft_that_says_who_asks_for_them() {
    let rules = rules();
    let mut record = demo_record();
    let there = in_state(&record, "US-OH");
    let found = standing(&record, &rules, &there);
    let lacking: Vec<&str> =
        found.lacking().iter().flat_map(|lacking| &lacking.any_of).map(|field| field.word()).collect();
    assert_eq!(lacking, ["start-time", "end-time", "wind-direction", "wind-speed", "temperature"], "{found:#?}");
    for lacking in found.lacking() {
        for binding in &lacking.demanded_by {
            assert_eq!(binding.rule.source.publication, "Ohio Administrative Code");
        }
    }
    // Due on the day of the application, that is by midnight.
    assert_eq!(found.due(), Some(date(2026, 7, 8).at(0, 0, 0, 0)));
    let moment = |hour| record::Moment { local: date(2026, 7, 7).at(hour, 0, 0, 0), offset: jiff::tz::offset(-5) };
    record.started = Fact::Recorded(moment(7));
    record.ended = Fact::Recorded(moment(9));
    record.weather_at_start = record::Observed {
        wind_from: Fact::DoesNotArise,
        wind: Fact::Recorded(quantity::Speed::ZERO),
        temperature: Fact::Recorded(quantity::Temperature::new(72.0, quantity::TemperatureUnit::Fahrenheit)),
        ..record::Observed::default()
    };
    assert_eq!(standing(&record, &rules, &there), Standing::Complete);
    // Texas asks for the beginning only, and for the noncertified applicator where one applied.
    let texas = standing(&demo_record(), &rules, &in_state(&demo_record(), "US-TX")).lacking().len();
    // Its structural rule counts until somebody says that its condition is not met; a supervisor does not arise.
    assert_eq!(texas, 4, "start, wind direction, wind speed, temperature");
    // Of a state without rules in the set nothing is known, which is no permission.
    assert_eq!(standing(&record, &rules, &in_state(&record, "US-KS")), Standing::NoRuleKnown);
    record.tasks[0].products[0].registration_number = Fact::Absent;
    assert_eq!(standing(&record, &rules, &there).lacking().len(), 1);
}

/// Ohio keeps records three years from the day of the application.
#[test]
fn a_record_in_its_retention_time_may_not_be_thrown_away() {
    let rules = rules();
    let record = demo_record();
    let ohio = in_state(&record, "US-OH");
    let Discarding::Forbidden(kept) = discarding(&rules, &ohio, date(2029, 7, 7)) else { panic!("kept three years") };
    assert_eq!((kept.until, kept.by.rule.id.as_str()), (date(2029, 7, 7), "oh-use-record-kept"));
    assert!(matches!(discarding(&rules, &ohio, date(2029, 7, 8)), Discarding::Allowed(_)));
    assert_eq!(discarding(&rules, &in_state(&record, "US-KS"), date(2099, 1, 1)), Discarding::NoRuleKnown);
    // A product whose class is not recorded is taken to be of restricted use: the federal rule then keeps it.
    let mut unknown = record;
    unknown.tasks[0].products[0].use_class = Fact::Absent;
    let there = in_state(&unknown, "US-KS");
    assert!(there.restricted_use);
    assert!(matches!(discarding(&rules, &there, date(2028, 7, 7)), Discarding::Forbidden(_)));
}

/// Counted mounds have no ground: their date and number count everywhere on turf, and the gap is told.
#[test]
fn counted_places_leave_a_gap_that_is_told() {
    let record = output_support::demo_record_with(|request| {
        let grams = quantity::AmountUnit::Mass(quantity::MassUnit::Gram);
        request.practice.graduation = Some(quantity::Graduation::new(1.0, grams).unwrap());
        let task = &mut request.tasks[2];
        task.id = "mounds".to_owned();
        task.method = label::Method::Mound;
        task.label = "anthollow-rb".to_owned();
        task.pest = Some("fire ant".to_owned());
        task.rate = treatment::RateWish::Lowest;
        task.calibration = None;
        task.target = treatment::Target::Places { count: 12, site: label::Site::Turf };
    });
    let mounds = record.task("mounds").expect("the mounds");
    assert_eq!((&mounds.places, &mounds.carrier), (&Fact::Recorded(12), &Fact::DoesNotArise));
    assert!(mounds.zones.is_empty() && mounds.per_area(&mounds.products[0]).is_none());
    let past = history([&record], &demo_request().property, None);
    assert_eq!(past.gaps.len(), 1, "{:?}", past.gaps);
    assert_eq!(past.gaps[0].task, "mounds");
    let History::Known { applications, .. } = past.history else { panic!("known") };
    let application = applications.iter().find(|application| application.product == "anthollow-rb").unwrap();
    assert_eq!(application.place, treatment::Place::Turf);
    let found = record::totals([&record], &record.plane(), (date(2026, 1, 1), date(2026, 12, 31)));
    assert!(found.off_ground.iter().any(|off| off.task == "mounds" && off.area == quantity::Area::ZERO));
    let checks = record::check_tanks(mounds, &[]);
    assert!(checks.iter().all(|check| check.advice == record::TankAdvice::NotTold), "{checks:?}");
    let written = write_record(&record);
    assert_eq!(write_record(&parse_record("record.json", &written).unwrap()), written);
}
