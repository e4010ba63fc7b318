//! The figures of the acceptance example's care between visits, computed apart from this program
//! with plain formulas.

use quantity::{Duration, DurationUnit, Length, LengthUnit};
use scouting::EfficacyCounts;
use season::aftercare::{Aftercare, Watering, figures};
use season::sealing::Joint;
use season::watering::CatchCans;

#[test]
fn alder_bend() {
    let inches = |value: f64| Length::new(value, LengthUnit::Inch);
    let feet = |value: f64| Length::new(value, LengthUnit::Foot);
    let minutes = |value: f64| Duration::new(value, DurationUnit::Minute);
    let cans = [0.21, 0.26, 0.29, 0.24, 0.19, 0.25, 0.23, 0.25].map(inches).to_vec();
    let care = Aftercare {
        efficacy: Some(EfficacyCounts { treated_before: 24, treated_after: 3, check_before: 15, check_after: 17 }),
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
        ("efficacy-low", 0.558_684_916_165_810_2),
        ("efficacy-high", 0.972_435_131_195_031_2),
        ("precipitation-rate", 0.96),
        ("uniformity", 0.833_333_333_333_333_4),
        ("watering-run", 28.125),
        ("watering-cycles", 3.0),
        ("sealant-volume", 53.8125),
        ("sealant-cartridges-exact", 3.247_524_752_475_247_7),
        ("sealant-cartridges", 4.0),
    ];
    assert_eq!(found.len(), expected.len());
    for (name, value) in expected {
        let measure = found.iter().find(|measure| measure.name == name).unwrap();
        // The cartridge is 10.1 fl oz at 1.8047 cu in in the plain formula: five digits.
        assert!((measure.figure.value / value - 1.0).abs() < 1e-4, "{name}: {} for {value}", measure.figure.value);
    }
}
