//! An hourly forecast as a table of comma-separated values (RFC 4180).
//!
//! The first line names the columns; each name says its unit. A blank cell means that the figure
//! is missing and is never read as zero. Lines that begin with `#` are comments. The columns and
//! their units are told in `docs/forecast.md`.

mod column;
mod row;
pub(crate) mod sheet;

pub(crate) use column::{COLUMNS, Column};
pub(crate) use row::{RowReader, Spot, Written};

use problem::{Problem, Problems};
use sheet::Cell;
use std::borrow::Cow;
use weather::HourlySeries;

/// Reads a forecast. `file` is the name that its user gave it and only serves messages.
///
/// With the series come warnings: hours missing, columns not read, quantities without a column.
///
/// # Errors
/// Everything wrong with the table, each with its line and column: a column unknown, named twice or
/// in two units, a start without offset from universal time or with another one than the rest, a
/// cell that is no number, a figure out of bounds, an hour twice.
///
/// # Example
/// ```
/// let text = "start,temperature_f,wind_mph\n2026-07-07T07:00-05:00,69,4\n2026-07-07T08:00-05:00,73,\n";
/// let (series, _) = exchange::forecast_csv::parse_forecast("forecast.csv", text).unwrap();
/// assert_eq!(series.hours().len(), 2);
/// assert_eq!(series.hours()[1].wind_speed, None);
/// ```
pub fn parse_forecast(file: &str, text: &str) -> Result<(HourlySeries, Problems), Problems> {
    read(text).map(|(series, problems)| (series, problems.in_file(file))).map_err(|problems| problems.in_file(file))
}

fn read(text: &str) -> Result<(HourlySeries, Problems), Problems> {
    let mut records = sheet::records(text).into_iter();
    let Some(header) = records.next() else {
        return Err(Problem::error("forecast::empty", "the table is empty")
            .expected(
                "a line with the names of the columns, such as `start,temperature_f,wind_mph`, and a line an hour",
            )
            .at_line(1, 1)
            .into());
    };
    let mut problems = Problems::new();
    let columns = column::read_header(&header, &mut problems);
    if !columns.contains(&Some(Column::Start)) {
        // Without its hour no row can be placed, and each would only repeat the same complaint.
        return Err(problems);
    }
    let mut reader = RowReader::default();
    for record in records {
        if let Some(problem) = misshapen(&record, columns.len()) {
            problems.push(problem);
            continue;
        }
        let cells = columns.iter().zip(&record).filter_map(|(column, cell)| Some(((*column)?, cell)));
        let written: Vec<(Column, Written<'_>)> = cells
            .map(|(column, cell)| (column, Written { text: Cow::Borrowed(cell.text.as_str()), spot: cell.spot() }))
            .collect();
        let at = record.first().map_or(Spot::Cell { line: 1, column: 1 }, Cell::spot);
        reader.read(&written, &at, &mut problems);
    }
    reader.finish(problems).map_err(|problems| problems.into_iter().map(|problem| problem.at_line(1, 1)).collect())
}

/// A row that has not one cell for each column.
fn misshapen(record: &[Cell], columns: usize) -> Option<Problem> {
    let first = record.first()?;
    if let Some(cell) = record.iter().find(|cell| cell.text.contains('\n')) {
        return Some(
            Problem::error("forecast::open-quote", "a cell runs over the end of its line")
                .expected("each `\"` that opens a cell closed on the same line")
                .mend("close the quote, or take it away: figures need none")
                .at_line(cell.line, cell.column),
        );
    }
    (record.len() != columns).then(|| {
        let problem = Problem::error(
            "forecast::row-length",
            format!("the row has `{}` cells where the first line names `{columns}` columns", record.len()),
        )
        .expected("one cell a column; an empty one, as in `69,,185`, where a figure is missing");
        let at = record.get(columns).unwrap_or(first);
        if record.len() > columns {
            problem.mend("write decimals with a point, not a comma, and take surplus cells away")
        } else {
            problem.mend("add the commas of the missing cells where they belong")
        }
        .at_line(at.line, at.column)
    })
}
