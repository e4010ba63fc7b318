//! Whether a treatment worked, from totals alone: what a visit tells of the one before.

use problem::{Problem, Problems};

/// Pests counted on treated ground and on an untreated check, before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EfficacyCounts {
    /// Treated ground, before.
    pub treated_before: u32,
    /// Treated ground, after.
    pub treated_after: u32,
    /// Check, before.
    pub check_before: u32,
    /// Check, after.
    pub check_after: u32,
}

/// Control reached, as fractions: 1 is complete, below 0 the pests grew more than on the check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Efficacy {
    /// By Abbott, from the counts after: the check must cover as many stations as the treated ground.
    pub abbott: f64,
    /// By Henderson and Tilton, from all four counts.
    pub henderson_tilton: f64,
    /// Ends of the 95 % interval of Henderson and Tilton's figure, lower first. It takes the counts
    /// for Poisson ones, so that the truth is at least as uncertain; a single check is biased besides.
    pub interval: (f64, f64),
    /// Whether nothing was found on the treated ground after, so that 0.5 stands in its place.
    pub half_for_none: bool,
}

/// Control against an untreated check.
///
/// # Errors
/// When one of the other three counts is nothing; all are reported.
///
/// # Source
/// Abbott 1925, J. Econ. Entomol. 18: 265-267; Henderson and Tilton 1955, J. Econ. Entomol. 48:
/// 157-161 (both from memory). Interval: ratio x exp(±1.96 √(sum of reciprocals of the counts)), the
/// usual one for a ratio of Poisson counts.
pub fn efficacy(counts: EfficacyCounts) -> Result<Efficacy, Problems> {
    let mut problems = Problems::new();
    for (what, count) in [
        ("on the treated ground before", counts.treated_before),
        ("on the check before", counts.check_before),
        ("on the check after", counts.check_after),
    ] {
        if count == 0 {
            problems.push(
                Problem::error("scouting::efficacy-nothing", format!("`0` pests counted {what}"))
                    .expected("one or more")
                    .mend("count at more stations, or judge by the density alone"),
            );
        }
    }
    let half_for_none = counts.treated_after == 0;
    let treated_after = if half_for_none { 0.5 } else { f64::from(counts.treated_after) };
    let [treated_before, check_before, check_after] =
        [counts.treated_before, counts.check_before, counts.check_after].map(f64::from);
    let ratio = treated_after / treated_before * (check_before / check_after);
    let spread = 1.96 * (1.0 / treated_after + 1.0 / treated_before + 1.0 / check_after + 1.0 / check_before).sqrt();
    let efficacy = Efficacy {
        abbott: 1.0 - treated_after / check_after,
        henderson_tilton: 1.0 - ratio,
        interval: (1.0 - ratio * spread.exp(), 1.0 - ratio * (-spread).exp()),
        half_for_none,
    };
    problems.unless_errors(efficacy).map(|(efficacy, _)| efficacy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn counts(treated_before: u32, treated_after: u32, check_before: u32, check_after: u32) -> EfficacyCounts {
        EfficacyCounts { treated_before, treated_after, check_before, check_after }
    }

    #[test]
    fn four_counts_give_control_and_interval() {
        let found = efficacy(counts(24, 3, 15, 17)).unwrap();
        assert!((found.abbott - 14.0 / 17.0).abs() < 1e-15);
        // 1 - 3/24 x 15/17; the interval was worked out apart from this code.
        assert!((found.henderson_tilton - 0.889_705_882_352_941_2).abs() < 1e-12);
        assert!((found.interval.0 - 0.558_684_916_165_810_2).abs() < 1e-12);
        assert!((found.interval.1 - 0.972_435_131_195_031_2).abs() < 1e-12);
        assert!(!found.half_for_none);
    }

    #[test]
    fn nothing_after_is_taken_for_a_half_and_said() {
        let found = efficacy(counts(20, 0, 10, 10)).unwrap();
        assert!(found.half_for_none);
        assert!((found.henderson_tilton - 0.975).abs() < 1e-12);
        assert!(found.interval.1 < 1.0);
    }

    #[test]
    fn nothing_to_compare_with_is_refused() {
        assert_eq!(efficacy(counts(0, 0, 0, 0)).unwrap_err().len(), 3);
        for refused in [counts(0, 3, 15, 17), counts(24, 3, 0, 17), counts(24, 3, 15, 0)] {
            assert_eq!(efficacy(refused).unwrap_err().len(), 1);
        }
    }

    proptest! {
        #[test]
        fn equal_counts_before_make_both_figures_one(
            before in 1_u32..500, treated in 1_u32..500, check in 1_u32..500, factor in 2_u32..20,
        ) {
            let found = efficacy(counts(before, treated, before, check)).unwrap();
            prop_assert!((found.abbott - found.henderson_tilton).abs() < 1e-12);
            prop_assert!(found.interval.0 < found.henderson_tilton && found.henderson_tilton < found.interval.1);
            // More of everything leaves the figure and narrows the interval.
            let more = efficacy(counts(before * factor, treated * factor, before * factor, check * factor)).unwrap();
            prop_assert!((more.henderson_tilton - found.henderson_tilton).abs() < 1e-9 * found.henderson_tilton.abs().max(1.0));
            prop_assert!(more.interval.0 > found.interval.0 && more.interval.1 < found.interval.1);
        }
    }
}
