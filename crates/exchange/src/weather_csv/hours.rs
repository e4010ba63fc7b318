//! Tables with a row an hour.

use super::column::{HourColumn, Known};
use super::header::HeaderMap;
use super::{Row, rows};
use crate::forecast_csv::sheet::{Cell, records};
use crate::toml_source::shown;
use crate::weather_place::{Places, ReadingPlace};
use jiff::civil::{DateTime, Time};
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Bearing, Irradiance, IrradianceUnit, Length, Pressure, PressureUnit, Speed, Temperature};
use weather::{Chance, CloudCover, HourlyReading, HourlySeries, RelativeHumidity};

/// Reads hourly readings. `file` is the name that its user gave it and only serves messages.
///
/// Each row is the hour that begins at its `start`, or at its `date` and `time`. Starts without an offset from universal
/// time have that of the map; starts with another offset than the first are put to it.
///
/// With the series come warnings: hours missing, columns not read, offsets that differ.
///
/// # Errors
/// Everything wrong with the table, each with its line and column: a name that the map has and the table has not, a
/// column twice, a row without its hour, a start without offset where the map has none, a cell that is no number, a
/// figure out of bounds, an hour twice.
///
/// # Example
/// ```
/// use exchange::weather_csv::{HeaderMap, parse_hours};
/// let text = "Time,Temp Out\n2026-05-01T05:00,51\n2026-05-01T06:00,\n";
/// let map = HeaderMap::new([("Time", "start"), ("Temp Out", "temperature_f")]).unwrap();
/// let (series, _) = parse_hours("station.csv", text, &map.with_offset(jiff::tz::offset(-6))).unwrap();
/// assert_eq!(series.hours()[1].temperature, None);
/// ```
pub fn parse_hours(file: &str, text: &str, map: &HeaderMap) -> Result<(HourlySeries, Problems), Problems> {
    read(text, map)
        .map(|(series, problems)| (series, problems.in_file(file)))
        .map_err(|problems| problems.in_file(file))
}

fn read(text: &str, map: &HeaderMap) -> Result<(HourlySeries, Problems), Problems> {
    let mut problems = Problems::new();
    let records = records(text);
    let Some(rows) = rows::<HourColumn>(&records, map, &mut problems) else { return Err(problems) };
    let mut places = Places::default();
    let mut offset: Option<Offset> = None;
    let mut moved = None;
    let mut hours = Vec::with_capacity(rows.len());
    for row in &rows {
        let start = start_of(row, map, &mut problems).and_then(|(local, own)| {
            let first = *offset.get_or_insert(own);
            if own == first {
                return Some(local);
            }
            moved = moved.or(Some((row.line, row.column)));
            own.to_timestamp(local).ok().map(|instant| first.to_datetime(instant))
        });
        let mut reading = HourlyReading::unknown(start.unwrap_or(DateTime::MIN));
        let mut place = ReadingPlace { line: row.line, column: row.column, figures: Vec::new() };
        for (column, figure, cell) in row.figures(&mut problems) {
            place.figures.push((column.code(), cell.line, cell.column));
            if let Err(faults) = fill(&mut reading, column, figure) {
                problems
                    .extend(faults.into_iter().map(|fault| fault.at_line(cell.line, cell.column).at(column.name())));
            }
        }
        if let Some(start) = start {
            places.remember(&start, place);
            hours.push(reading);
        }
    }
    if let Some((line, column)) = moved {
        problems.push(
            Problem::warning("weather-table::mixed-offsets", "hours have different offsets from universal time")
                .expected("one offset in the whole table")
                .mend("nothing: all hours are put to the offset of the first; by clocks that changed they are an hour off")
                .at_line(line, column),
        );
    }
    let Some(offset) = offset.filter(|_| !hours.is_empty()) else { return Err(problems) };
    finish(offset, hours, &places, problems)
}

/// The series, once every reading was read; a reading left out for its faults leaves a gap that means nothing.
fn finish(
    offset: Offset,
    hours: Vec<HourlyReading>,
    places: &Places,
    mut problems: Problems,
) -> Result<(HourlySeries, Problems), Problems> {
    let faulty = problems.has_errors();
    let tells = |found: &Problem| !faulty || found.code != "weather::gap";
    match HourlySeries::new(offset, hours) {
        Ok((series, warnings)) => {
            problems.extend(warnings.into_iter().filter(tells).map(|warning| places.place(warning)));
            problems.unless_errors(series)
        }
        Err(errors) => {
            problems.extend(errors.into_iter().filter(tells).map(|error| places.place(error)));
            Err(problems)
        }
    }
}

const START: &str = "the start of the hour, such as `2026-07-04T05:00-05:00`";

/// Local start of a row and its offset.
fn start_of(row: &Row<'_, HourColumn>, map: &HeaderMap, problems: &mut Problems) -> Option<(DateTime, Offset)> {
    if let Some(cell) = row.cell(HourColumn::Start) {
        return written_start(cell, map).map_err(|problem| problems.push(problem.at("start"))).ok();
    }
    let (Some(day), Some(time)) = (row.cell(HourColumn::Date), row.cell(HourColumn::Time)) else {
        problems.push(
            Problem::error("weather-table::no-hour", "the row does not say which hour it is")
                .expected(format!("{START}, or a `date` and a `time`"))
                .at_line(row.line, row.column),
        );
        return None;
    };
    let Some(date) = map.dates.read(&day.text) else {
        problems.push(
            Problem::error("weather-table::bad-day", format!("`{}` is no day", shown(&day.text)))
                .expected(format!("a day such as {}", map.dates.example()))
                .mend("say in which order the table writes its dates")
                .at_line(day.line, day.column)
                .at("date"),
        );
        return None;
    };
    let Some(clock) = clock(&time.text) else {
        problems.push(
            Problem::error("weather-table::bad-hour", format!("`{}` is no time of day", shown(&time.text)))
                .expected("a time from `00:00` to `23:59`")
                .at_line(time.line, time.column)
                .at("time"),
        );
        return None;
    };
    let Some(offset) = map.offset else {
        problems.push(no_offset(&format!("{} {}", day.text, time.text), time).at("time"));
        return None;
    };
    Some((date.to_datetime(clock), offset))
}

/// A time of day as tables write it: `5:00`, `05:00`, `05:00:00`.
fn clock(text: &str) -> Option<Time> {
    let mut parts = text.split(':').map(|part| part.parse::<i8>().ok());
    let (hour, minute) = (parts.next()??, parts.next()??);
    let second = parts.next().unwrap_or(Some(0))?;
    if parts.next().is_some() { None } else { Time::new(hour, minute, second, 0).ok() }
}

fn written_start(cell: &Cell, map: &HeaderMap) -> Result<(DateTime, Offset), Problem> {
    let text = shown(&cell.text);
    let bad = |found: String| {
        Problem::error("weather-table::bad-hour", found).expected(START).at_line(cell.line, cell.column)
    };
    let Ok(pieces) = Pieces::parse(cell.text.as_bytes()) else {
        return Err(bad(format!("`{text}` is no date and time"))
            .mend("where day and time stand in two columns, name them `date` and `time`"));
    };
    let Some(time) = pieces.time() else { return Err(bad(format!("`{text}` names a day but no hour"))) };
    let local = pieces.date().to_datetime(time);
    match (pieces.offset(), map.offset) {
        (Some(PiecesOffset::Numeric(own)), _) => Ok((local, own.offset())),
        // Universal time is told as such; where the map has an offset, local time is known.
        (Some(_), Some(offset)) => {
            let instant =
                Offset::UTC.to_timestamp(local).map_err(|_| bad(format!("`{text}` is past all calendars")))?;
            Ok((offset.to_datetime(instant), offset))
        }
        (None, Some(offset)) => Ok((local, offset)),
        (Some(_) | None, None) => Err(no_offset(&cell.text, cell)),
    }
}

fn no_offset(text: &str, cell: &Cell) -> Problem {
    Problem::error(
        "weather-table::no-offset",
        format!("`{}` does not say how far the clock of the place is from universal time", shown(text)),
    )
    .expected(START)
    .mend("add the offset to each start, or say once which one the table has")
    .at_line(cell.line, cell.column)
}

fn fill(reading: &mut HourlyReading, column: HourColumn, figure: f64) -> Result<(), Problems> {
    match column {
        HourColumn::Start | HourColumn::Date | HourColumn::Time => {}
        HourColumn::Temperature(unit) => reading.temperature = Some(Temperature::new(figure, unit)),
        HourColumn::DewPoint(unit) => reading.dew_point = Some(Temperature::new(figure, unit)),
        HourColumn::Humidity => reading.relative_humidity = Some(RelativeHumidity::from_percent(figure)?),
        HourColumn::Wind(unit) => reading.wind_speed = Some(Speed::new(figure, unit)),
        HourColumn::Gust(unit) => reading.wind_gust = Some(Speed::new(figure, unit)),
        HourColumn::WindFrom if (0.0..=360.0).contains(&figure) => {
            reading.wind_from = Some(Bearing::from_degrees(figure));
        }
        HourColumn::WindFrom => {
            return Err(Problem::error(column.code(), format!("wind from `{figure}` degrees"))
                .expected("0 to 360 degrees from north, clockwise: 90 is wind from the east")
                .into());
        }
        HourColumn::Rain(unit) => reading.rain = Some(Length::new(figure, unit)),
        HourColumn::RainChance => reading.rain_chance = Some(Chance::from_percent(figure)?),
        HourColumn::Pressure => reading.pressure = Some(Pressure::new(figure, PressureUnit::Hectopascal)),
        HourColumn::Irradiance => {
            reading.irradiance = Some(Irradiance::new(figure, IrradianceUnit::WattPerSquareMetre));
        }
        HourColumn::CloudCover => reading.cloud_cover = Some(CloudCover::from_percent(figure)?),
    }
    Ok(())
}
