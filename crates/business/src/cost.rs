//! What a visit costs the business, line by line.

use crate::product_cost::product_line;
use crate::stocked_lot::chosen;
use crate::{Fraction, Journey, Money, StockedLot, Tariff, WayPrice};
use problem::{Problem, Problems};
use quantity::{Amount, AmountUnit, Duration, DurationUnit, Length, MassUnit, VolumeUnit};
use std::collections::BTreeMap;
use std::num::NonZeroU16;
use treatment::{Origin, Visit};

/// What of one visit its plan does not say and money depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct Occasion {
    /// How many people do the work together.
    pub people: NonZeroU16,
    /// Travel to the property and back.
    pub journey: Journey,
    /// The lot that is used of a label, by the label's id. Where none is named, the one in stock that is the first to
    /// run out counts; where none is in stock and lots of the tariff differ in price, the dearest. The line says so.
    pub lots: BTreeMap<String, String>,
    /// The lots in stock, where books keep them.
    pub stock: Vec<StockedLot>,
}

/// What a visit costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// One line for each thing.
    pub lines: Vec<CostLine>,
    /// What is used and has no price. It is in no line and not in the total.
    pub without_price: Vec<Unpriced>,
    /// All lines together.
    pub total: Money,
    /// What should be looked at: a lot that was not named, or is not enough.
    pub warnings: Problems,
}

/// What a line of cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CostKind {
    /// Product.
    Product,
    /// Working time.
    Work,
    /// The way, by distance.
    Way,
    /// Travel time.
    WayTime,
    /// Equipment.
    Equipment,
}

impl CostKind {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Product, Self::Work, Self::Way, Self::WayTime, Self::Equipment];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Product => "product",
            Self::Work => "work",
            Self::Way => "way",
            Self::WayTime => "way-time",
            Self::Equipment => "equipment",
        }
    }
}

/// One line of cost.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// What for.
    pub kind: CostKind,
    /// In words: the product's name, `working time`.
    pub what: String,
    /// The cost, rounded once.
    pub amount: Money,
    /// The formula in words and symbols.
    pub formula: &'static str,
    /// Every input with its unit and where it comes from.
    pub inputs: Vec<CostInput>,
    /// What was taken for want of better, when something was.
    pub note: Option<String>,
}

/// An input of a line of cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostInput {
    /// What it is.
    pub name: &'static str,
    /// Its value with its unit.
    pub value: String,
    /// Where it comes from.
    pub origin: Origin,
}

/// Something that is used and has no price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unpriced {
    /// What for.
    pub kind: CostKind,
    /// In words.
    pub what: String,
    /// Why it has no price.
    pub why: String,
    /// What would give it one.
    pub mend: String,
}

/// What a visit costs by the tariff of the business.
///
/// A line is product as measured × price of the lot / what was received of it, where the lot is in stock and has its
/// price; or else × price of the container / what it holds; people × duration × hourly rate;
/// way × price of its distance; people × time on the way × hourly rate; equipment per visit. Times are taken
/// to the nearest minute, and each line is rounded once ([`Money`]).
///
/// # Errors
/// `money::two-currencies` and `money::too-large`; `cost::unused-label` where a lot is named for a label that the visit
/// does not use.
pub fn cost(visit: &Visit, tariff: &Tariff, occasion: &Occasion) -> Result<Cost, Problems> {
    let unused = unused_labels(visit, occasion);
    if unused.has_errors() {
        return Err(unused);
    }
    let mut without_price = Vec::new();
    let mut warnings = Problems::new();
    let mut lines: Vec<Result<CostLine, Problem>> = Vec::new();
    for product in &visit.products {
        let choice = chosen(product, occasion, visit.date);
        match product_line(product, tariff, &choice) {
            Ok(line) => lines.push(line),
            Err(unpriced) => without_price.push(unpriced),
        }
        warnings.extend(choice.warnings);
    }
    match tariff.hourly {
        Some(rate) => lines.push(time_line(CostKind::Work, "working time", visit.duration, rate, occasion)),
        None => without_price.push(Unpriced {
            kind: CostKind::Work,
            what: format!("working time of {}", minutes(visit.duration)),
            why: "the business states no hourly rate".to_owned(),
            mend: "state `hourly` in the business file".to_owned(),
        }),
    }
    travel(tariff, occasion, &mut lines, &mut without_price);
    for charge in &tariff.equipment {
        if visit.tasks.iter().any(|task| task.equipment == charge.equipment) {
            lines.push(Ok(CostLine {
                kind: CostKind::Equipment,
                what: charge.equipment.clone(),
                amount: charge.per_visit,
                formula: "charge per visit",
                inputs: vec![input("charge per visit", &charge.per_visit, Origin::Business)],
                note: None,
            }));
        }
    }
    let mut problems = Problems::new();
    let lines: Vec<CostLine> =
        lines.into_iter().filter_map(|line| line.map_err(|problem| problems.push(problem)).ok()).collect();
    match Money::sum(lines.iter().map(|line| line.amount), tariff.currency) {
        Ok(total) if !problems.has_errors() => Ok(Cost { lines, without_price, total, warnings }),
        Ok(_) => Err(problems),
        Err(error) => {
            problems.push(Problem::from(error));
            Err(problems)
        }
    }
}

/// Lots that are named for labels that the visit does not use: a slip, which would price another lot unseen.
fn unused_labels(visit: &Visit, occasion: &Occasion) -> Problems {
    let used: Vec<&str> = visit.products.iter().map(|product| product.label.as_str()).collect();
    let unused = occasion.lots.iter().filter(|(label, _)| !used.contains(&label.as_str()));
    unused
        .map(|(label, lot)| {
            let found = format!("lot `{lot}` is named for the label `{label}`, which the visit does not use");
            Problem::error("cost::unused-label", found)
                .expected(format!("a label of the visit: {}", used.join(", ")))
                .mend("correct the label's id, or leave the lot out")
        })
        .collect()
}

pub(crate) fn input(name: &'static str, value: &dyn std::fmt::Display, origin: Origin) -> CostInput {
    CostInput { name, value: value.to_string(), origin }
}

fn time_line(
    kind: CostKind,
    what: &str,
    time: Duration,
    hourly: Money,
    occasion: &Occasion,
) -> Result<CostLine, Problem> {
    let hours = Fraction::hours(time).ok_or(crate::MoneyError::TooLarge)?;
    let people = u32::from(occasion.people.get());
    let origin = if kind == CostKind::Work { Origin::Measured } else { Origin::Business };
    Ok(CostLine {
        kind,
        what: what.to_owned(),
        amount: hourly.times(hours.times(people))?,
        formula: "people × time × hourly rate",
        inputs: vec![
            input("people", &people, Origin::Business),
            input("time", &minutes(time), origin),
            input("hourly rate", &hourly, Origin::Business),
        ],
        note: None,
    })
}

fn travel(
    tariff: &Tariff,
    occasion: &Occasion,
    lines: &mut Vec<Result<CostLine, Problem>>,
    without_price: &mut Vec<Unpriced>,
) {
    let Some(travel) = tariff.travel else { return };
    let missing = |kind, what: &str, field: &str| Unpriced {
        kind,
        what: what.to_owned(),
        why: "it is charged for, and how much of it there is, is not stated".to_owned(),
        mend: format!("state `{field}` under `[journey]` in the client file"),
    };
    if let Some(price) = &travel.per_distance {
        match occasion.journey.distance {
            Some(distance) => lines.push(way_line(distance, price)),
            None => without_price.push(missing(CostKind::Way, "travel there and back", "distance")),
        }
    }
    if let Some(hourly) = travel.hourly {
        match occasion.journey.time {
            Some(time) => lines.push(time_line(CostKind::WayTime, "travel time", time, hourly, occasion)),
            None => without_price.push(missing(CostKind::WayTime, "travel time", "time")),
        }
    }
}

fn way_line(distance: Length, price: &WayPrice) -> Result<CostLine, Problem> {
    let ratio = Fraction::of_lengths(distance, price.distance).ok_or(crate::MoneyError::TooLarge)?;
    Ok(CostLine {
        kind: CostKind::Way,
        what: "travel there and back".to_owned(),
        amount: price.price.times(ratio)?,
        formula: "distance there and back × price / distance that it is for",
        inputs: vec![
            input("distance there and back", &distance.show(price.unit), Origin::Business),
            input("price", &price.price, Origin::Business),
            input("distance that it is for", &price.distance.show(price.unit), Origin::Business),
        ],
        note: None,
    })
}

/// Product in millilitres or grams, as it stands on the measure.
pub(crate) fn shown(amount: Amount) -> String {
    let unit = match amount {
        Amount::Volume(_) => AmountUnit::Volume(VolumeUnit::Millilitre),
        Amount::Mass(_) => AmountUnit::Mass(MassUnit::Gram),
    };
    amount.show_digits(unit, 4).unwrap_or_default()
}

fn minutes(time: Duration) -> String {
    let minutes = time.to(DurationUnit::Minute).round().max(0.0);
    format!("{minutes:.0} min")
}
