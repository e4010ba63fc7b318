//! What the air does in an hour, beyond the limits that labels state: layers, dew, drying, bees, the dark.

use crate::sensitive::SensitiveSector;
use crate::verdict::{Origin, Status};
use crate::visit::{Hour, HourReason};
use jiff::civil::DateTime;
use jiff::tz::Offset;
use quantity::{
    Duration, DurationUnit, Length, Speed, SpeedUnit, Temperature, TemperatureDifference, TemperatureDifferenceUnit,
    TemperatureUnit,
};
use weather::drying::drying_time_penman_1948;
use weather::leaf_wetness::is_leaf_wet;
use weather::psychrometrics::{delta_t, standard_pressure};
use weather::stability::{InversionRisk, Light, Stability, stability_turner_1964};
use weather::{HourlyReading, Site, SunTimes};

/// What the air does in an hour. What cannot be told from the forecast is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirOfHour {
    /// Whether any part of the hour lies before the morning twilight or after that of the evening.
    pub is_dark: bool,
    /// How far the wet bulb stands below the air: by it drops shrink.
    pub delta_t: Option<TemperatureDifference>,
    /// How the air near the ground mixes.
    pub stability: Option<Stability>,
    /// Whether leaves are wet from rain or dew.
    pub is_leaf_wet: Option<bool>,
    /// How long what is sprayed takes to dry, in the shade; `None` also where it does not within a day.
    pub drying: Option<Duration>,
    /// Whether bees are likely to fly.
    pub do_bees_fly: Option<bool>,
}

/// What an hour's air is held against.
pub(super) struct Around<'a> {
    pub(super) place: Site,
    pub(super) offset: Offset,
    pub(super) is_sprayed: bool,
    /// Depth of the spray on the ground.
    pub(super) film: Option<Length>,
    /// Hives, and plants in bloom, near the treated ground.
    pub(super) bees_at: &'a [SensitiveSector],
}

/// The air in an hour.
pub(super) fn of(reading: &HourlyReading, sun: &SunTimes, around: &Around<'_>) -> AirOfHour {
    let end = later(reading.start, 1);
    let is_day = |before: i32, dawn: Option<DateTime>, dusk: Option<DateTime>| match (dawn, dusk) {
        (Some(dawn), Some(dusk)) => reading.start >= later(dawn, before) && end <= later(dusk, -before),
        // Where the sun neither rises nor sets on the date, its height tells.
        _ => sun_height(reading.start, around).is_some_and(|sun| sun.degrees() > 0.0),
    };
    // The sun half an hour into the hour stands for all of it.
    let light = if is_day(1, sun.rise, sun.set) {
        sun_height(reading.start, around).map_or(Light::Night, Light::Day)
    } else {
        Light::Night
    };
    let pressure = reading.pressure.unwrap_or_else(|| standard_pressure(Length::ZERO));
    let temperature_and_humidity = reading.temperature.zip(reading.relative_humidity);
    let is_light = is_day(0, sun.rise, sun.set);
    AirOfHour {
        is_dark: !is_day(0, sun.civil_dawn, sun.civil_dusk),
        delta_t: temperature_and_humidity.map(|(temperature, humidity)| delta_t(temperature, humidity, pressure)),
        stability: reading.wind_speed.map(|wind| stability_turner_1964(light, reading.cloud_cover, wind)),
        is_leaf_wet: is_leaf_wet(reading),
        drying: around.film.zip(temperature_and_humidity).zip(reading.wind_speed).and_then(
            |((film, (temperature, humidity)), wind)| drying_time_penman_1948(film, temperature, humidity, wind),
        ),
        do_bees_fly: do_bees_fly(reading, is_light),
    }
}

fn sun_height(start: DateTime, around: &Around<'_>) -> Option<weather::Elevation> {
    let middle = start.checked_add(jiff::Span::new().minutes(30)).ok()?;
    let instant = around.offset.to_timestamp(middle).ok()?;
    Some(weather::sun_position(instant, around.place).elevation)
}

/// Bees fly by day from this temperature on.
///
/// # Source
/// 55 °F for honey bees, and none to speak of in rain or in wind over 15 mph: common in extension publications on bees
/// and sprays; from memory.
fn bees_fly_from() -> Temperature {
    Temperature::new(55.0, TemperatureUnit::Fahrenheit)
}

fn bees_fly_up_to() -> Speed {
    Speed::new(15.0, SpeedUnit::MilePerHour)
}

fn do_bees_fly(reading: &HourlyReading, is_light: bool) -> Option<bool> {
    if !is_light
        || reading.rain.is_some_and(Length::is_positive)
        || reading.wind_speed.is_some_and(|wind| wind > bees_fly_up_to())
    {
        return Some(false);
    }
    reading.temperature.map(|air| air >= bees_fly_from())
}

/// Drops shrink fast above, and hang in the air long below.
///
/// # Source
/// Delta T of 2 to 8 °C is good for spraying, to 10 °C to be watched: guidance of the Australian Bureau of Meteorology,
/// as in North Dakota State University, Crop and Pest Report, 23 May 2019.
const DROPS_SHRINK_ABOVE: f64 = 10.0;
const DROPS_LAST_BELOW: f64 = 2.0;
/// What takes longer to dry than this asks for care. Common practice, no source.
const DRIES_SLOWLY_HOURS: f64 = 4.0;

/// Adds what the air asks care for to the reasons of an hour.
pub(super) fn add_cautions(air: &AirOfHour, around: &Around<'_>, hour: &mut Hour) {
    let has_inversion = hour.reasons.iter().any(|reason| reason.rule == "hour::inversion");
    let mut add = |rule: &'static str, text: &str, detail: String| {
        hour.reasons.push(HourReason {
            rule,
            status: Status::Caution,
            text: text.to_owned(),
            detail,
            clause: None,
            page: None,
            origin: Origin::Default,
        });
        hour.status = hour.status.max(Status::Caution);
    };
    if around.is_sprayed {
        if let Some(stability) = air.stability.filter(|_| !has_inversion) {
            let detail = format!("by sun, clouds and wind the air is of stability class {}", stability.letter());
            match stability.inversion_risk() {
                InversionRisk::Likely => add("hour::layered-air", "air likely in layers", detail),
                InversionRisk::Possible => add("hour::layered-air", "air perhaps in layers", detail),
                InversionRisk::Unlikely => {}
            }
        }
        if let Some(delta) = air.delta_t.map(|delta| delta.to(TemperatureDifferenceUnit::Celsius)) {
            if delta > DROPS_SHRINK_ABOVE {
                let detail = format!("the wet bulb stands {delta:.1} °C below the air, more than 10 °C");
                add("hour::drops-shrink", "drops shrink fast", detail);
            } else if delta < DROPS_LAST_BELOW {
                let detail = format!("the wet bulb stands {delta:.1} °C below the air, less than 2 °C");
                add("hour::drops-last", "drops hang long in the air", detail);
            }
        }
    }
    if air.is_leaf_wet == Some(true) {
        let detail = if around.is_sprayed {
            "spray is thinned and runs off wet leaves"
        } else {
            "what is spread sticks to wet leaves and does not reach the ground"
        };
        add("hour::leaves-wet", "leaves wet", detail.to_owned());
    }
    if around.film.is_some() && air.delta_t.is_some() {
        match air.drying.map(|time| time.to(DurationUnit::Hour)) {
            Some(hours) if hours <= DRIES_SLOWLY_HOURS => {}
            Some(hours) => {
                add("hour::dries-slowly", "dries slowly", format!("spray takes {hours:.0} h to dry in the shade"));
            }
            None => {
                add("hour::dries-slowly", "dries slowly", "spray does not dry in the shade within a day".to_owned());
            }
        }
    }
    if air.do_bees_fly == Some(true) && !around.bees_at.is_empty() {
        let names: Vec<&str> = around.bees_at.iter().map(|sector| sector.name.as_str()).collect();
        add("hour::bees-fly", "bees fly", format!("by day and in this warmth bees are at {}", names.join(", ")));
    }
    if air.is_dark {
        add("hour::dark", "dark", "what is treated, and who is on it, cannot be seen".to_owned());
    }
}

fn later(time: DateTime, hours: i32) -> DateTime {
    let limit = if hours < 0 { DateTime::MIN } else { DateTime::MAX };
    time.checked_add(jiff::Span::new().hours(hours)).unwrap_or(limit)
}
