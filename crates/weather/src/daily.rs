//! Daily readings: extremes, rain, and what evapotranspiration asks for.

use jiff::Span;
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit, RadiantExposure, Speed, SpeedUnit, Temperature, TemperatureUnit};

use crate::degree_days::Extremes;
use crate::fraction::RelativeHumidity;
use crate::plausible::{is_air_temperature, is_rain_of_a_day, is_wind_outdoors};

mod from_hours;
mod joined;

/// What is known of one day. Whatever is `None` is unknown, not zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DailyReading {
    /// The day, by local time.
    pub date: Date,
    /// Highest temperature.
    pub highest: Option<Temperature>,
    /// Lowest temperature.
    pub lowest: Option<Temperature>,
    /// Depth of rain, of snow as water.
    pub rain: Option<Length>,
    /// Mean relative humidity.
    pub relative_humidity: Option<RelativeHumidity>,
    /// Mean wind speed, at the height at which the station measures it.
    pub wind_speed: Option<Speed>,
    /// Radiation of sun and sky on level ground.
    pub radiation: Option<RadiantExposure>,
}

impl DailyReading {
    /// A day of which nothing is known yet.
    pub const fn unknown(date: Date) -> Self {
        Self {
            date,
            highest: None,
            lowest: None,
            rain: None,
            relative_humidity: None,
            wind_speed: None,
            radiation: None,
        }
    }

    /// Both extremes; `None` when either is unknown.
    pub fn extremes(&self) -> Option<Extremes> {
        Extremes::new(self.lowest?, self.highest?).ok()
    }
}

/// Days in a row without both extremes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayGap {
    /// The first of them.
    pub first: Date,
    /// The last of them.
    pub last: Date,
    /// How many.
    pub days: i32,
}

/// Daily readings in order.
#[derive(Debug, Clone, PartialEq)]
pub struct DailySeries {
    days: Vec<DailyReading>,
}

impl DailySeries {
    /// A series from readings in any order.
    ///
    /// With the series come warnings: readings out of order, days that are missing or lack an extreme, a sensor that
    /// seems to be stuck (five days and more with the same two extremes).
    ///
    /// # Errors
    /// All of these that are found, with the day of each:
    /// - no reading at all;
    /// - two readings for one day;
    /// - a temperature below -60 or above 60 °C, the lowest above the highest, more than 1825 mm of rain or less than
    ///   none, wind below 0 or above 100 mph, radiation below nothing or above 45 MJ/m².
    pub fn new(mut days: Vec<DailyReading>) -> Result<(Self, Problems), Problems> {
        let mut problems = Problems::new();
        if days.is_empty() {
            problems.push(
                Problem::error("weather::no-days", "no daily reading")
                    .expected("one reading a day over the time in question"),
            );
        }
        if let Some(pair) = days.windows(2).find(|pair| pair[1].date < pair[0].date) {
            problems.push(
                Problem::warning("weather::order", format!("day `{}` stands after `{}`", pair[1].date, pair[0].date))
                    .expected("days in the order of time")
                    .mend("nothing: they are put in order here"),
            );
        }
        for day in &days {
            check_reading(day, &mut problems);
        }
        days.sort_by_key(|day| day.date);
        for pair in days.windows(2).filter(|pair| pair[0].date == pair[1].date) {
            problems.push(
                Problem::error("weather::day-twice", format!("day `{}` has two readings", pair[1].date))
                    .expected("one reading a day")
                    .mend("keep the one that the station has checked"),
            );
        }
        let series = Self { days };
        // A day twice would make every later step look like a gap.
        if !problems.has_errors() {
            series.tell_gaps(&mut problems);
            series.tell_stuck(&mut problems);
        }
        problems.unless_errors(series)
    }

    /// The readings in the order of time.
    pub fn days(&self) -> &[DailyReading] {
        &self.days
    }

    /// The reading of a day.
    pub fn at(&self, date: Date) -> Option<&DailyReading> {
        self.days.binary_search_by_key(&date, |day| day.date).ok().map(|at| &self.days[at])
    }

    /// The first day and the last one.
    pub fn span(&self) -> Option<(Date, Date)> {
        Some((self.days.first()?.date, self.days.last()?.date))
    }

    /// Where days between the first and the last are missing, or lack an extreme.
    pub fn gaps(&self) -> Vec<DayGap> {
        let mut gaps: Vec<DayGap> = Vec::new();
        let mut expected = self.days.first().map(|day| day.date);
        for day in &self.days {
            if let Some(first) = expected.filter(|first| *first < day.date)
                && let Ok(last) = day.date.yesterday()
            {
                widen(&mut gaps, first, last);
            }
            if day.extremes().is_none() {
                widen(&mut gaps, day.date, day.date);
            }
            expected = day.date.tomorrow().ok();
        }
        gaps
    }

    fn tell_gaps(&self, problems: &mut Problems) {
        for gap in self.gaps() {
            let found = if gap.days == 1 {
                format!("highest and lowest of `{}` are not both known", gap.first)
            } else {
                format!(
                    "highest and lowest are not both known on `{}` days from `{}` to `{}`",
                    gap.days, gap.first, gap.last
                )
            };
            problems.push(
                Problem::warning("weather::day-gap", found)
                    .expected("both extremes of each day")
                    .mend("add them; sums of heat fill up to two days in a row and go over no longer gap"),
            );
        }
    }

    fn tell_stuck(&self, problems: &mut Problems) {
        let same = |a: &DailyReading, b: &DailyReading| a.extremes().is_some() && a.extremes() == b.extremes();
        for run in self.days.chunk_by(same).filter(|run| run.len() >= 5) {
            let (first, last) = (run[0].date, run[run.len() - 1].date);
            problems.push(
                Problem::warning(
                    "weather::stuck",
                    format!("the same two extremes on `{}` days from `{first}` to `{last}`", run.len()),
                )
                .expected("extremes that differ from day to day")
                .mend("look whether the sensor was stuck; leave its readings out if it was"),
            );
        }
    }
}

/// Adds days to the last gap when they follow it at once.
fn widen(gaps: &mut Vec<DayGap>, first: Date, last: Date) {
    let days = |from: Date, to: Date| from.until(to).map_or(0, |span: Span| span.get_days()) + 1;
    match gaps.last_mut() {
        Some(gap) if gap.last.tomorrow().is_ok_and(|next| next == first) => {
            gap.last = last;
            gap.days = days(gap.first, last);
        }
        _ => gaps.push(DayGap { first, last, days: days(first, last) }),
    }
}

fn check_reading(day: &DailyReading, problems: &mut Problems) {
    let date = day.date;
    for (what, temperature) in [("highest", day.highest), ("lowest", day.lowest)] {
        if let Some(temperature) = temperature.filter(|temperature| !is_air_temperature(*temperature)) {
            let celsius = temperature.to(TemperatureUnit::Celsius);
            problems.push(
                Problem::error("weather::temperature", format!("{what} temperature `{celsius:.1} °C` on `{date}`"))
                    .expected("-60 to 60 °C (-76 to 140 °F)")
                    .mend("check the scale, Celsius or Fahrenheit; leave an unknown reading out"),
            );
        }
    }
    if let (Some(lowest), Some(highest)) = (day.lowest, day.highest)
        && let Err(exchanged) = Extremes::new(lowest, highest)
    {
        problems.extend(
            exchanged.into_iter().map(|problem| Problem { found: format!("{} on `{date}`", problem.found), ..problem }),
        );
    }
    if let Some(rain) = day.rain.filter(|rain| !is_rain_of_a_day(*rain)) {
        let millimetres = rain.to(LengthUnit::Millimetre);
        problems.push(
            Problem::error("weather::rain", format!("rain `{millimetres:.1} mm` on `{date}`"))
                .expected("0 to 1825 mm (72 in) in one day")
                .mend("check the unit; leave an unknown reading out"),
        );
    }
    if let Some(wind) = day.wind_speed.filter(|wind| !is_wind_outdoors(*wind)) {
        let miles = wind.to(SpeedUnit::MilePerHour);
        problems.push(
            Problem::error("weather::wind", format!("mean wind `{miles:.1} mph` on `{date}`"))
                .expected("0 to 100 mph (45 m/s)")
                .mend("check the unit; leave an unknown reading out"),
        );
    }
    // Above the air no place gets more than 45 MJ/m² in a day (FAO-56, Annex 2, Table 2.6).
    let most = RadiantExposure::new(45.0, quantity::RadiantExposureUnit::MegajoulePerSquareMetre);
    if let Some(radiation) = day.radiation.filter(|radiation| *radiation < RadiantExposure::ZERO || *radiation > most) {
        let shown = radiation.show(quantity::RadiantExposureUnit::MegajoulePerSquareMetre);
        problems.push(
            Problem::error("weather::radiation", format!("radiation `{shown}` on `{date}`"))
                .expected("0 to 45 MJ/m² in one day")
                .mend("check the unit; leave an unknown reading out"),
        );
    }
}

#[cfg(test)]
mod tests;
