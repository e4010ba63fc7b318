//! Pests of lawns, ornamentals and house surroundings, and what is taken for them: profiles in which every fact names
//! its source, and a key that may be entered anywhere.
//!
//! This crate must not know: products, land, files.

mod character;
mod key;
mod names;
mod profile;
mod stage;

pub use character::{Character, CharacterState, Characters, Needs, Share};
pub use key::{Answer, Candidate, Identification, Key, LEAST_GAIN, NAMED_FROM, Question, STANDING_FROM, Verdict};
pub use names::{Meant, is_kind_of, is_known_as, is_same_pest, meant, meant_by, name_key};
pub use profile::{
    Cited, Clumping, Fact, LifeStage, LookAlike, Months, Observed, PestKind, Profile, Sampling, Source, StatesSeen,
    Threshold, ThresholdCount, ThresholdOf,
};
pub use stage::{StageFit, stage_fit};
