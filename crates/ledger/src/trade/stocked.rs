//! The lots of the books, as a price is reckoned with them.

use super::Stock;
use super::stock::sign;
use business::{Currency, Money, StockedLot};
use exchange::kept::{Lot, Reference};
use problem::{Problem, Problems};

/// The lots with what is left of each. A price that is none of its currency is left out, with a warning.
pub fn stocked(lots: &[(Reference, Lot)], stock: &Stock) -> (Vec<StockedLot>, Problems) {
    let mut problems = Problems::new();
    let mut price_of = |lot: &Lot| {
        let told = lot.price.as_ref()?;
        let read = Currency::parse(&told.currency).and_then(|currency| Money::parse(&told.amount, currency));
        read.map_err(|problem| {
            let found = format!("the price of {} lot `{}` cannot be taken: {}", lot.label, lot.number, problem.found);
            problems.push(Problem { found, severity: problem::Severity::Warning, ..problem });
        })
        .ok()
    };
    let all = lots.iter().filter_map(|(id, lot)| {
        let known = stock.lots.iter().find(|known| known.lot == *id)?;
        Some(StockedLot {
            label: lot.label.clone(),
            number: lot.number.clone(),
            received: lot.received.value(),
            received_words: lot.received.as_str().to_owned(),
            price: price_of(lot),
            received_on: known.received_on,
            use_until: known.use_until,
            left: (sign(known.left) > 0.0).then_some(known.left),
        })
    });
    let all = all.collect();
    (all, problems)
}
