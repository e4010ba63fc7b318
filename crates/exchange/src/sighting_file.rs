//! Which stages of a pest were found on which day: a table of comma-separated values (`date,stage,count`), or a line such
//! as `2026-05-12: egg 3, nymph 12`.

use crate::forecast_csv::sheet::{Cell, records};
use crate::toml_source::shown;
use jiff::civil::Date;
use phenology::StageSighting;
use problem::{Problem, Problems};

const COLUMNS: [&str; 3] = ["date", "stage", "count"];

/// Reads a line.
///
/// # Errors
/// Everything that is wrong with it.
pub fn parse_sighting(text: &str) -> Result<StageSighting, Problems> {
    let like = "a day and what was found, such as `2026-05-12: egg 3, nymph 12`";
    let wrong = |found: String| Problem::error("sighting::line", found).expected(like);
    let Some((day, found)) = text.split_once(':') else {
        return Err(wrong(format!("there is no day in `{}`", shown(text))).into());
    };
    let mut problems = Problems::new();
    let date = day_of(day).map_err(|problem| problems.push(problem)).ok();
    let mut counts = Vec::new();
    for part in found.split(',') {
        let (stage, count) = part.trim().rsplit_once(char::is_whitespace).unwrap_or((part.trim(), ""));
        match count.parse() {
            Ok(count) if !stage.trim().is_empty() => counts.push((stage.trim().to_owned(), count)),
            _ => problems.push(wrong(format!("`{}` is no stage with its count", shown(part.trim())))),
        }
    }
    match date {
        Some(date) if !problems.has_errors() => Ok(StageSighting { date, counts }),
        _ => Err(problems),
    }
}

/// Reads a table; rows of one day are one sighting. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the table, each with its line and column.
pub fn parse_sightings(file: &str, text: &str) -> Result<Vec<StageSighting>, Problems> {
    read(text).map_err(|problems| problems.in_file(file))
}

fn read(text: &str) -> Result<Vec<StageSighting>, Problems> {
    let rows = records(text);
    let mut problems = Problems::new();
    let Some((header, rows)) = rows.split_first() else {
        return Err(Problem::error("sighting::empty", "the table is empty")
            .expected("a line `date,stage,count`, and a line for each stage that was found on a day")
            .at_line(1, 1)
            .into());
    };
    let place = |name: &str| header.iter().position(|cell| cell.text.eq_ignore_ascii_case(name));
    let places = COLUMNS.map(place);
    for (name, _) in COLUMNS.iter().zip(places).filter(|(_, place)| place.is_none()) {
        problems.push(
            Problem::error("sighting::column", format!("there is no column `{name}`"))
                .expected("a first line `date,stage,count`")
                .at_line(1, 1),
        );
    }
    let [Some(date), Some(stage), Some(count)] = places else { return Err(problems) };
    let mut sightings: Vec<StageSighting> = Vec::new();
    for row in rows {
        let at = row.first().map_or((1, 1), |cell| (cell.line, cell.column));
        let cell = |place: usize| row.get(place).filter(|cell| !cell.text.is_empty());
        let (Some(date), Some(stage), Some(count)) = (cell(date), cell(stage), cell(count)) else {
            problems.push(
                Problem::error("sighting::row", "a cell of the row is empty or missing")
                    .expected("a day, a stage and a count in each row")
                    .at_line(at.0, at.1),
            );
            continue;
        };
        let put = |problem: Problem, cell: &Cell| problem.at_line(cell.line, cell.column);
        let day = day_of(&date.text).map_err(|problem| problems.push(put(problem, date))).ok();
        let number = count.text.parse::<u32>().ok();
        if number.is_none() {
            problems.push(put(
                Problem::error("sighting::count", format!("`{}` is no count", shown(&count.text)))
                    .expected("a whole number, 0 or more"),
                count,
            ));
        }
        if let (Some(day), Some(number)) = (day, number) {
            let counted = (stage.text.clone(), number);
            match sightings.iter_mut().find(|sighting| sighting.date == day) {
                Some(sighting) => sighting.counts.push(counted),
                None => sightings.push(StageSighting { date: day, counts: vec![counted] }),
            }
        }
    }
    problems.unless_errors(sightings).map(|(sightings, _)| sightings)
}

fn day_of(text: &str) -> Result<Date, Problem> {
    let text = text.trim();
    let is_plain = text.len() == 10 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
    text.parse().ok().filter(|_| is_plain).ok_or_else(|| {
        Problem::error("sighting::day", format!("`{}` is no day", shown(text)))
            .expected("year, month and day, such as `2026-05-12`")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_line_and_a_table_say_the_same() {
        let line = parse_sighting("2026-05-12: egg 3, small larva 12").unwrap();
        assert_eq!(line.date, date(2026, 5, 12));
        assert_eq!(line.counts, [("egg".to_owned(), 3), ("small larva".to_owned(), 12)]);
        let table = "# found on the third green\ndate,stage,count\n2026-05-12,egg,3\n2026-05-12,small larva,12\n";
        assert_eq!(parse_sightings("x", table).unwrap(), [line]);
    }

    #[test]
    fn everything_wrong_is_told_at_once() {
        let codes = |found: Problems| found.iter().map(|problem| problem.code).collect::<Vec<_>>();
        assert_eq!(
            codes(parse_sighting("12 May: egg, nymph three, larva 4").unwrap_err()),
            ["sighting::day", "sighting::line", "sighting::line"]
        );
        assert_eq!(codes(parse_sighting("egg 3").unwrap_err()), ["sighting::line"]);
        assert_eq!(codes(parse_sightings("x", "").unwrap_err()), ["sighting::empty"]);
        assert_eq!(codes(parse_sightings("x", "day,stage,n\n").unwrap_err()), ["sighting::column"; 2]);
        let table = "date,stage,count\n5/12/2026,egg,-1\n2026-05-12,egg\n";
        let found = parse_sightings("x", table).unwrap_err();
        let places: Vec<_> = found.iter().map(|problem| (problem.place.line, problem.place.column)).collect();
        assert_eq!(places, [(Some(2), Some(1)), (Some(2), Some(15)), (Some(3), Some(1))]);
        assert_eq!(codes(found), ["sighting::day", "sighting::count", "sighting::row"]);
    }
}
