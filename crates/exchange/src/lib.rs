//! Every outside format, one file each

pub mod toml_source;
