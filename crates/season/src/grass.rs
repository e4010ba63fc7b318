//! Grass: how much water it uses, and how it grows with the temperature.

use jiff::civil::Date;
use quantity::{Temperature, TemperatureUnit};

/// Grass by the time of the year in which it grows most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grass {
    /// Fescues, bluegrass, ryegrass.
    CoolSeason,
    /// Bermuda grass, zoysia, St. Augustine, centipede, bahia.
    WarmSeason,
}

impl Grass {
    /// Both.
    pub const ALL: [Self; 2] = [Self::CoolSeason, Self::WarmSeason];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::CoolSeason => "cool-season",
            Self::WarmSeason => "warm-season",
        }
    }

    /// What the grass uses over the reference evapotranspiration, in a month of the northern year.
    ///
    /// # Source
    /// Meyer, J. L., et al. 1985: Irrigation of turfgrass below replacement of evapotranspiration, as University of California
    /// prints its monthly coefficients (Publication 21491, Turfgrass Irrigation Scheduling). Their means over the year are
    /// .79 and .65; those usually told are .8 and .6.
    pub const fn coefficient(self, month: i8) -> f64 {
        const COOL: [f64; 12] = [0.61, 0.64, 0.75, 1.04, 0.95, 0.88, 0.94, 0.86, 0.74, 0.75, 0.69, 0.60];
        const WARM: [f64; 12] = [0.61, 0.54, 0.76, 0.72, 0.79, 0.68, 0.71, 0.71, 0.62, 0.54, 0.58, 0.55];
        let index = if month >= 1 && month <= 12 { (month - 1) as usize } else { 0 };
        match self {
            Self::CoolSeason => COOL[index],
            Self::WarmSeason => WARM[index],
        }
    }

    /// What the grass uses over the reference evapotranspiration on a day, at a latitude in degrees, north positive: south of
    /// the equator that of the month half a year away.
    pub fn coefficient_on(self, date: Date, latitude: f64) -> f64 {
        let month = if latitude < 0.0 { (date.month() + 5) % 12 + 1 } else { date.month() };
        self.coefficient(month)
    }

    /// How much of its best growth the grass has at a mean temperature of the day, from 0 to 1.
    ///
    /// Warm-season grass does not slow down above its best temperature, as its authors corrected the curve later; cool-season
    /// grass does. Water, light and fertiliser are not in it.
    ///
    /// # Source
    /// Growth potential of Gelernter and Stowell 2005: Improved overseeding programs 1. The role of weather. Golf Course
    /// Management 73(3): 108-113. Best at 68 and 88 °F (20 and 31 °C), spread of 10 and 12 °F (5.5 and 7 °C); the spreads from
    /// memory.
    pub fn growth_potential(self, mean: Temperature) -> f64 {
        let celsius = mean.to(TemperatureUnit::Celsius);
        let (best, spread) = match self {
            Self::CoolSeason => (20.0, 5.5),
            Self::WarmSeason => (31.0, 7.0),
        };
        if self == Self::WarmSeason && celsius > best {
            return 1.0;
        }
        (-0.5 * ((celsius - best) / spread).powi(2)).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn july_in_the_south_is_january() {
        let grass = Grass::CoolSeason;
        assert_eq!(grass.coefficient_on(date(2026, 7, 1), 38.8), 0.94);
        assert_eq!(grass.coefficient_on(date(2026, 7, 1), -38.8), 0.61);
        assert_eq!(grass.coefficient_on(date(2026, 12, 1), -1.0), grass.coefficient(6));
    }

    #[test]
    fn grass_grows_best_at_its_own_temperature() {
        let at = |grass: Grass, celsius| grass.growth_potential(Temperature::new(celsius, TemperatureUnit::Celsius));
        // One spread off is e to the minus one half, 0.6065; two are 0.1353.
        assert!((at(Grass::CoolSeason, 14.5) - 0.606_531).abs() < 1e-6);
        assert!((at(Grass::CoolSeason, 31.0) - 0.135_335).abs() < 1e-6);
        assert!((at(Grass::WarmSeason, 24.0) - 0.606_531).abs() < 1e-6);
        assert_eq!((at(Grass::CoolSeason, 20.0), at(Grass::WarmSeason, 38.0)), (1.0, 1.0));
    }
}
