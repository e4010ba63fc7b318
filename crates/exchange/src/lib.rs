//! Every outside format, one file each: texts in, checked types out, and back. Readers report all
//! that is wrong at once, with line and field.
//!
//! This crate must not know: the file system, clocks, the network. Who calls it reads and writes.

pub mod aftercare_file;
pub mod answer_schema;
pub mod applied_json;
pub mod as_applied_file;
pub mod books_json;
pub mod business_file;
pub mod calendar;
pub mod calibration_json;
pub mod choice_json;
pub mod client_file;
pub mod complaint_json;
pub mod cost_json;
pub mod demands_json;
pub mod demo;
pub mod difference_json;
pub mod drawing_json;
pub mod efficacy_json;
pub mod equipment_file;
pub mod equipment_json;
pub mod forecast_csv;
pub mod forecast_json;
pub mod format_line;
pub mod geojson_map;
pub mod history_file;
pub mod identification_json;
mod json_place;
mod json_source;
mod json_text;
pub mod kept;
pub mod label_file;
pub mod label_json;
pub mod leftover_json;
pub mod map_repair;
pub mod measure_json;
pub mod mix_json;
pub mod pest_file;
pub mod pest_json;
pub mod problems_json;
mod quantity_field;
pub mod quotation_json;
pub mod record_json;
pub mod record_list_json;
pub mod room_json;
pub mod rule_file;
pub mod scouting_json;
pub mod size_json;
pub mod standing_json;
pub mod survey_file;
pub mod toml_source;
pub mod toml_text;
pub mod totals_json;
pub mod visit_file;
pub mod visit_json;
pub mod zones_geojson;
