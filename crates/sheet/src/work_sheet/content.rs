//! What stands on the sheet, as words: the template only sets it.

mod facts;
mod label;
mod record;
mod side_by_side;
mod task;
mod verdict;
mod weather;

use crate::PaperOptions;
use crate::content::Content;
use serde_json::json;
use treatment::{Figure, Status, Visit};

/// The content for a visit. A refused one has no amount, no hour and no form in it: it is no recipe.
pub(super) fn of(visit: &Visit, options: &PaperOptions) -> Content {
    let units = options.units;
    let mut content = json!({
        "paper": options.paper.word(),
        "colour": !options.black_and_white,
        "name": visit.name,
        "property": visit.property.name(),
        "date": units.long_date(visit.date),
        "iso_date": visit.date.to_string(),
        "banner": verdict::banner(visit),
        "facts": facts::of(visit, units),
        "cautions": label::cautions(visit),
    });
    if visit.verdict() != Status::Refused {
        content["work"] = json!({
            "product": task::common_product(visit),
            "tasks": task::tasks(visit, units),
            "side_by_side": side_by_side::of(visit, units),
            "ppe": label::ppe(visit),
            "hours": weather::reasons(visit, units),
            "posting": label::sentences(visit, &visit.posting),
            "keep_off": label::sentences(visit, &visit.keep_off.sentences),
            "irrigation": label::sentences(visit, &visit.irrigation.sentences),
            "directions": label::directions(visit),
            "tightest": verdict::tightest(visit),
            "remaining": task::remaining(visit, units),
            "record": record::of(visit, units),
        });
    }
    Content::new(content)
}

/// The number of a figure to three digits.
fn number(figure: &Figure) -> String {
    quantity::significant(figure.value, 3)
}

/// The verbatim sentence with its page.
fn clause(text: Option<&str>, page: Option<u32>) -> Option<String> {
    let text = text?;
    Some(page.map_or_else(|| format!("“{text}”"), |page| format!("“{text}” (page {page})")))
}
