//! The work sheet: the paper on the clipboard.

mod content;
mod world;

use crate::hours::hours_strip;
use crate::{HoursOptions, MapOptions, Units, svg_map};
use problem::{Problem, Problems};
use treatment::Visit;

/// Paper of the work sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 8.5 by 11 inches.
    #[default]
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

impl Paper {
    const fn word(self) -> &'static str {
        match self {
            Self::Letter => "us-letter",
            Self::A4 => "a4",
        }
    }
}

/// How the work sheet is made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WorkSheetOptions {
    /// Paper.
    pub paper: Paper,
    /// The units in which the sheet speaks; amounts of product stand in both systems.
    pub units: Units,
    /// Black and white only; every hatch and word is the same as in colour.
    pub black_and_white: bool,
    /// Font files for scripts beyond Latin, Greek and Cyrillic, which come along. A letter that no
    /// font has is told on the sheet.
    pub fonts: Vec<Vec<u8>>,
}

/// The work sheet as PDF bytes; the same visit and options give the same bytes. Names and sentences
/// are set as text, whatever they hold.
///
/// # Errors
/// `sheet::typesetting` when the sheet cannot be set, with the words of the type-setting library;
/// `sheet::font` for a font file that cannot be read.
pub fn work_sheet_pdf(visit: &Visit, options: &WorkSheetOptions) -> Result<Vec<u8>, Problems> {
    let map = svg_map(visit, MapOptions { colour: !options.black_and_white, units: options.units, width: 840 });
    let hours = hours_strip(visit, HoursOptions { colour: !options.black_and_white, units: options.units, width: 800 });
    let fonts = world::Fonts::with(&options.fonts)?;
    let mut content = content::of(visit, options);
    let missing = fonts.missing(&(content.all_text() + &map + &hours));
    content.note_missing(&missing);
    let data = serde_json::to_vec(&content).map_err(|error| {
        Problem::error("sheet::typesetting", format!("the content of the sheet cannot be written: {error}"))
    })?;
    world::set(data, map, hours, fonts)
}
