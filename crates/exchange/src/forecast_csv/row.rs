//! One hour of a forecast, from the cells of a row or the fields of a table.

use super::column::Column;
use crate::toml_source::shown;
use jiff::civil::DateTime;
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::Offset;
use problem::{Problem, Problems, Severity};
use quantity::{Bearing, Length, Speed, Temperature};
use std::borrow::Cow;
use weather::{Chance, HourlyReading, HourlySeries, RelativeHumidity};

/// Where a cell or a row stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Spot {
    /// In a table of comma-separated values.
    Cell { line: usize, column: usize },
    /// In a field of a TOML text, such as `forecast[3].wind_mph`.
    Field(String),
}

impl Spot {
    fn place(&self, problem: Problem) -> Problem {
        match self {
            Self::Cell { line, column } => problem.at_line(*line, *column),
            Self::Field(path) => problem.at(path.clone()),
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Cell { line, .. } => format!("on line {line}"),
            Self::Field(path) => format!("in `{path}`"),
        }
    }
}

/// What stands in a cell, and where.
#[derive(Debug, Clone)]
pub(crate) struct Written<'t> {
    pub(crate) text: Cow<'t, str>,
    pub(crate) spot: Spot,
}

impl Written<'_> {
    fn problem(&self, column: Column, problem: Problem) -> Problem {
        let problem = self.spot.place(problem);
        problem.at(column.name())
    }
}

/// Reads rows, and holds them against each other.
#[derive(Default)]
pub(crate) struct RowReader {
    offset: Option<(Offset, String, Spot)>,
    hours: Vec<HourlyReading>,
    places: Vec<Spot>,
    /// What single rows were warned of.
    told: Vec<String>,
    rows: usize,
}

impl RowReader {
    /// Reads one row that begins at `at`.
    pub(crate) fn read(&mut self, cells: &[(Column, Written<'_>)], at: &Spot, problems: &mut Problems) {
        self.rows += 1;
        let start = cells.iter().find(|(column, _)| *column == Column::Start).map(|(_, written)| written);
        let start = match start {
            Some(written) if !written.text.is_empty() => self.start(written, problems),
            _ => {
                let written = Written { text: Cow::Borrowed(""), spot: at.clone() };
                problems.push(written.problem(
                    Column::Start,
                    Problem::error("forecast::no-hour", "the row does not say which hour it is").expected(START),
                ));
                None
            }
        };
        // A row whose hour cannot be read is read on for what else is wrong with it.
        let mut reading = HourlyReading::unknown(start.unwrap_or(DateTime::constant(2000, 1, 1, 0, 0, 0, 0)));
        for (column, written) in cells {
            if *column != Column::Start && !written.text.is_empty() {
                fill(&mut reading, *column, written, problems);
            }
        }
        // The line says which hour it is.
        let (of_hour, in_hour) = (format!(" at `{}`", reading.start), format!(" in the hour from `{}`", reading.start));
        let mut tell = |problem: Problem| {
            let found = problem.found.replace(&of_hour, "").replace(&in_hour, " in one hour");
            let of = column_of(problem.code);
            let place = cells.iter().find(|(column, _)| of.is_some_and(|of| column.is_same_quantity(of)));
            let problem = Problem { found, ..problem };
            problems.push(match place {
                Some((column, written)) => {
                    // The check speaks in units of its own.
                    let found = format!("{}, written as `{}`", problem.found, shown(&written.text));
                    written.problem(*column, Problem { found, ..problem })
                }
                None => at.place(problem),
            });
        };
        match HourlySeries::new(Offset::UTC, vec![reading]) {
            Ok((_, warnings)) => {
                for warning in warnings {
                    self.told.push(warning.found.clone());
                    tell(warning);
                }
            }
            Err(bounds) => {
                bounds.into_iter().filter(|problem| problem.severity == Severity::Error).for_each(tell);
                return;
            }
        }
        if start.is_some() {
            self.hours.push(reading);
            self.places.push(at.clone());
        }
    }

    fn start(&mut self, written: &Written<'_>, problems: &mut Problems) -> Option<DateTime> {
        let report = |problem: Problem| written.problem(Column::Start, problem);
        let text = shown(&written.text);
        let Ok(pieces) = Pieces::parse(written.text.as_bytes()) else {
            problems.push(report(
                Problem::error("forecast::bad-start", format!("`{text}` is no date and time")).expected(START),
            ));
            return None;
        };
        let Some(time) = pieces.time() else {
            problems.push(report(
                Problem::error("forecast::bad-start", format!("`{text}` names a day but no hour")).expected(START),
            ));
            return None;
        };
        let local = pieces.date().to_datetime(time);
        let offset = match pieces.offset() {
            Some(PiecesOffset::Numeric(offset)) => offset.offset(),
            Some(_) => {
                problems.push(report(
                    Problem::error("forecast::universal-time", format!("`{text}` is universal time"))
                        .expected(START)
                        .mend("write the local time with its offset: people start work by the clock on the wall"),
                ));
                return None;
            }
            None => {
                problems.push(report(
                    Problem::error("forecast::no-offset", format!("`{text}` does not say how far from universal time"))
                        .expected(START)
                        .mend("add the offset of the place on that day, such as `-05:00`"),
                ));
                return None;
            }
        };
        match &self.offset {
            None => self.offset = Some((offset, text, written.spot.clone())),
            Some((first, first_text, spot)) if *first != offset => {
                problems.push(report(
                    Problem::error(
                        "forecast::mixed-offsets",
                        format!("`{text}` has another offset than `{first_text}` {}", spot.words()),
                    )
                    .expected("one offset in the whole forecast, that of its first row")
                    .mend("write every hour with one offset, also on a day when clocks change"),
                ));
                return None;
            }
            Some(_) => {}
        }
        Some(local)
    }

    /// The series, once every row was read.
    pub(crate) fn finish(self, mut problems: Problems) -> Result<(HourlySeries, Problems), Problems> {
        if self.rows == 0 {
            problems.push(
                Problem::error("forecast::no-rows", "there is no hour in the forecast")
                    .expected("an hour in each row, below the names of the columns"),
            );
            return Err(problems);
        }
        // Nothing to hold together when no hour could be read: each row has said why.
        let (Some((offset, _, _)), false) = (self.offset, self.hours.is_empty()) else { return Err(problems) };
        let place = |problem: Problem| {
            let row = self.hours.iter().rposition(|hour| problem.found.contains(&format!("`{}`", hour.start)));
            match row.and_then(|row| self.places.get(row)) {
                Some(spot) => spot.place(problem),
                None => problem,
            }
        };
        match HourlySeries::new(offset, self.hours.clone()) {
            Ok((series, warnings)) => {
                // A row left out for its faults leaves a gap that means nothing.
                let faulty = problems.has_errors();
                let is_new = |warning: &Problem| {
                    !self.told.contains(&warning.found) && (!faulty || warning.code != "weather::gap")
                };
                problems.extend(warnings.into_iter().filter(is_new).map(place));
                problems.unless_errors(series)
            }
            Err(errors) => {
                problems.extend(errors.into_iter().filter(|problem| !self.told.contains(&problem.found)).map(place));
                Err(problems)
            }
        }
    }
}

const START: &str = "local start of the hour with its offset from universal time, such as `2026-07-07T07:00-05:00`";

/// The column whose figure a check of the weather room speaks of.
fn column_of(code: &str) -> Option<Column> {
    use quantity::{LengthUnit, SpeedUnit, TemperatureUnit};
    Some(match code {
        "weather::temperature" => Column::Temperature(TemperatureUnit::Celsius),
        "weather::wind" => Column::Wind(SpeedUnit::MetrePerSecond),
        "weather::gust" | "weather::gust-below-wind" => Column::Gust(SpeedUnit::MetrePerSecond),
        "weather::rain" => Column::Rain(LengthUnit::Millimetre),
        "weather::whole-hour" => Column::Start,
        _ => return None,
    })
}

fn fill(reading: &mut HourlyReading, column: Column, written: &Written<'_>, problems: &mut Problems) {
    let Some(number) = number(column, written, problems) else { return };
    let mut fraction = |result: Result<(), Problems>| {
        if let Err(faults) = result {
            problems.extend(faults.into_iter().map(|problem| {
                let problem = written.problem(column, problem);
                if problem.mend.is_none() { problem.mend(LEAVE_EMPTY) } else { problem }
            }));
        }
    };
    match column {
        Column::Start => {}
        Column::Temperature(unit) => reading.temperature = Some(Temperature::new(number, unit)),
        Column::Wind(unit) => reading.wind_speed = Some(Speed::new(number, unit)),
        Column::Gust(unit) => reading.wind_gust = Some(Speed::new(number, unit)),
        Column::Rain(unit) => reading.rain = Some(Length::new(number, unit)),
        Column::RainChance => {
            fraction(Chance::from_percent(number).map(|chance| reading.rain_chance = Some(chance)));
        }
        Column::Humidity => {
            fraction(RelativeHumidity::from_percent(number).map(|part| reading.relative_humidity = Some(part)));
        }
        Column::WindFrom => {
            if (0.0..=360.0).contains(&number) {
                reading.wind_from = Some(Bearing::from_degrees(number));
            } else {
                problems.push(
                    written.problem(
                        column,
                        Problem::error("forecast::wind-from", format!("wind from `{number}` degrees"))
                            .expected("0 to 360 degrees from north, clockwise: 90 is wind from the east")
                            .mend(LEAVE_EMPTY),
                    ),
                );
            }
        }
    }
}

const LEAVE_EMPTY: &str = "correct it, or leave the cell empty when the figure is not known";

fn number(column: Column, written: &Written<'_>, problems: &mut Problems) -> Option<f64> {
    let parsed = written.text.parse::<f64>().ok().filter(|number| number.is_finite());
    // Figures far past any weather would overflow in another unit.
    if let Some(number) = parsed
        && number.abs() < 1e9
    {
        return Some(number);
    }
    let mend = if written.text.replace(',', ".").parse::<f64>().is_ok_and(f64::is_finite) {
        "write the decimals with a point"
    } else if written.text.starts_with(|c: char| c.is_ascii_digit()) {
        "write the figure alone: the name of the column says the unit"
    } else {
        LEAVE_EMPTY
    };
    problems.push(
        written.problem(
            column,
            Problem::error("forecast::bad-number", format!("`{}` is no figure", shown(&written.text)))
                .expected("a number such as `4` or `0.15`")
                .mend(mend),
        ),
    );
    None
}
