//! Profiles: what is known of a pest, or of what is taken for one, each fact with its source.

use crate::character::Characters;
use crate::degree_day_model::DegreeDayModel;
use crate::source::{Cited, Fact, Source, check_sources};
use problem::{Problem, Problems};
use quantity::Area;

/// What a profile is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PestKind {
    /// An insect.
    Insect,
    /// A tick.
    Tick,
    /// A mite.
    Mite,
    /// No pest that a product against insects reaches: drought, disease, a spill.
    LookAlike,
}

impl PestKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Insect, Self::Tick, Self::Mite, Self::LookAlike];

    /// Its word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Insect => "insect",
            Self::Tick => "tick",
            Self::Mite => "mite",
            Self::LookAlike => "look-alike",
        }
    }
}

/// The states of one character that occur.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatesSeen {
    /// The character.
    pub character: String,
    /// One or several.
    pub states: Vec<String>,
}

/// Months of the year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Months(u16);

impl Months {
    /// Months by their numbers; `None` for one that is not 1 to 12.
    pub fn new(months: impl IntoIterator<Item = i64>) -> Option<Self> {
        let one = |months: u16, month: i64| (1..=12).contains(&month).then(|| months | 1 << month);
        months.into_iter().try_fold(0, one).map(Self)
    }

    /// Whether a month, 1 to 12, is among them.
    pub fn holds(self, month: i8) -> bool {
        (1..=12).contains(&month) && self.0 & (1 << month) != 0
    }

    /// Their numbers.
    pub fn numbers(self) -> impl Iterator<Item = i8> {
        (1..=12).filter(move |month| self.holds(*month))
    }
}

/// A life stage, or a phase of damage.
#[derive(Debug, Clone, PartialEq)]
pub struct LifeStage {
    /// Egg, nymph, larva, pupa, adult.
    pub name: String,
    /// When it is seen, in words.
    pub seen: String,
    /// When it is seen.
    pub months: Months,
    /// Where that holds.
    pub place: String,
    /// Whether treatment commonly reaches it.
    pub is_susceptible: bool,
    /// What else.
    pub note: Option<String>,
}

/// A way of sampling.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampling {
    /// Frame, ring, flush and so on.
    pub method: String,
    /// The ground of one count, where there is one.
    pub unit_area: Option<Area>,
    /// The same as it was written, such as `1 sq ft`.
    pub unit_words: Option<String>,
    /// How.
    pub text: String,
}

/// On what a threshold counts.
#[derive(Debug, Clone, PartialEq)]
pub enum Observed {
    /// On so much ground, as it was written.
    Ground(Area, String),
    /// A flush, a trap, so many trap nights, so much of a drag, a plant.
    Each(String),
}

/// Of what a threshold counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ThresholdOf {
    /// Animals: from so many on treating may be worth it.
    #[default]
    Animals,
    /// Live mounds of ants: up to so many they are treated one by one, above it the whole ground is.
    Mounds,
}

impl ThresholdOf {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Animals, Self::Mounds];

    /// Its word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Animals => "animals",
            Self::Mounds => "mounds",
        }
    }
}

/// How many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ThresholdCount {
    /// One figure.
    One(f64),
    /// From the figure of stressed ground to that of vigorous ground.
    Between(f64, f64),
}

/// From how many on treating may be worth it.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    /// How many.
    pub count: ThresholdCount,
    /// On what.
    pub per: Observed,
    /// Of what.
    pub of: ThresholdOf,
    /// Of which stage.
    pub stage: Option<String>,
    /// Where it was found to hold.
    pub place: String,
    /// On which plants.
    pub host: String,
    /// What else.
    pub note: Option<String>,
}

/// Another profile that is mistaken for this one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookAlike {
    /// The other profile.
    pub profile: String,
    /// How to tell them apart.
    pub how: String,
}

/// How clumped counts of a pest were found to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Clumping {
    /// k of the negative binomial.
    pub k: f64,
    /// The ground of one count: k goes with it.
    pub unit_area: Area,
    /// The same as it was written, such as `1 sq ft`.
    pub unit_words: String,
    /// Where it was found.
    pub place: String,
    /// On which plants or ground: k is another on other ground.
    pub host: String,
    /// What else.
    pub note: Option<String>,
}

/// What is known of a pest, or of what is taken for one.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Its id.
    pub id: String,
    /// What it is of.
    pub kind: PestKind,
    /// Common name.
    pub common_name: String,
    /// Scientific name, where it is an organism.
    pub scientific_name: Option<String>,
    /// EPPO code, where it is known.
    pub eppo_code: Option<Cited<String>>,
    /// Of which group it is.
    pub group: String,
    /// In a sentence or two.
    pub summary: String,
    /// Publications.
    pub sources: Vec<Source>,
    /// Characters.
    pub characters: Vec<Cited<StatesSeen>>,
    /// Life stages.
    pub stages: Vec<Cited<LifeStage>>,
    /// Signs of damage.
    pub signs: Vec<Fact>,
    /// Ways of sampling.
    pub samplings: Vec<Cited<Sampling>>,
    /// Thresholds.
    pub thresholds: Vec<Cited<Threshold>>,
    /// How clumped counts of it are.
    pub dispersion: Option<Cited<Clumping>>,
    /// How its stages follow each other by heat, where that is known.
    pub development: Option<DegreeDayModel>,
    /// Natural enemies worth keeping.
    pub enemies: Vec<Fact>,
    /// Cultural measures.
    pub culture: Vec<Fact>,
    /// What never works, or does harm.
    pub never: Vec<Fact>,
    /// What is mistaken for it.
    pub look_alikes: Vec<Cited<LookAlike>>,
}

/// A profile with fewer characters cannot be found by the key.
const LEAST_CHARACTERS: usize = 5;

impl Profile {
    /// A source by its id.
    pub fn source(&self, id: &str) -> Option<&Source> {
        self.sources.iter().find(|source| source.id == id)
    }

    /// How to tell this from another profile, where either of the two says.
    pub fn told_from<'p>(&'p self, other: &'p Self) -> Option<&'p str> {
        let says = |one: &'p Self, of: &Self| {
            one.look_alikes.iter().find(|like| like.what.profile == of.id).map(|like| like.what.how.as_str())
        };
        says(self, other).or_else(|| says(other, self))
    }

    /// The states of a character that occur; `None` where the profile does not say.
    pub fn states(&self, character: &str) -> Option<&[String]> {
        let seen = self.characters.iter().find(|seen| seen.what.character == character)?;
        Some(&seen.what.states)
    }

    /// The stages that are seen in a month, 1 to 12.
    pub fn stages_in(&self, month: i8) -> impl Iterator<Item = &LifeStage> {
        self.stages.iter().map(|stage| &stage.what).filter(move |stage| stage.months.holds(month))
    }

    /// Everything wrong with it: a fact without a source that the profile names, a source without a citation or that
    /// no fact uses, a state that no character has, a pest without stage, sign or sampling.
    pub fn check(&self, characters: &Characters) -> Problems {
        let mut facts: Vec<(&str, Vec<&str>)> = vec![
            ("eppo_code", self.eppo_code.iter().map(|one| one.source.as_str()).collect()),
            ("character", self.characters.iter().map(|one| one.source.as_str()).collect()),
            ("stage", self.stages.iter().map(|one| one.source.as_str()).collect()),
            ("sign", self.signs.iter().map(|one| one.source.as_str()).collect()),
            ("sampling", self.samplings.iter().map(|one| one.source.as_str()).collect()),
            ("threshold", self.thresholds.iter().map(|one| one.source.as_str()).collect()),
            ("dispersion", self.dispersion.iter().map(|one| one.source.as_str()).collect()),
            ("enemy", self.enemies.iter().map(|one| one.source.as_str()).collect()),
            ("culture", self.culture.iter().map(|one| one.source.as_str()).collect()),
            ("never", self.never.iter().map(|one| one.source.as_str()).collect()),
            ("look_alike", self.look_alikes.iter().map(|one| one.source.as_str()).collect()),
        ];
        facts.extend(self.development.iter().flat_map(DegreeDayModel::sources));
        let mut problems = Problems::new();
        if self.sources.is_empty() {
            problems.push(
                Problem::error("pest::no-sources", format!("the profile `{}` names no source", self.id))
                    .expected("at least one publication: no fact stands without one"),
            );
        }
        problems.extend(check_sources(&self.sources, &facts, "profile"));
        problems.extend(self.development.iter().flat_map(DegreeDayModel::check));
        self.check_characters(characters, &mut problems);
        self.check_figures(&mut problems);
        problems
    }

    fn check_characters(&self, characters: &Characters, problems: &mut Problems) {
        for (number, seen) in self.characters.iter().enumerate() {
            let at = format!("character[{}]", number + 1);
            let StatesSeen { character: id, states } = &seen.what;
            if self.characters[..number].iter().any(|earlier| earlier.what.character == *id) {
                problems.push(
                    Problem::error("pest::character-twice", format!("the profile tells `{id}` twice"))
                        .mend("put the states together")
                        .at(format!("{at}.id")),
                );
            }
            let Some(place) = characters.place(id) else {
                problems.push(
                    Problem::error("pest::unknown-character", format!("there is no character `{id}`"))
                        .expected("one that stands in the characters' file")
                        .at(format!("{at}.id")),
                );
                continue;
            };
            let character = &characters.all()[place];
            for state in states.iter().filter(|state| character.state(state).is_none()) {
                let known: Vec<&str> = character.states.iter().map(|state| state.id.as_str()).collect();
                problems.push(
                    Problem::error("pest::unknown-state", format!("character `{id}` has no state `{state}`"))
                        .expected(format!("one of {}", known.join(", ")))
                        .at(format!("{at}.states")),
                );
            }
            if states.is_empty() {
                problems.push(
                    Problem::error("pest::no-state", format!("character `{id}` has no state here"))
                        .expected("one or several")
                        .at(format!("{at}.states")),
                );
            }
        }
        if self.characters.len() < LEAST_CHARACTERS {
            problems.push(
                Problem::error(
                    "pest::few-characters",
                    format!("the profile tells `{}` characters", self.characters.len()),
                )
                .expected(format!("{LEAST_CHARACTERS} or more, so that the key can find it")),
            );
        }
    }

    fn check_figures(&self, problems: &mut Problems) {
        for (number, threshold) in self.thresholds.iter().enumerate() {
            let is_sound = match threshold.what.count {
                ThresholdCount::One(count) => count > 0.0,
                ThresholdCount::Between(low, high) => low > 0.0 && high > low,
            };
            if !is_sound {
                problems.push(
                    Problem::error(
                        "pest::threshold",
                        format!("threshold {} is not above nothing, or crossed", number + 1),
                    )
                    .expected("`count`, or `low` and `high`, above nothing")
                    .at(format!("threshold[{}]", number + 1)),
                );
            }
            if threshold.what.of == ThresholdOf::Mounds && !matches!(threshold.what.per, Observed::Ground(..)) {
                problems.push(
                    Problem::error(
                        "pest::threshold",
                        format!("threshold {} counts mounds, and not on ground", number + 1),
                    )
                    .expected("an area in `per`, such as `0.25 acre`")
                    .at(format!("threshold[{}].per", number + 1)),
                );
            }
            for (what, told) in [("place", &threshold.what.place), ("host", &threshold.what.host)] {
                if told.trim().is_empty() {
                    problems.push(
                        Problem::error("pest::threshold", format!("threshold {} has no {what}", number + 1))
                            .expected("where, and on which plants it was found to hold: thresholds are local")
                            .at(format!("threshold[{}].{what}", number + 1)),
                    );
                }
            }
        }
        if let Some(one) = &self.dispersion {
            check_clumping(&one.what, problems);
        }
        if self.kind != PestKind::LookAlike {
            for (what, count) in
                [("stage", self.stages.len()), ("sign", self.signs.len()), ("sampling", self.samplings.len())]
            {
                if count == 0 {
                    problems.push(
                        Problem::warning("pest::incomplete", format!("the profile tells no {what}"))
                            .expected("one or more")
                            .at(what),
                    );
                }
            }
        }
    }
}

fn check_clumping(one: &Clumping, problems: &mut Problems) {
    let wrong = |found: &str, field: &str| Problem::error("pest::dispersion", found).at(format!("dispersion.{field}"));
    if !(one.k > 0.0 && one.k.is_finite()) {
        problems.push(wrong("k is not above nothing", "k").expected("a number above nothing, such as 1.2"));
    }
    if !one.unit_area.is_positive() {
        problems.push(
            wrong("the ground of one count is not above nothing", "unit_area").expected("an area such as `1 sq ft`"),
        );
    }
    for (what, told) in [("place", &one.place), ("host", &one.host)] {
        if told.trim().is_empty() {
            problems.push(
                wrong(&format!("k has no {what}"), what)
                    .expected("where, and on which plants or ground it was found: it is another on other ground"),
            );
        }
    }
}
