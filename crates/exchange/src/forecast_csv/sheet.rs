//! Cells of a comma-separated text, each with its line and column.

use super::row::Spot;
use crate::json_place::line_and_column;

/// One cell, without blanks at its ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cell {
    pub(crate) text: String,
    pub(crate) line: usize,
    pub(crate) column: usize,
}

impl Cell {
    pub(crate) fn spot(&self) -> Spot {
        Spot::Cell { line: self.line, column: self.column }
    }
}

/// The rows that are neither empty nor comments.
pub(crate) fn records(text: &str) -> Vec<Vec<Cell>> {
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut lines = LineCount::default();
    for record in reader.records() {
        // The text is UTF-8 and rows may have any length: nothing is left that could fail.
        let Ok(record) = record else { continue };
        let from = record.position().map_or(0, |position| position.byte() as usize);
        let start = row_start(text, from);
        let line = lines.of(text, start);
        let starts = cell_starts(&text[start..]);
        let row: Vec<Cell> = record
            .iter()
            .enumerate()
            .map(|(index, cell)| {
                let at = starts.get(index).or(starts.last()).copied().unwrap_or(0);
                let (down, column) = line_and_column(&text[start..], at);
                // A byte-order mark belongs to the text's coding, not to the name of its first column.
                Cell { text: cell.trim_start_matches('\u{feff}').trim().to_owned(), line: line + down - 1, column }
            })
            .collect();
        if row.iter().any(|cell| !cell.text.is_empty()) {
            rows.push(row);
        }
    }
    rows
}

/// Counts lines onward, so that a long text is gone through once.
#[derive(Default)]
struct LineCount {
    at: usize,
    ends: usize,
}

impl LineCount {
    fn of(&mut self, text: &str, at: usize) -> usize {
        self.ends += text[self.at..at].matches('\n').count();
        self.at = at;
        self.ends + 1
    }
}

/// Where a row begins that the CSV reader reports from the comments and empty lines before it.
fn row_start(text: &str, from: usize) -> usize {
    let mut at = text.floor_char_boundary(from);
    while let Some(first) = text[at..].chars().next() {
        match first {
            '\n' | '\r' => at += 1,
            '#' => at = text[at..].find('\n').map_or(text.len(), |end| at + end + 1),
            _ => break,
        }
    }
    at
}

/// The bytes at which the cells of the first row of a text begin.
fn cell_starts(row: &str) -> Vec<usize> {
    let mut starts = vec![0];
    let mut quoted = false;
    for (at, byte) in row.bytes().enumerate() {
        match byte {
            b'"' => quoted = !quoted,
            b',' if !quoted => starts.push(at + 1),
            b'\n' | b'\r' if !quoted => break,
            _ => {}
        }
    }
    starts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_know_their_place_past_comments_and_quotes() {
        let rows = records("# one\n\n\u{feff}a,\"b,c\",d\r\n# two\n1, 2 ,3\n,,\n");
        let placed: Vec<Vec<(&str, usize, usize)>> =
            rows.iter().map(|row| row.iter().map(|c| (c.text.as_str(), c.line, c.column)).collect()).collect();
        assert_eq!(
            placed,
            [vec![("a", 3, 1), ("b,c", 3, 4), ("d", 3, 10)], vec![("1", 5, 1), ("2", 5, 3), ("3", 5, 7)]]
        );
    }
}
