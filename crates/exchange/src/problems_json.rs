//! What is wrong with an input, as data: the same content as the words a command prints.

use problem::{Problem, Problems, Severity};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of a document that lists problems.
pub const FORMAT: &str = "tussock.problems/1";

/// A list of problems as one document.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProblemsJson {
    /// `tussock.problems/1`.
    pub format: &'static str,
    /// How many of them refuse the input.
    pub errors: usize,
    /// How many are shown while the input is used.
    pub warnings: usize,
    /// The problems in the order found.
    pub problems: Vec<ProblemJson>,
}

impl From<&Problems> for ProblemsJson {
    fn from(problems: &Problems) -> Self {
        let errors = problems.iter().filter(|problem| problem.severity == Severity::Error).count();
        Self {
            format: FORMAT,
            errors,
            warnings: problems.len() - errors,
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

/// One problem.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProblemJson {
    /// Stable code, such as `label::rate-range`.
    pub code: &'static str,
    /// `error` when the input is refused for it, else `warning`.
    pub severity: SeverityJson,
    /// What was found.
    pub found: String,
    /// What was expected in its stead.
    pub expected: Option<String>,
    /// How to mend it.
    pub mend: Option<String>,
    /// The file as its user named it.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// The field or feature.
    pub path: Option<String>,
    /// Degrees east of Greenwich, of what lies on a map; left out elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longitude_deg: Option<f64>,
    /// Degrees north of the equator, likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub latitude_deg: Option<f64>,
}

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeverityJson {
    /// The input is refused.
    Error,
    /// The input is used.
    Warning,
}

impl From<&Problem> for ProblemJson {
    fn from(problem: &Problem) -> Self {
        Self {
            code: problem.code,
            severity: match problem.severity {
                Severity::Error => SeverityJson::Error,
                Severity::Warning => SeverityJson::Warning,
            },
            found: problem.found.clone(),
            expected: problem.expected.clone(),
            mend: problem.mend.clone(),
            file: problem.place.file.clone(),
            line: problem.place.line,
            column: problem.place.column,
            path: problem.place.path.clone(),
            longitude_deg: problem.place.spot.map(problem::Spot::longitude),
            latitude_deg: problem.place.spot.map(problem::Spot::latitude),
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_problems(problems: &Problems) -> String {
    crate::json_text::pretty(&ProblemsJson::from(problems))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_of_a_problem_is_there() {
        let mut problems = Problems::from(
            Problem::error("label::rate-range", "rate `9` is too high")
                .at("use[2].rate")
                .in_file("a.toml")
                .at_line(41, 12)
                .expected("at most 7")
                .mend("lower it"),
        );
        problems.push(Problem::warning("map::gap", "a gap"));
        let json: serde_json::Value = serde_json::from_str(&write_problems(&problems)).expect("valid JSON");
        assert_eq!((json["errors"].as_u64(), json["warnings"].as_u64()), (Some(1), Some(1)));
        let first = &json["problems"][0];
        assert_eq!(first["code"], "label::rate-range");
        assert_eq!(first["severity"], "error");
        assert_eq!((first["line"].as_u64(), first["column"].as_u64()), (Some(41), Some(12)));
        assert_eq!(first["path"], "use[2].rate");
        assert_eq!((&first["expected"], &first["mend"]), (&"at most 7".into(), &"lower it".into()));
        assert_eq!(json["problems"][1]["severity"], "warning");
        assert!(json["problems"][1]["file"].is_null());
    }
}
