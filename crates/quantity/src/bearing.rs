//! Directions on the ground.

/// A direction in degrees clockwise from true north, at least 0 and under 360.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Bearing(f64);

impl Bearing {
    /// A direction; any number of turns is taken off.
    ///
    /// # Panics
    /// When `degrees` is NaN or infinite.
    pub fn from_degrees(degrees: f64) -> Self {
        assert!(degrees.is_finite(), "Bearing must be a finite number");
        let turned = degrees.rem_euclid(360.0);
        // rem_euclid may round a tiny negative number up to a whole turn.
        Self(if turned >= 360.0 { 0.0 } else { turned })
    }

    /// Degrees clockwise from true north.
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// The opposite direction: where a wind from here blows to.
    #[must_use]
    pub fn opposite(self) -> Self {
        Self::from_degrees(self.0 + 180.0)
    }

    /// The angle between two directions, 0 to 180 degrees.
    pub fn angle_to(self, other: Self) -> f64 {
        let turn = (self.0 - other.0).rem_euclid(360.0);
        turn.min(360.0 - turn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_go_the_short_way_round() {
        let north_west = Bearing::from_degrees(-10.0);
        assert_eq!(north_west.degrees(), 350.0);
        assert_eq!(north_west.angle_to(Bearing::from_degrees(15.0)), 25.0);
        assert_eq!(north_west.opposite().degrees(), 170.0);
        assert_eq!(Bearing::from_degrees(-1e-17).degrees(), 0.0);
    }
}
