//! From a cost to a price.

use crate::{Cost, CostKind, Money, MoneyError, Share, Tariff, TaxedPart};
use problem::{Problem, Problems};

/// The price of a visit. Each total is the sum of the lines above it, to the minor unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// The lines, in the order of the cost.
    pub lines: Vec<PriceLine>,
    /// What is added so that the least charge is reached; `None` when it is reached without.
    pub to_minimum: Option<Money>,
    /// Lines and addition together, before tax.
    pub net: Money,
    /// The taxes.
    pub taxes: Vec<TaxLine>,
    /// What is to be paid.
    pub total: Money,
}

/// One line of a price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceLine {
    /// What for.
    pub kind: CostKind,
    /// In words.
    pub what: String,
    /// The price, rounded once.
    pub amount: Money,
}

/// One tax on a price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaxLine {
    /// What it is called.
    pub name: String,
    /// How much.
    pub share: Share,
    /// What it is reckoned on.
    pub on: Money,
    /// The tax, rounded once.
    pub amount: Money,
}

/// The price of a cost by the tariff of the business: every line with its mark-up or margin, what is lacking
/// to the least charge, then the taxes.
///
/// # Errors
/// `quotation::without-price` for each thing that has no price, `quotation::no-pricing` when the business
/// does not say how a price is made; `money::two-currencies` and `money::too-large`.
pub fn price(cost: &Cost, tariff: &Tariff) -> Result<Price, Problems> {
    let mut problems: Problems = cost
        .without_price
        .iter()
        .map(|unpriced| {
            Problem::error("quotation::without-price", format!("{}: {}", unpriced.what, unpriced.why))
                .expected("a price for everything that is used: nothing is given away unseen")
                .mend(unpriced.mend.clone())
        })
        .collect();
    let Some(pricing) = tariff.pricing else {
        problems.push(
            Problem::error("quotation::no-pricing", "the business does not say how a price is made from a cost")
                .expected("`mark_up`, a share of the cost, or `margin`, a share of the price")
                .mend("add one of the two to the business file; `mark_up = \"0 %\"` charges the cost"),
        );
        return Err(problems);
    };
    if problems.has_errors() {
        return Err(problems);
    }
    reckon(cost, tariff, pricing.factor()).map_err(|error| Problem::from(error).into())
}

fn reckon(cost: &Cost, tariff: &Tariff, factor: crate::Fraction) -> Result<Price, MoneyError> {
    let lines = cost
        .lines
        .iter()
        .map(|line| Ok(PriceLine { kind: line.kind, what: line.what.clone(), amount: line.amount.times(factor)? }))
        .collect::<Result<Vec<_>, MoneyError>>()?;
    let of = |part: TaxedPart| {
        let counted = |line: &&PriceLine| part == TaxedPart::Everything || line.kind == CostKind::Product;
        Money::sum(lines.iter().filter(counted).map(|line| line.amount), tariff.currency)
    };
    let work = of(TaxedPart::Everything)?;
    let lacking = tariff.minimum.map(|minimum| minimum.minus(work)).transpose()?;
    let to_minimum = lacking.filter(|lacking| lacking.is_positive());
    let net = work.plus(to_minimum.unwrap_or(Money::zero(tariff.currency)))?;
    let taxes = tariff
        .taxes
        .iter()
        .map(|tax| {
            let on = if tax.on == TaxedPart::Everything { net } else { of(tax.on)? };
            Ok(TaxLine { name: tax.name.clone(), share: tax.share, on, amount: on.times(tax.share.fraction())? })
        })
        .collect::<Result<Vec<_>, MoneyError>>()?;
    let total = taxes.iter().try_fold(net, |sum, tax| sum.plus(tax.amount))?;
    Ok(Price { lines, to_minimum, net, taxes, total })
}
