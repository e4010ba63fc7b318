//! The notice to a neighbour before the work.

use super::letter::Letter;
use super::plain_words::{keep_off, method, moment, products, when};
use crate::PaperOptions;
use crate::typesetting::{self, Paper};
use crate::words::capital;
use business::{Business, Client, Neighbour, NeighbourDeadline, Treatment, lacking};
use jurisdiction::NoticeItem;
use problem::Problems;

/// The notice to one neighbour as PDF bytes; the same input gives the same bytes. Without a `deadline` the
/// neighbour is told because of having asked, and no rule known demands it.
///
/// # Errors
/// `sheet::typesetting` when the paper cannot be set, `sheet::font` for a font file that cannot be read.
pub fn neighbour_notice_pdf(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    neighbour: &Neighbour,
    deadline: Option<&NeighbourDeadline<'_>>,
    options: &PaperOptions,
) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(treatment, business, client, neighbour, deadline, options), &options.fonts)
}

pub(super) fn paper(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    neighbour: &Neighbour,
    deadline: Option<&NeighbourDeadline<'_>>,
    options: &PaperOptions,
) -> Paper {
    let units = options.units;
    let place = client.address.join(", ");
    let mut facts = vec![("Where", place), ("When", when(treatment, units))];
    if let Some(deadline) = deadline {
        facts.push(("Give by", moment(deadline.deadline.by, units)));
    }
    let title = "Notice: insecticide will be applied near you";
    let to = (neighbour.name.as_str(), neighbour.address.as_slice());
    let mut letter = Letter::new(title, business, client, to, &facts, options);
    letter.text(
        "We plan to apply an insecticide on a property near you. Wind, rain or heat may delay the work. If the day \
         changes, you will get a new notice.",
    );
    letter.frame(
        "Please, while we work",
        &[
            "Keep children and pets inside, and keep windows that face the property closed.".to_owned(),
            "Bring in laundry, toys, pet dishes and bedding. Cover ponds, pools and vegetables near the boundary."
                .to_owned(),
            "Before that day, please tell us about hives, ponds, wells, food plants and play areas near the boundary, and \
             about anyone who is ill, pregnant or allergic."
                .to_owned(),
        ],
    );
    letter.heading("What will be applied");
    let head = ["Insecticide", "Active ingredients", "Registration number"];
    letter.table(&head, &products(treatment, false));
    letter.points(
        &treatment
            .places
            .iter()
            .map(|treated| {
                format!(
                    "{}: {}, against {}.",
                    capital(&treated.places.join(", ")),
                    method(treated.method),
                    treated.pests.join(", ")
                )
            })
            .collect::<Vec<_>>(),
    );
    letter.heading("How long people and pets are kept off the treated places");
    let until = keep_off(treatment, units);
    letter.text(until.unwrap_or_else(|| "How long is not known: please ask us.".to_owned()));
    letter.heading("Whom to ask");
    let mut pairs = vec![("Questions", business.who_to_call())];
    if let Some(number) = business.poison_centre() {
        pairs.push(("Poison centre", number.to_owned()));
    }
    letter.pairs(&pairs);
    match deadline {
        Some(deadline) => {
            letter.heading("Why you get this");
            letter.text(deadline.deadline.binding.told());
            for item in &deadline.deadline.notice.contains {
                if let NoticeItem::Words(words) = item {
                    letter.text(words.clone());
                }
            }
            for item in lacking(&deadline.deadline.notice.contains, business, treatment) {
                letter.blanks(&[capital(&item.phrase()).as_str()]);
            }
        }
        None => letter.text("You get this because you asked to be told."),
    }
    letter.blanks(&["Given to, and how", "Date and time", "Given by"]);
    letter.paper()
}
