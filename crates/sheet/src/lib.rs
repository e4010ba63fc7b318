//! Paper and pictures as bytes: the map and the hours of a visit as SVG, and the work sheet as PDF.
//!
//! Everything is made from a [`treatment::Visit`] alone, and the same visit gives the same bytes.
//!
//! This crate must not know: how any figure is reached. It shows what it is given. It must not know
//! other floors' file formats either.

mod hours;
mod map;
mod markup;
mod number;
#[cfg(test)]
#[path = "../tests/sample/mod.rs"]
mod sample;
mod words;
mod work_sheet;

pub use hours::{HoursOptions, hours_svg};
pub use map::{MapOptions, svg_map};
pub use number::Units;
pub use work_sheet::{Paper, WorkSheetOptions, work_sheet_pdf};
