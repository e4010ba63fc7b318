//! Radiation above the air, through a clear sky, on the ground, and back out from it.
//!
//! Equation numbers are those of FAO-56 (see the module above). Radiation is in MJ/m² over the day or hour, angles in
//! radians, heights in metres, vapour in kPa.

use crate::site::Site;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use std::f64::consts::PI;

/// Solar constant, MJ/m² a minute (equation 21).
const SOLAR_CONSTANT: f64 = 0.0820;
/// Stefan-Boltzmann constant, MJ/(K⁴ m² day) (equation 39).
const STEFAN_BOLTZMANN: f64 = 4.903e-9;
/// Share of the light that the reference grass sends back (equation 38).
const ALBEDO: f64 = 0.23;

/// How the sun stands to the Earth on a day of the year.
pub(super) struct SunOfDay {
    /// Inverse square of its distance over the mean one (equation 23).
    inverse_distance: f64,
    /// Its declination (equation 24).
    declination: f64,
    latitude: f64,
    /// Hour angle at which it sets (equation 25); nothing in polar night, half a turn in polar day.
    pub(super) sunset: f64,
}

impl SunOfDay {
    pub(super) fn new(date: Date, site: Site) -> Self {
        let turn = 2.0 * PI * f64::from(date.day_of_year()) / 365.0;
        let declination = 0.409 * (turn - 1.39).sin();
        let latitude = site.latitude().to_radians();
        Self {
            inverse_distance: 1.0 + 0.033 * turn.cos(),
            declination,
            latitude,
            sunset: (-latitude.tan() * declination.tan()).clamp(-1.0, 1.0).acos(),
        }
    }

    /// Above the air between two hour angles (equation 28).
    fn between(&self, from: f64, to: f64) -> f64 {
        let (sine, cosine) =
            (self.latitude.sin() * self.declination.sin(), self.latitude.cos() * self.declination.cos());
        let arc = (to - from) * sine + cosine * (to.sin() - from.sin());
        12.0 * 60.0 / PI * SOLAR_CONSTANT * self.inverse_distance * arc.max(0.0)
    }

    /// Above the air over the day (equation 21).
    pub(super) fn extraterrestrial(&self) -> f64 {
        self.between(-self.sunset, self.sunset)
    }

    /// Hours between rise and set (equation 34).
    pub(super) fn daylight_hours(&self) -> f64 {
        24.0 / PI * self.sunset
    }

    /// Above the air over the hour that begins at a local time (equations 28 to 33).
    pub(super) fn extraterrestrial_in_hour(&self, start: DateTime, offset: Offset, site: Site) -> f64 {
        let season = 2.0 * PI * (f64::from(start.day_of_year()) - 81.0) / 364.0;
        let correction = 0.1645 * (2.0 * season).sin() - 0.1255 * season.cos() - 0.025 * season.sin();
        let clock = f64::from(start.hour()) + f64::from(start.minute()) / 60.0 + 0.5;
        // Fifteen degrees of longitude are an hour; east is positive here, west in FAO-56.
        let meridian = f64::from(offset.seconds()) / 240.0;
        let solar = clock + (site.longitude() - meridian) / 15.0 + correction;
        let turn = (PI / 12.0 * (solar - 12.0) + PI).rem_euclid(2.0 * PI) - PI;
        let (from, to) = (turn - PI / 24.0, turn + PI / 24.0);
        // A sun that does not set needs no ends: the hour around midnight goes over them.
        let (from, to) = if self.sunset < PI {
            (from.clamp(-self.sunset, self.sunset), to.clamp(-self.sunset, self.sunset))
        } else {
            (from, to)
        };
        if to > from { self.between(from, to) } else { 0.0 }
    }
}

/// On the ground under a clear sky (equation 37).
pub(super) fn clear_sky(extraterrestrial: f64, height: f64) -> f64 {
    (0.75 + 2e-5 * height) * extraterrestrial
}

/// By the share of the day with sunshine (equation 35, coefficients where no better are known).
pub(super) fn by_sunshine(extraterrestrial: f64, share: f64) -> f64 {
    (0.25 + 0.50 * share) * extraterrestrial
}

/// Light that the reference grass keeps (equation 38).
pub(super) fn net_shortwave(solar: f64) -> f64 {
    (1.0 - ALBEDO) * solar
}

/// Heat that it sends out to the sky (equation 39), over a share of a day.
///
/// `temperatures` are those whose fourth powers are averaged, in degrees Celsius; `clearness` is the light on the ground
/// over that of a clear sky.
pub(super) fn net_longwave(temperatures: &[f64], vapour: f64, clearness: f64, days: f64) -> f64 {
    let powers = temperatures.iter().map(|celsius| (celsius + 273.16).powi(4)).sum::<f64>() / temperatures.len() as f64;
    let clouds = 1.35 * clearness.min(1.0) - 0.35;
    STEFAN_BOLTZMANN * days * powers * (0.34 - 0.14 * vapour.max(0.0).sqrt()) * clouds
}
