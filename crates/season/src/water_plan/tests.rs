use super::*;
use crate::lawn_day::ReferenceOrigin;
use crate::soil::Soil;
use crate::sprinkler::{Delivery, SprinklerZone};
use crate::watering::CatchCans;
use jiff::civil::{DateTime, date};
use proptest::prelude::*;
use quantity::{Duration, DurationUnit, Temperature, TemperatureUnit};
use weather::evapotranspiration::ReferenceMethod;

fn inches(value: f64) -> Length {
    Length::new(value, LengthUnit::Inch)
}

fn mm(value: f64) -> Length {
    Length::new(value, LengthUnit::Millimetre)
}

fn minutes(value: f64) -> Duration {
    Duration::new(value, DurationUnit::Minute)
}

fn day(day: i8, reference: f64, rain: f64) -> LawnDay {
    LawnDay {
        date: date(2026, 7, day),
        reference: mm(reference),
        origin: ReferenceOrigin::Reading(ReferenceMethod::Hargreaves1985),
        mean: Temperature::new(24.0, TemperatureUnit::Celsius),
        rain: Some(mm(rain)),
    }
}

fn zone(name: &str) -> SprinklerZone {
    let cans = CatchCans::new(vec![inches(0.25); 4], minutes(15.0)).unwrap();
    SprinklerZone::new(name, Delivery::Cans(cans), minutes(20.0), None).unwrap()
}

/// Six inches of loam hold 23.6 mm, of which 11.8 may go.
fn request(days: Vec<LawnDay>) -> WaterRequest {
    WaterRequest {
        root_zone: RootZone::new(inches(6.0), Soil::Loam.into(), 0.5).unwrap(),
        grass: Grass::CoolSeason,
        latitude: 38.84,
        gone: Length::ZERO,
        plan_from: days.first().map_or(date(2026, 7, 1), |day| day.date),
        days,
        given: Vec::new(),
        controller: Controller::new(vec![zone("front"), zone("back")], minutes(30.0)).unwrap(),
        hours: WateringHours::early(),
        no_watering: Vec::new(),
        water_in: Vec::new(),
    }
}

fn no(from: DateTime, until: DateTime) -> Prohibition {
    Prohibition { from, until, why: "a treatment".to_owned(), sentences: Vec::new() }
}

fn watered(plan: &WaterPlan) -> Vec<(i8, f64)> {
    let of = |program: &Program| (program.start.date().day(), program.depth.to(LengthUnit::Millimetre));
    plan.programs().map(of).collect()
}

#[test]
fn a_prohibition_is_watered_before_and_the_rest_of_its_last_morning_is_used() {
    let mut asked = request((1..=6).map(|index| day(index, 6.0, 0.0)).collect());
    // 5.64 mm a day: the third day would pass 11.8, and is watered before it when it may not be.
    assert_eq!(watered(&plan_water(asked.clone()).unwrap()).first().map(|first| first.0), Some(3));
    asked.no_watering = vec![no(date(2026, 7, 3).at(0, 0, 0, 0), date(2026, 7, 4).at(8, 39, 19, 0))];
    let plan = plan_water(asked).unwrap();
    let told = watered(&plan);
    assert_eq!(told[0].0, 2, "{told:?}");
    assert_eq!(plan.days[2].permission, Permission::Prohibited(0));
    let Permission::Within(stretch) = plan.days[3].permission else { panic!("{:?}", plan.days[3].permission) };
    assert_eq!((stretch.from.time().hour(), stretch.from.time().minute()), (8, 40));
}

#[test]
fn a_treatment_is_watered_in_when_its_work_is_done() {
    let mut asked = request((1..=4).map(|index| day(index, 5.0, 0.0)).collect());
    let done = date(2026, 7, 2).at(9, 10, 30, 0);
    asked.no_watering = vec![no(date(2026, 7, 2).at(0, 0, 0, 0), date(2026, 7, 2).at(9, 11, 0, 0))];
    let by = date(2026, 7, 3).at(9, 0, 0, 0);
    let water_in =
        WaterIn { visit: "grubs".to_owned(), depth: inches(0.5), not_before: done, by, sentences: Vec::new() };
    asked.water_in = vec![water_in.clone()];
    let plan = plan_water(asked.clone()).unwrap();
    assert_eq!(plan.unmet, []);
    let program = plan.programs().next().unwrap();
    assert_eq!((program.start, program.depth), (date(2026, 7, 2).at(9, 11, 0, 0), inches(0.5)));
    assert_eq!(plan.days[1].balance.given, inches(0.5));
    // Another treatment forbids water until after the deadline.
    asked.no_watering.push(no(date(2026, 7, 2).at(9, 0, 0, 0), date(2026, 7, 4).at(0, 0, 0, 0)));
    let plan = plan_water(asked.clone()).unwrap();
    assert_eq!(plan.unmet, [Unmet { water_in: 0, reason: UnmetReason::Prohibited(1) }]);
    assert_eq!(plan.days[1].balance.given, Length::ZERO);
    // Sprinklers that take longer than there is: an hour each.
    asked.no_watering.pop();
    asked.water_in = vec![WaterIn { by: date(2026, 7, 2).at(9, 40, 0, 0), ..water_in.clone() }];
    let plan = plan_water(asked.clone()).unwrap();
    assert!(matches!(plan.unmet[..], [Unmet { reason: UnmetReason::TooSlow { .. }, .. }]), "{:?}", plan.unmet);
    // Planned from the day after, it is over unless somebody says that it was done.
    asked.water_in = vec![water_in];
    asked.plan_from = date(2026, 7, 4);
    assert!(matches!(plan_water(asked.clone()).unwrap().unmet[..], [Unmet { reason: UnmetReason::Over, .. }]));
    asked.given = vec![(date(2026, 7, 2), inches(0.5))];
    assert_eq!(plan_water(asked).unwrap().unmet, []);
}

#[test]
fn what_was_given_is_told_and_nothing_is_planned_in_the_past() {
    let mut asked = request((1..=8).map(|index| day(index, 6.0, 0.0)).collect());
    asked.plan_from = date(2026, 7, 6);
    asked.given = vec![(date(2026, 7, 3), inches(0.4))];
    let plan = plan_water(asked).unwrap();
    assert!(plan.programs().all(|program| program.start.date() >= date(2026, 7, 6)));
    assert_eq!(plan.days[2].balance.given, inches(0.4));
    assert_eq!(plan.days[2].permission, Permission::Past);
    assert_eq!(plan.plain.days.len(), 3);
}

#[test]
fn an_inch_a_week_waters_more_and_into_a_prohibition() {
    let mut asked = request((1..=14).map(|index| day(index, 5.0, if index == 5 { 10.0 } else { 0.0 })).collect());
    asked.no_watering = vec![no(date(2026, 7, 8).at(0, 0, 0, 0), date(2026, 7, 9).at(8, 0, 0, 0))];
    let plan = plan_water(asked).unwrap();
    let told: Vec<_> = plan
        .plain
        .waterings
        .iter()
        .map(|one| (one.date.day(), (one.depth.to(LengthUnit::Millimetre) * 10.0).round() / 10.0, one.prohibited_by))
        .collect();
    assert_eq!(told, [(1, 25.4, None), (8, 15.4, Some(0))]);
    assert!(plan.plain.sum(|day| day.lost) > plan.sum_ahead(|day| day.lost));
    assert_eq!(plan.plain.prohibited(), 1);
}

#[test]
fn every_fault_is_reported() {
    let mut asked = request(vec![day(1, 5.0, 0.0), day(3, 5.0, 0.0)]);
    asked.plan_from = date(2026, 8, 1);
    asked.given = vec![(date(2026, 6, 1), Length::ZERO)];
    asked.gone = inches(4.0);
    let problems = plan_water(asked).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(
        codes,
        ["season::weather-gap", "season::plan-from", "season::watered", "season::watered-when", "season::gone"]
    );
    let late = jiff::civil::time(10, 0, 0, 0);
    let problems = WateringHours::new(late, late, Vec::new()).unwrap_err();
    assert_eq!(problems.len(), 2);
}

proptest! {
    /// No water runs while it is prohibited, the balance closes over the whole time, and the same request gives the same plan.
    #[test]
    fn no_water_inside_a_prohibition_and_the_balance_closes(
        weather in prop::collection::vec((0.0..9.0_f64, prop_oneof![3 => Just(0.0), 1 => 0.0..40.0_f64]), 3..28),
        forbidden in prop::collection::vec((0_i64..28 * 1440, 1_i64..4000, 0_i64..60), 0..6),
        needed in prop::collection::vec((0_i64..28 * 1440, 30_i64..4000, 0.05..0.8_f64), 0..4),
        gone in 0.0..0.9_f64, soak in 0.0..60.0_f64, planned in 0_usize..3,
    ) {
        let days: Vec<LawnDay> = weather.iter().enumerate()
            .map(|(index, (reference, rain))| day(i8::try_from(index + 1).unwrap(), *reference, *rain)).collect();
        let start = date(2026, 7, 1).at(0, 0, 0, 0);
        let at = |minutes: i64, seconds: i64| start.saturating_add(jiff::SignedDuration::from_secs(minutes * 60 + seconds));
        let mut asked = request(days);
        asked.gone = inches(gone);
        asked.plan_from = asked.days[planned].date;
        asked.controller = Controller::new(vec![zone("front"), zone("back"), zone("side")], minutes(soak)).unwrap();
        asked.no_watering =
            forbidden.iter().map(|(from, length, seconds)| no(at(*from, *seconds), at(from + length, *seconds))).collect();
        asked.water_in = needed.iter().map(|(from, within, depth)| WaterIn {
            visit: "treatment".to_owned(), depth: inches(*depth), not_before: at(*from, 0), by: at(from + within, 0),
            sentences: Vec::new(),
        }).collect();
        let plan = plan_water(asked.clone()).unwrap();
        prop_assert_eq!(&plan, &plan_water(asked.clone()).unwrap());
        let mut all: Vec<&Program> = plan.programs().collect();
        for program in &all {
            prop_assert!(program.start.date() >= asked.plan_from);
            prop_assert!(asked.no_watering.iter().all(|other| !other.touches(program.start, program.end)), "{:?}", program);
        }
        // One program at a time.
        all.sort_by_key(|program| program.start);
        prop_assert!(all.windows(2).all(|pair| pair[0].end <= pair[1].start));
        let sum = |of: fn(&BalanceDay) -> Length| plan.days.iter().map(|day| of(&day.balance)).sum::<Length>();
        let kept = asked.gone - plan.days.last().unwrap().balance.gone;
        let open = sum(|day| day.rain) + sum(|day| day.given) - sum(|day| day.used) - sum(|day| day.lost) - kept;
        prop_assert!(open.to(LengthUnit::Millimetre).abs() < 1e-6);
        for day in &plan.days {
            let told: Length = day.programs.iter().map(|program| program.depth).sum();
            prop_assert!((told - day.balance.given).to(LengthUnit::Millimetre).abs() < 1e-9 || day.permission == Permission::Past);
        }
        // Each treatment is watered in within its time, or told.
        let unmet: Vec<usize> = plan.unmet.iter().map(|unmet| unmet.water_in).collect();
        let last = plan.days.last().unwrap().weather.date;
        for (index, one) in asked.water_in.iter().enumerate() {
            let is_ahead = one.by.date() >= asked.plan_from && one.by.date() <= last;
            let given = all.iter().any(|program| {
                program.depth == one.depth && program.start >= one.not_before && program.end <= one.by
            });
            prop_assert!(!is_ahead || given || unmet.contains(&index), "{:?}", one);
        }
    }
}
