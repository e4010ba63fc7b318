//! Daily records of a station in the text form of the Global Historical Climatology Network (`.dly`).
//!
//! A line holds a month of one element: station in the columns 1 to 11, year 12 to 15, month 16 and 17, element 18 to 21,
//! then 31 days of eight columns each: five of the value, and flags of measurement, quality and source. Of the elements,
//! `TMAX` and `TMIN` (tenths of a degree Celsius), `PRCP` (tenths of a millimetre) and `AWND` (mean wind, tenths of a metre
//! per second) are read. -9999 is a day without a value, and never taken for one.
//!
//! # Source
//! National Centers for Environmental Information: README file for daily Global Historical Climatology Network
//! (GHCN-Daily), section III. Menne, M. J., et al. 2012: An overview of the Global Historical Climatology Network-Daily
//! database. Journal of Atmospheric and Oceanic Technology 29: 897-910.

use crate::toml_source::shown;
use crate::weather_place::Places;
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit, Speed, SpeedUnit, Temperature, TemperatureUnit};
use std::collections::BTreeMap;
use weather::{DailyReading, DailySeries};

/// Where the days of a line begin.
const HEAD: usize = 21;
/// Columns of a day.
const DAY: usize = 8;
const MISSING: i32 = -9999;

/// The record of a station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationRecord {
    /// Its identifier in the network, eleven characters.
    pub station: String,
    /// Its days.
    pub days: DailySeries,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Element {
    Highest,
    Lowest,
    Rain,
    Wind,
}

impl Element {
    fn from_code(code: &str) -> Option<Self> {
        match code {
            "TMAX" => Some(Self::Highest),
            "TMIN" => Some(Self::Lowest),
            "PRCP" => Some(Self::Rain),
            "AWND" => Some(Self::Wind),
            _ => None,
        }
    }

    const fn code(self) -> &'static str {
        match self {
            Self::Highest => "TMAX",
            Self::Lowest => "TMIN",
            Self::Rain => "PRCP",
            Self::Wind => "AWND",
        }
    }

    /// The code of what `weather` finds wrong with it.
    const fn problem(self) -> &'static str {
        match self {
            Self::Highest => "weather::temperature",
            Self::Lowest => "weather::extremes",
            Self::Rain => "weather::rain",
            Self::Wind => "weather::wind",
        }
    }
}

/// Reads the record of one station from a day on. `file` is the name that its user gave it and only serves messages.
///
/// Values that did not pass a check of the network (any flag of quality) count as missing, and a warning says how many
/// there are. Further warnings are those of [`DailySeries::new`].
///
/// # Errors
/// Everything wrong with the text, each with its line and column: a line too short, a station, year, month or value that
/// is none, a second station, a month of an element twice, a value on a day that the month does not have, a value out of
/// bounds; a record without any day from `since` on.
///
/// # Example
/// ```
/// let day = |value: &str| format!("{value:>5}   ");
/// let line = |element: &str, value: &str| {
///     format!("USC00000001202605{element}{}{}", day(value), day("-9999").repeat(30))
/// };
/// let text = format!("{}\n{}\n", line("TMAX", "217"), line("TMIN", " 94"));
/// let (record, _) = exchange::ghcn_daily::parse_record("station.dly", &text, None).unwrap();
/// assert_eq!(record.station, "USC00000001");
/// assert_eq!(record.days.days().len(), 1);
/// ```
pub fn parse_record(file: &str, text: &str, since: Option<Date>) -> Result<(StationRecord, Problems), Problems> {
    let mut reader = Reader { since, ..Reader::default() };
    for (index, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        reader.line(index + 1, line);
    }
    reader
        .finish()
        .map(|(record, problems)| (record, problems.in_file(file)))
        .map_err(|problems| problems.in_file(file))
}

#[derive(Default)]
struct Reader {
    since: Option<Date>,
    station: Option<(String, usize)>,
    months: BTreeMap<(i16, i8, Element), usize>,
    days: BTreeMap<Date, DailyReading>,
    places: Places,
    /// How many values of an element did not pass, and where the first stands.
    failed: BTreeMap<Element, (usize, usize, usize)>,
    problems: Problems,
}

impl Reader {
    fn line(&mut self, number: usize, line: &str) {
        if !line.is_ascii() || line.len() < HEAD + DAY {
            self.problems.push(
                Problem::error("ghcn::line", format!("the line has `{}` columns", line.chars().count()))
                    .expected("269 columns: a station, a year, a month, an element and 31 days")
                    .mend("look whether it is a `.dly` file, and whether it was cut")
                    .at_line(number, 1),
            );
            return;
        }
        self.station(number, &line[..11]);
        let (year, month) = (line[11..15].trim().parse::<i16>(), line[15..17].trim().parse::<i8>());
        let (Ok(year @ 1700..=9999), Ok(month @ 1..=12)) = (year, month) else {
            self.problems.push(
                Problem::error("ghcn::month", format!("`{}` is no year and month", shown(&line[11..17])))
                    .expected("a year of four digits and a month of two, such as `202605`")
                    .at_line(number, 12),
            );
            return;
        };
        let Some(element) = Element::from_code(&line[17..21]) else { return };
        if let Some(first) = self.months.insert((year, month, element), number) {
            self.problems.push(
                Problem::error(
                    "ghcn::month-twice",
                    format!("`{}` of `{year}-{month:02}` stands on line {first} already", element.code()),
                )
                .expected("a line for each month and element")
                .at_line(number, 18),
            );
            return;
        }
        for day in 1..=31_i8 {
            let at = HEAD + DAY * (usize::from(day.unsigned_abs()) - 1);
            // Editors take blanks from the ends of lines, and with them flags of the last day.
            let Some(value) = line.get(at..at + 5) else { break };
            let quality = line.as_bytes().get(at + 6).copied().unwrap_or(b' ');
            self.value(number, at + 1, (year, month, day), element, value, quality);
        }
    }

    fn station(&mut self, number: usize, station: &str) {
        match &self.station {
            None => self.station = Some((station.to_owned(), number)),
            Some((first, line)) if first != station => self.problems.push(
                Problem::error(
                    "ghcn::stations",
                    format!("station `{}` follows `{}` of line {line}", shown(station), shown(first)),
                )
                .expected("the record of one station")
                .mend("give each station a file of its own")
                .at_line(number, 1),
            ),
            Some(_) => {}
        }
    }

    fn value(&mut self, line: usize, column: usize, day: (i16, i8, i8), element: Element, text: &str, quality: u8) {
        let Ok(value) = text.trim().parse::<i32>() else {
            self.problems.push(
                Problem::error("ghcn::value", format!("`{}` is no value", shown(text.trim())))
                    .expected("a whole number in five columns, -9999 when there is none")
                    .at_line(line, column),
            );
            return;
        };
        if value == MISSING {
            return;
        }
        let (year, month, of_month) = day;
        let Ok(date) = Date::new(year, month, of_month) else {
            self.problems.push(
                Problem::error(
                    "ghcn::no-such-day",
                    format!("a value stands on day `{of_month}` of `{year}-{month:02}`"),
                )
                .expected("-9999 on days that a month does not have")
                .at_line(line, column),
            );
            return;
        };
        if self.since.is_some_and(|since| date < since) {
            return;
        }
        let reading = self.days.entry(date).or_insert(DailyReading::unknown(date));
        if quality != b' ' {
            self.failed.entry(element).or_insert((0, line, column)).0 += 1;
            return;
        }
        let tenths = f64::from(value) / 10.0;
        match element {
            Element::Highest => reading.highest = Some(Temperature::new(tenths, TemperatureUnit::Celsius)),
            Element::Lowest => reading.lowest = Some(Temperature::new(tenths, TemperatureUnit::Celsius)),
            Element::Rain => reading.rain = Some(Length::new(tenths, LengthUnit::Millimetre)),
            Element::Wind => reading.wind_speed = Some(Speed::new(tenths, SpeedUnit::MetrePerSecond)),
        }
        self.places.remember_figure(&date, element.problem(), line, column);
    }

    fn finish(mut self) -> Result<(StationRecord, Problems), Problems> {
        for (element, (count, line, column)) in &self.failed {
            self.problems.push(
                Problem::warning(
                    "ghcn::quality",
                    format!("`{count}` values of `{}` did not pass the checks of the network", element.code()),
                )
                .expected("values without a flag of quality")
                .mend("nothing: they count as missing")
                .at_line(*line, *column),
            );
        }
        let Some((station, _)) = self.station else {
            self.problems.push(
                Problem::error("ghcn::empty", "there is no line in the file")
                    .expected("lines of 269 columns, one for each month and element")
                    .at_line(1, 1),
            );
            return Err(self.problems);
        };
        if self.days.is_empty() {
            if !self.problems.has_errors() {
                let since = self.since.map_or_else(String::new, |since| format!(" from `{since}` on"));
                self.problems.push(
                    Problem::error(
                        "ghcn::no-days",
                        format!("there is no value of `TMAX`, `TMIN`, `PRCP` or `AWND`{since}"),
                    )
                    .expected("days with at least one of them")
                    .at_line(1, 1),
                );
            }
            return Err(self.problems);
        }
        let places = self.places;
        match DailySeries::new(self.days.into_values().collect()) {
            Ok((days, warnings)) => {
                self.problems.extend(warnings.into_iter().map(|warning| places.place(warning)));
                self.problems.unless_errors(StationRecord { station, days })
            }
            Err(errors) => {
                self.problems.extend(errors.into_iter().map(|error| places.place(error)));
                Err(self.problems)
            }
        }
    }
}

#[cfg(test)]
mod tests;
