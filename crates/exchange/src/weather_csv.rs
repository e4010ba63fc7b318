//! Recorded weather as a table of comma-separated values (RFC 4180), by the hour or by the day.
//!
//! The first line names the columns. Names known here say their unit; a table of another program is read with a
//! [`HeaderMap`] that says which of its columns is which. A blank cell means that the figure is missing and is never read
//! as zero. Lines that begin with `#` are comments. The columns and their units are told in `docs/weather.md`.

mod column;
mod days;
mod header;
mod hours;

pub use days::parse_days;
pub use header::{DateOrder, HeaderMap};
pub use hours::parse_hours;

use crate::forecast_csv::sheet::Cell;
use crate::toml_source::shown;
use column::Known;
use problem::{Problem, Problems};

/// A row: what is in each of the columns that are read, and where it begins.
struct Row<'t, C> {
    cells: Vec<(C, &'t Cell)>,
    line: usize,
    column: usize,
}

impl<C: Known> Row<'_, C> {
    fn cell(&self, wanted: C) -> Option<&Cell> {
        let found = self.cells.iter().find(|(column, _)| column.is_same_quantity(wanted)).map(|(_, cell)| *cell);
        found.filter(|cell| !cell.text.is_empty())
    }

    /// Every figure of the row that is not blank and can be read, with its column; the others are reported.
    fn figures(&self, problems: &mut Problems) -> Vec<(C, f64, &Cell)> {
        let mut figures = Vec::new();
        for (column, cell) in self.cells.iter().filter(|(column, cell)| !column.is_time() && !cell.text.is_empty()) {
            match number(cell) {
                Ok(figure) => figures.push((*column, figure, *cell)),
                Err(problem) => problems.push(problem.at(column.name())),
            }
        }
        figures
    }
}

/// Takes a table apart and hands out its rows; `None` after writing down why there is nothing to read.
fn rows<'t, C: Known>(records: &'t [Vec<Cell>], map: &HeaderMap, problems: &mut Problems) -> Option<Vec<Row<'t, C>>> {
    let Some((first, records)) = records.split_first() else {
        problems.push(
            Problem::error("weather-table::empty", "the table is empty")
                .expected("a line with the names of the columns, and a line for each reading")
                .at_line(1, 1),
        );
        return None;
    };
    let columns = header::read::<C>(first, map, problems)?;
    let mut rows = Vec::with_capacity(records.len());
    for record in records {
        let at = record.first().map_or((1, 1), |cell| (cell.line, cell.column));
        if record.len() != columns.len() {
            let found =
                format!("the row has `{}` cells where the first line names `{}` columns", record.len(), columns.len());
            problems.push(
                Problem::error("weather-table::row-length", found)
                    .expected("one cell a column; an empty one where a figure is missing")
                    .mend("write decimals with a point, and put cells with a comma in them between quotes")
                    .at_line(at.0, at.1),
            );
            continue;
        }
        let cells = columns.iter().zip(record).filter_map(|(column, cell)| Some(((*column)?, cell))).collect();
        rows.push(Row { cells, line: at.0, column: at.1 });
    }
    if rows.is_empty() && !problems.has_errors() {
        problems.push(
            Problem::error("weather-table::no-rows", "there is no reading in the table")
                .expected("a reading in each row, below the names of the columns")
                .at_line(1, 1),
        );
    }
    Some(rows)
}

fn number(cell: &Cell) -> Result<f64, Problem> {
    // Figures far past any weather would overflow in another unit.
    if let Some(number) = cell.text.parse::<f64>().ok().filter(|number| number.abs() < 1e9) {
        return Ok(number);
    }
    let mend = if cell.text.replace(',', ".").parse::<f64>().is_ok_and(f64::is_finite) {
        "write the decimals with a point"
    } else if cell.text.starts_with(|c: char| c.is_ascii_digit()) {
        "write the figure alone: the name of the column says the unit"
    } else {
        "correct it, or leave the cell empty when the figure is not known"
    };
    Err(Problem::error("weather-table::bad-number", format!("`{}` is no figure", shown(&cell.text)))
        .expected("a number such as `4` or `0.15`")
        .mend(mend)
        .at_line(cell.line, cell.column))
}

#[cfg(test)]
mod tests;
