//! The first line of a table, and what its names mean.

use super::column::{DayColumn, HourColumn, Known};
use crate::forecast_csv::sheet::Cell;
use crate::toml_source::{nearest, shown};
use jiff::civil::Date;
use jiff::tz::Offset;
use problem::{Problem, Problems};

/// In which order a date is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DateOrder {
    /// 2026-07-04 or 2026/07/04.
    #[default]
    YearMonthDay,
    /// 7/4/2026 or 07-04-2026, the 4 July.
    MonthDayYear,
    /// 4/7/2026, 04-07-2026 or 4.7.2026, the same day.
    DayMonthYear,
}

impl DateOrder {
    /// A day written in this order.
    pub(super) fn read(self, text: &str) -> Option<Date> {
        let parts: Vec<&str> = text.split(['-', '/', '.']).collect();
        let [first, second, third] = parts[..] else { return None };
        let (year, month, day) = match self {
            Self::YearMonthDay => (first, second, third),
            Self::MonthDayYear => (third, first, second),
            Self::DayMonthYear => (third, second, first),
        };
        let is_number = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        // A year of two digits would be one of the first century.
        if year.len() != 4 || ![year, month, day].into_iter().all(is_number) {
            return None;
        }
        Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
    }

    pub(super) const fn example(self) -> &'static str {
        match self {
            Self::YearMonthDay => "2026-07-04",
            Self::MonthDayYear => "7/4/2026 for 4 July",
            Self::DayMonthYear => "4/7/2026 for 4 July",
        }
    }
}

/// Which columns of somebody's table are which of those known here, and how it writes times.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HeaderMap {
    names: Vec<(String, String)>,
    pub(super) offset: Option<Offset>,
    pub(super) dates: DateOrder,
}

impl HeaderMap {
    /// Pairs of the name in the table and the name known here, such as `("Temp Out", "temperature_f")`.
    ///
    /// # Errors
    /// All of these that are found: a name that is not known here, one that two columns are said to be, one column that
    /// is said to be two.
    pub fn new<A: Into<String>, B: Into<String>>(names: impl IntoIterator<Item = (A, B)>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let names: Vec<(String, String)> = names.into_iter().map(|(own, known)| (own.into(), known.into())).collect();
        let known_names =
            || HourColumn::ALL.iter().map(|(name, _)| *name).chain(DayColumn::ALL.iter().map(|(name, _)| *name));
        for (index, (own, known)) in names.iter().enumerate() {
            let before = &names[..index];
            if !known_names().any(|name| name == known) {
                let mut problem = Problem::error(
                    "weather-table::unknown-name",
                    format!("`{}` is no column known here", shown(known)),
                )
                .expected("a name from docs/weather.md, such as `temperature_c`");
                if let Some(near) = nearest(known, known_names()) {
                    problem = problem.mend(format!("did you mean `{near}`?"));
                }
                problems.push(problem);
            }
            if let Some((other, _)) = before.iter().find(|(_, name)| name == known) {
                problems.push(
                    Problem::error(
                        "weather-table::name-twice",
                        format!("`{}` and `{}` are both said to be `{}`", shown(other), shown(own), shown(known)),
                    )
                    .expected("one column for each quantity"),
                );
            }
            if before.iter().any(|(name, _)| name == own) {
                problems.push(
                    Problem::error("weather-table::column-twice", format!("`{}` is said to be two things", shown(own)))
                        .expected("one meaning for each column"),
                );
            }
        }
        problems.unless_errors(Self { names, ..Self::default() }).map(|(map, _)| map)
    }

    /// With the offset from universal time of hours that are written without one.
    #[must_use]
    pub fn with_offset(self, offset: Offset) -> Self {
        Self { offset: Some(offset), ..self }
    }

    /// With the order in which dates are written.
    #[must_use]
    pub fn with_dates(self, dates: DateOrder) -> Self {
        Self { dates, ..self }
    }

    /// The name known here of a column of the table.
    pub(crate) fn meaning<'n>(&'n self, own: &'n str) -> &'n str {
        self.names.iter().find(|(name, _)| name == own).map_or(own, |(_, known)| known)
    }
}

/// What each column holds; `None` after writing down why no row can be read.
pub(super) fn read<C: Known>(header: &[Cell], map: &HeaderMap, problems: &mut Problems) -> Option<Vec<Option<C>>> {
    let at = header.first().map_or((1, 1), |cell| (cell.line, cell.column));
    if let [only] = header
        && only.text.contains([';', '\t'])
    {
        problems.push(
            Problem::error("weather-table::separator", "the first line has no comma between its names")
                .expected("cells parted by commas, decimals with a point")
                .mend("save the table once more as CSV with commas")
                .at_line(only.line, only.column),
        );
        return None;
    }
    for (own, known) in &map.names {
        if !header.iter().any(|cell| cell.text == *own) {
            let mut problem = Problem::error(
                "weather-table::column-missing",
                format!("there is no column `{}`, which is said to be `{}`", shown(own), shown(known)),
            )
            .expected("the name as it stands in the first line of the table");
            if let Some(near) = nearest(own, header.iter().map(|cell| cell.text.as_str())) {
                problem = problem.mend(format!("did you mean `{}`?", shown(near)));
            }
            problems.push(problem.at_line(at.0, at.1));
        }
    }
    let mut columns: Vec<Option<C>> = Vec::with_capacity(header.len());
    let mut passed_over = Vec::new();
    for cell in header {
        let column = C::from_name(map.meaning(&cell.text));
        match column {
            None => passed_over.push(format!("`{}`", shown(&cell.text))),
            Some(column) => {
                if let Some(before) = columns.iter().flatten().find(|before| before.is_same_quantity(column)) {
                    let found = format!("`{}` and `{}` name the same quantity", before.name(), column.name());
                    problems.push(
                        Problem::error("weather-table::column-twice", found)
                            .expected("one column for each quantity")
                            .mend("delete one of the two columns")
                            .at_line(cell.line, cell.column),
                    );
                }
            }
        }
        columns.push(column);
    }
    let names: Vec<String> = C::ALL.iter().map(|(name, _)| format!("`{name}`")).collect();
    if !columns.iter().flatten().any(|column| !column.is_time()) {
        problems.push(
            Problem::error("weather-table::no-column", "the first line names no quantity known here")
                .expected(format!("columns out of {}", names.join(", ")))
                .mend("say which column is which, or name them so")
                .at_line(at.0, at.1),
        );
    } else if !passed_over.is_empty() {
        problems.push(
            Problem::warning(
                "weather-table::not-read",
                format!("columns that are not read: {}", passed_over.join(", ")),
            )
            .expected(format!("columns out of {}", names.join(", ")))
            .mend("nothing, if nothing in them is needed")
            .at_line(at.0, at.1),
        );
    }
    if !columns.iter().flatten().any(|column| column.is_time()) {
        let (name, _) = C::ALL[0];
        problems.push(
            Problem::error("weather-table::no-time", format!("there is no column `{name}`"))
                .expected(format!("in each row the hour or day that it is of, in a column `{name}`"))
                .mend(format!("say which column is `{name}`"))
                .at_line(at.0, at.1),
        );
    }
    if problems.has_errors() { None } else { Some(columns) }
}
