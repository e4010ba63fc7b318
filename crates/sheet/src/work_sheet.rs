//! The work sheet: the paper on the clipboard.

mod content;
#[cfg(test)]
mod text_tests;

use crate::hours::hours_strip;
use crate::typesetting::{self, Paper};
use crate::{HoursOptions, MapOptions, PaperOptions, svg_map};
use problem::Problems;
use treatment::Visit;

/// The work sheet as PDF bytes; the same visit and options give the same bytes. Names and sentences
/// are set as text, whatever they hold.
///
/// # Errors
/// `sheet::typesetting` when the sheet cannot be set, with the words of the type-setting library;
/// `sheet::font` for a font file that cannot be read.
pub fn work_sheet_pdf(visit: &Visit, options: &PaperOptions) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(visit, options), &options.fonts)
}

fn paper(visit: &Visit, options: &PaperOptions) -> Paper {
    let (colour, units) = (!options.black_and_white, options.units);
    Paper {
        template: ("work_sheet.typ", include_str!("../templates/work_sheet.typ")),
        content: content::of(visit, options),
        pictures: vec![
            ("map.svg", svg_map(visit, MapOptions { colour, units, width: 840 })),
            ("hours.svg", hours_strip(visit, HoursOptions { colour, units, width: 800 })),
        ],
    }
}
