//! The commands, one file each.

pub(crate) mod calibrate;
pub(crate) mod choose;
pub(crate) mod completions;
pub(crate) mod cost;
pub(crate) mod demo;
pub(crate) mod desk;
pub(crate) mod hours;
pub(crate) mod identify;
pub(crate) mod label;
pub(crate) mod man;
pub(crate) mod measure;
pub(crate) mod mix;
pub(crate) mod notice;
mod papers;
pub(crate) mod pest;
pub(crate) mod plan;
pub(crate) mod quote;
pub(crate) mod record;
pub(crate) mod scout;
pub(crate) mod season;
pub(crate) mod serve;
pub(crate) mod stock;
pub(crate) mod survey;
pub(crate) mod thing;
pub(crate) mod visit;
