//! Puts what `weather` finds wrong with a series back to where the reading stands in its file.
//!
//! A problem of a series names the hour or day that it speaks of between backticks; readers remember where each came
//! from.

use problem::Problem;
use std::collections::HashMap;

/// Where a reading stands: its line, and the columns of its single figures.
#[derive(Debug, Clone, Default)]
pub(crate) struct ReadingPlace {
    pub(crate) line: usize,
    pub(crate) column: usize,
    /// Line and column of figures, by the codes of the problems that speak of them.
    pub(crate) figures: Vec<(&'static str, usize, usize)>,
}

/// Places by the words with which a problem names its hour or day.
#[derive(Debug, Default)]
pub(crate) struct Places {
    by_name: HashMap<String, ReadingPlace>,
}

impl Places {
    /// Remembers a reading. Of two for one hour or day the later stands.
    pub(crate) fn remember(&mut self, name: &impl ToString, place: ReadingPlace) {
        self.by_name.insert(name.to_string(), place);
    }

    /// Remembers one more figure of a reading.
    pub(crate) fn remember_figure(&mut self, name: &impl ToString, code: &'static str, line: usize, column: usize) {
        let place = self.by_name.entry(name.to_string()).or_insert(ReadingPlace { line, column, figures: Vec::new() });
        place.figures.push((code, line, column));
    }

    /// The problem with line and column, where it names a reading that is known.
    pub(crate) fn place(&self, problem: Problem) -> Problem {
        let named = problem.found.split('`').skip(1).step_by(2).filter_map(|name| self.by_name.get(name)).last();
        let Some(place) = named else { return problem };
        let figure = place.figures.iter().find(|(code, _, _)| *code == problem.code);
        let (line, column) = figure.map_or((place.line, place.column), |(_, line, column)| (*line, *column));
        problem.at_line(line, column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_goes_to_its_figure_or_its_reading() {
        let mut places = Places::default();
        places.remember(&"2026-05-01", ReadingPlace { line: 3, column: 1, figures: vec![("weather::rain", 3, 12)] });
        places.remember_figure(&"2026-05-02", "weather::rain", 9, 22);
        let at = |code, found: &str| {
            let place = places.place(Problem::error(code, found)).place;
            place.line.zip(place.column)
        };
        assert_eq!(at("weather::rain", "rain `9000 mm` on `2026-05-01`"), Some((3, 12)));
        assert_eq!(at("weather::temperature", "highest `90 °C` on `2026-05-01`"), Some((3, 1)));
        assert_eq!(at("weather::day-gap", "gap from `2026-04-29` to `2026-05-02`"), Some((9, 22)));
        assert_eq!(at("weather::no-days", "no daily reading"), None);
    }
}
