//! Product received, lot by lot.

use super::{AmountText, Checked, Day, Index, Price, check_order, fields};
use problem::{Problem, Problems};
use quantity::Amount;

fields! {
    /// Product of one lot received.
    pub struct Lot {
        /// The identifier of the label on the container.
        pub label: String,
        /// The lot number as printed on the container.
        pub number: String,
        /// The day received.
        pub received_on: Day,
        /// How much was received.
        pub received: AmountText,
        /// What it cost in all.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub price: Option<Price>,
        /// From whom.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub supplier: Option<String>,
        /// The last day on which it may be used, when one is printed.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub use_until: Option<Day>,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

impl Lot {
    pub(super) fn found_by(&self) -> Index {
        let title = format!("{} lot {}", self.label, self.number);
        Index { title, date: Some(self.received_on.date()), ..Index::default() }
    }
}

impl Checked for Lot {
    fn check(&self, problems: &mut Problems) {
        check_positive("/received", &self.received, problems);
        check_order("/use_until", Some(&self.received_on), self.use_until.as_ref(), problems);
        if let Some(price) = &self.price {
            price.check("/price", problems);
        }
    }
}

/// Reports an amount that is nothing or less.
pub(super) fn check_positive(pointer: &str, amount: &AmountText, problems: &mut Problems) {
    let is_positive = match amount.value() {
        Amount::Volume(volume) => volume.is_positive(),
        Amount::Mass(mass) => mass.is_positive(),
    };
    if !is_positive {
        problems.push(
            Problem::error("kept::no-amount", format!("`{amount}` is no amount of product"))
                .expected("an amount above zero")
                .at(pointer),
        );
    }
}
