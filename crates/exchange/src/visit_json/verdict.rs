//! Verdicts, and the working of figures.

use super::figure::{FigureJson, OriginJson};
use label::Strength;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{Status, Verdict, Working};

/// How a rule was met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StatusJson {
    /// Within the rule.
    Allowed,
    /// To be looked at.
    Caution,
    /// Forbidden as planned.
    Refused,
}

impl From<Status> for StatusJson {
    fn from(status: Status) -> Self {
        match status {
            Status::Allowed => Self::Allowed,
            Status::Caution => Self::Caution,
            Status::Refused => Self::Refused,
        }
    }
}

/// How far a sentence binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StrengthJson {
    /// It binds; a breach refuses.
    Mandatory,
    /// Best practice; a breach asks for a reason and never refuses.
    Advisory,
    /// It informs.
    Descriptive,
}

impl From<Strength> for StrengthJson {
    fn from(strength: Strength) -> Self {
        match strength {
            Strength::Mandatory => Self::Mandatory,
            Strength::Advisory => Self::Advisory,
            Strength::Descriptive => Self::Descriptive,
        }
    }
}

/// One rule held against the visit, a task, a place or an hour.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VerdictJson {
    /// Stable code of the rule, such as `rate::maximum-single`.
    pub rule: String,
    /// How it was met.
    pub status: StatusJson,
    /// What was measured or planned.
    pub measured: Option<FigureJson>,
    /// The limit.
    pub limit: Option<FigureJson>,
    /// How much is left to the limit; below nothing when it is passed.
    pub margin: Option<FigureJson>,
    /// The sentence of the label or rule, verbatim.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
    /// How far that sentence binds.
    pub strength: Option<StrengthJson>,
    /// Where the limit comes from.
    pub origin: OriginJson,
    /// The task, feature or hour concerned.
    pub concerns: Option<String>,
    /// The sentence a person reads.
    pub text: String,
    /// What would make it lawful, or settle the doubt.
    pub mend: Option<String>,
}

impl From<&Verdict> for VerdictJson {
    fn from(verdict: &Verdict) -> Self {
        Self {
            rule: verdict.rule.to_owned(),
            status: verdict.status.into(),
            measured: verdict.measured.as_ref().map(FigureJson::from),
            limit: verdict.limit.as_ref().map(FigureJson::from),
            margin: verdict.margin.as_ref().map(FigureJson::from),
            clause: verdict.clause.clone(),
            page: verdict.page,
            strength: verdict.strength.map(StrengthJson::from),
            origin: verdict.origin.into(),
            concerns: verdict.concerns.clone(),
            text: verdict.text.clone(),
            mend: verdict.mend.clone(),
        }
    }
}

/// How one figure was reached.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WorkingJson {
    /// What the figure is.
    pub figure: String,
    /// The formula in words and symbols.
    pub formula: String,
    /// Every input with its unit and where it comes from.
    pub inputs: Vec<InputJson>,
    /// The result, unrounded.
    pub result: FigureJson,
    /// How it was rounded, when it was.
    pub rounding: Option<String>,
}

/// One input of a formula.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct InputJson {
    /// What it is.
    pub name: String,
    /// The number, unrounded.
    pub value: f64,
    /// UCUM code of the unit.
    pub unit: String,
    /// The unit as printed.
    pub symbol: String,
    /// Where it comes from.
    pub origin: OriginJson,
}

impl From<&Working> for WorkingJson {
    fn from(working: &Working) -> Self {
        Self {
            figure: working.figure.clone(),
            formula: working.formula.clone(),
            inputs: working
                .inputs
                .iter()
                .map(|(name, figure, origin)| {
                    let FigureJson { value, unit, symbol } = FigureJson::from(figure);
                    InputJson { name: name.clone(), value, unit, symbol, origin: (*origin).into() }
                })
                .collect(),
            result: (&working.result).into(),
            rounding: working.rounding.clone(),
        }
    }
}
