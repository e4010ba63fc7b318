//! The columns of a forecast.

use super::sheet::Cell;
use crate::toml_source::nearest;
use problem::{Problem, Problems};
use quantity::{LengthUnit, SpeedUnit, TemperatureUnit};

/// What a column holds, and in which unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Column {
    Start,
    Temperature(TemperatureUnit),
    Wind(SpeedUnit),
    Gust(SpeedUnit),
    WindFrom,
    Rain(LengthUnit),
    RainChance,
    Humidity,
}

/// Every column by its name.
pub(crate) const COLUMNS: &[(&str, Column)] = &[
    ("start", Column::Start),
    ("temperature_f", Column::Temperature(TemperatureUnit::Fahrenheit)),
    ("temperature_c", Column::Temperature(TemperatureUnit::Celsius)),
    ("wind_mph", Column::Wind(SpeedUnit::MilePerHour)),
    ("wind_km_h", Column::Wind(SpeedUnit::KilometrePerHour)),
    ("wind_m_s", Column::Wind(SpeedUnit::MetrePerSecond)),
    ("gust_mph", Column::Gust(SpeedUnit::MilePerHour)),
    ("gust_km_h", Column::Gust(SpeedUnit::KilometrePerHour)),
    ("gust_m_s", Column::Gust(SpeedUnit::MetrePerSecond)),
    ("wind_from_deg", Column::WindFrom),
    ("rain_in", Column::Rain(LengthUnit::Inch)),
    ("rain_mm", Column::Rain(LengthUnit::Millimetre)),
    ("rain_chance_pct", Column::RainChance),
    ("humidity_pct", Column::Humidity),
];

impl Column {
    fn from_name(name: &str) -> Option<Self> {
        COLUMNS.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, column)| *column)
    }

    /// The name it has in the file.
    pub(crate) fn name(self) -> &'static str {
        COLUMNS.iter().find(|(_, column)| *column == self).map_or("", |(name, _)| name)
    }

    /// Whether both hold the same quantity, in whatever unit.
    pub(crate) fn is_same_quantity(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
    }
}

/// The words with which the name of a column begins when it means a quantity known here.
const STEMS: &[(&str, Column)] = &[
    ("start", Column::Start),
    ("time", Column::Start),
    ("date", Column::Start),
    ("hour", Column::Start),
    ("temp", Column::Temperature(TemperatureUnit::Celsius)),
    ("wind_from", Column::WindFrom),
    ("wind_dir", Column::WindFrom),
    ("winddir", Column::WindFrom),
    ("wind_gust", Column::Gust(SpeedUnit::MetrePerSecond)),
    ("wind", Column::Wind(SpeedUnit::MetrePerSecond)),
    ("gust", Column::Gust(SpeedUnit::MetrePerSecond)),
    ("rain_chance", Column::RainChance),
    ("precip_chance", Column::RainChance),
    ("rain", Column::Rain(LengthUnit::Millimetre)),
    ("precip", Column::Rain(LengthUnit::Millimetre)),
    ("humid", Column::Humidity),
    ("relative_humid", Column::Humidity),
];

pub(super) fn read_header(header: &[Cell], problems: &mut Problems) -> Vec<Option<Column>> {
    if let [only] = header
        && only.text.contains([';', '\t'])
    {
        problems.push(
            Problem::error("forecast::separator", "the first line has no comma between its names")
                .expected("cells parted by commas, decimals with a point")
                .mend("save the table once more as CSV with commas")
                .at_line(only.line, only.column),
        );
        return vec![None];
    }
    let at = header.first().map_or((1, 1), |cell| (cell.line, cell.column));
    if !header.iter().any(|cell| Column::from_name(&cell.text).is_some() || stem_of(&cell.text).is_some()) {
        problems.push(
            Problem::error("forecast::no-header", "the first line names no column known here")
                .expected(format!("names such as {}", all_names()))
                .mend("put a line with the names of the columns before the figures")
                .at_line(at.0, at.1),
        );
        return Vec::new();
    }
    let mut columns: Vec<Option<Column>> = Vec::new();
    for cell in header {
        let column = Column::from_name(&cell.text);
        match column {
            None => problems.push(unknown(cell)),
            Some(column) => {
                if let Some(before) = columns.iter().flatten().find(|before| before.is_same_quantity(column)) {
                    problems.push(
                        Problem::error(
                            "forecast::column-twice",
                            format!("`{}` and `{}` name the same quantity", before.name(), column.name()),
                        )
                        .expected("one column for each quantity")
                        .mend("delete one of the two columns")
                        .at_line(cell.line, cell.column),
                    );
                }
            }
        }
        columns.push(column);
    }
    if !columns.contains(&Some(Column::Start)) {
        if !header.iter().any(|cell| stem_of(&cell.text) == Some(Column::Start)) {
            problems.push(
                Problem::error("forecast::no-start", "there is no column `start`")
                    .expected("in each row the start of its hour, such as `2026-07-07T07:00-05:00`")
                    .mend("name the column of the hours `start`")
                    .at_line(at.0, at.1),
            );
        }
        return columns;
    }
    for (wanted, what) in [
        (Column::Wind(SpeedUnit::MilePerHour), "wind"),
        (Column::Temperature(TemperatureUnit::Celsius), "temperature"),
        (Column::Rain(LengthUnit::Millimetre), "rain"),
    ] {
        let is_meant = |cell: &Cell| stem_of(&cell.text).is_some_and(|stem| stem.is_same_quantity(wanted));
        if !header.iter().any(is_meant) && !columns.iter().flatten().any(|column| column.is_same_quantity(wanted)) {
            problems.push(
                Problem::warning("forecast::not-told", format!("no column tells the {what}"))
                    .expected(format!("a column {}", names_of(wanted)))
                    .mend(format!("add it, or every hour counts as one of unknown {what}"))
                    .at_line(at.0, at.1),
            );
        }
    }
    columns
}

/// The quantity that a name seems to mean.
fn stem_of(name: &str) -> Option<Column> {
    let name = name.to_ascii_lowercase().replace([' ', '-'], "_");
    STEMS.iter().find(|(stem, _)| name.starts_with(stem)).map(|(_, column)| *column)
}

fn all_names() -> String {
    COLUMNS.iter().map(|(name, _)| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}

fn names_of(column: Column) -> String {
    let names: Vec<String> = COLUMNS
        .iter()
        .filter(|(_, known)| known.is_same_quantity(column))
        .map(|(name, _)| format!("`{name}`"))
        .collect();
    names.join(" or ")
}

fn unknown(cell: &Cell) -> Problem {
    let name = crate::toml_source::shown(&cell.text);
    let problem = if name.is_empty() {
        Problem::error("forecast::unnamed-column", "a column has no name")
            .expected(format!("one of {}", all_names()))
            .mend("name it, or take the column away")
    } else if let Some(column) = stem_of(&cell.text) {
        Problem::error("forecast::unknown-column", format!("`{name}` is no column known here"))
            .expected(names_of(column))
            .mend(match column {
                Column::Start => "name the column of the hours `start`, with day and hour in one cell",
                _ => "rename the column so that its name says the unit, or take it away",
            })
    } else if let Some(near) = nearest(&cell.text, COLUMNS.iter().map(|(name, _)| *name)) {
        Problem::error("forecast::unknown-column", format!("`{name}` is no column known here"))
            .expected(format!("one of {}", all_names()))
            .mend(format!("did you mean `{near}`?"))
    } else {
        Problem::warning("forecast::column-not-read", format!("the column `{name}` is not read"))
            .expected(format!("columns out of {}", all_names()))
            .mend("nothing, if nothing in it is needed")
    };
    problem.at_line(cell.line, cell.column)
}
