//! Rings and plots.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rings_have_bounds() {
        assert!(ring_area(Length::new(2.9, LengthUnit::Inch)).is_err());
        assert!(ring_area(Length::new(6.0, LengthUnit::Foot)).is_err());
        assert!(eighteen_square_foot_count(&[1; 17]).is_err());
    }
}
