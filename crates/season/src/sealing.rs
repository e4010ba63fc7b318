//! Sealing the openings through which insects enter.

use problem::{Problem, Problems};
use quantity::{Length, LengthUnit, Volume};

/// A joint to be filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    length: Length,
    width: Length,
    depth: Length,
}

impl Joint {
    /// A joint of rectangular section.
    ///
    /// # Errors
    /// All of these that are found: a length, width or depth not above nothing; a width or depth of
    /// more than 2 in, which is no joint but a hole.
    pub fn new(length: Length, width: Length, depth: Length) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        for (what, size, most) in [("length", length, None), ("width", width, Some(2.0)), ("depth", depth, Some(2.0))] {
            let inches = size.to(LengthUnit::Inch);
            if !size.is_positive() || most.is_some_and(|most| inches > most) {
                problems.push(
                    Problem::error("season::joint", format!("{what} of `{inches:.3} in`"))
                        .expected(match most {
                            Some(most) => format!("above 0, at most {most} in"),
                            None => "above 0".into(),
                        })
                        .mend("check the unit: lengths in feet, widths and depths in inches"),
                );
            }
        }
        problems.unless_errors(Self { length, width, depth }).map(|(joint, _)| joint)
    }

    /// What fills it.
    pub fn volume(&self) -> Volume {
        self.length * self.width * self.depth
    }
}

/// How far a cartridge reaches in a joint of a width and depth; `None` unless both are above nothing.
pub fn reach(cartridge: Volume, width: Length, depth: Length) -> Option<Length> {
    let metre = Length::new(1.0, LengthUnit::Metre);
    let section = width * depth;
    (width.is_positive() && depth.is_positive()).then(|| metre * cartridge.ratio(section * metre))
}

/// Depth of sealant for a width: half of it, and a quarter of an inch at least.
///
/// # Source
/// Sealant manufacturers' joint design rule as repeated in extension columns.
pub fn recommended_depth(width: Length) -> Length {
    (width / 2.0).max(Length::new(0.25, LengthUnit::Inch))
}

/// Sealant for all joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealantNeed {
    /// What fills the joints.
    pub volume: Volume,
    /// Cartridges with the allowance for waste, unrounded.
    pub exact: f64,
    /// Cartridges to buy.
    pub cartridges: u32,
}

/// Cartridges for joints, with an allowance for waste as a fraction (usually 0.05 to 0.10).
///
/// # Errors
/// All of these that are found: no joint, a cartridge not above nothing, an allowance not from 0 to 1,
/// more cartridges than can be counted.
pub fn cartridges(joints: &[Joint], cartridge: Volume, allowance: f64) -> Result<SealantNeed, Problems> {
    let mut problems = Problems::new();
    if joints.is_empty() {
        problems.push(Problem::error("season::no-joints", "no joint").expected("one joint or more"));
    }
    if !cartridge.is_positive() {
        problems.push(Problem::error("season::cartridge", "an empty cartridge").expected("more than nothing"));
    }
    if !(0.0..=1.0).contains(&allowance) {
        problems.push(
            Problem::error("season::allowance", format!("allowance for waste `{allowance}`"))
                .expected("a fraction from 0 to 1, usually 0.05 to 0.10"),
        );
    }
    let volume: Volume = joints.iter().map(Joint::volume).sum();
    let exact = (volume * (1.0 + allowance)).ratio(cartridge);
    if problems.is_empty() && exact > f64::from(u32::MAX) {
        problems.push(Problem::error("season::cartridge", "joints without end").expected("joints of a building"));
    }
    // Four cartridges and a rounding error are four.
    let need = SealantNeed { volume, exact, cartridges: (exact - 1e-9).ceil().max(1.0) as u32 };
    problems.unless_errors(need).map(|(need, _)| need)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::VolumeUnit;

    fn inches(value: f64) -> Length {
        Length::new(value, LengthUnit::Inch)
    }

    fn joint(feet: f64, width: f64, depth: f64) -> Joint {
        Joint::new(Length::new(feet, LengthUnit::Foot), inches(width), inches(depth)).unwrap()
    }

    fn ounces(value: f64) -> Volume {
        Volume::new(value, VolumeUnit::UsFluidOunce)
    }

    #[test]
    fn two_joints_take_four_cartridges() {
        // 456 x 1/16 + 180 x 9/64 = 53.8125 cu in; a cartridge of 10.1 fl oz holds 18.22734.
        let need = cartridges(&[joint(38.0, 0.25, 0.25), joint(15.0, 0.375, 0.375)], ounces(10.1), 0.10).unwrap();
        assert!((need.volume.to(VolumeUnit::CubicInch) - 53.8125).abs() < 1e-9);
        assert!((need.exact - 1.1 * 53.8125 / (10.1 * 231.0 / 128.0)).abs() < 1e-9);
        assert_eq!(need.cartridges, 4);
    }

    #[test]
    fn every_fault_is_reported() {
        assert_eq!(cartridges(&[], Volume::ZERO, f64::NAN).unwrap_err().len(), 3);
        assert_eq!(Joint::new(Length::ZERO, inches(3.0), inches(-1.0)).unwrap_err().len(), 3);
        assert!(reach(ounces(10.1), Length::ZERO, inches(0.25)).is_none());
    }

    #[test]
    fn depth_is_half_the_width_and_a_quarter_inch_at_least() {
        assert_eq!(recommended_depth(inches(1.0)), inches(0.5));
        assert_eq!(recommended_depth(inches(0.25)), inches(0.25));
    }

    proptest! {
        #[test]
        fn cartridges_hold_what_the_joints_take(
            feet in prop::collection::vec(0.5..200.0_f64, 1..20), width in 0.0625..1.0_f64, waste in 0.0..0.3_f64,
        ) {
            let joints: Vec<_> = feet.iter().map(|&feet| joint(feet, width, 0.25)).collect();
            let need = cartridges(&joints, ounces(10.1), waste).unwrap();
            let held = ounces(10.1) * f64::from(need.cartridges);
            prop_assert!(held.ratio(need.volume * (1.0 + waste)) >= 1.0 - 1e-9);
            let fewer = ounces(10.1) * f64::from(need.cartridges - 1);
            prop_assert!(fewer.ratio(need.volume * (1.0 + waste)) < 1.0);
        }
    }
}
