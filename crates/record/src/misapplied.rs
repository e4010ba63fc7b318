//! What was done against a label, as those who live there must know it: what it means for them, and what to do.

use crate::application::{ApplicationRecord, Breach};
use crate::task::TaskRecord;

/// What people who live there are told of a record's breaches, each sentence once, the gravest first. Breaches that
/// change nothing for them, such as too little spray, are left to the record.
///
/// # Source
/// Common practice, no source: whoever cannot tell what follows keeps people away and asks; food plants treated
/// against the label are not eaten from.
pub fn misapplied(record: &ApplicationRecord, place_of: &dyn Fn(&TaskRecord) -> String) -> Vec<String> {
    let mut told: Vec<(Grave, String)> = Vec::new();
    for breach in &record.breaches {
        let Some(task) = record.task(&breach.task) else { continue };
        let Some((grave, what)) = words(breach, &place_of(task)) else { continue };
        if !told.iter().any(|(_, held)| *held == what) {
            told.push((grave, what));
        }
    }
    if crate::poured_out::in_record(record).iter().next().is_some() {
        let poured = "Something of the mix is told to have ended where no label allows it, such as on a street or in a drain. \
                      Keep people and pets away from there, and ask us where it was and what was done about it.";
        told.push((Grave::Place, poured.to_owned()));
    }
    told.sort_by_key(|(grave, _)| *grave);
    told.into_iter().map(|(_, what)| what).collect()
}

/// What comes first on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Grave {
    Food,
    Amount,
    Place,
    Drift,
}

fn words(breach: &Breach, place: &str) -> Option<(Grave, String)> {
    let rule = breach.rule.strip_prefix("breach::")?;
    Some(match rule {
        "food-plants" => (
            Grave::Food,
            "Plants grown for food were treated, and the label does not allow it. Do not eat, pick or give away anything \
             from them, and do not feed it to animals, until we or the extension service have told you what follows."
                .to_owned(),
        ),
        "rate-above-label" | "maximum-single" | "maximum-single-of-tank" | "maximum-single-of-place" | "cap" | "applications" | "interval" => (
            Grave::Amount,
            format!(
                "More was put down on the {place}, or sooner, than the label allows. Keep people and pets off until we \
                 have told you what follows, longer than is said below."
            ),
        ),
        "site" | "prohibited-site" | "paving" => (
            Grave::Place,
            format!(
                "On the {place} something was treated that the label does not list. Keep people and pets off it, and do \
                 not hose it toward a drain, until we have told you what follows."
            ),
        ),
        "distance" | "bloom" => (
            Grave::Place,
            format!(
                "On the {place} the work came nearer to water, bees, flowers or another place to be spared than the label \
                 allows. Tell us of dead bees, fish or birds at once."
            ),
        ),
        "wind-high" | "gust" => (
            Grave::Drift,
            "The wind was stronger than the label allows, and spray may have drifted. Wear gloves and wash toys, \
             dishes and seats that stood outside with soap and water, wash laundry apart, and do not eat what grew \
             beside the treated places before you have asked us."
                .to_owned(),
        ),
        _ => return None,
    })
}
