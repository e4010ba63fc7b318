//! The columns of tables of recorded weather.

use quantity::{LengthUnit, SpeedUnit, TemperatureUnit};

/// A kind of column.
pub(super) trait Known: Copy + PartialEq + 'static {
    /// Every column by its name, the one that must be there first.
    const ALL: &'static [(&'static str, Self)];

    /// Whether it says of which hour or day the row is.
    fn is_time(self) -> bool;

    /// The code of the problems of `weather` that speak of it.
    fn code(self) -> &'static str;

    /// Whether both hold the same quantity, in whatever unit.
    fn is_same_quantity(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
    }

    /// The name that it has here.
    fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, column)| *column == self).map_or("", |(name, _)| name)
    }

    fn from_name(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, column)| *column)
    }
}

const CELSIUS: TemperatureUnit = TemperatureUnit::Celsius;
const FAHRENHEIT: TemperatureUnit = TemperatureUnit::Fahrenheit;

/// What a column of an hourly table holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HourColumn {
    Start,
    Date,
    Time,
    Temperature(TemperatureUnit),
    DewPoint(TemperatureUnit),
    Humidity,
    Wind(SpeedUnit),
    Gust(SpeedUnit),
    WindFrom,
    Rain(LengthUnit),
    RainChance,
    Pressure,
    Irradiance,
    CloudCover,
}

impl Known for HourColumn {
    const ALL: &'static [(&'static str, Self)] = &[
        ("start", Self::Start),
        ("date", Self::Date),
        ("time", Self::Time),
        ("temperature_f", Self::Temperature(FAHRENHEIT)),
        ("temperature_c", Self::Temperature(CELSIUS)),
        ("dew_point_f", Self::DewPoint(FAHRENHEIT)),
        ("dew_point_c", Self::DewPoint(CELSIUS)),
        ("humidity_pct", Self::Humidity),
        ("wind_mph", Self::Wind(SpeedUnit::MilePerHour)),
        ("wind_km_h", Self::Wind(SpeedUnit::KilometrePerHour)),
        ("wind_m_s", Self::Wind(SpeedUnit::MetrePerSecond)),
        ("wind_kn", Self::Wind(SpeedUnit::Knot)),
        ("gust_mph", Self::Gust(SpeedUnit::MilePerHour)),
        ("gust_km_h", Self::Gust(SpeedUnit::KilometrePerHour)),
        ("gust_m_s", Self::Gust(SpeedUnit::MetrePerSecond)),
        ("gust_kn", Self::Gust(SpeedUnit::Knot)),
        ("wind_from_deg", Self::WindFrom),
        ("rain_in", Self::Rain(LengthUnit::Inch)),
        ("rain_mm", Self::Rain(LengthUnit::Millimetre)),
        ("rain_chance_pct", Self::RainChance),
        ("pressure_hpa", Self::Pressure),
        ("irradiance_w_m2", Self::Irradiance),
        ("cloud_cover_pct", Self::CloudCover),
    ];

    fn is_time(self) -> bool {
        matches!(self, Self::Start | Self::Date | Self::Time)
    }

    fn code(self) -> &'static str {
        match self {
            Self::Start | Self::Date | Self::Time => "weather::whole-hour",
            Self::Temperature(_) => "weather::temperature",
            Self::DewPoint(_) => "weather::dew-point",
            Self::Humidity => "weather::relative-humidity",
            Self::Wind(_) => "weather::wind",
            Self::Gust(_) => "weather::gust",
            Self::WindFrom => "weather-table::wind-from",
            Self::Rain(_) => "weather::rain",
            Self::RainChance => "weather::chance",
            Self::Pressure => "weather::pressure",
            Self::Irradiance => "weather::irradiance",
            Self::CloudCover => "weather::cloud-cover",
        }
    }
}

/// What a column of a daily table holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DayColumn {
    Date,
    Highest(TemperatureUnit),
    Lowest(TemperatureUnit),
    Rain(LengthUnit),
    Humidity,
    Wind(SpeedUnit),
    Radiation,
}

impl Known for DayColumn {
    const ALL: &'static [(&'static str, Self)] = &[
        ("date", Self::Date),
        ("highest_f", Self::Highest(FAHRENHEIT)),
        ("highest_c", Self::Highest(CELSIUS)),
        ("lowest_f", Self::Lowest(FAHRENHEIT)),
        ("lowest_c", Self::Lowest(CELSIUS)),
        ("rain_in", Self::Rain(LengthUnit::Inch)),
        ("rain_mm", Self::Rain(LengthUnit::Millimetre)),
        ("humidity_pct", Self::Humidity),
        ("wind_mph", Self::Wind(SpeedUnit::MilePerHour)),
        ("wind_km_h", Self::Wind(SpeedUnit::KilometrePerHour)),
        ("wind_m_s", Self::Wind(SpeedUnit::MetrePerSecond)),
        ("wind_kn", Self::Wind(SpeedUnit::Knot)),
        ("radiation_mj_m2", Self::Radiation),
    ];

    fn is_time(self) -> bool {
        self == Self::Date
    }

    fn code(self) -> &'static str {
        match self {
            Self::Date => "weather::day-twice",
            Self::Highest(_) => "weather::temperature",
            Self::Lowest(_) => "weather::extremes",
            Self::Rain(_) => "weather::rain",
            Self::Humidity => "weather::relative-humidity",
            Self::Wind(_) => "weather::wind",
            Self::Radiation => "weather::radiation",
        }
    }
}
