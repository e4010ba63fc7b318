//! Reading quantities and rates as people write them.
//!
//! - **Numbers**: `0.4`, `.5`, `0,4`, `1,000`, `1 000`, `1/2`, `1 1/2`, `½`. A comma before exactly
//!   three digits, with one to three digits before it that do not begin with 0, parts groups
//!   (`1,234` is one thousand two hundred and thirty-four); any other single comma is a decimal
//!   comma (`0,4`, `0,125`). A stop is always the decimal stop. In a basis (`per 1,000 sq ft`) a
//!   comma only ever parts groups, and `per 1.000 m²` is refused, since it may mean a thousand.
//!   Ranges, powers of ten, and what can be read in two ways (`1,23,4`) are refused.
//! - **Units** in any case, with or without stops, with powers as `ft2`, `ft²`, `ft^2`, and per as
//!   `/`, `per` or `ha⁻¹`. `gal`, `fl oz` and the like are US units unless `imp`, `imperial` or `UK`
//!   stands beside them. What names two units is refused: a plain `oz`, `M`, `T`, `a`.
//! - Nothing below nothing is read, except a temperature.
//!
//! No text makes a parser panic.

mod error;
mod number;
mod plain;
mod rate;
mod ratio;
mod token;
mod words;

pub use error::ParseError;
pub use plain::{parse_amount, parse_area, parse_duration, parse_length, parse_mass, parse_temperature, parse_volume};
pub use rate::parse_rate;
pub use ratio::{parse_density, parse_flow, parse_mass_per_area, parse_speed, parse_volume_per_area};
