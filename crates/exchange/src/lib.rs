//! Every outside format, one file each

pub mod aftercare_file;
pub mod calendar;
pub mod calibration_json;
pub mod choice_json;
pub mod difference_json;
pub mod equipment_file;
pub mod forecast_csv;
mod format_line;
pub mod geojson_map;
pub mod history_file;
mod json_place;
mod json_text;
pub mod label_file;
pub mod map_repair;
pub mod measure_json;
pub mod mix_json;
pub mod problems_json;
mod quantity_field;
pub mod toml_source;
pub mod visit_file;
pub mod visit_json;
pub mod zones_geojson;
