//! Amounts with dimension and unit system; rates by basis; parsing and printing in trade units;
//! rounding to a graduation.
//!
//! This crate must not know: pests, labels, land. A weight ounce and a fluid ounce are different
//! types here, and every unit declares its system, so that neither is ever taken for the other.
//!
//! Conversion factors are the exact definitions (NIST Handbook 44, Appendix C), written once in
//! [`mod@unit`]; general units libraries round the acre and the gallon to seven digits.

// A problem carries its whole wording; it is made once per bad input, never in a loop that counts.
#![allow(clippy::result_large_err)]

mod amount;
mod bearing;
mod content;
mod dimension;
mod graduation;
pub mod parse;
mod print;
mod rate;
pub mod unit;

pub use amount::{Amount, AmountUnit};
pub use bearing::Bearing;
pub use content::{Content, MassFraction, active_ingredient_per_area};
pub use dimension::{
    Area, DegreeDays, Density, Duration, Flow, Irradiance, Length, Mass, MassPerArea, Pressure, RadiantExposure, Speed,
    Temperature, TemperatureDifference, Volume, VolumePerArea,
};
pub use graduation::{Graduation, MeasureError, Measured, NeedsFinerMeasure, Rounding, measured};
pub use parse::{
    ParseError, parse_amount, parse_area, parse_density, parse_duration, parse_flow, parse_length, parse_mass,
    parse_mass_per_area, parse_rate, parse_speed, parse_temperature, parse_volume, parse_volume_per_area,
};
pub use print::{counted, significant};
pub use rate::{AmountPerArea, Basis, BasisCount, Rate, Substance};
pub use unit::{
    AreaUnit, DegreeDayUnit, DensityUnit, DurationUnit, FlowUnit, IrradianceUnit, LengthUnit, MassPerAreaUnit,
    MassUnit, PressureUnit, RadiantExposureUnit, SpeedUnit, System, TemperatureDifferenceUnit, TemperatureUnit,
    VolumePerAreaUnit, VolumeUnit,
};
