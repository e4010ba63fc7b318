//! Fields that hold a quantity as text, such as `"0.4 fl oz/1,000 sq ft"`.

use crate::toml_source::Field;
use problem::Problem;
use quantity::{
    Amount, AmountPerArea, Area, Duration, Flow, Graduation, Length, Mass, MassPerArea, Rate, Speed, Volume,
};

/// A quantity and the unit it was written in, of which only the quantity is wanted.
macro_rules! plain {
    ($($(#[$doc:meta])* $name:ident -> $kind:ident, $parse:ident;)+) => {$(
        $(#[$doc])*
        pub(crate) fn $name(field: &Field<'_>) -> Option<$kind> {
            field.quantity(quantity::$parse).map(|(quantity, _)| quantity)
        }
    )+};
}

plain! {
    length -> Length, parse_length;
    area -> Area, parse_area;
    volume -> Volume, parse_volume;
    mass -> Mass, parse_mass;
    duration -> Duration, parse_duration;
    speed -> Speed, parse_speed;
    flow -> Flow, parse_flow;
    amount -> Amount, parse_amount;
    mass_per_area -> MassPerArea, parse_mass_per_area;
}

/// A rate on whatever basis.
pub(crate) fn rate(field: &Field<'_>) -> Option<Rate> {
    field.quantity(quantity::parse_rate)
}

/// A rate per area.
pub(crate) fn amount_per_area(field: &Field<'_>) -> Option<AmountPerArea> {
    let rate = rate(field)?;
    let per_area = rate.per_area();
    if per_area.is_none() {
        field.report(
            Problem::error("quantity::not-per-area", format!("`{}` is no amount per area", field.text().unwrap_or("")))
                .expected("an amount per area, such as `0.4 fl oz/1,000 sq ft`"),
        );
    }
    per_area
}

/// The step between two marks of a measure.
pub(crate) fn graduation(field: &Field<'_>) -> Option<Graduation> {
    let (amount, unit) = field.quantity(quantity::parse_amount)?;
    match Graduation::new(amount.to(unit)?, unit) {
        Ok(graduation) => Some(graduation),
        Err(problem) => {
            field.report(problem);
            None
        }
    }
}
