//! Published values that this crate must reach, each with its source.

use quantity::{Area, AreaUnit, Length, LengthUnit};
use scouting::{
    CountBasis, Counts, EfficacyCounts, EfficacyFormula, EfficacyTrial, GroundCounts, PestDensity, efficacy,
    eighteen_square_foot_count, ring_area, t_value,
};

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} within {within}");
}

/// South Dakota State Univ. and Univ. of Nebraska Extension: 18 plots of 1 sq ft, sum / 2 = number per
/// sq yd; a sum of 31 is 15.5, exact. A square yard is nine square feet.
#[test]
fn usda_18_square_foot_count() {
    let mut counts = [1_u32; 18];
    counts[3] = 14;
    let density = eighteen_square_foot_count(&counts).unwrap();
    close(density.per(AreaUnit::SquareYard), 15.5, 1e-12);
    close(density.per(AreaUnit::SquareFoot), 15.5 / 9.0, 1e-12);
}

/// Whipple et al. 2012, J. Orthoptera Res. 21: 213: 8 per sq yd (Parker 1930) is 9.6 per m² (Kemp and
/// Dennis 1993), printed to one decimal.
#[test]
fn rangeland_threshold_in_metres() {
    let density = PestDensity::new(8.0, Area::new(1.0, AreaUnit::SquareYard)).unwrap();
    close(density.per(AreaUnit::SquareMetre), 9.6, 0.05);
}

/// Flotation cans, cup cutters and rings: factors to the square foot, 144/(π d²/4), to three decimals;
/// 4 in cup cutter in UNL Extension, 6 in can in southern extension bulletins. A sod flap of 6 x 6 in
/// counts four times.
#[test]
fn samplers_per_square_foot() {
    for (inches, factor) in [(6.0, 5.093), (4.0, 11.459), (4.25, 10.151), (8.0, 2.865)] {
        let area = ring_area(Length::new(inches, LengthUnit::Inch)).unwrap();
        close(PestDensity::new(1.0, area).unwrap().per(AreaUnit::SquareFoot), factor, 0.0005);
    }
    let flap = Area::new(36.0, AreaUnit::SquareInch);
    close(PestDensity::new(1.0, flap).unwrap().per(AreaUnit::SquareFoot), 4.0, 1e-12);
}

/// `insect_sprays.csv`: Beall 1942, Biometrika 29: 243, as the R dataset InsectSprays. Means and variances
/// of the six sprays by statsmodels 0.15.0 / SciPy 1.17.1, to four decimals.
#[test]
fn beall_1942_means_and_variances() {
    let table = include_str!("reference/insect_sprays.csv");
    let expected = [
        ("A", 14.5, 22.2727),
        ("B", 15.3333, 18.2424),
        ("C", 2.0833, 3.9015),
        ("D", 4.9167, 6.2652),
        ("E", 3.5, 3.0),
        ("F", 16.6667, 38.6061),
    ];
    for (spray, mean, variance) in expected {
        let counts: Vec<u32> = table
            .lines()
            .skip(1)
            .map(|line| line.split(',').collect::<Vec<_>>())
            .filter(|fields| fields[2].trim_matches('"') == spray)
            .map(|fields| fields[1].parse().unwrap())
            .collect();
        assert_eq!(counts.len(), 12);
        let (counts, _) = Counts::new(counts, CountBasis::Plant).unwrap();
        close(counts.mean(), mean, 0.000_05);
        close(counts.sample_variance().unwrap(), variance, 0.000_05);
    }
}

/// Student's t, two-sided 95 % and 99 %, from the common three-decimal table (Student 1908, Fisher and
/// Yates 1938).
#[test]
fn student_t_table() {
    for (freedom, t_95, t_99) in
        [(1, 12.706, 63.657), (2, 4.303, 9.925), (4, 2.776, 4.604), (10, 2.228, 3.169), (30, 2.042, 2.750)]
    {
        close(t_value(0.95, freedom).unwrap(), t_95, 0.0005);
        close(t_value(0.99, freedom).unwrap(), t_99, 0.0005);
    }
}

/// Bliss and Fisher 1953, Biometrics 9: 176-200, Table 3 (corn borers on 120 hills a treatment, as in the
/// R package agridat): 484, 380, 178, 181 borers, so that Abbott's reductions against the first are
/// 21.4876, 63.2231 and 62.6033 %, to four decimals.
#[test]
fn abbott_on_corn_borers() {
    for (treated, percent) in [(380, 21.4876), (178, 63.2231), (181, 62.6033)] {
        let counts = EfficacyCounts { treated_before: 1, treated_after: treated, check_before: 1, check_after: 484 };
        close(100.0 * efficacy(counts).unwrap().abbott, percent, 0.000_05);
    }
}

/// Textbook figures from memory, beside the published ones above: Abbott, 90 alive on the check and 18 on
/// the treated ground, 80 %; Henderson and Tilton, 300 to 30 against 500 to 1,000, 95 %.
#[test]
fn textbook_reductions() {
    let counts =
        |tb, ta, cb, ca| EfficacyCounts { treated_before: tb, treated_after: ta, check_before: cb, check_after: ca };
    close(efficacy(counts(100, 18, 100, 90)).unwrap().abbott, 0.80, 1e-12);
    close(efficacy(counts(300, 30, 500, 1_000)).unwrap().henderson_tilton, 0.95, 1e-12);
}

/// The four formulas, each from memory, with figures worked out by hand: Abbott, 90 and 18 living, 80 %; Schneider-Orelli,
/// 80 and 10 % dead, 77.7778 %, and 82 and 10 %, 80 %; Henderson and Tilton, 300 to 30 against 500 to 1,000, 95 %; Sun and
/// Shepard, 80 % dead while the check grew by 20 %, 83.3333 %.
#[test]
fn four_formulas_of_control() {
    let counts = |value: Option<u32>| value.map(|value| Counts::new(vec![value; 10], CountBasis::Plant).unwrap().0);
    let ground = |[before, after, dead]: [Option<u32>; 3]| GroundCounts {
        before: counts(before),
        after: counts(after),
        dead: counts(dead),
    };
    for (formula, treated, check, percent) in [
        (EfficacyFormula::Abbott, [None, Some(18), None], [None, Some(90), None], 80.0),
        (EfficacyFormula::SchneiderOrelli, [None, Some(20), Some(80)], [None, Some(90), Some(10)], 77.7778),
        (EfficacyFormula::SchneiderOrelli, [None, Some(18), Some(82)], [None, Some(90), Some(10)], 80.0),
        (EfficacyFormula::HendersonTilton, [Some(300), Some(30), None], [Some(500), Some(1_000), None], 95.0),
        (EfficacyFormula::SunShepard, [None, Some(20), Some(80)], [Some(100), Some(120), None], 83.3333),
    ] {
        let trial = EfficacyTrial { treated: ground(treated), check: ground(check) };
        assert_eq!(trial.formula().unwrap(), formula);
        close(trial.control().unwrap().control.percent(), percent, 0.000_05);
    }
}

/// Bliss and Fisher 1953 as above, hill by hill in `corn_borers.csv`: the same reductions from the counts themselves.
#[test]
fn abbott_hill_by_hill() {
    let table = include_str!("reference/corn_borers.csv");
    let of = |treatment: &str| -> Option<Counts> {
        let mut values = Vec::new();
        for line in table.lines().skip(1) {
            let fields: Vec<&str> = line.split('\t').collect();
            if fields[1] == treatment {
                values
                    .extend(std::iter::repeat_n(fields[0].parse::<u32>().unwrap(), fields[2].trim().parse().unwrap()));
            }
        }
        Some(Counts::new(values, CountBasis::Plant).unwrap().0)
    };
    let after = |treatment| GroundCounts { after: of(treatment), ..GroundCounts::default() };
    for (treatment, percent) in [("T2", 21.4876), ("T3", 63.2231), ("T4", 62.6033)] {
        let found = EfficacyTrial { treated: after(treatment), check: after("T1") }.control().unwrap();
        close(found.control.percent(), percent, 0.000_05);
    }
}
