//! One period of the forecast.

use crate::toml_source::shown;
use crate::weather_json::{Figures, Node};
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Bearing, Speed, SpeedUnit, Temperature, TemperatureUnit};
use weather::{Chance, HourlyReading, RelativeHumidity};

/// Fields by the codes of what `weather` finds wrong with them.
const FIGURES: &[(&str, &str)] = &[
    ("weather::temperature", "temperature"),
    ("weather::dew-point", "dewpoint"),
    ("weather::wind", "windSpeed"),
    ("weather::gust", "windGust"),
    ("weather::gust-below-wind", "windGust"),
    ("weather::hour-twice", "startTime"),
    ("weather::whole-hour", "startTime"),
];

/// The sixteen points, from north clockwise.
const POINTS: [&str; 16] =
    ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];

/// Local start of a period of one hour, with its offset.
pub(super) fn start_of(period: &Node<'_>, problems: &mut Problems) -> Option<(DateTime, Offset)> {
    let expected = "a time with an offset, such as `2026-07-07T05:00:00-05:00`";
    let mut instant = |name: &str| {
        let Some(field) = period.field(name) else {
            problems.push(period.missing(name, expected));
            return None;
        };
        let text = field.text().unwrap_or_default();
        let parsed = text.parse::<Timestamp>().ok().zip(local(text));
        if parsed.is_none() {
            problems.push(field.unreadable(expected));
        }
        parsed
    };
    let (start, end) = (instant("startTime"), instant("endTime"));
    let ((start, local), (end, _)) = (start?, end?);
    if end.as_second() - start.as_second() != 3600 {
        let minutes = (end.as_second() - start.as_second()) / 60;
        problems.push(
            period.problem(
                Problem::error("nws::not-hourly", format!("the period lasts `{minutes}` minutes"))
                    .expected("periods of one hour")
                    .mend("ask the service for `forecast/hourly`, not for `forecast`"),
            ),
        );
        return None;
    }
    Some(local)
}

fn local(text: &str) -> Option<(DateTime, Offset)> {
    let pieces = Pieces::parse(text.as_bytes()).ok()?;
    let offset = match pieces.offset()? {
        PiecesOffset::Numeric(offset) => offset.offset(),
        _ => Offset::UTC,
    };
    Some((pieces.date().to_datetime(pieces.time()?), offset))
}

/// The fields of a period that `weather` may find something wrong with.
pub(super) fn figures<'d>(period: &Node<'d>) -> Figures<'d> {
    FIGURES.iter().filter_map(|(code, name)| Some((*code, period.field(name)?))).collect()
}

pub(super) fn reading(start: DateTime, period: &Node<'_>, problems: &mut Problems) -> HourlyReading {
    HourlyReading {
        temperature: period.field("temperature").and_then(|field| temperature(&field, period, problems)),
        dew_point: period.field("dewpoint").and_then(|field| temperature(&field, period, problems)),
        wind_speed: period.field("windSpeed").and_then(|field| speed(&field, problems)),
        wind_gust: period.field("windGust").and_then(|field| speed(&field, problems)),
        wind_from: period.field("windDirection").and_then(|field| bearing(&field, problems)),
        rain_chance: fraction(period, "probabilityOfPrecipitation", problems, Chance::from_percent),
        relative_humidity: fraction(period, "relativeHumidity", problems, RelativeHumidity::from_percent),
        ..HourlyReading::unknown(start)
    }
}

/// Metres above the sea.
pub(super) fn height(elevation: &Node<'_>, problems: &mut Problems) -> Option<f64> {
    match quantity(elevation) {
        Some((metres, "m")) if (-500.0..=9000.0).contains(&metres) => Some(metres),
        _ => {
            problems.push(elevation.unreadable("a height in metres, from -500 to 9000"));
            None
        }
    }
}

/// The value of an object with a unit, and the unit without its prefix (`wmoUnit:degC`); of null there is none.
fn quantity<'n>(field: &Node<'n>) -> Option<(f64, &'n str)> {
    let unit = field.field("unitCode")?.text()?;
    Some((field.field("value")?.number()?, unit.rsplit(':').next().unwrap_or(unit)))
}

fn is_unknown(field: &Node<'_>) -> bool {
    field.is_object() && field.field("value").is_none() && field.field("maxValue").is_none()
}

fn temperature(field: &Node<'_>, period: &Node<'_>, problems: &mut Problems) -> Option<Temperature> {
    if is_unknown(field) {
        return None;
    }
    let unit = period.field("temperatureUnit").and_then(|unit| unit.text());
    let figure = if field.is_object() { quantity(field) } else { field.number().zip(unit) };
    match figure {
        Some((degrees, "degC" | "C")) => Some(Temperature::new(degrees, TemperatureUnit::Celsius)),
        Some((degrees, "degF" | "F")) => Some(Temperature::new(degrees, TemperatureUnit::Fahrenheit)),
        _ => {
            problems.push(
                field.unreadable("a number with a `temperatureUnit` of `F` or `C`, or an object with a `unitCode`"),
            );
            None
        }
    }
}

fn speed(field: &Node<'_>, problems: &mut Problems) -> Option<Speed> {
    if is_unknown(field) {
        return None;
    }
    let found = if let Some(text) = field.text() {
        written_speed(text)
    } else {
        let unit = field.field("unitCode").and_then(|unit| unit.text()).and_then(|unit| unit.rsplit(':').next());
        let value = field.field("maxValue").or_else(|| field.field("value")).and_then(|value| value.number());
        value.zip(unit.and_then(unit_of)).map(|(value, unit)| Speed::new(value, unit))
    };
    if found.is_none() {
        problems.push(field.unreadable("a speed such as `5 mph`, `5 to 10 mph`, or an object with a `unitCode`"));
    }
    found
}

/// `5 mph`, `5 to 10 mph`: the upper end.
fn written_speed(text: &str) -> Option<Speed> {
    let (figures, unit) = text.trim().rsplit_once(' ')?;
    let upper = figures.rsplit(" to ").next()?;
    let number = upper.trim().parse::<f64>().ok().filter(|number| number.abs() < 1e9)?;
    Some(Speed::new(number, unit_of(unit)?))
}

fn unit_of(unit: &str) -> Option<SpeedUnit> {
    match unit {
        "mph" => Some(SpeedUnit::MilePerHour),
        "km/h" | "km_h-1" => Some(SpeedUnit::KilometrePerHour),
        "m/s" | "m_s-1" => Some(SpeedUnit::MetrePerSecond),
        _ => None,
    }
}

/// A compass point; an empty one is a wind that has none.
fn bearing(field: &Node<'_>, problems: &mut Problems) -> Option<Bearing> {
    let text = field.text().unwrap_or_default();
    if field.text() == Some("") {
        return None;
    }
    let sixteenth = POINTS.iter().position(|point| *point == text);
    if sixteenth.is_none() {
        let found = Problem::error("nws::wind-direction", format!("`{}` is no point of the compass", shown(text)));
        problems
            .push(field.problem(found.expected("one of the sixteen points, such as `N` or `SSW`, or an empty text")));
    }
    sixteenth.map(|sixteenth| Bearing::from_degrees(22.5 * sixteenth as f64))
}

fn fraction<T>(
    period: &Node<'_>,
    name: &str,
    problems: &mut Problems,
    from_percent: impl Fn(f64) -> Result<T, Problems>,
) -> Option<T> {
    let field = period.field(name).filter(|field| !is_unknown(field))?;
    if let Some((percent, "percent")) = quantity(&field) {
        return from_percent(percent).map_err(|faults| problems.extend(field.problems(faults))).ok();
    }
    problems.push(field.unreadable("an object with the `unitCode` `wmoUnit:percent` and a `value`"));
    None
}
