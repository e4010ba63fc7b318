//! The commands, one file each.

pub(crate) mod calibrate;
pub(crate) mod choose;
pub(crate) mod completions;
pub(crate) mod demo;
pub(crate) mod label;
pub(crate) mod man;
pub(crate) mod measure;
pub(crate) mod mix;
pub(crate) mod plan;
pub(crate) mod serve;
