//! Recorded or forecast weather in any of the forms of `docs/weather.md`, told apart by what the text looks like.

use crate::forecast_csv::sheet::records;
use crate::weather_csv::{HeaderMap, parse_days, parse_hours};
use crate::{ghcn_daily, nws_forecast, open_meteo, tmy3};
use jiff::civil::Date;
use problem::{Problem, Problems};
use weather::{DailySeries, HourlySeries};

/// The forms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeatherForm {
    /// A table with a row an hour.
    HourlyTable,
    /// A table with a row a day.
    DailyTable,
    /// A station's record in the Global Historical Climatology Network.
    GhcnDaily,
    /// The hourly forecast of `api.weather.gov`.
    NwsForecast,
    /// The answer of an Open-Meteo service.
    OpenMeteo,
    /// A typical year.
    Tmy3,
}

impl WeatherForm {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::HourlyTable => "hourly table",
            Self::DailyTable => "daily table",
            Self::GhcnDaily => "daily record of a station (GHCN-Daily)",
            Self::NwsForecast => "hourly forecast of api.weather.gov",
            Self::OpenMeteo => "answer of Open-Meteo",
            Self::Tmy3 => "typical year (TMY3)",
        }
    }
}

/// A series of weather: always days, and hours where it has them.
#[derive(Debug, Clone, PartialEq)]
pub struct WeatherSeries {
    /// The form that it came in.
    pub form: WeatherForm,
    /// Its hours.
    pub hours: Option<HourlySeries>,
    /// Its days, or those that its hours make.
    pub days: DailySeries,
}

/// What a text does not say itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SeriesOptions {
    /// Which columns of a table are which, and how it writes times.
    pub map: HeaderMap,
    /// The year into which a typical year is put.
    pub typical_year: Option<i16>,
    /// The day before which nothing is read of a station's record.
    pub since: Option<Date>,
}

/// Reads weather in whichever form it is. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// As the reader of the form; `weather-form::unknown` for JSON or a table in no known form; `weather-form::typical-year`
/// for a typical year without the year that it is put into; `weather::no-whole-day` for hours of which no day is whole.
pub fn parse_series(file: &str, text: &str, options: &SeriesOptions) -> Result<(WeatherSeries, Problems), Problems> {
    let form = form_of(text, &options.map).map_err(|problem| problem.in_file(file))?;
    match form {
        WeatherForm::HourlyTable => of_hours(file, form, parse_hours(file, text, &options.map)?),
        WeatherForm::DailyTable => of_days(form, parse_days(file, text, &options.map)?),
        WeatherForm::GhcnDaily => {
            let (record, problems) = ghcn_daily::parse_record(file, text, options.since)?;
            of_days(form, (record.days, problems))
        }
        WeatherForm::NwsForecast => {
            let (forecast, problems) = nws_forecast::parse_forecast(file, text)?;
            of_hours(file, form, (forecast.hours, problems))
        }
        WeatherForm::OpenMeteo => {
            let (weather, problems) = open_meteo::parse_weather(file, text)?;
            let has_extremes = |days: &DailySeries| days.days().iter().any(|day| day.extremes().is_some());
            match (weather.hours, weather.days.filter(has_extremes)) {
                (hours, Some(days)) => Ok((WeatherSeries { form, hours, days }, problems)),
                (Some(hours), None) => of_hours(file, form, (hours, problems)),
                (None, None) => {
                    Err(unknown("the answer has neither hours nor the extremes of days").in_file(file).into())
                }
            }
        }
        WeatherForm::Tmy3 => {
            let Some(year) = options.typical_year else {
                return Err(Problem::error("weather-form::typical-year", "a typical year is of no year")
                    .expected("the year into which its months are put")
                    .mend("give it with --year; a typical year shows how a season may go, and not how this one does")
                    .in_file(file)
                    .into());
            };
            let (typical, problems) = tmy3::parse_typical_year(file, text, year)?;
            of_hours(file, form, (typical.hours, problems))
        }
    }
}

fn of_days(
    form: WeatherForm,
    (days, problems): (DailySeries, Problems),
) -> Result<(WeatherSeries, Problems), Problems> {
    Ok((WeatherSeries { form, hours: None, days }, problems))
}

fn of_hours(
    file: &str,
    form: WeatherForm,
    (hours, mut problems): (HourlySeries, Problems),
) -> Result<(WeatherSeries, Problems), Problems> {
    match DailySeries::from_hours(&hours) {
        Ok((days, warnings)) => {
            problems.extend(warnings.in_file(file));
            Ok((WeatherSeries { form, hours: Some(hours), days }, problems))
        }
        Err(found) => {
            problems.extend(found.in_file(file));
            Err(problems)
        }
    }
}

/// What JSON of a weather service is, by the names in it.
pub(crate) fn json_form(text: &str) -> Option<WeatherForm> {
    let says = |name: &str| text.contains(&format!("\"{name}\""));
    if says("periods") {
        return Some(WeatherForm::NwsForecast);
    }
    ["hourly", "daily", "reason"].into_iter().any(says).then_some(WeatherForm::OpenMeteo)
}

/// Whether a text is JSON, by how it begins.
pub(crate) fn is_json(text: &str) -> bool {
    text.trim_start_matches('\u{feff}').trim_start().starts_with('{')
}

/// The form of a text, by its first lines.
pub(crate) fn form_of(text: &str, map: &HeaderMap) -> Result<WeatherForm, Problem> {
    if is_json(text) {
        return json_form(text).ok_or_else(|| unknown("this is JSON of no weather service that is known"));
    }
    let mut lines = text.trim_start_matches('\u{feff}').lines().filter(|line| !line.trim().is_empty());
    let (first, second) = (lines.next().unwrap_or(""), lines.next().unwrap_or(""));
    if is_ghcn_line(first) {
        return Ok(WeatherForm::GhcnDaily);
    }
    if second.starts_with("Date (MM/DD/YYYY)") {
        return Ok(WeatherForm::Tmy3);
    }
    let rows = records(text.lines().take(50).collect::<Vec<_>>().join("\n").as_str());
    let Some(header) = rows.first() else { return Ok(WeatherForm::DailyTable) };
    let has = |names: &[&str]| {
        header.iter().any(|cell| names.iter().any(|name| map.meaning(&cell.text).eq_ignore_ascii_case(name)))
    };
    if has(&["start", "time"]) {
        Ok(WeatherForm::HourlyTable)
    } else if has(&["date"]) || has(&["highest_f", "highest_c", "lowest_f", "lowest_c"]) {
        Ok(WeatherForm::DailyTable)
    } else if has(&["temperature_f", "temperature_c"]) {
        Ok(WeatherForm::HourlyTable)
    } else {
        Err(unknown("the first line names no column known here")
            .mend("say which column is which with --columns, such as \"Hi=highest_f\"; docs/weather.md has the names")
            .at_line(1, 1))
    }
}

/// A line of a station's record: identifier, year, month and element at their columns.
fn is_ghcn_line(line: &str) -> bool {
    let head = line.as_bytes().get(..21);
    head.is_some_and(|head| {
        head[..11].iter().all(u8::is_ascii_alphanumeric)
            && head[11..17].iter().all(u8::is_ascii_digit)
            && head[17..].iter().all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit())
    })
}

fn unknown(found: &str) -> Problem {
    Problem::error("weather-form::unknown", found).expected(
        "a table with columns such as `date`, `highest_f`, `lowest_f`, or `start`, `temperature_f`; a `.dly` record; the \
         JSON of api.weather.gov or Open-Meteo; a TMY3 table",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use weather::DailyReading;

    fn codes(text: &str) -> Vec<&'static str> {
        parse_series("x", text, &SeriesOptions::default()).unwrap_err().iter().map(|problem| problem.code).collect()
    }

    #[test]
    fn every_form_is_known_by_its_looks() {
        let hours = |row: &dyn Fn(usize) -> String| (0..24).map(row).collect::<String>();
        let table = format!("start,temperature_f\n{}", hours(&|hour| format!("2026-07-07T{hour:02}:00-05:00,64\n")));
        let day = |value: &str| format!("{value:>5}   ");
        let station = |element: &str, value: &str| {
            format!("USC00000001202605{element}{}{}\n", day(value), day("-9999").repeat(30))
        };
        let dly = station("TMAX", "217") + &station("TMIN", "94");
        let periods: Vec<String> = (0..24)
            .map(|hour| {
                let (next, end) = if hour == 23 { (8, 0) } else { (7, hour + 1) };
                format!(
                    r#"{{"number": {hour}, "startTime": "2026-07-07T{hour:02}:00:00-05:00", "endTime":
                    "2026-07-0{next}T{end:02}:00:00-05:00", "temperature": 64, "temperatureUnit": "F",
                    "windSpeed": "4 mph", "windDirection": "S"}}"#
                )
            })
            .collect();
        let nws = format!(r#"{{"properties": {{"periods": [{}]}}}}"#, periods.join(","));
        let meteo = r#"{"latitude": 38.8, "longitude": -97.6, "utc_offset_seconds": -18000,
            "daily_units": {"time": "iso8601", "temperature_2m_max": "°C", "temperature_2m_min": "°C"},
            "daily": {"time": ["2026-07-07"], "temperature_2m_max": [30.0], "temperature_2m_min": [18.0]}}"#;
        for (text, form, has_hours) in [
            (table.as_str(), WeatherForm::HourlyTable, true),
            ("date,highest_f,lowest_f\n2026-07-07,85,64\n", WeatherForm::DailyTable, false),
            (&dly, WeatherForm::GhcnDaily, false),
            (&nws, WeatherForm::NwsForecast, true),
            (meteo, WeatherForm::OpenMeteo, false),
        ] {
            let (series, _) = parse_series("x", text, &SeriesOptions::default())
                .unwrap_or_else(|problems| panic!("{form:?}: {problems}"));
            assert_eq!((series.form, series.hours.is_some()), (form, has_hours), "{text}");
            assert!(series.days.days().iter().any(|day: &DailyReading| day.extremes().is_some()), "{text}");
        }
    }

    #[test]
    fn a_table_of_another_program_is_known_by_the_map() {
        let text = "Day,Hi,Lo\n7/7/2026,85,64\n";
        assert_eq!(codes(text), ["weather-form::unknown"]);
        let map = HeaderMap::new([("Day", "date"), ("Hi", "highest_f"), ("Lo", "lowest_f")]).unwrap();
        let map = map.with_dates(crate::weather_csv::DateOrder::MonthDayYear);
        let options = SeriesOptions { map, ..SeriesOptions::default() };
        assert_eq!(parse_series("x", text, &options).unwrap().0.form, WeatherForm::DailyTable);
    }

    #[test]
    fn what_is_no_weather_is_refused() {
        assert_eq!(codes("{}"), ["weather-form::unknown"]);
        assert_eq!(codes("start,temperature_f\n2026-07-07T05:00-05:00,64\n"), ["weather::no-whole-day"]);
        let typical = "723170,\"SOMEWHERE\",NC,-5.0,36.1,-79.95,273\nDate (MM/DD/YYYY),Time (HH:MM)\n";
        assert_eq!(codes(typical), ["weather-form::typical-year"]);
        assert!(!codes("").is_empty());
    }
}
