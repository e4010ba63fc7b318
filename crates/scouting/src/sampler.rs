//! Rings, plots and mounds.

use std::f64::consts::PI;

use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, Length, LengthUnit};

use crate::density::PestDensity;

/// The ground inside a round sampler: a float can, a cup cutter, a ring.
///
/// # Errors
/// When the diameter is not 3 to 12 in.
pub fn ring_area(diameter: Length) -> Result<Area, Problems> {
    let inches = diameter.to(LengthUnit::Inch);
    if (3.0..=12.0).contains(&inches) {
        return Ok(diameter * diameter * (PI / 4.0));
    }
    Err(Problem::error("scouting::ring", format!("diameter of `{inches:.2} in`"))
        .expected("3 to 12 in")
        .mend("use a frame and give its area for larger samples")
        .into())
}

/// Grasshoppers per area from 18 plots of one square foot, 50 ft apart: the sum over 18 sq ft, which
/// is half the sum per square yard.
///
/// # Source
/// USDA 18-square-foot count, as told by South Dakota State Univ. and Univ. of Nebraska Extension.
///
/// # Errors
/// When there are not 18 counts.
pub fn eighteen_square_foot_count(counts: &[u32]) -> Result<PestDensity, Problems> {
    let sum: f64 = counts.iter().copied().map(f64::from).sum();
    let density = (counts.len() == 18).then(|| PestDensity::new(sum, Area::new(18.0, AreaUnit::SquareFoot)));
    density.flatten().ok_or_else(|| {
        Problem::error("scouting::eighteen", format!("`{}` plots", counts.len()))
            .expected("18 plots of one square foot")
            .mend("give other counts with the area of one count")
            .into()
    })
}

/// Active mounds per area; `None` unless the area is more than nothing.
pub fn mound_density(active_mounds: u32, area: Area) -> Option<PestDensity> {
    PestDensity::new(f64::from(active_mounds), area)
}

/// Above this many active mounds, bait is broadcast before single mounds are treated: five per
/// quarter acre, 20 per acre.
///
/// # Source
/// Fire ant recommendations in county extension columns after Texas A&M AgriLife Extension.
pub fn broadcast_mound_level() -> PestDensity {
    PestDensity::known(5.0, Area::new(0.25, AreaUnit::Acre))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_mounds_on_a_small_lawn_call_for_bait() {
        // 6,320 sq ft are 0.1451 acre.
        let density = mound_density(12, Area::new(6_320.0, AreaUnit::SquareFoot)).unwrap();
        assert!((density.per(AreaUnit::Acre) - 82.7).abs() < 0.05);
        let level = broadcast_mound_level();
        assert!((level.per(AreaUnit::Acre) - 20.0).abs() < 1e-12);
        assert!(density > level);
        assert!(mound_density(12, Area::ZERO).is_none());
    }

    #[test]
    fn rings_have_bounds() {
        assert!(ring_area(Length::new(2.9, LengthUnit::Inch)).is_err());
        assert!(ring_area(Length::new(6.0, LengthUnit::Foot)).is_err());
        assert!(eighteen_square_foot_count(&[1; 17]).is_err());
    }
}
