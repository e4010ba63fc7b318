//! Readings of the weather in whichever form they come: hours or days, recorded or forecast.

use crate::station_series::{WeatherForm, form_of};
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
    match form_of(text, &HeaderMap::default()).map_err(|problem| problem.in_file(file))? {
        WeatherForm::NwsForecast => nws_forecast::parse_forecast(file, text).map(|(forecast, problems)| {
            (Readings { hours: Some(forecast.hours), days: None, height: forecast.height }, problems)
        }),
        WeatherForm::OpenMeteo => open_meteo::parse_weather(file, text).map(|(weather, problems)| {
            (Readings { hours: weather.hours, days: weather.days, height: weather.height }, problems)
        }),
        WeatherForm::GhcnDaily => ghcn_daily::parse_record(file, text, begin)
            .map(|(record, problems)| (Readings { days: Some(record.days), ..Readings::default() }, problems)),
        WeatherForm::Tmy3 => {
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
        WeatherForm::HourlyTable => parse_hours(file, text, &HeaderMap::default())
            .map(|(hours, problems)| (Readings { hours: Some(hours), ..Readings::default() }, problems)),
        WeatherForm::DailyTable => parse_days(file, text, &HeaderMap::default())
            .map(|(days, problems)| (Readings { days: Some(days), ..Readings::default() }, problems)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn each_form_is_known_by_itself() {
        let month = format!("USC00000001202605TMAX{}", "  217   ".repeat(31));
        let forms = [
            ("date,highest_f,lowest_f\n2026-07-01,90,66\n", Some(WeatherForm::DailyTable)),
            ("# a station\n\"Start\",temperature_f\n", Some(WeatherForm::HourlyTable)),
            ("date,time,temperature_f\n", Some(WeatherForm::HourlyTable)),
            (month.as_str(), Some(WeatherForm::GhcnDaily)),
            ("723170,\"X\",NC,-5.0,36.1,-79.95,273\nDate (MM/DD/YYYY),Time (HH:MM)\n", Some(WeatherForm::Tmy3)),
            ("{\"properties\": {\"periods\": []}}", Some(WeatherForm::NwsForecast)),
            ("{\"daily\": {}}", Some(WeatherForm::OpenMeteo)),
            ("{\"features\": []}", None),
            ("name = \"x\"\n", None),
        ];
        for (text, form) in forms {
            assert_eq!(form_of(text, &HeaderMap::default()).ok(), form, "{text}");
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
