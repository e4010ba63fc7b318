//! Amounts with dimension and unit system; rates by basis; parsing and printing in trade units;
//! rounding to a graduation.
//!
//! This crate must not know: pests, labels, land. A weight ounce and a fluid ounce are different
//! types here, and every unit declares its system, so that neither is ever taken for the other.
//!
//! Conversion factors are the exact definitions (NIST Handbook 44, Appendix C), written once in
//! [`unit`]; general units libraries round the acre and the gallon to seven digits.

mod amount;
mod bearing;
mod dimension;
mod rate;
pub mod unit;

pub use amount::{Amount, AmountUnit};
pub use bearing::Bearing;
pub use dimension::{
    Area, Density, Duration, Flow, Length, Mass, MassPerArea, Speed, Temperature, Volume, VolumePerArea,
};
pub use rate::{AmountPerArea, Basis, Rate, Substance};
pub use unit::{
    AreaUnit, DensityUnit, DurationUnit, FlowUnit, LengthUnit, MassPerAreaUnit, MassUnit, SpeedUnit, System,
    TemperatureUnit, VolumePerAreaUnit, VolumeUnit,
};
