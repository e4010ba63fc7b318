//! Spreaders for granules and bait.

use quantity::{Length, Mass, MassPerArea};

/// What a spreader may deliver around a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreaderRange {
    /// The least.
    pub lowest: Mass,
    /// The most.
    pub highest: Mass,
}

impl SpreaderRange {
    /// Whether a delivery is inside, bounds included.
    pub fn contains(&self, delivered: Mass) -> bool {
        // A bound written with decimals may be missed by the last bit.
        delivered.ratio(self.highest) <= 1.0 + 1e-9 && delivered.ratio(self.lowest) >= 1.0 - 1e-9
    }
}

/// The range of a tolerance (a fraction) around a target.
///
/// # Source
/// Acceptance within 5 % of the target: UMass Amherst Extension turf program, spreader calibration.
pub fn spreader_range(target: Mass, tolerance: f64) -> SpreaderRange {
    SpreaderRange { lowest: target * (1.0 - tolerance), highest: target * (1.0 + tolerance) }
}

/// The setting for going over the ground twice, at right angles: half the rate each time.
///
/// # Source
/// UMass Amherst Extension turf program, spreader calibration.
pub fn half_rate(rate: MassPerArea) -> MassPerArea {
    rate / 2.0
}

/// Effective swath of a rotary spreader from a row of pans at equal spacing: the distance between
/// the two places where the catch falls to half of the centre pan's, read between pans by straight
/// lines. `None` with fewer than three pans, an even number of them, nothing in the centre, or a
/// catch that does not fall to half on both sides.
///
/// # Source
/// Penn State procedure: distance between the pans whose catch is half the centre pan.
pub fn effective_swath(spacing: Length, caught: &[Mass]) -> Option<Length> {
    let centre = caught.len() / 2;
    if caught.len() < 3 || caught.len().is_multiple_of(2) || !spacing.is_positive() {
        return None;
    }
    let half = caught[centre] / 2.0;
    if !half.is_positive() {
        return None;
    }
    let right = half_point(caught[centre..].iter().copied(), half)?;
    let left = half_point(caught[..=centre].iter().rev().copied(), half)?;
    Some(spacing * (left + right))
}

/// How many spacings outward the catch first falls to a value.
fn half_point(outward: impl Iterator<Item = Mass>, half: Mass) -> Option<f64> {
    let mut before: Option<Mass> = None;
    for (steps, caught) in outward.enumerate() {
        if caught <= half {
            let before = before?;
            return Some(steps as f64 - (half - caught).ratio(before - caught));
        }
        before = Some(caught);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{LengthUnit, MassUnit};

    fn grams(values: &[f64]) -> Vec<Mass> {
        values.iter().map(|&value| Mass::new(value, MassUnit::Gram)).collect()
    }

    #[test]
    fn the_swath_ends_where_the_catch_is_half() {
        let foot = Length::new(1.0, LengthUnit::Foot);
        let swath = |values: &[f64]| effective_swath(foot, &grams(values)).map(|swath| swath.to(LengthUnit::Foot));
        // Half of 10 stands at the pans 3 ft to either side.
        let exact = swath(&[2.0, 5.0, 8.0, 9.0, 10.0, 9.0, 8.0, 5.0, 2.0]).unwrap();
        assert!((exact - 6.0).abs() < 1e-12);
        // To the right it falls from 6 to 4 between 1 and 2 ft: half way.
        let between = swath(&[0.0, 5.0, 10.0, 6.0, 4.0]).unwrap();
        assert!((between - 2.5).abs() < 1e-12);
        assert_eq!(swath(&[9.0, 10.0, 9.0]), None);
        assert_eq!(swath(&[5.0, 10.0, 10.0, 5.0]), None);
        assert_eq!(swath(&[5.0, 0.0, 5.0]), None);
    }
}
