//! Fields that hold a quantity as text, such as `"0.4 fl oz/1,000 sq ft"`.

use crate::toml_source::{Field, shown};
use problem::Problem;
use quantity::{
    Amount, AmountPerArea, AmountUnit, Area, Duration, Flow, Graduation, Length, Mass, MassPerArea, ParseError, Rate,
    Speed, Volume,
};

/// Reads the text of a field; `like` tells what belongs there where the parser does not.
fn read<T>(field: &Field<'_>, like: &str, parse: impl FnOnce(&str) -> Result<T, ParseError>) -> Option<T> {
    field.parsed(|text| {
        parse(text).map_err(|error| {
            let column = error.text.get(..error.span.start).map_or(1, |before| before.chars().count() + 1);
            let mut problem = error.into_problem("toml::bad-quantity");
            problem.place.column = Some(column);
            problem.expected.get_or_insert_with(|| like.to_owned());
            problem
        })
    })
}

/// A quantity without the unit it was written in.
macro_rules! plain {
    ($($name:ident -> $kind:ident, $parse:ident, $like:literal;)+) => {$(
        pub(crate) fn $name(field: &Field<'_>) -> Option<$kind> {
            read(field, $like, quantity::$parse).map(|(quantity, _)| quantity)
        }
    )+};
}

plain! {
    length -> Length, parse_length, "a length, such as `3 ft`";
    area -> Area, parse_area, "an area, such as `250 sq ft`";
    volume -> Volume, parse_volume, "a volume, such as `1.2 gal`";
    mass -> Mass, parse_mass, "a weight, such as `20 lb`";
    duration -> Duration, parse_duration, "a length of time, such as `5 min`";
    speed -> Speed, parse_speed, "a speed, such as `3 mph`";
    flow -> Flow, parse_flow, "a flow, such as `0.3 gal/min`";
    amount -> Amount, parse_amount, "a volume or a weight, such as `3.2 fl oz`";
    mass_per_area -> MassPerArea, parse_mass_per_area, "a weight per area, such as `0.2 lb/acre`";
}

/// A rate on whatever basis.
pub(crate) fn rate(field: &Field<'_>) -> Option<Rate> {
    read(field, "a rate with its basis, such as `0.4 fl oz/1,000 sq ft`", quantity::parse_rate)
}

/// A rate per area.
pub(crate) fn amount_per_area(field: &Field<'_>) -> Option<AmountPerArea> {
    let rate = rate(field)?;
    let per_area = rate.per_area();
    if per_area.is_none() {
        let text = shown(field.text().unwrap_or(""));
        field.report(
            Problem::error("quantity::not-per-area", format!("`{text}` is no amount per area"))
                .expected("an amount per area, such as `2.0 gal/1,000 sq ft`"),
        );
    }
    per_area
}

/// The step between two marks of a measure.
pub(crate) fn graduation(field: &Field<'_>) -> Option<Graduation> {
    let like = "the step between two marks, such as `0.2 mL`";
    let (amount, unit): (Amount, AmountUnit) = read(field, like, quantity::parse_amount)?;
    match Graduation::new(amount.to(unit)?, unit) {
        Ok(graduation) => Some(graduation),
        Err(problem) => {
            field.report(problem);
            None
        }
    }
}
