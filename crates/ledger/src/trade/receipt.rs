//! What stands against a lot when it is kept: product that cannot have come yet, or that its label measures otherwise.

use super::Held;
use super::stock::{other_kind, sign, words};
use crate::{Book, Expected, Kind, LedgerError, NewEntry};
use exchange::kept::{Direction, Kept, Label, Lot, StockAdjustment};
use jiff::civil::Date;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use problem::{Problem, Problems, Severity};
use quantity::{Amount, AmountUnit, Substance};

/// What stands against a lot that is kept at `now`; `label` is the kept label that it names. Errors cannot be:
/// `stock::not-yet` for a day of receipt that has begun nowhere on earth, `stock::other-measure` for a weight of what
/// the label measures by volume, or the other way round. A label that the books do not keep is a warning,
/// `stock::unknown-label`: it may come later.
pub fn receipt(lot: &Lot, label: Option<&label::Label>, now: Timestamp) -> Problems {
    let mut problems = Problems::new();
    let told = format!("{} lot `{}` is told as received on", lot.label, lot.number);
    problems.extend(not_yet(lot.received_on.date(), now, &told).map(|problem| {
        problem
            .expected("the day on which it was received")
            .mend("put the day right, or keep the lot when it is there")
            .at("/received_on")
    }));
    let Some(label) = label else {
        let found =
            format!("the books keep no label `{}`, so that its lot `{}` is not held against it", lot.label, lot.number);
        problems.push(
            Problem::warning("stock::unknown-label", found)
                .expected("the label on the container, by its id")
                .mend("keep it with `tussock label keep`, or correct the id")
                .at("/label"),
        );
        return problems;
    };
    let received = lot.received.value();
    let is_volume = matches!(received, Amount::Volume(_));
    let rates = label.uses.iter().filter_map(|row| row.rate.value()).map(|rate| rate.highest);
    // Rates of active ingredient are weights, whatever the product is measured by.
    let of_product = rates.filter(|rate| rate.substance() == Substance::Product);
    let by_volume: Vec<bool> = of_product.map(|rate| matches!(rate.unit(), AmountUnit::Volume(_))).collect();
    if !by_volume.is_empty() && !by_volume.contains(&is_volume) {
        let (by, other) = if is_volume { ("volume", "weight") } else { ("weight", "volume") };
        let found = format!(
            "{} of {} lot `{}` is told by {by}, and its label measures the product by {other}",
            words(received),
            lot.label,
            lot.number
        );
        problems.push(
            Problem::error("stock::other-measure", found)
                .expected(format!("an amount by {other}, as the rates of the label are"))
                .mend("write what the container holds as its label measures it, or name the label on the container")
                .at("/received"),
        );
    }
    problems
}

/// A lot that is kept already is not kept beside itself: uses would draw on neither for certain.
fn received_already(kept: &Held<Lot>) -> Problem {
    let Lot { label, number, received, received_on, .. } = &kept.document;
    let found =
        format!("{label} lot `{number}` is kept: {} received on {}", words(received.value()), received_on.date());
    Problem::error("stock::received-already", found)
        .expected("a lot that is not kept yet")
        .mend("for a second delivery of it, or a slip, adjust its stock with the reason")
        .at("/number")
}

impl Book {
    /// What stands against keeping an entry beyond what its document says of itself, and what should be looked at.
    pub(super) async fn doubts_of(&self, entry: &NewEntry) -> Result<Problems, LedgerError> {
        if entry.kind == Kind::StockAdjustment {
            return self.doubts_of_adjustment(entry).await;
        }
        if entry.kind == Kind::Survey {
            return self.doubts_of_survey(entry).await;
        }
        if entry.kind != Kind::Lot {
            return Ok(Problems::new());
        }
        let lot = Lot::read(&entry.body)?;
        let label = match self.things_titled::<Label>(&lot.label).await?.pop() {
            Some(held) => Some(held.document.parsed()?),
            None => None,
        };
        let mut problems = Problems::new();
        if entry.expected == Expected::New {
            let is_it = |held: &Held<Lot>| held.document.label == lot.label && held.document.number == lot.number;
            let kept = self.things::<Lot>().await?;
            problems.extend(kept.iter().find(|held| is_it(held)).map(received_already));
        }
        problems.extend(receipt(&lot, label.as_ref(), entry.recorded_at));
        Ok(problems)
    }
}

impl Book {
    /// Errors: an adjustment of a lot that is not kept, by weight of what was received by volume (or the other way
    /// round), or on a day that is yet to come. A warning: more is taken off than there is.
    async fn doubts_of_adjustment(&self, entry: &NewEntry) -> Result<Problems, LedgerError> {
        let adjustment = StockAdjustment::read(&entry.body)?;
        let mut problems = Problems::new();
        problems
            .extend(not_yet(adjustment.date.date(), entry.recorded_at, "the adjustment is told for").map(|problem| {
                problem.expected("the day on which it was found").mend("put the day right").at("/date")
            }));
        let Some(lot) = self.stock().await?.lots.into_iter().find(|lot| lot.lot == adjustment.lot) else {
            problems.push(
                Problem::error("stock::unknown-lot", format!("the books keep no lot `{}`", adjustment.lot))
                    .expected("a lot that was received")
                    .at("/lot"),
            );
            return Ok(problems);
        };
        let by = adjustment.amount.value();
        match lot.left.checked_add(by.scaled(-1.0)) {
            None => problems.push(
                Problem { severity: Severity::Error, ..other_kind(&lot, adjustment.amount.as_str()) }
                    .mend("write the amount as the lot was received")
                    .at("/amount"),
            ),
            Some(rest)
                if adjustment.direction == Direction::Less && entry.expected == Expected::New && sign(rest) < 0.0 =>
            {
                let found = format!(
                    "{} are taken off {} lot `{}`, of which {} are left",
                    words(by),
                    lot.label,
                    lot.number,
                    words(lot.left)
                );
                problems.push(
                    Problem::warning("stock::below-nothing", found)
                        .expected("no more taken off than is left")
                        .at("/amount"),
                );
            }
            Some(_) => {}
        }
        Ok(problems)
    }
}

/// A day that has begun nowhere on earth at a moment: error `stock::not-yet`.
fn not_yet(day: Date, now: Timestamp, what: &str) -> Option<Problem> {
    let ahead = now.checked_add(SignedDuration::from_hours(14)).unwrap_or(Timestamp::MAX);
    let is_ahead = day > Offset::UTC.to_datetime(ahead).date();
    is_ahead.then(|| Problem::error("stock::not-yet", format!("{what} {day}, which is yet to come")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use exchange::kept::{AmountText, Day};
    use jiff::civil::date;

    fn kept(received: &str, on: Date) -> Lot {
        Lot {
            label: "brackwater-sc".to_owned(),
            number: "A-17".to_owned(),
            received_on: Day::new(on),
            received: AmountText::parse(received).expect("an amount"),
            price: None,
            supplier: None,
            use_until: None,
            note: None,
        }
    }

    fn told(lot: &Lot, label: Option<&label::Label>) -> Vec<(&'static str, Severity)> {
        let now = "2026-07-07T12:00:00Z".parse().expect("a moment");
        receipt(lot, label, now).iter().map(|problem| (problem.code, problem.severity)).collect()
    }

    #[test]
    fn a_lot_is_measured_as_its_label_measures_it() {
        let text = exchange::demo::LABELS.iter().find(|(name, _)| name.contains("brackwater")).expect("a label").1;
        let (liquid, _) = exchange::label_file::parse_label("label", text).expect("a sound label");
        let day = date(2026, 3, 2);
        assert_eq!(told(&kept("1 qt", day), Some(&liquid)), []);
        assert_eq!(told(&kept("2 lb", day), Some(&liquid)), [("stock::other-measure", Severity::Error)]);
        let text = exchange::demo::LABELS.iter().find(|(name, _)| name.contains("gravelhome")).expect("a label").1;
        let (granules, _) = exchange::label_file::parse_label("label", text).expect("a sound label");
        assert_eq!(told(&kept("2 lb", day), Some(&granules)), []);
        assert_eq!(told(&kept("1 qt", day), Some(&granules)), [("stock::other-measure", Severity::Error)]);
        assert_eq!(told(&kept("1 qt", day), None), [("stock::unknown-label", Severity::Warning)]);
    }

    /// At noon by universal time the day is the next one in the farthest east.
    #[test]
    fn what_is_received_on_a_day_that_has_begun_nowhere_is_not_there_yet() {
        let unknown = ("stock::unknown-label", Severity::Warning);
        assert_eq!(told(&kept("1 qt", date(2026, 7, 8)), None), [unknown]);
        assert_eq!(told(&kept("1 qt", date(2026, 7, 9)), None), [("stock::not-yet", Severity::Error), unknown]);
    }
}
