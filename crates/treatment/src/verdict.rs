//! What a rule says of a plan.

use label::Strength;

/// How a rule was met; the worst of a visit is the visit's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Status {
    /// Within the rule.
    Allowed,
    /// To be looked at: an advisory breached, something unknown, a default in place of a silent label.
    Caution,
    /// Forbidden as planned.
    Refused,
}

impl Status {
    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Allowed => "allowed",
            Self::Caution => "caution",
            Self::Refused => "refused",
        }
    }
}

/// Where a figure or a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// Measured on the ground or with the equipment.
    Measured,
    /// Stated by the label.
    Label,
    /// Stated by a law or rule.
    Rule,
    /// Set by the business for itself.
    Business,
    /// Usual practice where nothing is stated.
    Default,
    /// Taken for want of better, to be confirmed.
    Assumed,
}

impl Origin {
    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Label => "label",
            Self::Rule => "rule",
            Self::Business => "business",
            Self::Default => "default",
            Self::Assumed => "assumed",
        }
    }
}

/// A number with its unit, ready to print and to compare: `unit` is printed, `ucum` is for programs.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The number, unrounded.
    pub value: f64,
    /// Symbol as printed, empty for a count.
    pub unit: String,
    /// UCUM code, `1` for a count.
    pub ucum: String,
}

impl Figure {
    /// A number with the symbol and the UCUM code of its unit.
    pub fn new(value: f64, unit: impl Into<String>, ucum: impl Into<String>) -> Self {
        Self { value, unit: unit.into(), ucum: ucum.into() }
    }

    /// A count.
    pub fn count(value: f64) -> Self {
        Self::new(value, "", "1")
    }

    /// Three significant digits with the unit, whole numbers of four and more digits kept whole.
    pub fn show(&self) -> String {
        let number = quantity::significant(self.value, 3);
        if self.unit.is_empty() { number } else { format!("{number} {}", self.unit) }
    }
}

/// One rule held against one visit, task, place or hour.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Stable code of the rule, such as `rate::maximum-single`.
    pub rule: &'static str,
    /// How it was met.
    pub status: Status,
    /// The sentence a person reads.
    pub text: String,
    /// What was measured or planned.
    pub measured: Option<Figure>,
    /// The limit.
    pub limit: Option<Figure>,
    /// How much is left to the limit, in its unit; below nothing when it is passed.
    pub margin: Option<Figure>,
    /// Where the limit comes from.
    pub origin: Origin,
    /// The sentence of the label or rule, verbatim.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
    /// How far that sentence binds.
    pub strength: Option<Strength>,
    /// The task, feature or hour concerned.
    pub concerns: Option<String>,
    /// What would make it lawful, or settle the doubt.
    pub mend: Option<String>,
}

impl Verdict {
    /// A verdict with nothing but rule, status, words and origin; the rest is added by the builders.
    pub fn new(rule: &'static str, status: Status, origin: Origin, text: impl Into<String>) -> Self {
        Self {
            rule,
            status,
            text: text.into(),
            measured: None,
            limit: None,
            margin: None,
            origin,
            clause: None,
            page: None,
            strength: None,
            concerns: None,
            mend: None,
        }
    }

    /// Adds what was measured, the limit, and the margin between them.
    #[must_use]
    pub fn comparing(mut self, measured: Figure, limit: Figure) -> Self {
        if measured.ucum == limit.ucum {
            self.margin = Some(Figure::new(limit.value - measured.value, limit.unit.clone(), limit.ucum.clone()));
        }
        self.measured = Some(measured);
        self.limit = Some(limit);
        self
    }

    /// Adds the sentence that decides.
    #[must_use]
    pub fn by(mut self, clause: &label::Clause) -> Self {
        self.clause = Some(clause.text.clone());
        self.page = clause.page;
        self.strength = Some(clause.strength);
        self
    }

    /// Names the task, feature or hour.
    #[must_use]
    pub fn on(mut self, concerns: impl Into<String>) -> Self {
        self.concerns = Some(concerns.into());
        self
    }

    /// Says what would make it lawful.
    #[must_use]
    pub fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = Some(mend.into());
        self
    }
}

/// What a breach of a sentence means: advisory and descriptive sentences never refuse.
pub(crate) fn breach(strength: Strength) -> Status {
    match strength {
        Strength::Mandatory => Status::Refused,
        Strength::Advisory | Strength::Descriptive => Status::Caution,
    }
}

/// The worst status of a list; allowed when it is empty.
pub(crate) fn worst<'a>(verdicts: impl IntoIterator<Item = &'a Verdict>) -> Status {
    verdicts.into_iter().map(|verdict| verdict.status).max().unwrap_or(Status::Allowed)
}

/// How one figure was reached, so that anyone can check it with a pencil.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// What the figure is.
    pub figure: String,
    /// The formula in words and symbols.
    pub formula: String,
    /// Every input with its unit and where it comes from.
    pub inputs: Vec<(String, Figure, Origin)>,
    /// The result, unrounded.
    pub result: Figure,
    /// How it was rounded, when it was.
    pub rounding: Option<String>,
}
