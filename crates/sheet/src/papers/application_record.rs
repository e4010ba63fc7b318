//! The record of an application, for an inspector.

use super::letter::{Letter, Sender};
use crate::PaperOptions;
use crate::typesetting::{self, Paper};
use problem::Problems;
use record::{Part, RecordPaper};

/// The record as PDF bytes; the same input gives the same bytes.
///
/// # Errors
/// `sheet::typesetting` when the paper cannot be set, `sheet::font` for a font file that cannot be read.
pub fn application_record_pdf(record: &RecordPaper, options: &PaperOptions) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(record, options), &options.fonts)
}

pub(super) fn paper(record: &RecordPaper, options: &PaperOptions) -> Paper {
    let sender = Sender {
        name: record.kept_by.as_deref().unwrap_or("Application record"),
        address: &[],
        contact: &record.kept_by_lines,
        invented: false,
    };
    let title = format!("Application record: {}", record.name);
    let to = (record.client.as_str(), record.client_address.as_slice());
    let mut letter = Letter::from(&title, &sender, to, &record.facts, options);
    letter.on_every_page(&record.found_by);
    for section in &record.sections {
        letter.heading(&section.heading);
        for part in &section.parts {
            match part {
                Part::Facts(facts) => {
                    let pairs: Vec<(&str, String)> =
                        facts.iter().map(|(asked, said)| (asked.as_str(), said.clone())).collect();
                    letter.long_pairs(&pairs);
                }
                Part::Table { head, rows } => {
                    letter.table(&head.iter().map(String::as_str).collect::<Vec<_>>(), rows);
                }
                Part::Points(points) => letter.points(points),
            }
        }
    }
    letter.paper()
}
