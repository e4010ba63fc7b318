//! Hourly readings, forecast or recorded.

use jiff::SignedDuration;
use jiff::civil::DateTime;
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{
    Bearing, Duration, DurationUnit, Irradiance, IrradianceUnit, Length, LengthUnit, Pressure, PressureUnit, Speed,
    SpeedUnit, Temperature, TemperatureUnit,
};

use crate::fraction::{Chance, CloudCover, RelativeHumidity};
use crate::plausible::{is_air_pressure, is_air_temperature, is_mean_irradiance, is_wind_outdoors};

mod joined;

const HOUR: SignedDuration = SignedDuration::from_hours(1);

/// What is known of one hour. Whatever is `None` is unknown, not zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourlyReading {
    /// Local start of the hour.
    pub start: DateTime,
    /// Air temperature.
    pub temperature: Option<Temperature>,
    /// Mean wind speed.
    pub wind_speed: Option<Speed>,
    /// Strongest gust.
    pub wind_gust: Option<Speed>,
    /// Where the wind comes from; `None` also when it is calm or turning.
    pub wind_from: Option<Bearing>,
    /// Depth of rain in the hour.
    pub rain: Option<Length>,
    /// Chance of rain.
    pub rain_chance: Option<Chance>,
    /// Relative humidity.
    pub relative_humidity: Option<RelativeHumidity>,
    /// Temperature at which its vapour would begin to settle as dew.
    pub dew_point: Option<Temperature>,
    /// Pressure of the air at the place itself, not reduced to the level of the sea.
    pub pressure: Option<Pressure>,
    /// Mean radiation of sun and sky on level ground.
    pub irradiance: Option<Irradiance>,
    /// Clouds over the sky.
    pub cloud_cover: Option<CloudCover>,
}

impl HourlyReading {
    /// An hour of which nothing is known yet.
    pub const fn unknown(start: DateTime) -> Self {
        Self {
            start,
            temperature: None,
            wind_speed: None,
            wind_gust: None,
            wind_from: None,
            rain: None,
            rain_chance: None,
            relative_humidity: None,
            dew_point: None,
            pressure: None,
            irradiance: None,
            cloud_cover: None,
        }
    }

    /// The strongest wind of the hour, gusts included; `None` when neither wind nor gust is known.
    pub fn strongest_wind(&self) -> Option<Speed> {
        match (self.wind_speed, self.wind_gust) {
            (Some(wind), Some(gust)) => Some(wind.max(gust)),
            (wind, gust) => wind.or(gust),
        }
    }
}

/// Rain over some hours, and how much of it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainSum {
    /// Depth over the hours that are known.
    pub depth: Length,
    /// Hours with a reading.
    pub hours_known: u32,
    /// Hours without one: the true depth may be greater.
    pub hours_missing: u32,
}

/// How long it stays dry from some time on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DryStretch {
    /// Until then every hour is known to be dry. It is the time asked for itself when its own hour
    /// is wet or unknown.
    pub dry_until: DateTime,
    /// Start of the first hour with rain, even when hours before it are unknown; `None` when no rain
    /// stands in the series.
    pub first_rain: Option<DateTime>,
}

/// Hourly readings in order, at one offset from universal time.
#[derive(Debug, Clone, PartialEq)]
pub struct HourlySeries {
    offset: Offset,
    hours: Vec<HourlyReading>,
}

impl HourlySeries {
    /// A series from readings in any order; local times are at the given offset from universal time.
    ///
    /// With the series come warnings: readings that were out of order, hours that are missing, gusts
    /// below the wind.
    ///
    /// # Errors
    /// All of these that are found, with the hour of each:
    /// - no reading at all;
    /// - a start that is not on the hour;
    /// - two readings for one hour;
    /// - a temperature or dew point below -60 or above 60 °C, a dew point more than a degree above the temperature,
    ///   wind or gust below 0 or above 100 mph, rain below 0 or above 8 in in the hour, a pressure below 500 or above
    ///   1100 hPa, radiation below 0 or above 1500 W/m².
    pub fn new(offset: Offset, mut hours: Vec<HourlyReading>) -> Result<(Self, Problems), Problems> {
        let mut problems = Problems::new();
        if hours.is_empty() {
            problems.push(
                Problem::error("weather::no-hours", "no hourly reading")
                    .expected("one reading an hour over the time in question"),
            );
        }
        if let Some(pair) = hours.windows(2).find(|pair| pair[1].start < pair[0].start) {
            problems.push(
                Problem::warning(
                    "weather::order",
                    format!("hour `{}` stands after `{}`", pair[1].start, pair[0].start),
                )
                .expected("hours in the order of time")
                .mend("nothing: they are put in order here"),
            );
        }
        for hour in &hours {
            check_reading(hour, &mut problems);
        }
        hours.sort_by_key(|hour| hour.start);
        for pair in hours.windows(2) {
            check_step(pair[0].start, pair[1].start, &mut problems);
        }
        problems.unless_errors(Self { offset, hours })
    }

    /// Offset of its local times from universal time.
    pub fn offset(&self) -> Offset {
        self.offset
    }

    /// The readings in the order of time.
    pub fn hours(&self) -> &[HourlyReading] {
        &self.hours
    }

    /// The reading of the hour in which a local time falls.
    pub fn at(&self, time: DateTime) -> Option<&HourlyReading> {
        let after = self.hours.partition_point(|hour| hour.start <= time);
        let hour = &self.hours[after.checked_sub(1)?];
        (time.duration_since(hour.start) < HOUR).then_some(hour)
    }

    /// Rain in the stretch of time before `end`. An hour only partly inside counts whole, since
    /// nobody knows in which part of it the rain fell.
    pub fn rain_sum_before(&self, end: DateTime, stretch: Duration) -> RainSum {
        let mut sum = RainSum { depth: Length::ZERO, hours_known: 0, hours_missing: 0 };
        let seconds = stretch.to(DurationUnit::Second).ceil().max(0.0) as i64;
        let Ok(begin) = end.checked_sub(SignedDuration::from_secs(seconds)) else {
            return sum;
        };
        let mut start = hour_of(begin);
        while start < end {
            match self.at(start).and_then(|hour| hour.rain) {
                Some(depth) => {
                    sum.depth += depth;
                    sum.hours_known += 1;
                }
                None => sum.hours_missing += 1,
            }
            let Ok(next) = start.checked_add(HOUR) else { break };
            start = next;
        }
        sum
    }

    /// How long it stays dry from a local time on, and when the next rain begins. An hour is wet
    /// when its rain is more than nothing, and unknown when it has no rain reading.
    pub fn next_rain_after(&self, time: DateTime) -> DryStretch {
        let from = hour_of(time);
        let first_rain = self
            .hours
            .iter()
            .filter(|hour| hour.start >= from)
            .find(|hour| hour.rain.is_some_and(Length::is_positive))
            .map(|hour| hour.start);
        let mut dry_until = time;
        let mut start = from;
        while self.at(start).and_then(|hour| hour.rain).is_some_and(|rain| !rain.is_positive()) {
            let Ok(next) = start.checked_add(HOUR) else { break };
            start = next;
            dry_until = start;
        }
        DryStretch { dry_until, first_rain }
    }
}

/// The start of the hour in which a time falls.
fn hour_of(time: DateTime) -> DateTime {
    time.date().at(time.hour(), 0, 0, 0)
}

fn check_step(before: DateTime, after: DateTime, problems: &mut Problems) {
    if before == after {
        problems.push(
            Problem::error("weather::hour-twice", format!("hour `{after}` has two readings"))
                .expected("one reading an hour")
                .mend("keep the newer forecast of that hour"),
        );
        return;
    }
    let missing = after.duration_since(before).as_hours() - 1;
    if missing > 0 {
        problems.push(
            Problem::warning("weather::gap", format!("`{missing}` hours are missing between `{before}` and `{after}`"))
                .expected("one reading an hour")
                .mend("add the hours; until then they count as unknown"),
        );
    }
}

fn check_reading(hour: &HourlyReading, problems: &mut Problems) {
    let start = hour.start;
    if start != hour_of(start) {
        problems.push(
            Problem::error("weather::whole-hour", format!("reading at `{start}` does not start on the hour"))
                .expected("minutes, seconds and fractions of zero"),
        );
    }
    for (what, code, temperature) in
        [("temperature", "weather::temperature", hour.temperature), ("dew point", "weather::dew-point", hour.dew_point)]
    {
        let Some(temperature) = temperature else { continue };
        let celsius = temperature.to(TemperatureUnit::Celsius);
        if !is_air_temperature(temperature) {
            problems.push(
                Problem::error(code, format!("{what} `{celsius:.1} °C` at `{start}`"))
                    .expected("-60 to 60 °C (-76 to 140 °F)")
                    .mend("check the scale, Celsius or Fahrenheit"),
            );
        }
    }
    check_dew_point(hour, problems);
    check_pressure_and_radiation(hour, problems);
    for (what, code, speed) in [("wind", "weather::wind", hour.wind_speed), ("gust", "weather::gust", hour.wind_gust)] {
        let Some(speed) = speed else { continue };
        let miles = speed.to(SpeedUnit::MilePerHour);
        if !is_wind_outdoors(speed) {
            problems.push(
                Problem::error(code, format!("{what} `{miles:.1} mph` at `{start}`"))
                    .expected("0 to 100 mph (45 m/s)")
                    .mend("check the unit; leave an unknown reading out"),
            );
        }
    }
    if let (Some(wind), Some(gust)) = (hour.wind_speed, hour.wind_gust)
        && gust < wind
    {
        let (wind, gust) = (wind.to(SpeedUnit::MilePerHour), gust.to(SpeedUnit::MilePerHour));
        problems.push(
            Problem::warning(
                "weather::gust-below-wind",
                format!("gust `{gust:.1} mph` below wind `{wind:.1} mph` at `{start}`"),
            )
            .expected("gusts at least as strong as the mean wind")
            .mend("check that the two are not exchanged; the stronger one is held against limits"),
        );
    }
    if let Some(rain) = hour.rain {
        let inches = rain.to(LengthUnit::Inch);
        if !(0.0..=8.0).contains(&inches) {
            problems.push(
                Problem::error("weather::rain", format!("rain `{inches:.2} in` in the hour from `{start}`"))
                    .expected("0 to 8 in (203 mm) in one hour")
                    .mend("check the unit; leave an unknown reading out"),
            );
        }
    }
}

fn check_dew_point(hour: &HourlyReading, problems: &mut Problems) {
    let (Some(temperature), Some(dew_point)) = (hour.temperature, hour.dew_point) else { return };
    let scale = TemperatureUnit::Celsius;
    let (air, dew) = (temperature.to(scale), dew_point.to(scale));
    // Both are rounded where they come from: in fog the dew point may stand a little higher.
    if dew > air + 1.0 {
        problems.push(
            Problem::error(
                "weather::dew-point",
                format!("dew point `{dew:.1} °C` above temperature `{air:.1} °C` at `{}`", hour.start),
            )
            .expected("a dew point no higher than the temperature of the air")
            .mend("check that the two are not exchanged and on one scale"),
        );
    }
}

fn check_pressure_and_radiation(hour: &HourlyReading, problems: &mut Problems) {
    let start = hour.start;
    if let Some(pressure) = hour.pressure.filter(|pressure| !is_air_pressure(*pressure)) {
        let hectopascals = pressure.to(PressureUnit::Hectopascal);
        problems.push(
            Problem::error("weather::pressure", format!("pressure `{hectopascals:.0} hPa` at `{start}`"))
                .expected("500 to 1100 hPa")
                .mend("check the unit; leave an unknown reading out"),
        );
    }
    if let Some(irradiance) = hour.irradiance.filter(|irradiance| !is_mean_irradiance(*irradiance)) {
        let watts = irradiance.to(IrradianceUnit::WattPerSquareMetre);
        problems.push(
            Problem::error("weather::irradiance", format!("radiation `{watts:.0} W/m²` at `{start}`"))
                .expected("0 to 1500 W/m²")
                .mend("check the unit; leave an unknown reading out"),
        );
    }
}

#[cfg(test)]
mod tests;
