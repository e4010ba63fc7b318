//! Which lot in stock a visit uses of a product.

use crate::cost::shown;
use crate::{Money, Occasion};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::Amount;
use treatment::ProductTotal;

/// A lot of product in stock.
#[derive(Debug, Clone, PartialEq)]
pub struct StockedLot {
    /// The label's id.
    pub label: String,
    /// The number on the container.
    pub number: String,
    /// How much was received.
    pub received: Amount,
    /// The same as it was written, such as `1 qt`.
    pub received_words: String,
    /// What all of it cost, where that is known.
    pub price: Option<Money>,
    /// The day of receipt.
    pub received_on: Date,
    /// The last day on which it may be used, when one is printed.
    pub use_until: Option<Date>,
    /// What is left of it; `None` when nothing is.
    pub left: Option<Amount>,
}

impl StockedLot {
    fn is_within_its_day(&self, date: Date) -> bool {
        self.use_until.is_none_or(|last| date <= last)
    }

    /// Whether it is there to be used on a day.
    fn can_serve(&self, date: Date) -> bool {
        self.left.is_some() && self.is_within_its_day(date) && self.received_on <= date
    }
}

/// The lot of a product that a visit uses.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choice<'o> {
    /// Its number, where one is named or in stock.
    pub number: Option<&'o str>,
    /// The lot, where it is in stock.
    pub lot: Option<&'o StockedLot>,
    /// What was taken for want of better.
    pub note: Option<String>,
    /// What should be looked at.
    pub warnings: Problems,
}

/// The lot that is named of a product; or else the one in stock that can serve on the day; of several the first to run
/// out: whose last day comes first, and where that does not tell, which was received first.
pub(crate) fn chosen<'o>(product: &ProductTotal, occasion: &'o Occasion, date: Date) -> Choice<'o> {
    let label = product.label.as_str();
    let of_label = || occasion.stock.iter().filter(|lot| lot.label == label);
    let mut choice = match occasion.lots.get(label) {
        Some(named) => of_name(named, &of_label().collect::<Vec<_>>(), label, date),
        None => of_stock(of_label().filter(|lot| lot.can_serve(date)).collect(), label),
    };
    if let Some(lot) = choice.lot
        && let Some(left) = lot.left
        && product.measured.ratio(left).is_some_and(|share| share > 1.0 + 1e-9)
    {
        let found = format!(
            "the visit takes {} of `{label}`, and {} is left of lot `{}`",
            shown(product.measured),
            shown(left),
            lot.number
        );
        choice.warnings.push(
            Problem::warning("cost::lot-short", found)
                .expected("as much left as the visit takes; all of it is reckoned at the price of this lot")
                .mend("receive more of it in the books, or name another lot with `--lot`"),
        );
    }
    choice
}

fn of_name<'o>(named: &'o str, of_label: &[&'o StockedLot], label: &str, date: Date) -> Choice<'o> {
    let mut warnings = Problems::new();
    let lot = of_label.iter().copied().find(|lot| lot.number == named);
    let told = |code, found: String| Problem::warning(code, found).mend("name the lot that is used");
    match lot {
        None if !of_label.is_empty() => {
            let known: Vec<String> = of_label.iter().map(|lot| format!("`{}`", lot.number)).collect();
            warnings.push(
                told("cost::unknown-lot", format!("no lot `{named}` of `{label}` is in stock"))
                    .expected(format!("one of {}", known.join(", "))),
            );
        }
        Some(lot) if lot.left.is_none() => warnings.push(
            told("cost::lot-empty", format!("nothing is left of lot `{named}` of `{label}`"))
                .expected("a lot of which something is left"),
        ),
        Some(lot) if !lot.is_within_its_day(date) => warnings.push(
            told("cost::lot-past-date", format!("lot `{named}` of `{label}` is past its last day on {date}"))
                .expected("product within the time printed on its container"),
        ),
        Some(_) | None => {}
    }
    Choice { number: Some(named), lot, note: None, warnings }
}

fn of_stock<'o>(mut serving: Vec<&'o StockedLot>, label: &str) -> Choice<'o> {
    serving.sort_by_key(|lot| (lot.use_until.unwrap_or(Date::MAX), lot.received_on, lot.number.as_str()));
    let (mut note, mut warnings) = (None, Problems::new());
    if let [first, _, ..] = serving.as_slice() {
        let numbers: Vec<String> = serving.iter().map(|lot| format!("`{}`", lot.number)).collect();
        let rule = "the lot whose last day comes first counts, and among equals the one received first";
        warnings.push(
            Problem::warning(
                "cost::several-lots",
                format!("{} lots of `{label}` could serve and none is named: {}", serving.len(), numbers.join(", ")),
            )
            .expected(format!("one of them; {rule}: `{}`", first.number))
            .mend(format!("name it: `--lot {label}=NUMBER`")),
        );
        note = Some(format!("several lots are left and none is named: {rule}"));
    }
    let lot = serving.first().copied();
    Choice { number: lot.map(|lot| lot.number.as_str()), lot, note, warnings }
}
