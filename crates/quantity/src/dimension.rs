//! One type per dimension: a private number in SI, made and read only with a unit.

use crate::unit::{
    AreaUnit, DegreeDayUnit, DensityUnit, DurationUnit, FlowUnit, IrradianceUnit, LengthUnit, MassPerAreaUnit,
    MassUnit, PressureUnit, RadiantExposureUnit, SpeedUnit, TemperatureDifferenceUnit, TemperatureUnit,
    VolumePerAreaUnit, VolumeUnit,
};
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

macro_rules! dimension {
    ($(#[$doc:meta])* $name:ident, $unit:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);

            /// So many of a unit.
            ///
            /// # Panics
            /// When `value` is NaN or infinite: a reader of outside text must refuse those first.
            #[inline]
            pub fn new(value: f64, unit: $unit) -> Self {
                assert!(value.is_finite(), concat!(stringify!($name), " must be a finite number"));
                Self(value * unit.factor())
            }

            /// The number of a unit that it is.
            #[inline]
            pub fn to(self, unit: $unit) -> f64 {
                self.0 / unit.factor()
            }

            /// How many times the other fits into it; infinite or NaN when the other is nothing.
            #[inline]
            pub fn ratio(self, other: Self) -> f64 {
                self.0 / other.0
            }

            /// The smaller of two.
            #[must_use]
            #[inline]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            #[must_use]
            #[inline]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// Whether it is more than nothing.
            #[inline]
            pub fn is_positive(self) -> bool {
                self.0 > 0.0
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) { self.0 += other.0; }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self { Self(-self.0) }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, by: f64) -> Self { Self(self.0 * by) }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, by: f64) -> Self { Self(self.0 / by) }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self { iter.fold(Self::ZERO, Add::add) }
        }
    };
}

dimension!(
    /// A length.
    Length, LengthUnit
);
dimension!(
    /// An area.
    Area, AreaUnit
);
dimension!(
    /// A volume.
    Volume, VolumeUnit
);
dimension!(
    /// A mass.
    Mass, MassUnit
);
dimension!(
    /// A length of time.
    Duration, DurationUnit
);
dimension!(
    /// A speed.
    Speed, SpeedUnit
);
dimension!(
    /// A volume per time.
    Flow, FlowUnit
);
dimension!(
    /// A volume per area: of product, or of spray.
    VolumePerArea, VolumePerAreaUnit
);
dimension!(
    /// A mass per area: of product, or of active ingredient.
    MassPerArea, MassPerAreaUnit
);
dimension!(
    /// A mass per volume: of a product, or of an active ingredient in a product.
    Density, DensityUnit
);

dimension!(
    /// How far apart two temperatures are.
    TemperatureDifference, TemperatureDifferenceUnit
);
dimension!(
    /// Heat above a base over a time, by which insects and plants develop. Which base, and how it was counted, the
    /// figure itself does not say.
    DegreeDays, DegreeDayUnit
);
dimension!(
    /// A pressure: of the air, or of the water vapour in it.
    Pressure, PressureUnit
);
dimension!(
    /// Radiant power on a surface.
    Irradiance, IrradianceUnit
);
dimension!(
    /// Radiant energy that a surface took in over a time.
    RadiantExposure, RadiantExposureUnit
);

/// A temperature on a scale.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// A reading on a scale.
    ///
    /// # Panics
    /// When `value` is NaN or infinite.
    #[inline]
    pub fn new(value: f64, unit: TemperatureUnit) -> Self {
        assert!(value.is_finite(), "Temperature must be a finite number");
        match unit {
            TemperatureUnit::Celsius => Self(value),
            TemperatureUnit::Fahrenheit => Self((value - 32.0) / 1.8),
        }
    }

    /// The reading on a scale.
    #[inline]
    pub fn to(self, unit: TemperatureUnit) -> f64 {
        match unit {
            TemperatureUnit::Celsius => self.0,
            TemperatureUnit::Fahrenheit => self.0 * 1.8 + 32.0,
        }
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

macro_rules! product {
    ($a:ident * $b:ident = $c:ident) => {
        impl Mul<$b> for $a {
            type Output = $c;
            fn mul(self, other: $b) -> $c {
                $c(self.0 * other.0)
            }
        }
        impl Div<$b> for $c {
            type Output = $a;
            fn div(self, other: $b) -> $a {
                $a(self.0 / other.0)
            }
        }
    };
}

product!(VolumePerArea * Area = Volume);
product!(MassPerArea * Area = Mass);
product!(Density * Volume = Mass);
product!(Density * VolumePerArea = MassPerArea);
product!(Flow * Duration = Volume);
product!(Speed * Duration = Length);
product!(Irradiance * Duration = RadiantExposure);

impl Mul<Duration> for TemperatureDifference {
    type Output = DegreeDays;
    fn mul(self, other: Duration) -> DegreeDays {
        DegreeDays(self.0 * other.to(DurationUnit::Day))
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}
impl Div<Length> for Area {
    type Output = Length;
    fn div(self, other: Length) -> Length {
        Length(self.0 / other.0)
    }
}
impl Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, other: Length) -> Volume {
        Volume(self.0 * other.0)
    }
}
impl Div<Flow> for Volume {
    type Output = Duration;
    fn div(self, other: Flow) -> Duration {
        Duration(self.0 / other.0)
    }
}
impl Div<VolumePerArea> for Volume {
    type Output = Area;
    fn div(self, other: VolumePerArea) -> Area {
        Area(self.0 / other.0)
    }
}
impl Div<MassPerArea> for Mass {
    type Output = Area;
    fn div(self, other: MassPerArea) -> Area {
        Area(self.0 / other.0)
    }
}
impl Div<Density> for MassPerArea {
    type Output = VolumePerArea;
    fn div(self, other: Density) -> VolumePerArea {
        VolumePerArea(self.0 / other.0)
    }
}
impl Div<Density> for Mass {
    type Output = Volume;
    fn div(self, other: Density) -> Volume {
        Volume(self.0 / other.0)
    }
}
impl Div<Speed> for Length {
    type Output = Duration;
    fn div(self, other: Speed) -> Duration {
        Duration(self.0 / other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_in_fahrenheit_is_five_ninths_of_one_in_celsius() {
        let air = |degrees| Temperature::new(degrees, TemperatureUnit::Fahrenheit);
        let apart = air(68.0) - air(50.0);
        assert!((apart.to(TemperatureDifferenceUnit::Celsius) - 10.0).abs() < 1e-12);
        assert!((apart.to(TemperatureUnit::Fahrenheit.difference()) - 18.0).abs() < 1e-12);
        let heat = apart * Duration::new(12.0, DurationUnit::Hour);
        assert!((heat.to(TemperatureUnit::Celsius.degree_days()) - 5.0).abs() < 1e-12);
        assert!((heat.to(DegreeDayUnit::FahrenheitHour) - 216.0).abs() < 1e-9);
        assert_eq!(heat.show(TemperatureUnit::Fahrenheit.degree_days()), "9.00 degree-days (°F)");
    }

    #[test]
    fn power_over_a_time_is_energy() {
        let day = Irradiance::new(100.0, IrradianceUnit::WattPerSquareMetre) * Duration::new(1.0, DurationUnit::Day);
        assert!((day.to(RadiantExposureUnit::MegajoulePerSquareMetre) - 8.64).abs() < 1e-12);
        assert!((day.to(RadiantExposureUnit::WattHourPerSquareMetre) - 2400.0).abs() < 1e-9);
    }
}
