//! Paper and pictures as bytes: the map and the hours of a visit as SVG, and the work sheet as PDF.
//!
//! Everything is made from what it is given alone, such as a [`treatment::Visit`], and the same input gives the same
//! bytes.
//!
//! This crate must not know: how any figure is reached. It shows what it is given. It must not know
//! other floors' file formats either.

mod content;
mod efficacy_picture;
mod hours;
mod map;
mod markup;
mod number;
mod options;
mod papers;
#[cfg(test)]
#[path = "../tests/sample/mod.rs"]
mod sample;
mod season_page;
mod season_picture;
mod stage_picture;
mod stop_lines;
mod surface_map;
mod typesetting;
mod water_balance;
mod words;
mod work_hours;
mod work_sheet;

pub use efficacy_picture::{EfficacyPicture, EfficacyPoint, efficacy_svg};
pub use hours::{HoursOptions, hours_svg};
pub use map::{MapOptions, svg_map};
pub use number::Units;
pub use options::{PaperOptions, PaperSize};
pub use papers::{application_record_pdf, client_sheet_pdf, neighbour_notice_pdf, posting_sign_pdf, quotation_pdf};
pub use season_page::season_pdf;
pub use season_picture::{SeasonPicture, season_svg};
pub use stage_picture::{StagePicture, stages_svg};
pub use stop_lines::{StopLinesPicture, stop_lines_svg};
pub use surface_map::{SurfacePicture, surface_svg};
pub use water_balance::{WaterBalanceOptions, water_balance_svg};
pub use work_hours::work_hours_svg;
pub use work_sheet::work_sheet_pdf;
