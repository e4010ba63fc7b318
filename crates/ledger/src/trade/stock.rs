//! Stock by lot: what was received, used, adjusted, and what is left.

use exchange::kept::{Direction, Lot, Reference, StockAdjustment};
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Amount, AmountUnit, MassUnit, VolumeUnit};
use record::{ApplicationRecord, Became, Fact, TaskRecord};

/// The stock of one lot.
#[derive(Debug, Clone, PartialEq)]
pub struct LotStock {
    /// The lot.
    pub lot: Reference,
    /// The label on its container.
    pub label: String,
    /// The lot number on the container.
    pub number: String,
    /// What was received.
    pub received: Amount,
    /// What was used by applications.
    pub used: Amount,
    /// What was adjusted: more, less what was less; may be below nothing.
    pub adjusted: Amount,
    /// What is left; below nothing when more was used than there was, which is told as a problem.
    pub left: Amount,
    /// The day on which it was received.
    pub received_on: Date,
    /// The last day on which it may be used, when one is printed.
    pub use_until: Option<Date>,
}

/// Product that an application took out of stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Use {
    /// The record.
    pub record: Reference,
    /// The day.
    pub date: Date,
    /// The label.
    pub label: String,
    /// The lots named, in the order named; empty when none is.
    pub lots: Vec<String>,
    /// How much was taken: everything that went into tanks, also what was left over.
    pub amount: Amount,
}

/// The stock of all lots.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Lot by lot, in the order received.
    pub lots: Vec<LotStock>,
    /// What does not add up.
    told: Vec<StockProblem>,
}

/// Something that does not add up, and where.
#[derive(Debug, Clone, PartialEq)]
struct StockProblem {
    about: About,
    problem: Problem,
}

/// What a problem of stock is about.
#[derive(Debug, Clone, PartialEq)]
enum About {
    /// The use of a record.
    Record(Reference),
    /// An adjustment.
    Adjustment,
    /// What is left of a lot, after all uses of it.
    Lot(Reference),
}

impl Stock {
    /// What does not add up; warnings, since what was done is a fact. `stock::below-nothing`,
    /// `stock::unknown-lot`, `stock::no-lot`, `stock::other-kind`, `stock::past-date`,
    /// `stock::before-receipt`.
    pub fn problems(&self) -> Problems {
        self.told.iter().map(|told| told.problem.clone()).collect()
    }

    /// What of it some uses bring about: what their records say, and the lots on which they draw.
    pub fn problems_of(&self, uses: &[Use]) -> Problems {
        let draws_on = |lot: &LotStock| {
            uses.iter()
                .any(|taken| taken.label == lot.label && (taken.lots.is_empty() || taken.lots.contains(&lot.number)))
        };
        let is_meant = |about: &About| match about {
            About::Record(record) => uses.iter().any(|taken| taken.record == *record),
            About::Adjustment => false,
            About::Lot(lot) => self.lots.iter().any(|known| known.lot == *lot && draws_on(known)),
        };
        self.told.iter().filter(|told| is_meant(&told.about)).map(|told| told.problem.clone()).collect()
    }

    /// What is left of a product, over all its lots; `None` when none was received.
    pub fn left_of(&self, label: &str) -> Option<Amount> {
        let mut lots = self.lots.iter().filter(|lot| lot.label == label).map(|lot| lot.left);
        let first = lots.next()?;
        Some(lots.fold(first, |sum, left| sum.checked_add(left).unwrap_or(sum)))
    }
}

impl Use {
    /// What a record took out of stock, by label and lots: what several tasks took of the same is one use. A task
    /// that put down the leftover of another took nothing: its product was taken when the mix was made.
    pub fn of_record(id: &Reference, record: &ApplicationRecord) -> Vec<Self> {
        let leftovers = record.leftover.value().map_or(&[][..], Vec::as_slice);
        let is_of_leftover = |task: &TaskRecord| {
            leftovers.iter().any(|left| left.became == Fact::Recorded(Became::Applied(task.id.clone())))
        };
        let day = record.date;
        let mut uses: Vec<Self> = Vec::new();
        for task in record.tasks.iter().filter(|task| !is_of_leftover(task)) {
            for (index, product) in task.products.iter().enumerate() {
                let filled = task.tanks.iter().filter_map(|tank| tank.filled.as_ref()?.products.get(index).copied());
                let amount = if task.tanks.is_empty() {
                    product.amount
                } else {
                    filled.fold(product.amount.scaled(0.0), |sum, more| sum.checked_add(more).unwrap_or(sum))
                };
                let lots = product.lots.value().cloned().unwrap_or_default();
                let earlier = uses.iter_mut().find(|taken| taken.label == product.label && taken.lots == lots);
                let sum = earlier.and_then(|earlier| Some((earlier.amount.checked_add(amount)?, earlier)));
                if let Some((sum, earlier)) = sum {
                    earlier.amount = sum;
                } else {
                    let (record, label) = (id.clone(), product.label.clone());
                    uses.push(Self { record, date: day, label, lots, amount });
                }
            }
        }
        uses
    }
}

/// The stock that lots, adjustments and uses come to.
///
/// A use draws on the lots that it names, in the order named; the last of them takes what is over. A
/// use that names no lot draws on the only lot of its label, and is told when there are several.
pub fn stock(
    lots: &[(Reference, Lot)],
    adjustments: &[(Reference, StockAdjustment)],
    uses: impl IntoIterator<Item = Use>,
) -> Stock {
    let mut told = Vec::new();
    let mut kept: Vec<LotStock> = lots.iter().map(|(id, lot)| received(id, lot)).collect();
    kept.sort_by(|a, b| (a.received_on, &a.lot).cmp(&(b.received_on, &b.lot)));
    for (_, adjustment) in adjustments {
        if let Err(problem) = adjust(&mut kept, adjustment) {
            told.push(StockProblem { about: About::Adjustment, problem });
        }
    }
    let mut uses: Vec<Use> = uses.into_iter().collect();
    uses.sort_by(|a, b| (a.date, &a.record).cmp(&(b.date, &b.record)));
    for taken in &uses {
        let about = About::Record(taken.record.clone());
        told.extend(take(&mut kept, taken).into_iter().map(|problem| StockProblem { about: about.clone(), problem }));
    }
    for lot in kept.iter().filter(|lot| sign(lot.left) < 0.0) {
        let found = format!(
            "{} more of {} lot `{}` was used than there was",
            words(lot.left.scaled(-1.0)),
            lot.label,
            lot.number
        );
        let problem = Problem::warning("stock::below-nothing", found)
            .expected("no more used than was received")
            .mend("receive what is missing in the books, name the lot in fact used, or adjust the stock with a reason");
        told.push(StockProblem { about: About::Lot(lot.lot.clone()), problem });
    }
    Stock { lots: kept, told }
}

fn received(id: &Reference, lot: &Lot) -> LotStock {
    let received = lot.received.value();
    LotStock {
        lot: id.clone(),
        label: lot.label.clone(),
        number: lot.number.clone(),
        received,
        used: received.scaled(0.0),
        adjusted: received.scaled(0.0),
        left: received,
        received_on: lot.received_on.date(),
        use_until: lot.use_until.map(exchange::kept::Day::date),
    }
}

fn adjust(lots: &mut [LotStock], adjustment: &StockAdjustment) -> Result<(), Problem> {
    let by = match adjustment.direction {
        Direction::More => adjustment.amount.value(),
        Direction::Less => adjustment.amount.value().scaled(-1.0),
    };
    let lot = lots.iter_mut().find(|lot| lot.lot == adjustment.lot).ok_or_else(|| {
        Problem::warning("stock::unknown-lot", format!("an adjustment names the lot `{}`", adjustment.lot))
            .expected("a lot that was received")
    })?;
    match (lot.adjusted.checked_add(by), lot.left.checked_add(by)) {
        (Some(adjusted), Some(left)) => (lot.adjusted, lot.left) = (adjusted, left),
        _ => return Err(other_kind(lot, adjustment.amount.as_str())),
    }
    Ok(())
}

fn take(lots: &mut [LotStock], taken: &Use) -> Problems {
    let mut problems = Problems::new();
    let of_label: Vec<usize> =
        lots.iter().enumerate().filter(|(_, lot)| lot.label == taken.label).map(|(index, _)| index).collect();
    let mut from = Vec::new();
    for number in &taken.lots {
        match of_label.iter().find(|&&index| lots[index].number == *number) {
            Some(&index) => from.push(index),
            None => problems.push(
                Problem::warning(
                    "stock::unknown-lot",
                    format!("the record of {} took {} from lot `{number}`", taken.date, taken.label),
                )
                .expected("a lot that was received")
                .mend("receive the lot in the books, or amend the record"),
            ),
        }
    }
    if taken.lots.is_empty() {
        match of_label[..] {
            [only] => from.push(only),
            _ => problems.push(
                Problem::warning(
                    "stock::no-lot",
                    format!(
                        "the record of {} took {} of {} and names no lot",
                        taken.date,
                        words(taken.amount),
                        taken.label
                    ),
                )
                .expected(if of_label.is_empty() {
                    "a lot of it in the books".to_owned()
                } else if of_label.len() == 1 {
                    "the lot of it in the books".to_owned()
                } else {
                    format!("one of its {} lots", of_label.len())
                })
                .mend("receive the lot, or amend the record to name it"),
            ),
        }
    }
    let mut rest = taken.amount;
    for (place, &index) in from.iter().enumerate() {
        let lot = &mut lots[index];
        if lot.use_until.is_some_and(|last| last < taken.date) {
            problems.push(
                Problem::warning(
                    "stock::past-date",
                    format!("{} lot `{}` was used on {} past its last day", lot.label, lot.number, taken.date),
                )
                .expected("product within the time printed on its container"),
            );
        }
        if taken.date < lot.received_on {
            problems.push(
                Problem::warning(
                    "stock::before-receipt",
                    format!(
                        "{} lot `{}` was used on {}, before it was received on {}",
                        lot.label, lot.number, taken.date, lot.received_on
                    ),
                )
                .expected("a use on the day of receipt or later")
                .mend("keep the lot with the day on which it came, or amend the record to name the lot in fact used"),
            );
        }
        let is_last = place + 1 == from.len();
        let part = match lot.left.ratio(rest) {
            None => {
                problems.push(other_kind(lot, &words(rest)));
                return problems;
            }
            // The last lot takes what is over, so that the shortage is seen.
            Some(share) if is_last || share >= 1.0 => rest,
            Some(_) if sign(lot.left) <= 0.0 => rest.scaled(0.0),
            Some(_) => lot.left,
        };
        let sum = |a: Amount, b: Amount| a.checked_add(b).unwrap_or(a);
        lot.used = sum(lot.used, part);
        lot.left = sum(lot.left, part.scaled(-1.0));
        rest = sum(rest, part.scaled(-1.0));
    }
    problems
}

pub(super) fn other_kind(lot: &LotStock, amount: &str) -> Problem {
    Problem::warning(
        "stock::other-kind",
        format!("`{amount}` cannot be reckoned with {} of {} lot `{}`", words(lot.received), lot.label, lot.number),
    )
    .expected("a volume where the lot was received by volume, a weight where it was received by weight")
}

pub(super) fn sign(amount: Amount) -> f64 {
    // Rounding of sums leaves a hair; a thousandth of a millilitre or of a gram is nothing.
    const HAIR: f64 = 1e-3;
    let value = match amount {
        Amount::Volume(volume) => volume.to(VolumeUnit::Millilitre),
        Amount::Mass(mass) => mass.to(MassUnit::Gram),
    };
    if value.abs() < HAIR { 0.0 } else { value }
}

/// An amount in the trade's units and metric ones.
pub(super) fn words(amount: Amount) -> String {
    let (trade, metric) = match amount {
        Amount::Volume(_) => (AmountUnit::Volume(VolumeUnit::UsFluidOunce), AmountUnit::Volume(VolumeUnit::Millilitre)),
        Amount::Mass(_) => (AmountUnit::Mass(MassUnit::Ounce), AmountUnit::Mass(MassUnit::Gram)),
    };
    let shown = |unit| amount.show(unit).unwrap_or_default();
    format!("{} ({})", shown(trade), shown(metric))
}

#[cfg(test)]
mod tests {
    use super::*;
    use exchange::kept::{AmountText, Day};
    use jiff::civil::date;
    use quantity::Volume;

    fn id(number: u8) -> Reference {
        Reference::parse(&format!("00000000-0000-7000-8000-0000000000{number:02}")).expect("an identifier")
    }

    fn lot(number: u8, name: &str, received: &str, day: i8) -> (Reference, Lot) {
        let lot = Lot {
            label: "brackwater-sc".to_owned(),
            number: name.to_owned(),
            received_on: Day::new(date(2026, 3, day)),
            received: AmountText::parse(received).expect("an amount"),
            price: None,
            supplier: None,
            use_until: None,
            note: None,
        };
        (id(number), lot)
    }

    fn taken(lots: &[&str], fluid_ounces: f64) -> Use {
        Use {
            record: id(90),
            date: date(2026, 7, 7),
            label: "brackwater-sc".to_owned(),
            lots: lots.iter().map(|lot| (*lot).to_owned()).collect(),
            amount: Amount::Volume(Volume::new(fluid_ounces, VolumeUnit::UsFluidOunce)),
        }
    }

    fn left(stock: &Stock) -> Vec<(&str, f64)> {
        stock
            .lots
            .iter()
            .map(|lot| match lot.left {
                Amount::Volume(left) => (lot.number.as_str(), (left.to(VolumeUnit::UsFluidOunce) * 1e6).round() / 1e6),
                Amount::Mass(_) => (lot.number.as_str(), f64::NAN),
            })
            .collect()
    }

    fn codes(stock: &Stock) -> Vec<&str> {
        stock.told.iter().map(|told| told.problem.code).collect()
    }

    #[test]
    fn lots_named_are_drawn_on_in_their_order() {
        let lots = [lot(2, "B", "16 fl oz", 9), lot(1, "A", "4 fl oz", 2)];
        let found = stock(&lots, &[], [taken(&["A", "B"], 6.0)]);
        assert_eq!(left(&found), [("A", 0.0), ("B", 14.0)]);
        assert_eq!(codes(&found), [""; 0]);
        assert_eq!(found.left_of("brackwater-sc").map(words).as_deref(), Some("14.0 fl oz (414 mL)"));
        assert_eq!(found.left_of("other"), None);
    }

    #[test]
    fn a_shortage_is_told_and_the_use_stands() {
        let found = stock(&[lot(1, "A", "4 fl oz", 2)], &[], [taken(&["A"], 6.0)]);
        assert_eq!(left(&found), [("A", -2.0)]);
        assert_eq!(codes(&found), ["stock::below-nothing"]);
    }

    #[test]
    fn the_only_lot_needs_no_name_and_of_several_one_must_be_named() {
        let one = stock(&[lot(1, "A", "4 fl oz", 2)], &[], [taken(&[], 1.0)]);
        assert_eq!((left(&one), codes(&one)), (vec![("A", 3.0)], vec![]));
        let two = stock(&[lot(1, "A", "4 fl oz", 2), lot(2, "B", "4 fl oz", 3)], &[], [taken(&[], 1.0)]);
        assert_eq!((left(&two), codes(&two)), (vec![("A", 4.0), ("B", 4.0)], vec!["stock::no-lot"]));
        let none = stock(&[], &[], [taken(&[], 1.0)]);
        assert_eq!(codes(&none), ["stock::no-lot"]);
        let unknown = stock(&[lot(1, "A", "4 fl oz", 2)], &[], [taken(&["Z"], 1.0)]);
        assert_eq!((left(&unknown), codes(&unknown)), (vec![("A", 4.0)], vec!["stock::unknown-lot"]));
    }

    #[test]
    fn a_record_is_told_of_its_own_uses_and_of_the_lots_it_draws_on() {
        let other = Use { record: id(91), ..taken(&["Z"], 1.0) };
        let own = taken(&["A"], 6.0);
        let found = stock(
            &[lot(1, "A", "4 fl oz", 2), lot(2, "B", "1 fl oz", 3)],
            &[],
            [own.clone(), other, taken(&["B"], 2.0)],
        );
        assert_eq!(codes(&found), ["stock::unknown-lot", "stock::below-nothing", "stock::below-nothing"]);
        let told = found.problems_of(&[own]);
        assert_eq!(told.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["stock::below-nothing"]);
        assert!(told.iter().all(|problem| problem.found.contains("lot `A`")), "{told}");
    }

    #[test]
    fn adjustments_count_and_kinds_are_not_mixed() {
        let adjusted = |direction, amount| {
            let adjustment = StockAdjustment {
                lot: id(1),
                date: Day::new(date(2026, 5, 1)),
                direction,
                amount: AmountText::parse(amount).expect("an amount"),
                reason: "counted anew".to_owned(),
            };
            (id(50), adjustment)
        };
        let lots = [lot(1, "A", "4 fl oz", 2)];
        let found = stock(&lots, &[adjusted(Direction::Less, "1 fl oz"), adjusted(Direction::More, "3 fl oz")], []);
        assert_eq!((left(&found), codes(&found)), (vec![("A", 6.0)], vec![]));
        let weighed = stock(&lots, &[adjusted(Direction::Less, "1 lb")], []);
        assert_eq!((left(&weighed), codes(&weighed)), (vec![("A", 4.0)], vec!["stock::other-kind"]));
    }

    #[test]
    fn product_past_its_last_day_or_before_its_first_is_told() {
        let (id, mut old) = lot(1, "A", "4 fl oz", 2);
        let early = Use { date: date(2026, 3, 1), ..taken(&["A"], 1.0) };
        let found =
            stock(&[(id.clone(), old.clone())], &[], [early, Use { date: date(2026, 3, 2), ..taken(&["A"], 1.0) }]);
        assert_eq!((left(&found), codes(&found)), (vec![("A", 2.0)], vec!["stock::before-receipt"]));
        old.use_until = Some(Day::new(date(2026, 7, 6)));
        let found = stock(&[(id, old)], &[], [taken(&["A"], 1.0)]);
        assert_eq!((left(&found), codes(&found)), (vec![("A", 3.0)], vec!["stock::past-date"]));
    }
}
