//! Soil: how much water it holds for the roots.

use problem::{Problem, Problems};
use quantity::Length;

/// Soil by how much water it holds for plants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Soil {
    /// Sand.
    Sand,
    /// Sandy loam.
    SandyLoam,
    /// Loam.
    Loam,
    /// Clay loam.
    ClayLoam,
    /// Clay.
    Clay,
}

impl Soil {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Sand, Self::SandyLoam, Self::Loam, Self::ClayLoam, Self::Clay];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::SandyLoam => "sandy-loam",
            Self::Loam => "loam",
            Self::ClayLoam => "clay-loam",
            Self::Clay => "clay",
        }
    }

    /// Depth of water that plants can take from a depth of the soil, as a share of it.
    ///
    /// # Source
    /// Middles of the ranges of FAO-56, table 19: sand .05 to .11, sandy loam .11 to .15, loam .13 to .18, clay .12 to .20
    /// (from memory); clay loam, which it does not print, is taken between loam and clay.
    pub const fn available(self) -> f64 {
        match self {
            Self::Sand => 0.08,
            Self::SandyLoam => 0.13,
            Self::Loam => 0.155,
            Self::ClayLoam | Self::Clay => 0.16,
        }
    }
}

/// Depth of water that plants can take from a depth of soil, as a share of it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct AvailableWater(f64);

impl AvailableWater {
    /// A share, such as 0.15 for 0.15 in of water in an inch of soil.
    ///
    /// # Errors
    /// `season::available-water` when it is not from 0.02 to 0.4, past any soil.
    pub fn of_share(share: f64) -> Result<Self, Problems> {
        if (0.02..=0.4).contains(&share) {
            return Ok(Self(share));
        }
        Err(Problem::error("season::available-water", format!("`{share}` of the soil's depth is water for plants"))
            .expected("a share from 0.02 to 0.4, such as 0.15 for 0.15 in of water in an inch of soil")
            .mend("name the soil instead, where nobody has measured it")
            .into())
    }

    /// The share.
    pub fn share(self) -> f64 {
        self.0
    }

    /// What so much soil holds.
    pub fn in_depth(self, depth: Length) -> Length {
        depth * self.0
    }
}

impl From<Soil> for AvailableWater {
    fn from(soil: Soil) -> Self {
        Self(soil.available())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_past_any_soil_is_refused() {
        assert!(AvailableWater::of_share(0.15).is_ok());
        for share in [0.0, 1.5, f64::NAN] {
            let problems = AvailableWater::of_share(share).unwrap_err();
            assert_eq!(problems.iter().next().unwrap().code, "season::available-water");
        }
        assert!(Soil::ALL.into_iter().all(|soil| AvailableWater::of_share(soil.available()).is_ok()));
    }
}
