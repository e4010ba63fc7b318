use super::*;
use crate::grass::Grass;
use crate::soil::Soil;
use jiff::civil::date;
use proptest::prelude::*;

fn mm(depth: f64) -> Length {
    Length::new(depth, LengthUnit::Millimetre)
}

fn zone() -> RootZone {
    RootZone::new(mm(200.0), Soil::Loam.into(), 0.5).unwrap()
}

fn days(references: &[f64], rains: &[f64], may: &[bool], grass: Grass) -> Vec<WaterDay> {
    let first = date(2026, 7, 1);
    (0..references.len())
        .map(|index| {
            let date = first.checked_add(jiff::Span::new().days(i64::try_from(index).unwrap())).unwrap();
            let none = Length::ZERO;
            WaterDay {
                date,
                reference: mm(references[index]),
                need: mm(references[index]) * grass.coefficient_on(date, 38.8),
                rain: mm(rains[index]),
                giving: if may[index] { Giving::Wanted { at_least: none } } else { Giving::NoMoreThan(none) },
            }
        })
        .collect()
}

fn followed(start: Length, days: &[WaterDay]) -> Vec<BalanceDay> {
    follow(zone(), start, days, |_, wanted| wanted)
}

#[test]
fn a_lawn_is_watered_when_half_of_its_water_would_be_gone() {
    // 200 mm of loam hold 31 mm, of which 15.5 may go; warm-season grass in July uses 0.71 of 6 mm, 4.26 a day.
    let balance = followed(Length::ZERO, &days(&[6.0; 8], &[0.0; 8], &[true; 8], Grass::WarmSeason));
    let given: Vec<f64> = balance.iter().map(|day| day.given.to(LengthUnit::Millimetre)).collect();
    // After three days 12.78 are gone; the fourth would pass 15.5.
    assert!((given[3] - 12.78).abs() < 1e-9 && given.iter().take(3).all(|given| *given == 0.0), "{given:?}");
    assert!(balance.iter().all(|day| !day.is_short));
}

#[test]
fn it_is_watered_before_days_that_may_not_be() {
    let may = [true, false, false, false, true];
    let balance = followed(mm(4.0), &days(&[6.0; 5], &[0.0; 5], &may, Grass::WarmSeason));
    assert!((balance[0].given - mm(4.0)).to(LengthUnit::Millimetre).abs() < 1e-9, "{balance:?}");
    assert!(balance.iter().zip(may).all(|(day, may)| may || day.given == Length::ZERO));
}

#[test]
fn what_is_demanded_is_given_and_a_soaking_runs_through() {
    let mut asked = days(&[5.0, 5.0], &[0.0, 60.0], &[true, false], Grass::CoolSeason);
    asked[0].giving = Giving::Wanted { at_least: mm(12.0) };
    let balance = followed(Length::ZERO, &asked);
    assert_eq!(balance[0].given, mm(12.0));
    assert!((balance[0].lost - mm(12.0)).to(LengthUnit::Millimetre).abs() < 1e-9);
    assert_eq!(balance[1].gone, Length::ZERO);
    assert!(balance[1].lost > mm(45.0));
    // On a day that may have no other water it is given all the same.
    asked[0].giving = Giving::NoMoreThan(mm(12.0));
    assert_eq!(followed(mm(15.0), &asked)[0].given, mm(12.0));
}

#[test]
fn room_is_left_for_the_rain_of_the_day() {
    // 14 mm are gone, 5.64 are used a day: the second day may not be watered, and 8 mm of rain alone would not last over it.
    let asked = days(&[6.0, 6.0], &[8.0, 0.0], &[true, false], Grass::CoolSeason);
    let balance = followed(mm(14.0), &asked);
    assert!((balance[0].given - mm(14.0 - (8.0 - 5.64))).to(LengthUnit::Millimetre).abs() < 1e-9, "{balance:?}");
    assert!(
        balance[0].gone.to(LengthUnit::Millimetre).abs() < 1e-9
            && balance[0].lost.to(LengthUnit::Millimetre).abs() < 1e-9
    );
}

#[test]
fn what_does_not_fit_is_not_given() {
    let asked = days(&[6.0; 3], &[0.0; 3], &[true; 3], Grass::CoolSeason);
    let balance = follow(zone(), mm(15.0), &asked, |_, wanted| wanted.min(mm(4.0)));
    assert!(balance.iter().all(|day| day.given == mm(4.0)), "{balance:?}");
}

#[test]
fn faults_are_told_together() {
    let problems = RootZone::new(Length::ZERO, Soil::Clay.into(), 1.0).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["season::root-depth", "season::depletion"]);
}

proptest! {
    #[test]
    fn water_is_neither_made_nor_lost(
        drawn in prop::collection::vec((0.0..9.0_f64, prop_oneof![Just(0.0), 0.0..50.0_f64], any::<bool>(), 0.0..20.0_f64), 1..60),
        start in 0.0..31.0_f64,
    ) {
        let references: Vec<f64> = drawn.iter().map(|day| day.0).collect();
        let rains: Vec<f64> = drawn.iter().map(|day| day.1).collect();
        let may: Vec<bool> = drawn.iter().map(|day| day.2).collect();
        let mut asked = days(&references, &rains, &may, Grass::CoolSeason);
        for (day, drawn) in asked.iter_mut().zip(&drawn).filter(|(_, drawn)| drawn.3 > 15.0) {
            day.giving = Giving::Fixed(mm(drawn.3));
        }
        let balance = followed(mm(start), &asked);
        let mut gone = mm(start);
        for (day, asked) in balance.iter().zip(&asked) {
            prop_assert!(!matches!(asked.giving, Giving::NoMoreThan(_)) || day.given == Length::ZERO);
            prop_assert!(day.gone >= Length::ZERO && day.gone <= zone().capacity() * (1.0 + 1e-12));
            // What came in is what was used, what ran through and what was kept.
            let kept = gone - day.gone;
            let open = day.rain + day.given - day.used - day.lost - kept;
            prop_assert!(open.to(LengthUnit::Millimetre).abs() < 1e-9, "{:?}", day);
            prop_assert!(day.used <= asked.need && day.used >= Length::ZERO && day.lost >= Length::ZERO);
            gone = day.gone;
        }
        // Where every day may be watered, the grass never wants.
        let free: Vec<WaterDay> =
            asked.iter().map(|day| WaterDay { giving: Giving::Wanted { at_least: Length::ZERO }, ..*day }).collect();
        prop_assert!(followed(Length::ZERO, &free).iter().all(|day| !day.is_short));
    }
}
