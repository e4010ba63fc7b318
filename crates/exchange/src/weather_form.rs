//! Readings of the weather in whichever form they come: hours or days, recorded or forecast.

use crate::forecast_csv::sheet::records;
use crate::weather_csv::{HeaderMap, parse_days, parse_hours};
use crate::{ghcn_daily, nws_forecast, open_meteo, tmy3};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::Length;
use weather::{DailySeries, HourlySeries};

/// What a text of readings holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// Its hours.
    pub hours: Option<HourlySeries>,
    /// Its days.
    pub days: Option<DailySeries>,
    /// Height above the sea of where they are from, where it says so.
    pub height: Option<Length>,
}

/// Reads a text in whichever of the forms of `docs/weather.md` it is. `file` is the name that its user gave it and only serves
/// messages. Of a station's record nothing before `begin` is read; a typical year is put into the year of that day.
///
/// # Errors
/// As the reader of the form; `weather-form::unknown` for a text in none of them, `weather-form::no-year` for a typical year without
/// a day to begin at.
pub fn parse_readings(file: &str, text: &str, begin: Option<Date>) -> Result<(Readings, Problems), Problems> {
    let text = text.trim_start_matches('\u{feff}');
    match form_of(text) {
        Some(Form::NwsForecast) => nws_forecast::parse_forecast(file, text).map(|(forecast, problems)| {
            (Readings { hours: Some(forecast.hours), days: None, height: forecast.height }, problems)
        }),
        Some(Form::OpenMeteo) => open_meteo::parse_weather(file, text).map(|(weather, problems)| {
            (Readings { hours: weather.hours, days: weather.days, height: weather.height }, problems)
        }),
        Some(Form::StationRecord) => ghcn_daily::parse_record(file, text, begin)
            .map(|(record, problems)| (Readings { days: Some(record.days), ..Readings::default() }, problems)),
        Some(Form::TypicalYear) => {
            let Some(begin) = begin else {
                return Err(Problem::error("weather-form::no-year", "a typical year, and no day to begin at")
                    .expected("the first day, of which the typical year takes the year")
                    .mend("say at which day the balance begins: `begin = 2026-05-01`")
                    .in_file(file)
                    .into());
            };
            tmy3::parse_typical_year(file, text, begin.year()).map(|(year, problems)| {
                (Readings { hours: Some(year.hours), days: None, height: Some(year.height) }, problems)
            })
        }
        Some(Form::HourlyTable) => parse_hours(file, text, &HeaderMap::default())
            .map(|(hours, problems)| (Readings { hours: Some(hours), ..Readings::default() }, problems)),
        Some(Form::DailyTable) => parse_days(file, text, &HeaderMap::default())
            .map(|(days, problems)| (Readings { days: Some(days), ..Readings::default() }, problems)),
        None => Err(Problem::error("weather-form::unknown", "these are no readings in a form that is known")
            .expected(
                "a table with a column `date` (days) or `start` (hours), a station's record (`.dly`), a TMY3 file, or the \
                 answer of `api.weather.gov` or Open-Meteo",
            )
            .mend("look into the file; the forms are told in docs/weather.md")
            .at_line(1, 1)
            .in_file(file)
            .into()),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    NwsForecast,
    OpenMeteo,
    StationRecord,
    TypicalYear,
    HourlyTable,
    DailyTable,
}

fn form_of(text: &str) -> Option<Form> {
    if text.trim_start().starts_with('{') {
        let says = |name: &str| text.contains(&format!("\"{name}\""));
        let service = ["hourly", "daily", "reason"].into_iter().any(says).then_some(Form::OpenMeteo);
        return if says("periods") { Some(Form::NwsForecast) } else { service };
    }
    let mut lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let first = lines.next()?;
    if is_station_line(first) {
        return Some(Form::StationRecord);
    }
    if lines.next().is_some_and(|second| second.starts_with("Date (MM/DD/YYYY)")) {
        return Some(Form::TypicalYear);
    }
    let columns = records(first);
    let has = |name: &str| columns.iter().flatten().any(|cell| cell.text.eq_ignore_ascii_case(name));
    if has("start") || has("time") { Some(Form::HourlyTable) } else { has("date").then_some(Form::DailyTable) }
}

/// Whether a line is of a station's record: 11 characters of the station, year and month, four of the element.
fn is_station_line(line: &str) -> bool {
    let bytes = line.as_bytes();
    bytes.len() > 21
        && !line.contains(',')
        && bytes[11..17].iter().all(u8::is_ascii_digit)
        && bytes[17..21].iter().all(u8::is_ascii_alphanumeric)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn each_form_is_known_by_itself() {
        let month = format!("USC00000001202605TMAX{}", "  217   ".repeat(31));
        let forms = [
            ("date,highest_f,lowest_f\n2026-07-01,90,66\n", Some(Form::DailyTable)),
            ("# a station\n\"Start\",temperature_f\n", Some(Form::HourlyTable)),
            ("date,time,temperature_f\n", Some(Form::HourlyTable)),
            (month.as_str(), Some(Form::StationRecord)),
            ("723170,\"X\",NC,-5.0,36.1,-79.95,273\nDate (MM/DD/YYYY),Time (HH:MM)\n", Some(Form::TypicalYear)),
            ("{\"properties\": {\"periods\": []}}", Some(Form::NwsForecast)),
            ("{\"daily\": {}}", Some(Form::OpenMeteo)),
            ("{\"features\": []}", None),
            ("name = \"x\"\n", None),
            ("", None),
        ];
        for (text, form) in forms {
            assert_eq!(form_of(text), form, "{text}");
        }
    }

    #[test]
    fn what_is_none_of_them_is_told() {
        let code = |text: &str| parse_readings("x", text, None).unwrap_err().iter().next().unwrap().code;
        assert_eq!(code("name = \"x\"\n"), "weather-form::unknown");
        let typical = "723170,\"X\",NC,-5.0,36.1,-79.95,273\nDate (MM/DD/YYYY),Time (HH:MM)\n";
        assert_eq!(code(typical), "weather-form::no-year");
        let (days, _) = parse_readings("x", "date,highest_f,lowest_f\n2026-07-01,90,66\n", None).unwrap();
        assert_eq!(days.days.unwrap().span(), Some((date(2026, 7, 1), date(2026, 7, 1))));
    }
}
