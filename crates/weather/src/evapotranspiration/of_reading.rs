//! Reference evapotranspiration of a daily reading, by the best method that its figures allow.

use super::{DayConditions, Station, Sunlight, Vapour, WindReading, hargreaves_1985, penman_monteith_of_day};
use crate::daily::DailyReading;
use crate::site::Site;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit, RadiantExposure, Speed};

/// How the reference evapotranspiration of a day was reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReferenceMethod {
    /// FAO-56 Penman-Monteith, from extremes, mean humidity, wind and radiation.
    PenmanMonteith,
    /// Hargreaves and Samani 1985, from extremes alone.
    Hargreaves1985,
}

impl ReferenceMethod {
    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::PenmanMonteith => "penman-monteith",
            Self::Hargreaves1985 => "hargreaves-1985",
        }
    }
}

/// Where the readings of days come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingPlace {
    site: Site,
    height: Option<Length>,
    wind_height: Length,
}

impl ReadingPlace {
    /// A place, its height above the sea where it is known, and the height at which the wind is measured.
    ///
    /// # Errors
    /// All of these that are found: a height above the sea below -500 or above 9,000 m; wind measured below 0.5 or above 30 m.
    pub fn new(site: Site, height: Option<Length>, wind_height: Length) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if let Some(metres) = height.map(|height| height.to(LengthUnit::Metre))
            && !(-500.0..=9000.0).contains(&metres)
        {
            problems.push(
                Problem::error("weather::height", format!("`{metres:.0}` m above the sea"))
                    .expected("-500 to 9000 m (29,500 ft)")
                    .mend("check the unit of the height"),
            );
        }
        if let Err(faults) = WindReading::new(Speed::ZERO, wind_height) {
            problems.extend(faults);
        }
        problems.unless_errors(Self { site, height, wind_height }).map(|(place, _)| place)
    }

    /// The place.
    pub fn site(self) -> Site {
        self.site
    }

    /// Its height above the sea.
    pub fn height(self) -> Option<Length> {
        self.height
    }

    /// The height at which the wind is measured.
    pub fn wind_height(self) -> Length {
        self.wind_height
    }
}

/// Reference evapotranspiration of a reading: by Penman-Monteith where it has both extremes, mean humidity, wind and radiation
/// and the height of the place is known; by its extremes alone otherwise; `None` without both extremes.
///
/// Never below nothing: dew that settles over a whole day is left out.
pub fn reference_of_reading(place: ReadingPlace, day: &DailyReading) -> Option<(Length, ReferenceMethod)> {
    let extremes = day.extremes()?;
    let by_light = || {
        let station = Station { site: place.site, height: place.height? };
        let conditions = DayConditions {
            date: day.date,
            extremes,
            vapour: Vapour::MeanHumidity(day.relative_humidity?),
            wind: WindReading::new(day.wind_speed?, place.wind_height).ok()?,
            sunlight: Sunlight::Measured(day.radiation?),
            soil: RadiantExposure::ZERO,
        };
        penman_monteith_of_day(station, &conditions).ok()
    };
    Some(match by_light() {
        Some(found) => (found.depth.max(Length::ZERO), ReferenceMethod::PenmanMonteith),
        None => (hargreaves_1985(day.date, place.site, extremes), ReferenceMethod::Hargreaves1985),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fraction::RelativeHumidity;
    use quantity::{RadiantExposureUnit, SpeedUnit, Temperature, TemperatureUnit};

    fn celsius(degrees: f64) -> Option<Temperature> {
        Some(Temperature::new(degrees, TemperatureUnit::Celsius))
    }

    fn metres(value: f64) -> Length {
        Length::new(value, LengthUnit::Metre)
    }

    /// FAO-56, example 18 (Uccle, 6 July) with the mean of its two humidities, 73.5 %, in place of both: the vapour is then
    /// 1.468 kPa where the example has 1.409, and the depth 3.787 mm where it prints 3.9 (worked out apart with equations 6 to 39).
    #[test]
    fn a_reading_with_light_goes_by_penman_monteith_and_any_other_by_its_extremes() {
        let uccle = Site::new(50.8, 4.35).unwrap();
        let place = ReadingPlace::new(uccle, Some(metres(100.0)), metres(10.0)).unwrap();
        let mut day = DailyReading::unknown(jiff::civil::date(2026, 7, 6));
        assert_eq!(reference_of_reading(place, &day), None);
        day.highest = celsius(21.5);
        day.lowest = celsius(12.3);
        let alone = hargreaves_1985(day.date, uccle, day.extremes().unwrap());
        assert_eq!(reference_of_reading(place, &day), Some((alone, ReferenceMethod::Hargreaves1985)));
        day.relative_humidity = RelativeHumidity::from_percent(73.5).ok();
        day.wind_speed = Some(Speed::new(2.78, SpeedUnit::MetrePerSecond));
        day.radiation = Some(RadiantExposure::new(22.07, RadiantExposureUnit::MegajoulePerSquareMetre));
        let (depth, method) = reference_of_reading(place, &day).unwrap();
        assert_eq!(method, ReferenceMethod::PenmanMonteith);
        assert!((depth.to(LengthUnit::Millimetre) - 3.787_436).abs() < 1e-6, "{depth:?}");
        let nowhere = ReadingPlace::new(uccle, None, metres(10.0)).unwrap();
        assert_eq!(reference_of_reading(nowhere, &day), Some((alone, ReferenceMethod::Hargreaves1985)));
    }

    #[test]
    fn both_heights_are_checked() {
        let place = ReadingPlace::new(Site::new(0.0, 0.0).unwrap(), Some(metres(12_000.0)), metres(100.0));
        let codes: Vec<_> = place.unwrap_err().iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["weather::height", "weather::wind-height"]);
    }
}
