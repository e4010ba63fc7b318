//! Reference evapotranspiration: the water that a wide, well-watered stand of short grass gives to the air.
//!
//! By the Penman-Monteith equation where the readings allow it ([`penman_monteith_of_day`],
//! [`penman_monteith_of_hour`]), by the extremes of temperature alone otherwise ([`hargreaves_1985`]).
//!
//! # Source
//! Allen, R. G., L. S. Pereira, D. Raes and M. Smith 1998: Crop evapotranspiration: guidelines for computing crop water
//! requirements. FAO Irrigation and Drainage Paper 56, Rome. Equation numbers are theirs.

mod conditions;
mod of_reading;
mod radiation;

pub use conditions::{DayConditions, HourConditions, NightSky, Station, Sunlight, Vapour, WindReading};
pub use of_reading::{ReadingPlace, ReferenceMethod, reference_of_reading};

use crate::degree_days::Extremes;
use crate::psychrometrics::saturation_allen_1998;
use crate::site::Site;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{
    Duration, DurationUnit, Length, LengthUnit, Pressure, PressureUnit, RadiantExposure, RadiantExposureUnit, Speed,
    SpeedUnit, Temperature, TemperatureUnit,
};
use radiation::{SunOfDay, by_sunshine, clear_sky, net_longwave, net_shortwave};

/// Millimetres of water that a MJ/m² evaporates (equation 20).
const MILLIMETRES_PER_MEGAJOULE: f64 = 0.408;

/// A depth of water, with the figures that it was reckoned from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evapotranspiration {
    /// Depth over the day or hour. Below nothing where dew settles.
    pub depth: Length,
    /// How it came about.
    pub working: Working,
}

/// The figures between the readings and the depth, over the same day or hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Working {
    /// Psychrometric constant, for each degree Celsius (equation 8).
    pub psychrometric: Pressure,
    /// Slope of the saturation vapour pressure, for each degree Celsius (equation 13).
    pub slope: Pressure,
    /// Vapour that the air could hold (equation 12).
    pub saturation: Pressure,
    /// Vapour that it holds.
    pub vapour: Pressure,
    /// Wind two metres above the ground (equation 47).
    pub wind: Speed,
    /// Radiation above the air.
    pub extraterrestrial: RadiantExposure,
    /// Radiation under a clear sky.
    pub clear_sky: RadiantExposure,
    /// Radiation on the ground.
    pub solar: RadiantExposure,
    /// Heat sent out to the sky.
    pub net_longwave: RadiantExposure,
    /// What remains to the grass.
    pub net: RadiantExposure,
    /// Of which the soil takes up.
    pub soil: RadiantExposure,
}

/// Evapotranspiration of a day.
///
/// Where the sun does not rise, the sky counts as overcast.
///
/// # Errors
/// `weather::sunshine` when there was more sunshine than daylight.
///
/// # Source
/// FAO-56, equation 6, example 18.
pub fn penman_monteith_of_day(station: Station, day: &DayConditions) -> Result<Evapotranspiration, Problems> {
    let air = Air::at(station);
    air.of_day(day, &Light::of_day(day.date, station.site))
}

/// Evapotranspiration of many days at one station, as [`penman_monteith_of_day`] reckons it, in their order. What is the
/// same on a day of every year is reckoned once.
///
/// # Errors
/// `weather::sunshine` for each day with more sunshine than daylight.
pub fn penman_monteith_of_days<'d>(
    station: Station,
    days: impl IntoIterator<Item = &'d DayConditions>,
) -> Result<Vec<Evapotranspiration>, Problems> {
    let air = Air::at(station);
    let mut lights: Vec<Option<Light>> = vec![None; 367];
    let mut problems = Problems::new();
    let days = days.into_iter();
    let mut found = Vec::with_capacity(days.size_hint().0);
    for day in days {
        let of_year = usize::from(day.date.day_of_year().unsigned_abs());
        let light = lights[of_year].get_or_insert_with(|| Light::of_day(day.date, station.site));
        match air.of_day(day, light) {
            Ok(depth) => found.push(depth),
            Err(faults) => problems.extend(faults),
        }
    }
    problems.unless_errors(found).map(|(found, _)| found)
}

/// What a day of the year has of the sun at a place.
#[derive(Debug, Clone, Copy)]
struct Light {
    extraterrestrial: f64,
    daylight_hours: f64,
}

impl Light {
    fn of_day(date: Date, site: Site) -> Self {
        let sun = SunOfDay::new(date, site);
        Self { extraterrestrial: sun.extraterrestrial(), daylight_hours: sun.daylight_hours() }
    }
}

/// What the height of a station makes of its air.
struct Air {
    height: f64,
    psychrometric: f64,
}

impl Air {
    fn at(station: Station) -> Self {
        let height = station.height.to(LengthUnit::Metre);
        Self { height, psychrometric: psychrometric_constant(height) }
    }

    fn of_day(&self, day: &DayConditions, light: &Light) -> Result<Evapotranspiration, Problems> {
        let (lowest, highest) = (celsius(day.extremes.lowest()), celsius(day.extremes.highest()));
        let mean = f64::midpoint(lowest, highest);
        let extraterrestrial = light.extraterrestrial;
        let clear = clear_sky(extraterrestrial, self.height);
        let solar = match day.sunlight {
            Sunlight::Measured(solar) => megajoules(solar),
            Sunlight::Sunshine(time) => {
                by_sunshine(extraterrestrial, share_of_daylight(time, light.daylight_hours, day.date)?)
            }
            Sunlight::FromInland | Sunlight::FromCoast => {
                // Equation 50, never above a clear sky.
                let factor = if day.sunlight == Sunlight::FromCoast { 0.19 } else { 0.16 };
                (factor * (highest - lowest).sqrt() * extraterrestrial).min(clear)
            }
        };
        let full = |temperature| kilopascals(saturation_allen_1998(temperature));
        let saturation = f64::midpoint(full(day.extremes.lowest()), full(day.extremes.highest()));
        let vapour = day.vapour.kilopascals(day.extremes, saturation, self.height);
        let longwave = net_longwave(&[highest, lowest], vapour, clearness(solar, clear), 1.0);
        let balance = Balance {
            psychrometric: self.psychrometric,
            slope: slope(mean),
            saturation,
            vapour,
            wind: day.wind.at_two_metres(),
            extraterrestrial,
            clear,
            solar,
            longwave,
            net: net_shortwave(solar) - longwave,
            soil: megajoules(day.soil),
        };
        Ok(balance.depth(900.0, mean))
    }
}

/// Evapotranspiration of an hour.
///
/// The soil takes up a tenth of what remains to the grass by day and half of it by night (equations 45 and 46). By
/// night nothing tells how cloudy it is: the sky of two to three hours before sunset stands for it (page 75).
///
/// # Source
/// FAO-56, equation 53, example 19.
pub fn penman_monteith_of_hour(station: Station, hour: &HourConditions) -> Evapotranspiration {
    let sun = SunOfDay::new(hour.start.date(), station.site);
    let air = celsius(hour.temperature);
    let height = station.height.to(LengthUnit::Metre);
    let extraterrestrial = sun.extraterrestrial_in_hour(hour.start, hour.offset, station.site);
    let clear = clear_sky(extraterrestrial, height);
    let solar = megajoules(hour.solar);
    let saturation = kilopascals(saturation_allen_1998(hour.temperature));
    let vapour = saturation * hour.relative_humidity.fraction();
    let is_day = extraterrestrial > 0.0;
    let clearness = if is_day { clearness(solar, clear) } else { hour.night_sky.clearness() };
    let longwave = net_longwave(&[air], vapour, clearness, 1.0 / 24.0);
    let net = net_shortwave(solar) - longwave;
    let balance = Balance {
        psychrometric: psychrometric_constant(height),
        slope: slope(air),
        saturation,
        vapour,
        wind: hour.wind.at_two_metres(),
        extraterrestrial,
        clear,
        solar,
        longwave,
        net,
        soil: if is_day { 0.1 * net } else { 0.5 * net },
    };
    balance.depth(37.0, air)
}

/// Evapotranspiration of a day by its extremes of temperature alone.
///
/// # Source
/// Hargreaves, G. H., and Z. A. Samani 1985: Reference crop evapotranspiration from temperature. Applied Engineering in
/// Agriculture 1: 96-99; FAO-56, equation 52, example 20.
///
/// # Example
/// ```
/// use quantity::{LengthUnit, Temperature, TemperatureUnit::Celsius};
/// use weather::{Site, degree_days::Extremes, evapotranspiration::hargreaves_1985};
/// let day = Extremes::new(Temperature::new(14.8, Celsius), Temperature::new(26.6, Celsius)).unwrap();
/// let depth = hargreaves_1985(jiff::civil::date(2026, 7, 15), Site::new(45.72, 4.8).unwrap(), day);
/// assert!((depth.to(LengthUnit::Millimetre) - 5.0).abs() < 0.05);
/// ```
pub fn hargreaves_1985(date: Date, site: Site, extremes: Extremes) -> Length {
    let (lowest, highest) = (celsius(extremes.lowest()), celsius(extremes.highest()));
    let extraterrestrial = MILLIMETRES_PER_MEGAJOULE * SunOfDay::new(date, site).extraterrestrial();
    let mean = f64::midpoint(lowest, highest);
    let millimetres = 0.0023 * (mean + 17.8) * (highest - lowest).sqrt() * extraterrestrial;
    // Below -17.8 °C the fit would give back water.
    Length::new(millimetres.max(0.0), LengthUnit::Millimetre)
}

/// Radiation above the air over a day (equation 21).
pub fn extraterrestrial_radiation(date: Date, site: Site) -> RadiantExposure {
    exposure(SunOfDay::new(date, site).extraterrestrial())
}

/// Radiation above the air over the hour that begins at a local time (equation 28).
pub fn extraterrestrial_radiation_of_hour(start: DateTime, offset: Offset, site: Site) -> RadiantExposure {
    exposure(SunOfDay::new(start.date(), site).extraterrestrial_in_hour(start, offset, site))
}

/// Time between rise and set, without refraction (equation 34).
pub fn daylight(date: Date, site: Site) -> Duration {
    Duration::new(SunOfDay::new(date, site).daylight_hours(), DurationUnit::Hour)
}

/// Heat that the soil takes up on the mean day of a month, by the mean temperatures of the months before and after
/// (equation 43). Over a day it comes out even.
pub fn soil_heat_of_month(before: Temperature, after: Temperature) -> RadiantExposure {
    exposure(0.07 * (celsius(after) - celsius(before)))
}

/// What the equation is put together from; kPa, MJ/m², metres per second.
struct Balance {
    psychrometric: f64,
    slope: f64,
    saturation: f64,
    vapour: f64,
    wind: f64,
    extraterrestrial: f64,
    clear: f64,
    solar: f64,
    longwave: f64,
    net: f64,
    soil: f64,
}

impl Balance {
    /// Equation 6 with 900, equation 53 with 37.
    fn depth(&self, coefficient: f64, air: f64) -> Evapotranspiration {
        let by_light = MILLIMETRES_PER_MEGAJOULE * self.slope * (self.net - self.soil);
        let by_wind = self.psychrometric * coefficient / (air + 273.0) * self.wind * (self.saturation - self.vapour);
        let millimetres = (by_light + by_wind) / (self.slope + self.psychrometric * (1.0 + 0.34 * self.wind));
        let pressure = |kilopascals| Pressure::new(kilopascals, PressureUnit::Kilopascal);
        Evapotranspiration {
            depth: Length::new(millimetres, LengthUnit::Millimetre),
            working: Working {
                psychrometric: pressure(self.psychrometric),
                slope: pressure(self.slope),
                saturation: pressure(self.saturation),
                vapour: pressure(self.vapour),
                wind: Speed::new(self.wind, SpeedUnit::MetrePerSecond),
                extraterrestrial: exposure(self.extraterrestrial),
                clear_sky: exposure(self.clear),
                solar: exposure(self.solar),
                net_longwave: exposure(self.longwave),
                net: exposure(self.net),
                soil: exposure(self.soil),
            },
        }
    }
}

/// Light on the ground over that of a clear sky.
fn clearness(solar: f64, clear: f64) -> f64 {
    // Of a sky that the sun does not light nothing is known: the least that ASCE-EWRI 2005 allows stands for it.
    if clear > 0.0 { (solar / clear).min(1.0) } else { 0.3 }
}

fn share_of_daylight(time: Duration, daylight: f64, date: Date) -> Result<f64, Problems> {
    let hours = time.to(DurationUnit::Hour);
    // Instruments and almanacs differ by some minutes.
    if !(0.0..=daylight + 0.5).contains(&hours) {
        return Err(Problem::error("weather::sunshine", format!("`{hours:.1}` hours of sunshine on `{date}`"))
            .expected(format!("0 to the `{daylight:.1}` hours of that day there"))
            .mend("check the place, and whether hours were written as minutes")
            .into());
    }
    Ok(if daylight > 0.0 { (hours / daylight).min(1.0) } else { 0.0 })
}

/// kPa (equation 7).
fn pressure_of(height: f64) -> f64 {
    101.3 * ((293.0 - 0.0065 * height) / 293.0).max(0.0).powf(5.26)
}

/// kPa for each degree (equation 8).
fn psychrometric_constant(height: f64) -> f64 {
    0.665e-3 * pressure_of(height)
}

/// kPa for each degree (equation 13).
fn slope(air: f64) -> f64 {
    4098.0 * kilopascals(saturation_allen_1998(Temperature::new(air, TemperatureUnit::Celsius))) / (air + 237.3).powi(2)
}

fn celsius(temperature: Temperature) -> f64 {
    temperature.to(TemperatureUnit::Celsius)
}

fn kilopascals(pressure: Pressure) -> f64 {
    pressure.to(PressureUnit::Kilopascal)
}

fn megajoules(exposure: RadiantExposure) -> f64 {
    exposure.to(RadiantExposureUnit::MegajoulePerSquareMetre)
}

fn exposure(megajoules: f64) -> RadiantExposure {
    RadiantExposure::new(megajoules, RadiantExposureUnit::MegajoulePerSquareMetre)
}

#[cfg(test)]
mod tests;
