//! What the product of a visit costs: by the price of the lot that it uses, or by the tariff.

use crate::cost::{input, shown};
use crate::stocked_lot::Choice;
use crate::{ContainerPrice, CostKind, CostLine, Fraction, Money, StockedLot, Tariff, Unpriced};
use problem::Problem;
use treatment::{Origin, ProductTotal};

/// A line of cost, or why the product has no price.
type Line = Result<Result<CostLine, Problem>, Unpriced>;

pub(crate) fn product_line(product: &ProductTotal, tariff: &Tariff, choice: &Choice<'_>) -> Line {
    match choice.lot.map(|lot| (lot, lot.price)) {
        Some((lot, Some(price))) if price.currency() == tariff.currency => of_lot(product, lot, price, choice),
        Some((lot, Some(price))) => {
            let why = format!("the price of lot `{}` in stock is in {}", lot.number, price.currency());
            of_tariff(product, tariff, choice, Some(why))
        }
        Some((lot, None)) => {
            of_tariff(product, tariff, choice, Some(format!("no price of lot `{}` is known in stock", lot.number)))
        }
        None => of_tariff(product, tariff, choice, None),
    }
}

fn unpriced(product: &ProductTotal, why: String, mend: String) -> Unpriced {
    Unpriced { kind: CostKind::Product, what: format!("{} of {}", shown(product.measured), product.product), why, mend }
}

/// By what was paid for the lot.
fn of_lot(product: &ProductTotal, lot: &StockedLot, price: Money, choice: &Choice<'_>) -> Line {
    let Some(ratio) = Fraction::of_amounts(product.measured, lot.received) else {
        return Err(unpriced(
            product,
            format!("lot `{}` of `{}` was received by the other of volume and weight", lot.number, product.label),
            "keep the lot as its label measures the product: by volume or by weight".to_owned(),
        ));
    };
    let amount = match price.times(ratio) {
        Ok(amount) => amount,
        Err(error) => return Ok(Err(Problem::from(error))),
    };
    Ok(Ok(CostLine {
        kind: CostKind::Product,
        what: product.product.clone(),
        amount,
        formula: "product as measured × price of the lot / what was received of it",
        inputs: vec![
            input("product as measured", &shown(product.measured), Origin::Measured),
            input("price of the lot", &price, Origin::Business),
            input("what was received of it", &lot.received_words, Origin::Business),
            input("price from", &format!("lot {} in stock", lot.number), Origin::Business),
        ],
        note: choice.note.clone(),
    }))
}

/// By the tariff: the price of the lot, or else one for any lot of the label. `instead` says why the lot in stock has
/// no price.
fn of_tariff(product: &ProductTotal, tariff: &Tariff, choice: &Choice<'_>, instead: Option<String>) -> Line {
    let of_label: Vec<&ContainerPrice> = tariff.products.iter().filter(|price| price.label == product.label).collect();
    let of_lot: Vec<&ContainerPrice> = match choice.number {
        Some(lot) => {
            let own: Vec<_> = of_label.iter().copied().filter(|price| price.lot.as_deref() == Some(lot)).collect();
            if own.is_empty() { of_label.iter().copied().filter(|price| price.lot.is_none()).collect() } else { own }
        }
        None => of_label.clone(),
    };
    if of_lot.is_empty() {
        let why = match choice.number {
            Some(lot) if !of_label.is_empty() => format!("lot `{lot}` of `{}` has no price", product.label),
            _ => format!("`{}` has no price", product.label),
        };
        let mend = format!("add a `[[product]]` with `label = \"{}\"` to the business file", product.label);
        return Err(unpriced(product, why, mend));
    }
    let mut amounts = Vec::new();
    for price in of_lot {
        let Some(ratio) = Fraction::of_amounts(product.measured, price.holds) else {
            return Err(unpriced(
                product,
                format!("the container of `{}` is told by the other of volume and weight", product.label),
                "state what the container holds as its label measures it: by volume for liquids, by weight for solids"
                    .to_owned(),
            ));
        };
        match price.price.times(ratio) {
            Ok(amount) => amounts.push((price, amount)),
            Err(error) => return Ok(Err(Problem::from(error))),
        }
    }
    let differ = amounts.iter().any(|(_, amount)| Some(*amount) != amounts.first().map(|(_, first)| *first));
    let Some((price, amount)) = amounts.into_iter().max_by_key(|(_, amount)| amount.minor()) else {
        return Err(unpriced(product, "it has no price".to_owned(), "add its price".to_owned()));
    };
    let from = price.lot.as_ref().map_or_else(|| "tariff".to_owned(), |lot| format!("tariff lot {lot}"));
    let dearest = differ.then(|| "the lot is not named and prices differ: the dearest counts".to_owned());
    let instead = instead.map(|why| format!("{why}: the tariff counts"));
    let notes: Vec<String> = [choice.note.clone(), instead, dearest].into_iter().flatten().collect();
    Ok(Ok(CostLine {
        kind: CostKind::Product,
        what: product.product.clone(),
        amount,
        formula: "product as measured × price of a container / what it holds",
        inputs: vec![
            input("product as measured", &shown(product.measured), Origin::Measured),
            input("price of a container", &price.price, Origin::Business),
            input("what it holds", &price.holds.show(price.unit).unwrap_or_default(), Origin::Business),
            input("price from", &from, Origin::Business),
        ],
        note: (!notes.is_empty()).then(|| notes.join("; ")),
    }))
}
