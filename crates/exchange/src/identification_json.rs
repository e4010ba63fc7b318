//! What the key says, as data.

use pest::{Answer, Candidate, Identification, Question, Verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The format of the document.
pub const FORMAT: &str = "tussock.identification/1";

/// What the key says after some answers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct IdentificationJson {
    /// `tussock.identification/1`.
    pub format: &'static str,
    /// The answers from which it follows.
    pub answers: Vec<AnswerJson>,
    /// The chance from which on a profile is named.
    pub named_from: f64,
    /// Whether something is named.
    pub verdict: KeyVerdictWord,
    /// The profile that is named, or of the likeliest group where a group is.
    pub profile: Option<String>,
    /// The group that is named, where no profile is.
    pub group: Option<String>,
    /// How likely it is no animal that a product reaches: the look-alikes together.
    pub chance_of_none: f64,
    /// The profiles by falling chance.
    pub candidates: Vec<CandidateJson>,
    /// The questions that tell most, best first.
    pub next: Vec<QuestionJson>,
}

/// Whether the key names something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KeyVerdictWord {
    /// One profile.
    Named,
    /// A group of profiles.
    Group,
    /// Nothing.
    Refused,
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AnswerJson {
    /// The character.
    pub character: String,
    /// Its states: one, several where it may be any of them, none where the person does not know.
    pub states: Vec<String>,
}

impl From<&Answer> for AnswerJson {
    fn from(answer: &Answer) -> Self {
        Self { character: answer.character.clone(), states: answer.states.clone() }
    }
}

impl From<AnswerJson> for Answer {
    fn from(answer: AnswerJson) -> Self {
        Self { character: answer.character, states: answer.states }
    }
}

/// A profile with its chance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CandidateJson {
    /// Its id.
    pub profile: String,
    /// Its common name.
    pub common_name: String,
    /// Its scientific name.
    pub scientific_name: Option<String>,
    /// Its group.
    pub group: String,
    /// `insect`, `tick`, `mite` or `look-alike`.
    pub kind: &'static str,
    /// Its chance.
    pub chance: f64,
    /// Answers that its profile speaks against.
    pub against: Vec<AnswerJson>,
    /// How to tell it from the likeliest one, where its profile or that one's says.
    pub told_apart: Option<String>,
}

/// A question.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuestionJson {
    /// The character.
    pub character: String,
    /// The question.
    pub question: String,
    /// How to look.
    pub hint: Option<String>,
    /// What one must have to answer.
    pub needs: &'static str,
    /// By how much it is expected to lower the uncertainty, in bits.
    pub gain_bits: f64,
    /// The answers to choose from.
    pub states: Vec<StateJson>,
}

/// An answer to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StateJson {
    /// Its id.
    pub id: String,
    /// What a person reads.
    pub words: String,
}

impl IdentificationJson {
    /// What the key says after these answers; `questions` at most.
    pub fn new(found: &Identification<'_>, answers: &[Answer], named_from: f64, questions: usize) -> Self {
        let (verdict, profile, group) = match &found.verdict {
            Verdict::Named(profile) => (KeyVerdictWord::Named, Some(profile.id.clone()), None),
            Verdict::Group(group, _) => (KeyVerdictWord::Group, None, Some((*group).to_owned())),
            Verdict::Refused => (KeyVerdictWord::Refused, None, None),
        };
        let first = found.candidates.first().map(|candidate| candidate.profile);
        let candidate = |one: &Candidate<'_>| CandidateJson {
            profile: one.profile.id.clone(),
            common_name: one.profile.common_name.clone(),
            scientific_name: one.profile.scientific_name.clone(),
            group: one.profile.group.clone(),
            kind: one.profile.kind.word(),
            chance: one.chance,
            against: one.against.iter().map(AnswerJson::from).collect(),
            told_apart: first.and_then(|first| first.told_from(one.profile)).map(str::to_owned),
        };
        Self {
            format: FORMAT,
            answers: answers.iter().map(AnswerJson::from).collect(),
            named_from,
            verdict,
            profile,
            group,
            chance_of_none: found.chance_of_none(),
            candidates: found.candidates.iter().map(candidate).collect(),
            next: found.next.iter().take(questions).map(QuestionJson::from).collect(),
        }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        crate::json_text::pretty(self)
    }
}

impl From<&Question<'_>> for QuestionJson {
    fn from(question: &Question<'_>) -> Self {
        let character = question.character;
        let state = |state: &pest::CharacterState| StateJson { id: state.id.clone(), words: state.words.clone() };
        Self {
            character: character.id.clone(),
            question: character.question.clone(),
            hint: character.hint.clone(),
            needs: character.needs.word(),
            gain_bits: question.gain,
            states: character.states.iter().map(state).collect(),
        }
    }
}
