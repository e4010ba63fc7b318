//! Quantities as arguments: read by the same parsers as the files, so that a wrong unit is told
//! with its place in the text.

use quantity::{
    Area, Duration, Flow, Graduation, Length, Mass, ParseError, Rate, Volume, VolumePerArea, parse_amount, parse_area,
    parse_duration, parse_flow, parse_length, parse_mass, parse_rate, parse_volume, parse_volume_per_area,
};

/// The message of a parser, in the words of the argument reader.
pub(crate) fn read<T>(parsed: Result<T, ParseError>) -> Result<T, String> {
    parsed.map_err(|error| format!("{error}\n"))
}

macro_rules! arguments {
    ($($(#[$doc:meta])* $name:ident: $type:ty = $parse:ident;)+) => {
        $($(#[$doc])*
        pub(crate) fn $name(text: &str) -> Result<$type, String> {
            read($parse(text)).map(|(quantity, _)| quantity)
        })+
    };
}

arguments! {
    /// A length.
    length: Length = parse_length;
    /// An area.
    area: Area = parse_area;
    /// A volume.
    volume: Volume = parse_volume;
    /// A mass.
    mass: Mass = parse_mass;
    /// A time.
    duration: Duration = parse_duration;
    /// A flow.
    flow: Flow = parse_flow;
    /// Spray per area.
    output: VolumePerArea = parse_volume_per_area;
}

/// A rate with its basis.
pub(crate) fn rate(text: &str) -> Result<Rate, String> {
    read(parse_rate(text))
}

/// The smallest mark of a measure.
pub(crate) fn graduation(text: &str) -> Result<Graduation, String> {
    let (amount, unit) = read(parse_amount(text))?;
    Graduation::new(amount.to(unit).unwrap_or_default(), unit).map_err(|problem| problem.found)
}

/// A share in percent, such as `10` or `10 %`, from nothing to a hundred; read as a fraction.
pub(crate) fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    match number.parse::<f64>() {
        Ok(percent) if (0.0..=100.0).contains(&percent) => Ok(percent / 100.0),
        _ => Err("not a share in percent; expected a number from 0 to 100, such as `10`".to_owned()),
    }
}
