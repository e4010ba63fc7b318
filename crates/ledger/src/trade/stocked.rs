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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::stock;
    use exchange::kept::{AmountText, Day, Price};
    use jiff::civil::date;

    #[test]
    fn a_price_that_cannot_be_read_is_left_out_and_told() {
        let lot = |number: u8, amount: &str, currency: &str| {
            let id =
                Reference::parse(&format!("00000000-0000-7000-8000-0000000000{number:02}")).expect("an identifier");
            let lot = Lot {
                label: "brackwater-sc".to_owned(),
                number: number.to_string(),
                received_on: Day::new(date(2026, 3, 2)),
                received: AmountText::parse("1 qt").expect("an amount"),
                price: Some(Price { amount: amount.to_owned(), currency: currency.to_owned() }),
                supplier: None,
                use_until: None,
                note: None,
            };
            (id, lot)
        };
        let lots = [lot(1, "45.99", "USD"), lot(2, "45.999", "USD"), lot(3, "45.99", "QQQ")];
        let (found, problems) = stocked(&lots, &stock(&lots, &[], []));
        let prices: Vec<Option<i64>> = found.iter().map(|lot| lot.price.map(Money::minor)).collect();
        assert_eq!(prices, [Some(4_599), None, None]);
        assert!(found.iter().all(|lot| lot.left.is_some() && lot.received_words == "1 qt"));
        let codes: Vec<&str> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["money::amount", "money::currency"]);
        assert!(!problems.has_errors());
    }
}
