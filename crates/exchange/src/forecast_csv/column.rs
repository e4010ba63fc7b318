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
const STEMS: &[&str] = &["start", "time", "date", "hour", "temp", "wind", "gust", "rain", "precip", "humid"];

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
    let at = header.first().map_or((1, 1), |cell| (cell.line, cell.column));
    if !columns.contains(&Some(Column::Start)) {
        problems.push(
            Problem::error("forecast::no-start", "there is no column `start`")
                .expected("in each row the start of its hour, such as `2026-07-07T07:00-05:00`")
                .mend("name the column of the hours `start`; if the first line holds figures, put a line of names before it")
                .at_line(at.0, at.1),
        );
    }
    for (wanted, what) in [
        (Column::Wind(SpeedUnit::MilePerHour), "wind"),
        (Column::Temperature(TemperatureUnit::Celsius), "temperature"),
        (Column::Rain(LengthUnit::Millimetre), "rain"),
    ] {
        let near = header.iter().any(|cell| Column::from_name(&cell.text).is_none() && is_stem(&cell.text, what));
        if !near && !columns.iter().flatten().any(|column| column.is_same_quantity(wanted)) {
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

fn is_stem(name: &str, stem: &str) -> bool {
    name.to_ascii_lowercase().starts_with(stem)
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
    let all = || COLUMNS.iter().map(|(name, _)| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let near = nearest(&cell.text, COLUMNS.iter().map(|(name, _)| *name));
    let means_known = near.is_some() || STEMS.iter().any(|stem| is_stem(&cell.text, stem));
    let problem = if name.is_empty() {
        Problem::error("forecast::unnamed-column", "a column has no name")
            .expected(format!("one of {}", all()))
            .mend("name it, or take the column away")
    } else if means_known {
        Problem::error("forecast::unknown-column", format!("`{name}` is no column known here"))
            .expected(format!("a name that says its unit, one of {}", all()))
            .mend(near.map_or_else(
                || "rename the column, or take it away".to_owned(),
                |near| format!("did you mean `{near}`?"),
            ))
    } else {
        Problem::warning("forecast::column-not-read", format!("the column `{name}` is not read"))
            .expected(format!("columns out of {}", all()))
            .mend("nothing, if nothing in it is needed")
    };
    problem.at_line(cell.line, cell.column)
}
