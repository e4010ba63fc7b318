//! What is wrong with an input: a code, what was found, what was expected, how to mend it,
//! and the place, which the reader of the input adds. Lists of them, never just the first.
//!
//! This crate must not know: any format, any trade rule. It prints nothing; [`std::fmt::Display`]
//! only gives the wording that a command or a page may show.

use std::fmt;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The input is used, and the reader should know.
    Warning,
    /// The input is refused whole.
    Error,
}

/// Where in an input something was found. Every part is optional: the domain says what is wrong,
/// and the reader of the file adds where.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// The file as its user named it.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// The field or feature, such as `use[2].rate` or `feature "hedge"`.
    pub path: Option<String>,
    /// The spot on the Earth, of what lies on a map.
    pub spot: Option<Spot>,
}

/// A spot on the Earth (WGS 84), held in whole billionths of a degree: a tenth of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    east: i64,
    north: i64,
}

impl Spot {
    /// Billionths of a degree in a degree.
    const PER_DEGREE: f64 = 1e9;

    /// The spot at degrees east of Greenwich and north of the equator; `None` for numbers that are none.
    pub fn from_degrees(longitude: f64, latitude: f64) -> Option<Self> {
        let is_one = (-180.0..=180.0).contains(&longitude) && (-90.0..=90.0).contains(&latitude);
        let whole = |degrees: f64| (degrees * Self::PER_DEGREE).round() as i64;
        is_one.then(|| Self { east: whole(longitude), north: whole(latitude) })
    }

    /// Degrees east of Greenwich.
    pub fn longitude(self) -> f64 {
        self.east as f64 / Self::PER_DEGREE
    }

    /// Degrees north of the equator.
    pub fn latitude(self) -> f64 {
        self.north as f64 / Self::PER_DEGREE
    }
}

impl Place {
    /// A place known only by the field or feature that it concerns.
    pub fn at(path: impl Into<String>) -> Self {
        Self { path: Some(path.into()), ..Self::default() }
    }
}

/// One thing that is wrong with an input.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Problem {
    /// Stable code such as `label::rate-range`; it never changes its meaning.
    pub code: &'static str,
    /// Whether the input is refused for it.
    pub severity: Severity,
    /// What was found, lower case, values in backticks, no final stop.
    pub found: String,
    /// What was expected in its stead.
    pub expected: Option<String>,
    /// How to mend it.
    pub mend: Option<String>,
    /// Where it was found.
    pub place: Place,
}

impl Problem {
    /// A problem for which the input is refused.
    pub fn error(code: &'static str, found: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            found: found.into(),
            expected: None,
            mend: None,
            place: Place::default(),
        }
    }

    /// A problem that is shown while the input is used.
    pub fn warning(code: &'static str, found: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, found) }
    }

    /// Says what was expected.
    #[must_use]
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = Some(mend.into());
        self
    }

    /// Names the field or feature, unless one is named already.
    #[must_use]
    pub fn at(mut self, path: impl Into<String>) -> Self {
        if self.place.path.is_none() {
            self.place.path = Some(path.into());
        }
        self
    }

    /// Adds the spot on the Earth, unless one is known already.
    #[must_use]
    pub fn on_earth(mut self, spot: Option<Spot>) -> Self {
        self.place.spot = self.place.spot.or(spot);
        self
    }

    /// Adds the file, unless one is named already.
    #[must_use]
    pub fn in_file(mut self, file: impl Into<String>) -> Self {
        if self.place.file.is_none() {
            self.place.file = Some(file.into());
        }
        self
    }

    /// Adds line and column (both from 1), unless known already.
    #[must_use]
    pub fn at_line(mut self, line: usize, column: usize) -> Self {
        if self.place.line.is_none() {
            self.place.line = Some(line);
            self.place.column = Some(column);
        }
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, "{word}[{}]: {}", self.code, self.found)?;
        let place = &self.place;
        if place.file.is_some() || place.path.is_some() {
            f.write_str("\n  -->")?;
            if let Some(file) = &place.file {
                write!(f, " {file}")?;
                if let Some(line) = place.line {
                    write!(f, ":{line}")?;
                    if let Some(column) = place.column {
                        write!(f, ":{column}")?;
                    }
                }
            }
            if let Some(path) = &place.path {
                let gap = if place.file.is_some() { "   " } else { " " };
                write!(f, "{gap}{path}")?;
            }
        }
        if let Some(expected) = &self.expected {
            write!(f, "\n  expected: {expected}")?;
        }
        if let Some(mend) = &self.mend {
            write!(f, "\n  mend: {mend}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

/// Every problem of one input, in the order found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    /// An empty list.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one problem.
    pub fn push(&mut self, problem: Problem) {
        self.list.push(problem);
    }

    /// Adds all of another list.
    pub fn extend(&mut self, others: impl IntoIterator<Item = Problem>) {
        self.list.extend(others);
    }

    /// Adds those of another list that say something new: the same code and finding once, wherever it was placed.
    pub fn extend_untold(&mut self, others: impl IntoIterator<Item = Problem>) {
        for other in others {
            if !self.list.iter().any(|told| told.code == other.code && told.found == other.found) {
                self.list.push(other);
            }
        }
    }

    /// Whether nothing at all was found.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// How many were found.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether the input must be refused.
    pub fn has_errors(&self) -> bool {
        self.list.iter().any(|problem| problem.severity == Severity::Error)
    }

    /// The problems in order.
    pub fn iter(&self) -> std::slice::Iter<'_, Problem> {
        self.list.iter()
    }

    /// Adds the file to every problem that names none.
    #[must_use]
    pub fn in_file(self, file: &str) -> Self {
        self.list.into_iter().map(|problem| problem.in_file(file)).collect()
    }

    /// `Ok(value)` unless an error stands in the list; warnings go along with the value.
    ///
    /// # Errors
    /// The whole list, when at least one of it is an error.
    pub fn unless_errors<T>(self, value: T) -> Result<(T, Problems), Problems> {
        if self.has_errors() { Err(self) } else { Ok((value, self)) }
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Self { list: vec![problem] }
    }
}

impl FromIterator<Problem> for Problems {
    fn from_iter<I: IntoIterator<Item = Problem>>(iter: I) -> Self {
        Self { list: iter.into_iter().collect() }
    }
}

impl IntoIterator for Problems {
    type Item = Problem;
    type IntoIter = std::vec::IntoIter<Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.list.into_iter()
    }
}

impl<'a> IntoIterator for &'a Problems {
    type Item = &'a Problem;
    type IntoIter = std::slice::Iter<'a, Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.list.iter()
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.list.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_reads_as_found_place_expected_mend() {
        let problem = Problem::error("label::rate-range", "rate `900 mL/100 m²` exceeds maximum `750 mL/100 m²`")
            .at("use[2].rate")
            .in_file("labels/example.toml")
            .at_line(41, 12)
            .expected("above 0, at most 750 mL/100 m²")
            .mend("lower the rate");
        assert_eq!(
            problem.to_string(),
            "error[label::rate-range]: rate `900 mL/100 m²` exceeds maximum `750 mL/100 m²`\n  \
             --> labels/example.toml:41:12   use[2].rate\n  \
             expected: above 0, at most 750 mL/100 m²\n  mend: lower the rate"
        );
    }

    #[test]
    fn the_first_known_place_stands() {
        let problem =
            Problem::warning("a::b", "c").at_line(1, 2).at_line(3, 4).at("x").at("y").in_file("f").in_file("g");
        assert_eq!((problem.place.line, problem.place.column), (Some(1), Some(2)));
        assert_eq!(problem.place.path.as_deref(), Some("x"));
        assert_eq!(problem.place.file.as_deref(), Some("f"));
    }

    #[test]
    fn warnings_do_not_refuse() {
        let mut problems = Problems::from(Problem::warning("a::b", "c"));
        assert!(problems.clone().unless_errors(1).is_ok());
        problems.push(Problem::error("a::c", "d"));
        assert_eq!(problems.unless_errors(1).unwrap_err().len(), 2);
    }
}
