//! The figures of the acceptance example's care between visits, computed apart from this program
//! with plain formulas.

use quantity::{Duration, DurationUnit, Length, LengthUnit};
use scouting::{CountBasis, Counts, EfficacyCounts, EfficacyTrial, GroundCounts};
use season::aftercare::{Aftercare, LastTreatment, Watering, figures};
use season::sealing::Joint;
use season::watering::CatchCans;

/// Counts of stations before and after, on one ground.
fn ground(before: &[u32], after: &[u32]) -> GroundCounts {
    let counts = |counts: &[u32]| Some(Counts::new(counts.to_vec(), CountBasis::Plant).unwrap().0);
    GroundCounts { before: counts(before), after: counts(after), dead: None }
}

fn of(treated: GroundCounts, check: GroundCounts) -> LastTreatment {
    let total = |counts: &Option<Counts>| u32::try_from(counts.as_ref().unwrap().total()).unwrap();
    let totals = EfficacyCounts {
        treated_before: total(&treated.before),
        treated_after: total(&treated.after),
        check_before: total(&check.before),
        check_after: total(&check.after),
    };
    LastTreatment { totals, trial: EfficacyTrial { treated, check } }
}

/// The demo's: 24 and 3 at ten stations, 15 and 17 at six.
fn last() -> LastTreatment {
    let treated = ground(&[2, 3, 0, 2, 4, 1, 2, 3, 5, 2], &[0, 1, 0, 0, 0, 1, 0, 0, 1, 0]);
    of(treated, ground(&[2, 3, 1, 2, 4, 3], &[3, 2, 2, 3, 3, 4]))
}

/// The interval of a visit is that of `scout --efficacy`, with what is to be known of it.
#[test]
fn the_interval_is_that_of_the_scouting() {
    let told = |last: LastTreatment| figures(&Aftercare { efficacy: Some(last), ..Aftercare::default() }).unwrap();
    let found = told(last());
    let one = |name: &str| found.iter().find(|measure| measure.name == name).unwrap();
    let estimate = last().trial.control().unwrap();
    let ends = [one("efficacy-low").figure.value, one("efficacy-high").figure.value];
    assert_eq!(ends, [estimate.interval.0.share(), estimate.interval.1.share()]);
    // It is said to be of few pests and stations.
    assert!(one("efficacy-low").words.contains("stations on one of the grounds"), "{}", one("efficacy-low").words);
    assert!(one("efficacy-abbott").words.contains("had not as many stations"), "{}", one("efficacy-abbott").words);
    // Of none left a half stands for it, which is said; more stations after than before are no more pests.
    let none = told(of(ground(&[5, 7, 8], &[0, 0, 0]), ground(&[4, 3, 3], &[4, 3, 3])));
    let control = none.iter().find(|measure| measure.name == "efficacy").unwrap();
    assert!((control.figure.value - 0.975).abs() < 1e-12 && control.words.contains("a half stands for it"));
    let more = told(of(ground(&[4, 4], &[2, 2, 2, 2]), ground(&[4, 4], &[4, 4])));
    let control = more.iter().find(|measure| measure.name == "efficacy").unwrap().figure.value;
    assert!((control - 0.5).abs() < 1e-12, "{control}");
}

#[test]
fn alder_bend() {
    let inches = |value: f64| Length::new(value, LengthUnit::Inch);
    let feet = |value: f64| Length::new(value, LengthUnit::Foot);
    let minutes = |value: f64| Duration::new(value, DurationUnit::Minute);
    let cans = [0.21, 0.26, 0.29, 0.24, 0.19, 0.25, 0.23, 0.25].map(inches).to_vec();
    let care = Aftercare {
        efficacy: Some(last()),
        watering: Some(Watering {
            cans: CatchCans::new(cans, minutes(15.0)).unwrap(),
            target: inches(1.0),
            effective_rain: inches(0.55),
            time_to_runoff: minutes(10.0),
        }),
        joints: vec![
            Joint::new(feet(38.0), inches(0.25), inches(0.25)).unwrap(),
            Joint::new(feet(15.0), inches(0.375), inches(0.375)).unwrap(),
        ],
    };
    let found = figures(&care).unwrap();
    let expected = [
        ("efficacy-abbott", 0.823_529_411_764_705_8),
        ("efficacy", 0.889_705_882_352_941_1),
        ("efficacy-by-chance-low", 0.558_684_916_165_810_2),
        ("efficacy-by-chance-high", 0.972_435_131_195_031_2),
        ("precipitation-rate", 0.96),
        ("uniformity", 0.833_333_333_333_333_4),
        ("watering-run", 28.125),
        ("watering-cycles", 3.0),
        ("sealant-volume", 53.8125),
        ("sealant-cartridges-exact", 3.247_524_752_475_247_7),
        ("sealant-cartridges", 4.0),
    ];
    // The two ends of the interval of clumped counts are held against scouting's own below.
    assert_eq!(found.len(), expected.len() + 2);
    for (name, value) in expected {
        let measure = found.iter().find(|measure| measure.name == name).unwrap();
        // The cartridge is 10.1 fl oz at 1.8047 cu in in the plain formula: five digits.
        assert!((measure.figure.value / value - 1.0).abs() < 1e-4, "{name}: {} for {value}", measure.figure.value);
    }
}
