//! Tables with a row a day.

use super::column::{DayColumn, Known};
use super::header::HeaderMap;
use super::{Row, rows};
use crate::forecast_csv::sheet::records;
use crate::toml_source::shown;
use crate::weather_place::{Places, ReadingPlace};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, RadiantExposure, RadiantExposureUnit, Speed, Temperature};
use weather::{DailyReading, DailySeries, RelativeHumidity};

/// Reads daily readings. `file` is the name that its user gave it and only serves messages.
///
/// With the series come warnings: days missing, columns not read, a sensor that seems to be stuck.
///
/// # Errors
/// Everything wrong with the table, each with its line and column: a name that the map has and the table has not, a
/// column twice, a row without its day, a cell that is no number, a figure out of bounds, a day twice.
///
/// # Example
/// ```
/// use exchange::weather_csv::{HeaderMap, parse_days};
/// let text = "Day,Hi,Lo,Rain\n2026-05-01,71,48,0\n2026-05-02,75,,0.2\n";
/// let map = HeaderMap::new([("Day", "date"), ("Hi", "highest_f"), ("Lo", "lowest_f"), ("Rain", "rain_in")]).unwrap();
/// let (series, problems) = parse_days("station.csv", text, &map).unwrap();
/// assert_eq!(series.days().len(), 2);
/// assert_eq!(problems.iter().next().unwrap().code, "weather::day-gap");
/// ```
pub fn parse_days(file: &str, text: &str, map: &HeaderMap) -> Result<(DailySeries, Problems), Problems> {
    read(text, map)
        .map(|(series, problems)| (series, problems.in_file(file)))
        .map_err(|problems| problems.in_file(file))
}

fn read(text: &str, map: &HeaderMap) -> Result<(DailySeries, Problems), Problems> {
    let mut problems = Problems::new();
    let records = records(text);
    let Some(rows) = rows::<DayColumn>(&records, map, &mut problems) else { return Err(problems) };
    let mut places = Places::default();
    let mut days = Vec::with_capacity(rows.len());
    for row in &rows {
        let date = day_of(row, map, &mut problems);
        // A row whose day cannot be read is read on for what else is wrong with it.
        let mut reading = DailyReading::unknown(date.unwrap_or(Date::MIN));
        let mut place = ReadingPlace { line: row.line, column: row.column, figures: Vec::new() };
        for (column, figure, cell) in row.figures(&mut problems) {
            place.figures.push((column.code(), cell.line, cell.column));
            if let Err(faults) = fill(&mut reading, column, figure) {
                problems
                    .extend(faults.into_iter().map(|fault| fault.at_line(cell.line, cell.column).at(column.name())));
            }
        }
        if let Some(date) = date {
            places.remember(&date, place);
            days.push(reading);
        }
    }
    finish(days, &places, problems)
}

/// The series, once every reading was read; a reading left out for its faults leaves a gap that means nothing.
fn finish(
    days: Vec<DailyReading>,
    places: &Places,
    mut problems: Problems,
) -> Result<(DailySeries, Problems), Problems> {
    if days.is_empty() && problems.has_errors() {
        return Err(problems);
    }
    let faulty = problems.has_errors();
    match DailySeries::new(days) {
        Ok((series, warnings)) => {
            let tells = |warning: &Problem| !faulty || warning.code != "weather::day-gap";
            problems.extend(warnings.into_iter().filter(tells).map(|warning| places.place(warning)));
            problems.unless_errors(series)
        }
        Err(errors) => {
            problems.extend(errors.into_iter().map(|error| places.place(error)));
            Err(problems)
        }
    }
}

fn day_of(row: &Row<'_, DayColumn>, map: &HeaderMap, problems: &mut Problems) -> Option<Date> {
    let expected = format!("a day such as {}", map.dates.example());
    let Some(cell) = row.cell(DayColumn::Date) else {
        problems.push(
            Problem::error("weather-table::no-day", "the row does not say which day it is")
                .expected(expected)
                .at_line(row.line, row.column)
                .at("date"),
        );
        return None;
    };
    let date = map.dates.read(&cell.text);
    if date.is_none() {
        problems.push(
            Problem::error("weather-table::bad-day", format!("`{}` is no day", shown(&cell.text)))
                .expected(expected)
                .mend("say in which order the table writes its dates")
                .at_line(cell.line, cell.column)
                .at("date"),
        );
    }
    date
}

fn fill(reading: &mut DailyReading, column: DayColumn, figure: f64) -> Result<(), Problems> {
    match column {
        DayColumn::Date => {}
        DayColumn::Highest(unit) => reading.highest = Some(Temperature::new(figure, unit)),
        DayColumn::Lowest(unit) => reading.lowest = Some(Temperature::new(figure, unit)),
        DayColumn::Rain(unit) => reading.rain = Some(Length::new(figure, unit)),
        DayColumn::Humidity => reading.relative_humidity = Some(RelativeHumidity::from_percent(figure)?),
        DayColumn::Wind(unit) => reading.wind_speed = Some(Speed::new(figure, unit)),
        DayColumn::Radiation => {
            reading.radiation = Some(RadiantExposure::new(figure, RadiantExposureUnit::MegajoulePerSquareMetre));
        }
    }
    Ok(())
}
