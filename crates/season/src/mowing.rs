//! When to mow: never more than a third of the height at once.
//!
//! # Source
//! One-third rule, as in the mowing table of the Univ. of Tennessee Extension: mow at one and a half
//! times the cutting height.

use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Length, LengthUnit};

/// The height at which grass kept at a cutting height is to be mown at the latest.
pub fn mow_at(cutting_height: Length) -> Length {
    cutting_height * 1.5
}

/// The lowest to which standing grass may be cut at once.
pub fn lowest_cut(standing: Length) -> Length {
    standing * (2.0 / 3.0)
}

/// Days between mowings for grass that grows so much a day; `None` unless height and growth are more
/// than nothing.
pub fn interval(cutting_height: Length, growth_per_day: Length) -> Option<Duration> {
    (cutting_height.is_positive() && growth_per_day.is_positive()).then(|| {
        Duration::new(1.0, DurationUnit::Day) * (mow_at(cutting_height) - cutting_height).ratio(growth_per_day)
    })
}

/// Checks one mowing against the one-third rule.
///
/// # Errors
/// When heights are not more than nothing, the cut is above the grass, or more than a third goes.
pub fn check_cut(standing: Length, cut_to: Length) -> Result<(), Problems> {
    let inches = |length: Length| format!("{:.2} in", length.to(LengthUnit::Inch));
    if !standing.is_positive() || !cut_to.is_positive() || cut_to > standing {
        let found = format!("cut from `{}` to `{}`", inches(standing), inches(cut_to));
        return Err(Problem::error("season::mowing-height", found)
            .expected("heights above zero, the cut not above the grass")
            .into());
    }
    // Heights written in inches meet a third but for the last bit.
    if cut_to.ratio(lowest_cut(standing)) < 1.0 - 1e-9 {
        let found = format!("cut from `{}` to `{}` takes more than a third", inches(standing), inches(cut_to));
        return Err(Problem::error("season::one-third", found)
            .expected(format!("`{}` or higher", inches(lowest_cut(standing))))
            .mend("cut in two steps some days apart")
            .into());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(value: f64) -> Length {
        Length::new(value, LengthUnit::Inch)
    }

    #[test]
    fn the_interval_is_the_half_height_over_growth() {
        let days = interval(inches(3.0), inches(0.25)).unwrap().to(DurationUnit::Day);
        assert!((days - 6.0).abs() < 1e-9);
        assert!(interval(inches(3.0), Length::ZERO).is_none());
    }

    #[test]
    fn more_than_a_third_is_refused() {
        assert!(check_cut(inches(4.5), inches(3.0)).is_ok());
        let problems = check_cut(inches(4.6), inches(3.0)).unwrap_err();
        assert_eq!(problems.iter().next().unwrap().code, "season::one-third");
        assert!(check_cut(inches(3.0), inches(3.5)).is_err());
        assert!(check_cut(inches(3.0), Length::ZERO).is_err());
    }
}
