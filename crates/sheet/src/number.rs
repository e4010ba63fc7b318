//! How numbers are printed on paper: the unit a person measures in, digits that can be measured.

use jiff::civil::{Date, DateTime};
use quantity::{
    Amount, Area, AreaUnit, Bearing, Duration, DurationUnit, Length, LengthUnit, MassUnit, Speed, SpeedUnit,
    Temperature, TemperatureUnit, Volume, VolumePerArea, VolumePerAreaUnit, VolumeUnit,
};

/// The units in which a sheet or picture speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Feet, US gallons, degrees Fahrenheit.
    #[default]
    UsCustomary,
    /// Metres, litres, degrees Celsius.
    Metric,
}

/// A number with so many decimals and the thousands marked.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let mut out = String::new();
    if value < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push('−');
    }
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

fn significant3(value: f64) -> String {
    quantity::significant(value, 3)
}

impl Units {
    /// `7,988 sq ft` or `742 m²`.
    pub(crate) fn area(self, area: Area) -> String {
        let (value, symbol) = match self {
            Self::UsCustomary => (area.to(AreaUnit::SquareFoot), AreaUnit::SquareFoot.symbol()),
            Self::Metric => (area.to(AreaUnit::SquareMetre), AreaUnit::SquareMetre.symbol()),
        };
        format!("{} {symbol}", fixed(value, usize::from(value.abs() < 100.0)))
    }

    /// A side of a lot or house: `32 ft 6 in`, `9.91 m`.
    pub(crate) fn side(self, length: Length) -> String {
        match self {
            Self::UsCustomary => {
                let inches = length.to(LengthUnit::Inch).round() as i64;
                match (inches / 12, inches % 12) {
                    (feet, 0) => format!("{} ft", fixed(feet as f64, 0)),
                    (0, inches) => format!("{inches} in"),
                    (feet, inches) => format!("{} ft {inches} in", fixed(feet as f64, 0)),
                }
            }
            Self::Metric => format!("{} m", fixed(length.to(LengthUnit::Metre), 2)),
        }
    }

    /// A depth of rain or watering: `0.15 in`, `3.8 mm`.
    pub(crate) fn depth(self, depth: Length) -> String {
        match self {
            Self::UsCustomary => format!("{} in", fixed(depth.to(LengthUnit::Inch), 2)),
            Self::Metric => format!("{} mm", fixed(depth.to(LengthUnit::Millimetre), 1)),
        }
    }

    /// Spray: `13.48 gal`, `51.0 L`.
    pub(crate) fn spray(self, volume: Volume) -> String {
        match self {
            Self::UsCustomary => format!("{} gal", fixed(volume.to(VolumeUnit::UsGallon), 2)),
            Self::Metric => format!("{} L", fixed(volume.to(VolumeUnit::Litre), 2)),
        }
    }

    /// Spray in both systems, the sheet's own first.
    pub(crate) fn spray_both(self, volume: Volume) -> String {
        let other = if self == Self::Metric { Self::UsCustomary } else { Self::Metric };
        format!("{} ({})", self.spray(volume), other.spray(volume))
    }

    /// Spray per area, to the three digits that a calibration can show.
    pub(crate) fn output(self, output: VolumePerArea) -> String {
        let unit = match self {
            Self::UsCustomary => VolumePerAreaUnit::UsGallonPer1000SquareFeet,
            Self::Metric => VolumePerAreaUnit::LitrePer100SquareMetres,
        };
        format!("{} {}", significant3(output.to(unit)), unit.symbol())
    }

    /// A time of day: `7:05 am`, `07:05`.
    pub(crate) fn clock(self, time: DateTime) -> String {
        match self {
            Self::UsCustomary => time.strftime("%-I:%M %P").to_string(),
            Self::Metric => time.strftime("%H:%M").to_string(),
        }
    }

    /// A whole hour of the day: `7 am`, `07:00`.
    pub(crate) fn hour(self, time: DateTime) -> String {
        match self {
            Self::UsCustomary if time.minute() == 0 => time.strftime("%-I %P").to_string(),
            _ => self.clock(time),
        }
    }

    /// A date: `July 7, 2026`, `2026-07-07`.
    pub(crate) fn date(self, date: Date) -> String {
        match self {
            Self::UsCustomary => date.strftime("%B %-d, %Y").to_string(),
            Self::Metric => date.to_string(),
        }
    }

    /// A date with its day of the week: `Tuesday, July 7, 2026`.
    pub(crate) fn long_date(self, date: Date) -> String {
        format!("{}, {}", date.strftime("%A"), self.date(date))
    }

    /// The number of a wind speed.
    pub(crate) fn wind(self, speed: Speed) -> String {
        match self {
            Self::UsCustomary => fixed(speed.to(SpeedUnit::MilePerHour), 0),
            Self::Metric => fixed(speed.to(SpeedUnit::KilometrePerHour), 0),
        }
    }

    /// The unit of wind speeds.
    pub(crate) const fn wind_symbol(self) -> &'static str {
        match self {
            Self::UsCustomary => SpeedUnit::MilePerHour.symbol(),
            Self::Metric => SpeedUnit::KilometrePerHour.symbol(),
        }
    }

    /// The number of a temperature.
    pub(crate) fn degrees(self, temperature: Temperature) -> String {
        match self {
            Self::UsCustomary => fixed(temperature.to(TemperatureUnit::Fahrenheit), 0),
            Self::Metric => fixed(temperature.to(TemperatureUnit::Celsius), 1),
        }
    }

    /// The unit of temperatures.
    pub(crate) const fn degrees_symbol(self) -> &'static str {
        match self {
            Self::UsCustomary => TemperatureUnit::Fahrenheit.symbol(),
            Self::Metric => TemperatureUnit::Celsius.symbol(),
        }
    }
}

/// `1 h 39 min`, to the nearest minute.
pub(crate) fn duration(duration: Duration) -> String {
    let minutes = duration.to(DurationUnit::Minute).round().max(0.0) as i64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// The sixteen-point name of a direction and its degrees.
pub(crate) fn direction(bearing: Bearing) -> String {
    const NAMES: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    let index = (bearing.degrees() / 22.5).round() as usize % 16;
    format!("{} {}°", NAMES[index], fixed(bearing.degrees(), 0))
}

/// An amount as measured on a measure with this smallest mark: in the unit in which the mark is a
/// round number, with as many decimals as the mark has, then in the other system.
pub(crate) fn measured(amount: Amount, graduation: Amount) -> String {
    let (first, second) = in_units(amount, graduation, true);
    format!("{first} ({second})")
}

/// An unrounded amount, one decimal more than the measure can show.
pub(crate) fn exact(amount: Amount, graduation: Amount) -> String {
    in_units(amount, graduation, false).0
}

/// An amount of product of which no measure is known.
pub(crate) fn amount(amount: Amount) -> String {
    match amount {
        Amount::Volume(volume) => format!(
            "{} mL ({} fl oz)",
            fixed(volume.to(VolumeUnit::Millilitre), 1),
            significant3(volume.to(VolumeUnit::UsFluidOunce))
        ),
        Amount::Mass(mass) => {
            format!("{} g ({} oz weight)", fixed(mass.to(MassUnit::Gram), 1), significant3(mass.to(MassUnit::Ounce)))
        }
    }
}

fn in_units(amount: Amount, graduation: Amount, rounded: bool) -> (String, String) {
    let extra = usize::from(!rounded);
    match (amount, graduation) {
        (Amount::Volume(volume), mark) => {
            let [metric, ounce] = [VolumeUnit::Millilitre, VolumeUnit::UsFluidOunce];
            let size = |unit| if let Amount::Volume(mark) = mark { mark.to(unit) } else { 0.0 };
            let (ml, oz) = (volume.to(metric), volume.to(ounce));
            match (decimals(size(metric)), decimals(size(ounce))) {
                (None, Some(places)) => {
                    (format!("{} fl oz", fixed(oz, places + extra)), format!("{} mL", fixed(ml, 1)))
                }
                (places, _) => {
                    (format!("{} mL", fixed(ml, places.unwrap_or(1) + extra)), format!("{} fl oz", significant3(oz)))
                }
            }
        }
        (Amount::Mass(mass), mark) => {
            let [gram, ounce] = [MassUnit::Gram, MassUnit::Ounce];
            let size = |unit| if let Amount::Mass(mark) = mark { mark.to(unit) } else { 0.0 };
            let (g, oz) = (mass.to(gram), mass.to(ounce));
            match (decimals(size(gram)), decimals(size(ounce))) {
                (None, Some(places)) => {
                    (format!("{} oz weight", fixed(oz, places + extra)), format!("{} g", fixed(g, 1)))
                }
                (places, _) => {
                    (format!("{} g", fixed(g, places.unwrap_or(1) + extra)), format!("{} oz weight", significant3(oz)))
                }
            }
        }
    }
}

/// Decimals in which a mark is a round number, when it is within three.
fn decimals(mark: f64) -> Option<usize> {
    if mark <= 0.0 {
        return None;
    }
    [1.0, 10.0, 100.0, 1000.0].iter().position(|tens| {
        let scaled = mark * tens;
        scaled >= 0.5 && (scaled - scaled.round()).abs() < 1e-6 * scaled
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_and_signs() {
        assert_eq!(fixed(1_234_567.891, 2), "1,234,567.89");
        assert_eq!(fixed(-0.001, 2), "0.00");
        assert_eq!(fixed(-12.5, 1), "−12.5");
    }

    #[test]
    fn sides_are_told_to_the_inch() {
        let side = |feet| Units::UsCustomary.side(Length::new(feet, LengthUnit::Foot));
        assert_eq!(side(109.9999), "110 ft");
        assert_eq!(side(32.5), "32 ft 6 in");
        assert_eq!(side(0.25), "3 in");
    }

    #[test]
    fn an_amount_has_the_digits_of_the_measure() {
        let ml = |value| Amount::Volume(Volume::new(value, VolumeUnit::Millilitre));
        let oz = |value| Amount::Volume(Volume::new(value, VolumeUnit::UsFluidOunce));
        assert_eq!(measured(ml(14.0), ml(0.2)), "14.0 mL (0.473 fl oz)");
        assert_eq!(measured(oz(1.25), oz(0.25)), "1.25 fl oz (37.0 mL)");
        assert_eq!(exact(ml(14.020_043_6), ml(0.2)), "14.02 mL");
    }

    #[test]
    fn dates_and_times_are_those_of_the_place() {
        let time = jiff::civil::date(2026, 7, 7).at(13, 5, 0, 0);
        assert_eq!(Units::UsCustomary.clock(time), "1:05 pm");
        assert_eq!(Units::Metric.clock(time), "13:05");
        assert_eq!(Units::UsCustomary.hour(jiff::civil::date(2026, 7, 7).at(0, 0, 0, 0)), "12 am");
        assert_eq!(Units::UsCustomary.long_date(time.date()), "Tuesday, July 7, 2026");
        assert_eq!(Units::Metric.long_date(time.date()), "Tuesday, 2026-07-07");
    }

    #[test]
    fn a_setting_has_three_digits() {
        let output = VolumePerArea::new(1.6875, VolumePerAreaUnit::UsGallonPer1000SquareFeet);
        assert_eq!(Units::UsCustomary.output(output), "1.69 gal/1,000 sq ft");
    }

    #[test]
    fn a_job_is_told_in_hours_and_minutes() {
        assert_eq!(duration(Duration::new(99.308, DurationUnit::Minute)), "1 h 39 min");
        assert_eq!(duration(Duration::new(60.0, DurationUnit::Minute)), "1 h");
    }
}
