//! Stock that changed without an application.

use super::lot::check_positive;
use super::{AmountText, Checked, Day, Index, Reference, fields, words};
use problem::Problems;

fields! {
    /// Stock of a lot that was counted anew, spilled, returned, disposed of.
    pub struct StockAdjustment {
        /// The lot.
        pub lot: Reference,
        /// The day.
        pub date: Day,
        /// Whether there is more or less of it.
        pub direction: Direction,
        /// By how much.
        pub amount: AmountText,
        /// Why.
        pub reason: String,
    }
}

words! {
    /// Whether there is more or less.
    pub enum Direction {
        /// There is more.
        More = "more",
        /// There is less.
        Less = "less",
    }
}

impl StockAdjustment {
    pub(super) fn found_by(&self) -> Index {
        let title = format!("{} {}: {}", self.amount, self.direction.word(), self.reason);
        Index { title, date: Some(self.date.date()), ..Index::default() }
    }
}

impl Checked for StockAdjustment {
    fn check(&self, problems: &mut Problems) {
        check_positive("/amount", &self.amount, problems);
    }
}
