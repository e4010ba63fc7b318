//! How the stages of a pest follow each other by heat, as somebody published it.

use crate::source::Cited;
use crate::stage::{StageFit, stage_fit};
use problem::{Problem, Problems};
use quantity::{DegreeDays, Temperature, TemperatureUnit};

/// What heat above the upper threshold does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UpperCutoff {
    /// Development goes on as fast as at the threshold.
    Horizontal,
    /// Development slows by as much as it is warmer.
    Intermediate,
    /// Development stands still.
    Vertical,
}

impl UpperCutoff {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Horizontal, Self::Intermediate, Self::Vertical];

    /// Its word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Horizontal => "horizontal",
            Self::Intermediate => "intermediate",
            Self::Vertical => "vertical",
        }
    }
}

/// How the heat of a day was counted where the figures were found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HeatMethod {
    /// All day at the mean of the extremes.
    Average,
    /// Half of the day at each extreme, each held against the thresholds by itself.
    AverageOfClipped,
    /// A sine from the lowest to the highest and back.
    SingleSine,
    /// A half sine up from the day's lowest, another down to that of the next day.
    DoubleSine,
    /// Straight from the lowest to the highest and back.
    SingleTriangle,
    /// Straight up from the day's lowest, and down to that of the next day.
    DoubleTriangle,
    /// Each hour at its own temperature.
    Hourly,
}

impl HeatMethod {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Average,
        Self::AverageOfClipped,
        Self::SingleSine,
        Self::DoubleSine,
        Self::SingleTriangle,
        Self::DoubleTriangle,
        Self::Hourly,
    ];

    /// Its word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Average => "average",
            Self::AverageOfClipped => "average-of-clipped",
            Self::SingleSine => "single-sine",
            Self::DoubleSine => "double-sine",
            Self::SingleTriangle => "single-triangle",
            Self::DoubleTriangle => "double-triangle",
            Self::Hourly => "hourly",
        }
    }
}

/// From which day on heat is counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HeatStart {
    /// From the day on which something is seen outdoors, told in words.
    Biofix(String),
    /// From the same day of each year.
    Day {
        /// Month, 1 to 12.
        month: i8,
        /// Day of the month.
        day: i8,
    },
}

/// How individuals differ in the heat that a step takes them.
#[derive(Debug, Clone, PartialEq)]
pub enum StepSpread {
    /// A logistic distribution with this scale.
    LogisticScale(Cited<DegreeDays>),
    /// A normal distribution with this standard deviation.
    StandardDeviation(Cited<DegreeDays>),
}

impl StepSpread {
    /// How wide it is, and its source.
    pub const fn width(&self) -> &Cited<DegreeDays> {
        match self {
            Self::LogisticScale(width) | Self::StandardDeviation(width) => width,
        }
    }
}

/// The step from one stage to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct StageStep {
    /// The stage that it leads to.
    pub to: String,
    /// The heat since the start at which half of the individuals have taken it.
    pub middle: DegreeDays,
    /// How they differ; `None` where it is not published.
    pub spread: Option<StepSpread>,
    /// What else.
    pub note: Option<String>,
}

/// How stages follow each other by heat.
#[derive(Debug, Clone, PartialEq)]
pub struct DegreeDayModel {
    /// The temperature above which they develop.
    pub base: Temperature,
    /// The scale on which the base was written; heat is told on it.
    pub scale: TemperatureUnit,
    /// The temperature above which they develop no faster, and what heat does there.
    pub upper: Option<(Temperature, UpperCutoff)>,
    /// How the heat of a day was counted; `None` where it is not told.
    pub method: Option<HeatMethod>,
    /// From when on.
    pub start: HeatStart,
    /// The stage in which they are at the start.
    pub first: String,
    /// The steps in order.
    pub steps: Vec<Cited<StageStep>>,
    /// The variance that each degree-day adds to every step alike, in place of spreads of the single steps.
    pub variance_per_degree_day: Option<Cited<DegreeDays>>,
    /// Stages that treatment commonly reaches; none where that is told elsewhere.
    pub susceptible: Vec<String>,
    /// Where it was found to hold.
    pub place: String,
    /// What else.
    pub note: Option<String>,
    /// The source of base, threshold, method and start.
    pub source: String,
}

impl DegreeDayModel {
    /// The stages in order.
    pub fn stages(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.first.as_str()).chain(self.steps.iter().map(|step| step.what.to.as_str()))
    }

    /// The numbers of the stages that a word names, the first stage being 0: its own name, or the life stage that it is
    /// a part of, such as `larva` for `small larva`.
    pub fn stages_meant(&self, word: &str) -> Vec<usize> {
        let named: Vec<usize> = self.numbers(|stage| stage.eq_ignore_ascii_case(word.trim()));
        if !named.is_empty() {
            return named;
        }
        self.numbers(|stage| matches!(stage_fit(stage, word), StageFit::Same | StageFit::Part))
    }

    fn numbers(&self, is_meant: impl Fn(&str) -> bool) -> Vec<usize> {
        self.stages().enumerate().filter(|(_, stage)| is_meant(stage)).map(|(number, _)| number).collect()
    }

    /// The sources that its figures name, by kind.
    pub fn sources(&self) -> Vec<(&'static str, Vec<&str>)> {
        let spreads = self.steps.iter().filter_map(|step| Some(step.what.spread.as_ref()?.width().source.as_str()));
        let shared = self.variance_per_degree_day.iter().map(|variance| variance.source.as_str());
        vec![
            ("development", vec![self.source.as_str()]),
            ("development.step", self.steps.iter().map(|step| step.source.as_str()).collect()),
            ("development spread", shared.chain(spreads).collect()),
        ]
    }

    /// Everything wrong with its figures: thresholds that are crossed, no step, steps out of order or below nothing, a
    /// spread that is none or told twice over, a stage twice, a susceptible stage that it has not.
    pub fn check(&self) -> Problems {
        let mut problems = Problems::new();
        let wrong = |code: &'static str, found: String, field: &str| {
            Problem::error(code, found).at(format!("development.{field}"))
        };
        if let Some((upper, _)) = self.upper.filter(|(upper, _)| *upper <= self.base) {
            let (low, high) = (self.base.show(self.scale), upper.show(self.scale));
            problems.push(
                wrong("pest::heat-range", format!("upper threshold `{high}` is not above the base, `{low}`"), "upper")
                    .expected("a base, and an upper threshold above it")
                    .mend("exchange the two, or leave the upper one out"),
            );
        }
        if self.steps.is_empty() {
            problems.push(
                wrong("pest::no-step", "there is no step between stages".to_owned(), "step")
                    .expected("one `[[development.step]]` or more, such as the hatch"),
            );
        }
        self.check_steps(&mut problems);
        if let Some(variance) = &self.variance_per_degree_day {
            if !variance.what.is_positive() {
                problems.push(
                    wrong(
                        "pest::spread",
                        "the variance per degree-day is not above nothing".to_owned(),
                        "variance_per_degree_day",
                    )
                    .expected("a number above nothing: no two individuals are alike"),
                );
            }
            if self.steps.iter().any(|step| step.what.spread.is_some()) {
                problems.push(
                    wrong(
                        "pest::spread",
                        "the spread is told for all steps and for single ones".to_owned(),
                        "variance_per_degree_day",
                    )
                    .expected("`variance_per_degree_day`, or a spread of each step")
                    .mend("leave one of the two out"),
                );
            }
        }
        for (number, word) in self.susceptible.iter().enumerate() {
            if self.stages_meant(word).is_empty() {
                let all: Vec<&str> = self.stages().collect();
                problems.push(
                    Problem::error("pest::unknown-stage", format!("there is no stage `{word}`"))
                        .expected(format!("one of {}", all.join(", ")))
                        .at(format!("development.susceptible[{}]", number + 1)),
                );
            }
        }
        problems
    }

    fn check_steps(&self, problems: &mut Problems) {
        for (number, step) in self.steps.iter().enumerate() {
            let at = |field: &str| format!("development.step[{}].{field}", number + 1);
            let StageStep { to, middle, spread, .. } = &step.what;
            let unit = self.scale.degree_days();
            if !middle.is_positive() {
                problems.push(
                    Problem::error("pest::step", format!("step `{to}` is taken at `{}`", middle.show(unit)))
                        .expected("degree-days above nothing, counted from the start")
                        .at(at("degree_days")),
                );
            }
            let before = number.checked_sub(1).map(|before| &self.steps[before].what);
            if let Some(before) = before.filter(|before| before.middle >= *middle) {
                let (own, earlier) = (middle.show(unit), before.middle.show(unit));
                problems.push(
                    Problem::error(
                        "pest::step-order",
                        format!("step `{to}` at `{own}` follows step `{}` at `{earlier}`", before.to),
                    )
                    .expected("each step at more degree-days than the one before, all counted from the start")
                    .mend("add up what each stage takes, and put the steps in the order of the stages")
                    .at(at("degree_days")),
                );
            }
            if let Some(spread) = spread.as_ref().filter(|spread| !spread.width().what.is_positive()) {
                let field = match spread {
                    StepSpread::LogisticScale(_) => "logistic_scale",
                    StepSpread::StandardDeviation(_) => "standard_deviation",
                };
                problems.push(
                    Problem::error("pest::spread", format!("the spread of step `{to}` is not above nothing"))
                        .expected("degree-days above nothing: no two individuals are alike")
                        .mend("leave it out where it is not published")
                        .at(at(field)),
                );
            }
            if self.stages().take(number + 1).any(|earlier| earlier.eq_ignore_ascii_case(to)) {
                problems.push(
                    Problem::error("pest::stage-twice", format!("stage `{to}` is there twice"))
                        .expected("each stage once; the next generation has a start of its own")
                        .at(at("to")),
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::DegreeDayUnit;

    fn step(to: &str, middle: f64) -> Cited<StageStep> {
        let middle = DegreeDays::new(middle, DegreeDayUnit::Fahrenheit);
        Cited { what: StageStep { to: to.into(), middle, spread: None, note: None }, source: "a".into() }
    }

    fn model() -> DegreeDayModel {
        DegreeDayModel {
            base: Temperature::new(50.0, TemperatureUnit::Fahrenheit),
            scale: TemperatureUnit::Fahrenheit,
            upper: None,
            method: None,
            start: HeatStart::Day { month: 3, day: 1 },
            first: "adult".into(),
            steps: vec![step("small larva", 160.0), step("large larva", 330.0), step("pupa", 500.0)],
            variance_per_degree_day: None,
            susceptible: vec!["larva".into()],
            place: "nowhere, invented".into(),
            note: None,
            source: "a".into(),
        }
    }

    #[test]
    fn a_general_word_means_every_part_and_a_name_itself() {
        assert!(model().check().is_empty());
        assert_eq!(model().stages_meant("larva"), [1, 2]);
        assert_eq!(model().stages_meant("Small Larva"), [1]);
        assert_eq!(model().stages_meant("grubs"), [1, 2]);
        assert_eq!(model().stages_meant("nymph"), []);
    }

    #[test]
    fn everything_wrong_is_told_at_once() {
        let heat = |value| DegreeDays::new(value, DegreeDayUnit::Fahrenheit);
        let mut wrong = model();
        wrong.upper = Some((wrong.base, UpperCutoff::Vertical));
        wrong.steps[0].what.middle = heat(0.0);
        wrong.steps[2].what.middle = heat(330.0);
        wrong.steps[2].what.to = "Adult".into();
        let spread = Cited { what: heat(-1.0), source: "a".into() };
        wrong.steps[1].what.spread = Some(StepSpread::StandardDeviation(spread.clone()));
        wrong.variance_per_degree_day = Some(spread);
        wrong.susceptible.push("nymph".into());
        let codes: Vec<_> = wrong.check().iter().map(|problem| problem.code).collect();
        assert_eq!(
            codes,
            [
                "pest::heat-range",
                "pest::step",
                "pest::spread",
                "pest::step-order",
                "pest::stage-twice",
                "pest::spread",
                "pest::spread",
                "pest::unknown-stage",
            ]
        );
        let empty = DegreeDayModel { steps: Vec::new(), susceptible: Vec::new(), ..model() };
        assert_eq!(empty.check().iter().next().unwrap().code, "pest::no-step");
    }
}
