//! One series out of two.

use super::{HourlyReading, HourlySeries};
use jiff::SignedDuration;

impl HourlySeries {
    /// Both series in one, by the clock of this one. Where both have a figure of an hour, this one's stands; what was measured
    /// should therefore come before what was forecast.
    #[must_use]
    pub fn joined_with(&self, other: &Self) -> Self {
        let shift = SignedDuration::from_secs(i64::from(self.offset.seconds()) - i64::from(other.offset.seconds()));
        let moved = other.hours.iter().filter_map(|hour| {
            let start = hour.start.checked_add(shift).ok()?;
            Some(HourlyReading { start, ..*hour })
        });
        let mut hours = self.hours.clone();
        for reading in moved {
            match hours.binary_search_by_key(&reading.start, |hour| hour.start) {
                Ok(at) => hours[at] = filled(hours[at], reading),
                Err(at) => hours.insert(at, reading),
            }
        }
        Self { offset: self.offset, hours }
    }
}

fn filled(first: HourlyReading, then: HourlyReading) -> HourlyReading {
    HourlyReading {
        start: first.start,
        temperature: first.temperature.or(then.temperature),
        wind_speed: first.wind_speed.or(then.wind_speed),
        wind_gust: first.wind_gust.or(then.wind_gust),
        wind_from: first.wind_from.or(then.wind_from),
        rain: first.rain.or(then.rain),
        rain_chance: first.rain_chance.or(then.rain_chance),
        relative_humidity: first.relative_humidity.or(then.relative_humidity),
        dew_point: first.dew_point.or(then.dew_point),
        pressure: first.pressure.or(then.pressure),
        irradiance: first.irradiance.or(then.irradiance),
        cloud_cover: first.cloud_cover.or(then.cloud_cover),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use jiff::tz::Offset;
    use quantity::{Length, LengthUnit, Temperature, TemperatureUnit};

    #[test]
    fn what_stands_first_stands_and_clocks_are_put_together() {
        let hour = |clock: i8, degrees: f64, rain: Option<f64>| HourlyReading {
            temperature: Some(Temperature::new(degrees, TemperatureUnit::Celsius)),
            rain: rain.map(|depth| Length::new(depth, LengthUnit::Millimetre)),
            ..HourlyReading::unknown(date(2026, 7, 1).at(clock, 0, 0, 0))
        };
        let series = |offset, hours| HourlySeries::new(Offset::constant(offset), hours).unwrap().0;
        let measured = series(-5, vec![hour(5, 10.0, None), hour(6, 11.0, Some(1.0))]);
        // An hour to the east: its 7:00 is the other's 6:00.
        let forecast = series(-4, vec![hour(6, 20.0, Some(2.0)), hour(7, 21.0, Some(3.0)), hour(9, 22.0, None)]);
        let joined = measured.joined_with(&forecast);
        let told: Vec<(i8, f64, Option<f64>)> = joined
            .hours()
            .iter()
            .map(|hour| {
                let rain = hour.rain.map(|rain| rain.to(LengthUnit::Millimetre).round());
                (hour.start.hour(), hour.temperature.unwrap().to(TemperatureUnit::Celsius), rain)
            })
            .collect();
        assert_eq!(told, [(5, 10.0, Some(2.0)), (6, 11.0, Some(1.0)), (8, 22.0, None)]);
    }
}
