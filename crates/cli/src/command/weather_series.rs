//! A series of weather as arguments name it.

use crate::reading::read_text;
use clap::{Args, ValueEnum};
use exchange::station_series::{SeriesOptions, WeatherSeries, parse_series};
use exchange::weather_csv::{DateOrder, HeaderMap};
use jiff::civil::Date;
use jiff::tz::Offset;
use problem::{Problem, Problems};
use std::path::Path;

/// How tables of weather are read.
#[derive(Debug, Clone, Args)]
pub(crate) struct SeriesArgs {
    /// Which columns of a table are which, such as `Hi=highest_f,Lo=lowest_f` (names in docs/weather.md)
    #[arg(long, value_name = "OWN=KNOWN,...", help_heading = "Tables")]
    columns: Vec<String>,
    /// The order in which a table writes dates
    #[arg(long, value_enum, default_value_t = DatesWord::Ymd, help_heading = "Tables")]
    dates: DatesWord,
    /// How far the hours of a table are from universal time where it does not say, such as `-06:00`
    #[arg(long, value_name = "HOURS", allow_hyphen_values = true, value_parser = offset, help_heading = "Tables")]
    offset: Option<Offset>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum DatesWord {
    /// Year, month, day
    Ymd,
    /// Month, day, year
    Mdy,
    /// Day, month, year
    Dmy,
}

fn offset(text: &str) -> Result<Offset, String> {
    let wrong = || "not a distance from universal time; expected hours and minutes, such as `-06:00`".to_owned();
    let (sign, rest) = match text.split_at_checked(1) {
        Some(("-", rest)) => (-1, rest),
        Some(("+", rest)) => (1, rest),
        _ => (1, text),
    };
    let (hours, minutes) = rest.split_once(':').unwrap_or((rest, "0"));
    let number = |part: &str| part.parse::<i32>().ok().filter(|_| part.bytes().all(|byte| byte.is_ascii_digit()));
    let (hours, minutes) = number(hours).zip(number(minutes)).ok_or_else(wrong)?;
    if minutes > 59 {
        return Err(wrong());
    }
    Offset::from_seconds(sign * (hours * 3600 + minutes * 60)).map_err(|_| wrong())
}

impl SeriesArgs {
    /// How to read tables.
    ///
    /// # Errors
    /// Everything wrong with the names of the columns.
    pub(crate) fn map(&self) -> Result<HeaderMap, Problems> {
        let mut problems = Problems::new();
        let mut names = Vec::new();
        for pair in self.columns.iter().flat_map(|columns| columns.split(',')) {
            match pair.split_once('=') {
                Some((own, known)) => names.push((own.trim().to_owned(), known.trim().to_owned())),
                None => problems.push(
                    Problem::error("weather-table::columns", format!("`{}` names no column", pair.trim()))
                        .expected("the name in the table and the name known here, such as `Hi=highest_f`"),
                ),
            }
        }
        let map = HeaderMap::new(names).map_err(|found| problems.extend(found)).ok();
        let dates = match self.dates {
            DatesWord::Ymd => DateOrder::YearMonthDay,
            DatesWord::Mdy => DateOrder::MonthDayYear,
            DatesWord::Dmy => DateOrder::DayMonthYear,
        };
        match map {
            Some(map) if !problems.has_errors() => {
                let map = map.with_dates(dates);
                Ok(match self.offset {
                    Some(offset) => map.with_offset(offset),
                    None => map,
                })
            }
            _ => Err(problems.into_iter().map(|problem| problem.at("--columns")).collect()),
        }
    }
}

/// Reads a series of weather.
///
/// # Errors
/// Everything wrong with the file.
pub(crate) fn read_series(
    file: &Path,
    map: HeaderMap,
    typical_year: Option<i16>,
    since: Option<Date>,
) -> Result<(WeatherSeries, Problems), Problems> {
    let text = read_text(file, "weather by the hour or the day, in a form of docs/weather.md")?;
    parse_series(&file.display().to_string(), &text, &SeriesOptions { map, typical_year, since })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_hours_and_minutes() {
        assert_eq!(offset("-06:00").unwrap().seconds(), -21_600);
        assert_eq!(offset("+5:30").unwrap().seconds(), 19_800);
        assert_eq!(offset("0").unwrap().seconds(), 0);
        for wrong in ["", "-", "six", "-6:70", "99", "--6"] {
            assert!(offset(wrong).is_err(), "{wrong}");
        }
    }
}
