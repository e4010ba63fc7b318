//! Characters: what a person is asked, and the states to choose from.

use problem::{Problem, Problems};
use std::collections::BTreeSet;

/// A share between 0 and 1, both left out.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Share(f64);

impl Share {
    /// A share; `None` unless between 0 and 1.
    pub fn new(share: f64) -> Option<Self> {
        (share > 0.0 && share < 1.0).then_some(Self(share))
    }

    /// Its value.
    pub fn value(self) -> f64 {
        self.0
    }
}

/// What one must have to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Needs {
    /// The animal in hand.
    Specimen,
    /// The damage in sight.
    Damage,
    /// Where it was found.
    Place,
    /// When it was found.
    Time,
    /// A soap flush, a trap or a dug sod.
    TrapOrFlush,
}

impl Needs {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Specimen, Self::Damage, Self::Place, Self::Time, Self::TrapOrFlush];

    /// Its word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Specimen => "specimen",
            Self::Damage => "damage",
            Self::Place => "place",
            Self::Time => "time",
            Self::TrapOrFlush => "trap-or-flush",
        }
    }
}

/// One state of a character.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CharacterState {
    /// Its id, unique in the character.
    pub id: String,
    /// What a person reads.
    pub words: String,
}

/// A character: a question with its states.
#[derive(Debug, Clone, PartialEq)]
pub struct Character {
    /// Its id.
    pub id: String,
    /// The question.
    pub question: String,
    /// How to look.
    pub hint: Option<String>,
    /// What one must have to answer.
    pub needs: Needs,
    /// How often a careful person without training answers it wrong.
    pub error_rate: Share,
    /// Its states, two or more.
    pub states: Vec<CharacterState>,
}

impl Character {
    /// The place of a state among its states.
    pub fn state(&self, id: &str) -> Option<usize> {
        self.states.iter().position(|state| state.id == id)
    }
}

/// Characters, each id once, each with two states or more.
#[derive(Debug, Clone, PartialEq)]
pub struct Characters(Vec<Character>);

impl Characters {
    /// Characters in the order in which they are listed.
    ///
    /// # Errors
    /// Every id that comes twice, every character with fewer than two states, and every state that comes twice.
    pub fn new(characters: Vec<Character>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let mut ids = BTreeSet::new();
        for character in &characters {
            let id = &character.id;
            if !ids.insert(id) {
                problems.push(
                    Problem::error("pest::character-twice", format!("two characters are called `{id}`"))
                        .expected("an id of its own for each"),
                );
            }
            if character.states.len() < 2 {
                problems.push(
                    Problem::error(
                        "pest::few-states",
                        format!("character `{id}` has `{}` states", character.states.len()),
                    )
                    .expected("two or more to choose from"),
                );
            }
            let mut states = BTreeSet::new();
            for state in &character.states {
                if !states.insert(&state.id) {
                    problems.push(
                        Problem::error("pest::state-twice", format!("character `{id}` has two states `{}`", state.id))
                            .expected("an id of its own for each"),
                    );
                }
            }
        }
        problems.unless_errors(Self(characters)).map(|(characters, _)| characters)
    }

    /// All of them.
    pub fn all(&self) -> &[Character] {
        &self.0
    }

    /// The place of a character among them.
    pub fn place(&self, id: &str) -> Option<usize> {
        self.0.iter().position(|character| character.id == id)
    }
}
