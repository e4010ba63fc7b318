//! Pests of lawns, ornamentals and house surroundings, and what is taken for them: profiles in which every fact names
//! its source, and a key that may be entered anywhere.
//!
//! This crate must not know: products, land, files.

mod character;
mod degree_day_model;
mod key;
mod names;
mod profile;
mod source;
mod stage;

pub use character::{Character, CharacterState, Characters, Needs, Share};
pub use degree_day_model::{DegreeDayModel, HeatMethod, HeatStart, StageStep, StepSpread, UpperCutoff};
pub use key::{Answer, Candidate, Identification, Key, LEAST_GAIN, NAMED_FROM, Question, STANDING_FROM, Verdict};
pub use names::{Meant, is_kind_of, is_known_as, is_same_pest, meant, meant_by, name_key};
pub use profile::{
    Clumping, LifeStage, LookAlike, Months, Observed, PestKind, Profile, Sampling, StatesSeen, Threshold,
    ThresholdCount, ThresholdOf,
};
pub use source::{Cited, Fact, Source, check_sources};
pub use stage::{StageFit, stage_fit};
