//! The key as data: all that is needed to reckon with it where there is no reception, and to read what it names.

use crate::identification_json::StateJson;
use crate::pest_json::PestProfileJson;
use pest::{Key, LEAST_GAIN, NAMED_FROM, Profile, STANDING_FROM};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.key/1";

/// The key: its questions, its profiles, and how likely each answer is where the truth is a profile.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeyJson {
    /// `tussock.key/1`.
    pub format: &'static str,
    /// The chance from which on a profile is named, where nobody says another one.
    pub named_from: f64,
    /// Profiles below this chance are not told as still standing.
    pub standing_from: f64,
    /// A question that is expected to tell less than this is not asked, in bits.
    pub least_gain_bits: f64,
    /// The questions, in their order.
    pub characters: Vec<KeyCharacterJson>,
    /// The profiles.
    pub profiles: Vec<KeyProfileJson>,
}

/// A question of the key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KeyCharacterJson {
    /// Its id.
    pub id: String,
    /// The question.
    pub question: String,
    /// How to look.
    pub hint: Option<String>,
    /// What one must have to answer.
    pub needs: &'static str,
    /// The answers to choose from.
    pub states: Vec<StateJson>,
}

/// A profile with its chances.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeyProfileJson {
    /// What is known of it.
    pub pest: PestProfileJson,
    /// What is seen on it, by character; of one that is not told here every answer is as likely as any other.
    pub characters: Vec<KeyChancesJson>,
}

/// How likely the answers to a question are.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeyChancesJson {
    /// The question.
    pub character: String,
    /// The states that occur.
    pub states: Vec<String>,
    /// The chance of each answer, in the order of the question's states.
    pub chances: Vec<f64>,
}

impl KeyJson {
    /// The key.
    pub fn new(key: &Key<'_>) -> Self {
        let characters = key.characters().all().iter().map(|character| KeyCharacterJson {
            id: character.id.clone(),
            question: character.question.clone(),
            hint: character.hint.clone(),
            needs: character.needs.word(),
            states: character
                .states
                .iter()
                .map(|state| StateJson { id: state.id.clone(), words: state.words.clone() })
                .collect(),
        });
        let of_profile = |(place, profile): (usize, &Profile)| KeyProfileJson {
            pest: PestProfileJson::new(profile),
            characters: profile
                .characters
                .iter()
                .filter_map(|seen| {
                    let character = key.characters().place(&seen.what.character)?;
                    Some(KeyChancesJson {
                        character: seen.what.character.clone(),
                        states: seen.what.states.clone(),
                        chances: key.chances(place, character)?.to_vec(),
                    })
                })
                .collect(),
        };
        Self {
            format: FORMAT,
            named_from: NAMED_FROM,
            standing_from: STANDING_FROM,
            least_gain_bits: LEAST_GAIN,
            characters: characters.collect(),
            profiles: key.profiles().iter().enumerate().map(of_profile).collect(),
        }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        crate::json_text::pretty(self)
    }
}
