use super::*;
use crate::count::CountBasis;
use proptest::prelude::*;
use quantity::{Area, AreaUnit};

fn counts(values: &[u32]) -> Option<Counts> {
    Some(Counts::new(values.to_vec(), CountBasis::Plant).unwrap().0)
}

fn ground(before: &[u32], after: &[u32], dead: &[u32]) -> GroundCounts {
    let some = |values: &[u32]| if values.is_empty() { None } else { counts(values) };
    GroundCounts { before: some(before), after: some(after), dead: some(dead) }
}

fn codes(found: Result<EfficacyEstimate, Problems>) -> Vec<&'static str> {
    found.unwrap_err().iter().map(|one| one.code).collect()
}

#[test]
fn the_counts_choose_the_formula() {
    let formula = |treated, check| EfficacyTrial { treated, check }.formula().ok();
    let (few, many): (&[u32], &[u32]) = (&[1, 2], &[8, 9]);
    assert_eq!(formula(ground(many, few, &[]), ground(many, many, &[])), Some(EfficacyFormula::HendersonTilton));
    assert_eq!(formula(ground(&[], few, many), ground(many, many, &[])), Some(EfficacyFormula::SunShepard));
    assert_eq!(formula(ground(&[], few, many), ground(&[], many, few)), Some(EfficacyFormula::SchneiderOrelli));
    assert_eq!(formula(ground(&[], few, &[]), ground(&[], many, &[])), Some(EfficacyFormula::Abbott));
    assert_eq!(formula(ground(many, few, &[]), ground(&[], many, &[])), Some(EfficacyFormula::Abbott));
    assert_eq!(formula(ground(many, few, &[]), ground(&[], &[], &[])), None, "a fall without a check tells nothing");
    assert_eq!(formula(ground(many, &[], &[]), ground(many, many, &[])), None);
}

#[test]
fn every_outcome_has_its_name() {
    let finding = |after: &[u32], check: &[u32]| {
        let before = [9, 12, 7, 14, 10, 8];
        let trial = EfficacyTrial { treated: ground(&before, after, &[]), check: ground(&before, check, &[]) };
        trial.control().unwrap()
    };
    let even = [10, 9, 12, 8, 11, 10];
    let none = finding(&[0; 6], &even);
    assert_eq!((none.finding, none.control.share()), (EfficacyFinding::NoneLeft, 1.0));
    assert!(
        none.interval.0.share() > 0.8 && none.interval.0.share() < 1.0 && none.interval.1.share() == 1.0,
        "{none:?}"
    );
    assert_eq!(finding(&[1, 0, 2, 1, 0, 1], &even).finding, EfficacyFinding::Reduced);
    assert_eq!(finding(&[9, 8, 11, 9, 10, 10], &even).finding, EfficacyFinding::NotShown);
    let more = finding(&[60, 70, 80, 65, 75, 90], &even);
    assert_eq!(more.finding, EfficacyFinding::Increased);
    assert!(more.control.share() < -3.0 && more.interval.1.share() < 0.0, "{more:?}");
}

#[test]
fn nothing_to_compare_with_is_told_at_once() {
    let trial = EfficacyTrial { treated: ground(&[0, 0], &[3, 1], &[]), check: ground(&[0, 0], &[0, 0], &[]) };
    let found = trial.control().unwrap_err();
    assert_eq!(found.len(), 3, "{found}");
    assert!(found.iter().all(|one| one.code == "scouting::efficacy-nothing"));
    let all_dead = EfficacyTrial { treated: ground(&[], &[3], &[4]), check: ground(&[], &[0], &[5]) };
    assert_eq!(codes(all_dead.control()), ["scouting::efficacy-nothing"], "nothing lives on the check");
    let nobody = EfficacyTrial { treated: ground(&[], &[0], &[0]), check: ground(&[], &[4], &[1]) };
    assert_eq!(codes(nobody.control()), ["scouting::efficacy-nothing"]);
    let stations = EfficacyTrial { treated: ground(&[], &[3, 2], &[4]), check: ground(&[], &[4], &[1]) };
    assert_eq!(codes(stations.control()), ["scouting::efficacy-dead"]);
}

#[test]
fn a_formula_that_does_not_hold_is_refused() {
    let (many, few): (&[u32], &[u32]) = (&[40, 44, 38, 41], &[4, 3, 5, 4]);
    let unlike = EfficacyTrial { treated: ground(many, few, &[]), check: ground(few, few, &[]) };
    assert_eq!(codes(unlike.control_by(EfficacyFormula::Abbott)), ["scouting::efficacy-unlike"]);
    assert!(unlike.control().unwrap().control.share() > 0.85, "the counts before are reckoned with");
    let alike = EfficacyTrial { treated: ground(many, few, &[]), check: ground(many, many, &[]) };
    assert!(alike.control_by(EfficacyFormula::Abbott).is_ok());
    assert_eq!(codes(alike.control_by(EfficacyFormula::SunShepard)), ["scouting::efficacy-data"]);
    let frame = |side: f64| CountBasis::Area(Area::new(side, AreaUnit::SquareFoot));
    let on = |side, values: &[u32]| Some(Counts::new(values.to_vec(), frame(side)).unwrap().0);
    let trial = EfficacyTrial {
        treated: GroundCounts { after: on(1.0, &[1, 2, 3]), ..GroundCounts::default() },
        check: GroundCounts { after: on(2.0, &[9, 9, 9]), ..GroundCounts::default() },
    };
    assert_eq!(codes(trial.control()), ["scouting::efficacy-basis"]);
}

/// The delta method by hand: the variance of the logarithm is the sum of (1 / mean + clumping) / stations.
#[test]
fn many_counts_go_by_the_variance_of_the_logarithm() {
    let (before, after, check) = ([20, 30, 25, 22, 28, 31], [6, 8, 7, 5, 9, 10], [24, 26, 30, 21, 29, 27]);
    let trial = EfficacyTrial { treated: ground(&before, &after, &[]), check: ground(&before, &check, &[]) };
    let found = trial.control().unwrap();
    assert_eq!(found.basis, IntervalBasis::Delta { freedom: 20 });
    let clumping = 1.0 / found.scatter.k.unwrap().value();
    let totals = [156.0, 45.0, 156.0, 157.0];
    let variance: f64 = totals.iter().map(|total| 1.0 / total + clumping / 6.0).sum();
    // 2.086 is t of 20 degrees of freedom.
    let low = 1.0 - 45.0 / 157.0 * (2.085_963 * variance.sqrt()).exp();
    assert!((found.interval.0.share() - low).abs() < 1e-6, "{found:?}");
    assert_eq!(trial.control().unwrap(), found, "the same again");
}

#[test]
fn few_counts_go_by_lot_and_are_the_same_each_time() {
    let trial = EfficacyTrial { treated: ground(&[], &[1, 0, 0, 2], &[]), check: ground(&[], &[6, 9, 4, 8], &[]) };
    let found = trial.control().unwrap();
    assert!(matches!(found.basis, IntervalBasis::ByLot { .. }));
    assert_eq!(found.doubt, Some(EfficacyDoubt::WiderThanNeeded { stations: 4, pests: 3 }), "four stations");
    assert!(found.interval.0 < found.control && found.control < found.interval.1);
    assert_eq!(trial.control().unwrap(), found);
}

#[test]
fn an_estimate_is_held_against_what_is_expected() {
    let trial = |after: &[u32]| {
        let check = [20, 24, 22, 19, 25, 21];
        EfficacyTrial { treated: ground(&[], after, &[]), check: ground(&[], &check, &[]) }.control().unwrap()
    };
    let against = |after: &[u32]| trial(after).against(EXPECTED_CONTROL);
    assert_eq!(against(&[1, 2, 0, 1, 1, 0]), ControlAgainst::Reached);
    assert_eq!(against(&[5, 6, 4, 5, 4, 6]), ControlAgainst::PerhapsBelow);
    assert_eq!(against(&[15, 16, 14, 15, 14, 16]), ControlAgainst::Below);
    assert_eq!(PoorCause::IN_ORDER.last(), Some(&PoorCause::Resistance));
    assert!(Control::new(1.1).is_none() && Control::new(f64::NAN).is_none() && Control::new(-2.0).is_some());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever was counted has a sound answer or a reason.
    #[test]
    fn no_counts_give_a_number_that_is_none(
        lots in prop::collection::vec(prop::collection::vec(0_u32..60, 1..8), 6), has in prop::collection::vec(any::<bool>(), 6),
    ) {
        let of = |index: usize| has[index].then(|| counts(&lots[index])).flatten();
        let trial = EfficacyTrial {
            treated: GroundCounts { before: of(0), after: of(1), dead: of(2) },
            check: GroundCounts { before: of(3), after: of(4), dead: of(5) },
        };
        for formula in EfficacyFormula::ALL {
            let Ok(found) = trial.control_by(formula) else { continue };
            prop_assert!(found.control.share().is_finite() && found.interval.0.share().is_finite(), "{found:?}");
            prop_assert!(found.interval.0 <= found.control && found.control <= found.interval.1, "{found:?}");
            prop_assert!(found.interval.1.share() <= 1.0);
        }
    }
}
