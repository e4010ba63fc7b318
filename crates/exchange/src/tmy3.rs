//! Hours of a typical meteorological year (TMY3) of the National Renewable Energy Laboratory, as comma-separated values.
//!
//! The first line tells the station: number, name, state, hours from universal time, latitude, longitude, metres above
//! the sea. The second names the columns, and each further one is an hour of local standard time that *ends* at its stamp;
//! 24:00 ends the day. Months come from different years, so that the hours are put into one year that the reader is given;
//! the year has no 29 February. -9900 is a missing value.
//!
//! # Source
//! Wilcox, S., and W. Marion 2008: Users manual for TMY3 data sets. NREL/TP-581-43156, Table 1-2 and 1-3.

use crate::forecast_csv::sheet::{Cell, records};
use crate::toml_source::shown;
use crate::weather_place::{Places, ReadingPlace};
use jiff::SignedDuration;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{
    Bearing, Irradiance, IrradianceUnit, Length, LengthUnit, Pressure, PressureUnit, Speed, SpeedUnit, Temperature,
    TemperatureUnit,
};
use weather::{CloudCover, HourlyReading, HourlySeries, RelativeHumidity, Site};

const MISSING: f64 = -9900.0;

/// A station and its typical year.
#[derive(Debug, Clone, PartialEq)]
pub struct TypicalYear {
    /// Number of the station.
    pub station: String,
    /// Its name.
    pub name: String,
    /// Its place.
    pub site: Site,
    /// Its height above the sea.
    pub height: Length,
    /// Its hours, in the year asked for.
    pub hours: HourlySeries,
}

/// What is read of the hours, by the names of the columns, each with the code of what `weather` finds wrong with it.
const COLUMNS: &[(&str, &str)] = &[
    ("Date (MM/DD/YYYY)", "tmy3::date"),
    ("Time (HH:MM)", "weather::hour-twice"),
    ("Dry-bulb (C)", "weather::temperature"),
    ("Dew-point (C)", "weather::dew-point"),
    ("RHum (%)", "weather::relative-humidity"),
    ("Pressure (mbar)", "weather::pressure"),
    ("Wdir (degrees)", "tmy3::wind-from"),
    ("Wspd (m/s)", "weather::wind"),
    ("GHI (W/m^2)", "weather::irradiance"),
    ("TotCld (tenths)", "weather::cloud-cover"),
    ("Lprecip depth (mm)", "weather::rain"),
    ("Lprecip quantity (hr)", "tmy3::rain-hours"),
];

/// Reads a typical year and puts its hours into the year `year`. `file` is the name that its user gave it and only
/// serves messages.
///
/// Rain that was measured over more than its hour counts as unknown. With it come the warnings of [`HourlySeries::new`].
///
/// # Errors
/// Everything wrong with the text, each with its line and column: a station without a place, a column that is not there,
/// a row of another length, a stamp that is no hour, a value that is no number, a value out of bounds, an hour twice.
pub fn parse_typical_year(file: &str, text: &str, year: i16) -> Result<(TypicalYear, Problems), Problems> {
    read(text, year).map(|(year, problems)| (year, problems.in_file(file))).map_err(|problems| problems.in_file(file))
}

fn read(text: &str, year: i16) -> Result<(TypicalYear, Problems), Problems> {
    let mut problems = Problems::new();
    let table = records(text);
    let [station, names, rows @ ..] = &table[..] else {
        return Err(Problem::error("tmy3::empty", "the file has no line with a station and one with names of columns")
            .expected("a line of the station, a line of names, and a line for each hour")
            .at_line(1, 1)
            .into());
    };
    let head = station_of(station, &mut problems);
    let columns = columns_of(names, &mut problems);
    let (Some(head), Some(columns)) = (head, columns) else { return Err(problems) };
    let mut places = Places::default();
    let mut hours = Vec::with_capacity(rows.len());
    for row in rows {
        let Some(at) = row.first().map(|cell| (cell.line, cell.column)) else { continue };
        if row.len() != names.len() {
            problems.push(
                Problem::error(
                    "tmy3::row-length",
                    format!("the row has `{}` cells where `{}` columns are named", row.len(), names.len()),
                )
                .expected("one cell a column")
                .mend("look whether the file was cut")
                .at_line(at.0, at.1),
            );
            continue;
        }
        let cells: Vec<&Cell> = columns.iter().map(|column| &row[*column]).collect();
        let Some(start) = start_of(cells[0], cells[1], year, &mut problems) else { continue };
        let figures = cells.iter().zip(COLUMNS).map(|(cell, (_, code))| (*code, cell.line, cell.column)).collect();
        places.remember(&start, ReadingPlace { line: at.0, column: at.1, figures });
        hours.push(hour_of(start, &cells, &mut problems));
    }
    if hours.is_empty() {
        if !problems.has_errors() {
            problems.push(
                Problem::error("tmy3::no-hours", "there is no hour in the file")
                    .expected("a line for each hour, below the names of the columns")
                    .at_line(1, 1),
            );
        }
        return Err(problems);
    }
    // The months are put in the order of one year already; what was left out for its faults leaves no gap of its own.
    let faulty = problems.has_errors();
    let tells = |found: &Problem| !faulty || found.code != "weather::gap";
    match HourlySeries::new(head.offset, hours) {
        Ok((hours, warnings)) => {
            problems.extend(warnings.into_iter().filter(tells).map(|warning| places.place(warning)));
            let Head { station, name, site, height, .. } = head;
            problems.unless_errors(TypicalYear { station, name, site, height, hours })
        }
        Err(errors) => {
            problems.extend(errors.into_iter().filter(tells).map(|error| places.place(error)));
            Err(problems)
        }
    }
}

struct Head {
    station: String,
    name: String,
    offset: Offset,
    site: Site,
    height: Length,
}

fn station_of(cells: &[Cell], problems: &mut Problems) -> Option<Head> {
    let line = cells.first().map_or(1, |cell| cell.line);
    let numbers: Vec<Option<f64>> =
        (3..7).map(|index| cells.get(index)?.text.parse::<f64>().ok().filter(|number| number.is_finite())).collect();
    let [Some(hours), Some(latitude), Some(longitude), Some(metres)] = numbers[..] else {
        problems.push(
            Problem::error("tmy3::station", "the first line does not tell where the station is")
                .expected(
                    "number, name, state, hours from universal time, latitude, longitude and metres above the sea",
                )
                .mend("look whether it is a TMY3 file")
                .at_line(line, 1),
        );
        return None;
    };
    let offset = Offset::from_seconds((hours * 3600.0).round().clamp(-1e6, 1e6) as i32);
    if offset.is_err() {
        problems.push(
            Problem::error("tmy3::offset", format!("the clock is `{hours}` hours from universal time"))
                .expected("-12 to 14 hours")
                .at_line(line, cells[3].column),
        );
    }
    let site = Site::new(latitude, longitude).map_err(|faults| {
        problems.extend(faults.into_iter().map(|fault| fault.at_line(line, cells[4].column)));
    });
    if !(-500.0..=9000.0).contains(&metres) {
        problems.push(
            Problem::error("tmy3::height", format!("the station is `{metres}` m above the sea"))
                .expected("-500 to 9000 m")
                .at_line(line, cells[6].column),
        );
        return None;
    }
    Some(Head {
        station: cells[0].text.clone(),
        name: cells[1].text.clone(),
        offset: offset.ok()?,
        site: site.ok()?,
        height: Length::new(metres, LengthUnit::Metre),
    })
}

/// Where the columns stand that are read, in their order.
fn columns_of(names: &[Cell], problems: &mut Problems) -> Option<Vec<usize>> {
    let line = names.first().map_or(2, |cell| cell.line);
    let mut columns = Vec::with_capacity(COLUMNS.len());
    for (name, _) in COLUMNS {
        match names.iter().position(|cell| cell.text == *name) {
            Some(at) => columns.push(at),
            None => problems.push(
                Problem::error("tmy3::column", format!("there is no column `{name}`"))
                    .expected("the columns of a TMY3 file under their own names")
                    .at_line(line, 1),
            ),
        }
    }
    (columns.len() == COLUMNS.len()).then_some(columns)
}

/// The start of an hour that ends at a stamp.
fn start_of(day: &Cell, time: &Cell, year: i16, problems: &mut Problems) -> Option<DateTime> {
    let date = (|| {
        let mut parts = day.text.split('/').map(|part| part.parse::<i8>().ok());
        let (month, of_month) = (parts.next()??, parts.next()??);
        // The year that the month was taken from does not matter, but stands there.
        day.text.rsplit('/').next()?.parse::<i16>().ok()?;
        Date::new(year, month, of_month).ok()
    })();
    let hour =
        time.text.strip_suffix(":00").and_then(|hour| hour.parse::<i64>().ok()).filter(|hour| (1..=24).contains(hour));
    let (Some(date), Some(hour)) = (date, hour) else {
        problems.push(
            Problem::error(
                "tmy3::date",
                format!("`{} {}` is no hour of `{year}`", shown(&day.text), shown(&time.text)),
            )
            .expected("month/day/year and the end of the hour from `01:00` to `24:00`")
            .at_line(day.line, day.column),
        );
        return None;
    };
    date.to_datetime(jiff::civil::Time::midnight()).checked_add(SignedDuration::from_hours(hour - 1)).ok()
}

fn hour_of(start: DateTime, cells: &[&Cell], problems: &mut Problems) -> HourlyReading {
    let mut figures = [None; COLUMNS.len()];
    for (index, cell) in cells.iter().enumerate().skip(2) {
        match cell.text.parse::<f64>().ok().filter(|figure| figure.abs() < 1e9) {
            Some(figure) => figures[index] = (figure > MISSING).then_some(figure),
            None if cell.text.is_empty() => {}
            None => problems.push(
                Problem::error("tmy3::value", format!("`{}` is no figure", shown(&cell.text)))
                    .expected("a number, -9900 when there is none")
                    .at_line(cell.line, cell.column),
            ),
        }
    }
    let [_, _, air, dew, humidity, pressure, from, wind, light, clouds, rain, rain_hours] = figures;
    let celsius = |degrees: Option<f64>| degrees.map(|degrees| Temperature::new(degrees, TemperatureUnit::Celsius));
    let mut fraction = |index: usize, faults: Problems| {
        problems.extend(faults.into_iter().map(|fault| fault.at_line(cells[index].line, cells[index].column)));
    };
    let is_calm = wind == Some(0.0);
    HourlyReading {
        temperature: celsius(air),
        dew_point: celsius(dew),
        relative_humidity: humidity
            .and_then(|percent| RelativeHumidity::from_percent(percent).map_err(|faults| fraction(4, faults)).ok()),
        cloud_cover: clouds
            .and_then(|tenths| CloudCover::from_fraction(tenths / 10.0).map_err(|faults| fraction(9, faults)).ok()),
        pressure: pressure.map(|millibars| Pressure::new(millibars, PressureUnit::Hectopascal)),
        wind_speed: wind.map(|speed| Speed::new(speed, SpeedUnit::MetrePerSecond)),
        // North is 360; 0 stands for a calm.
        wind_from: from.filter(|degrees| !is_calm && (0.0..=360.0).contains(degrees)).map(Bearing::from_degrees),
        irradiance: light.map(|watts| Irradiance::new(watts, IrradianceUnit::WattPerSquareMetre)),
        rain: rain.filter(|_| rain_hours == Some(1.0)).map(|depth| Length::new(depth, LengthUnit::Millimetre)),
        ..HourlyReading::unknown(start)
    }
}

#[cfg(test)]
mod tests;
