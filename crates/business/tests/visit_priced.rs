//! The acceptance example, priced: every line by hand, refusals, and what has no price.

mod support;

use business::{CostKind, CostLine, NoQuotation, Occasion, QuotationHead, StockedLot, cost, price, quote};
use jiff::civil::date;
use quantity::{Amount, AmountUnit, MassUnit, VolumeUnit};
use support::visits::{planned, whole};
use support::{business, client, dollars, gallon, occasion, tariff};
use treatment::{RateWish, Visit};

fn visit() -> Visit {
    planned(&whole())
}

fn head() -> QuotationHead {
    QuotationHead { number: "2026-17".to_owned(), issued: date(2026, 7, 1) }
}

#[test]
fn every_line_is_what_a_pencil_gives() {
    let visit = visit();
    let found = cost(&visit, &tariff(), &occasion()).unwrap();
    assert!(found.without_price.is_empty(), "{:?}", found.without_price);
    let Amount::Volume(measured) = visit.products[0].measured else { panic!("a liquid") };
    let millilitres = measured.to(VolumeUnit::Millilitre);
    // 189.00 for 3,785.411784 mL; the nearest cent.
    let product = (18_900.0 * millilitres / 3_785.411_784).round() as i64;
    let lines: Vec<(CostKind, i64)> = found.lines.iter().map(|line| (line.kind, line.amount.minor())).collect();
    assert_eq!(
        lines,
        [
            (CostKind::Product, product),
            // 99 minutes at 60.00 an hour.
            (CostKind::Work, 9_900),
            // 24 miles at 0.70.
            (CostKind::Way, 1_680),
            // 40 minutes at 40.00: 26.666… is 26.67.
            (CostKind::WayTime, 2_667),
            (CostKind::Equipment, 400),
        ]
    );
    assert_eq!(found.total.minor(), lines.iter().map(|(_, amount)| amount).sum::<i64>());
    // Every line tells from what it was reckoned.
    assert!(found.lines.iter().all(|line| !line.inputs.is_empty() && !line.formula.is_empty()));
}

#[test]
fn two_people_cost_twice_the_time_and_once_the_way() {
    let mut two = occasion();
    two.people = two.people.saturating_add(1);
    let found = cost(&visit(), &tariff(), &two).unwrap();
    let amount = |kind| found.lines.iter().find(|line| line.kind == kind).unwrap().amount;
    assert_eq!(amount(CostKind::Work), dollars("198"));
    assert_eq!(amount(CostKind::Way), dollars("16.80"));
}

#[test]
fn the_lot_decides_the_price_and_the_dearest_counts_where_none_is_named() {
    let mut lots = tariff();
    lots.products = vec![gallon("150", Some("A")), gallon("200", Some("B"))];
    let visit = visit();
    let line = |occasion: &business::Occasion| cost(&visit, &lots, occasion).unwrap().lines[0].clone();
    let unnamed = line(&occasion());
    assert!(unnamed.note.is_some());
    let mut named = occasion();
    named.lots.insert("concentrate".to_owned(), "B".to_owned());
    assert_eq!(line(&named).amount, unnamed.amount);
    assert_eq!(line(&named).note, None);
    named.lots.insert("concentrate".to_owned(), "A".to_owned());
    assert!(line(&named).amount.minor() < unnamed.amount.minor());
    named.lots.insert("concentrate".to_owned(), "C".to_owned());
    let unknown = cost(&visit, &lots, &named).unwrap();
    assert!(unknown.without_price[0].why.contains("lot `C`"), "{:?}", unknown.without_price);
}

fn quart(number: &str, price: Option<&str>) -> StockedLot {
    let received = Amount::new(1.0, AmountUnit::Volume(VolumeUnit::UsQuart));
    StockedLot {
        label: "concentrate".to_owned(),
        number: number.to_owned(),
        received,
        received_words: "1 qt".to_owned(),
        price: price.map(dollars),
        received_on: date(2026, 3, 2),
        use_until: None,
        left: Some(received),
    }
}

/// The line of the product, where its price comes from, and what is warned of.
fn of_stock(stock: Vec<StockedLot>, named: Option<&str>) -> (CostLine, String, Vec<&'static str>) {
    let mut occasion: Occasion = occasion();
    occasion.stock = stock;
    occasion.lots.extend(named.map(|lot| ("concentrate".to_owned(), lot.to_owned())));
    let found = cost(&visit(), &tariff(), &occasion).unwrap();
    let line = found.lines[0].clone();
    let from = line.inputs.iter().find(|input| input.name == "price from").unwrap().value.clone();
    (line, from, found.warnings.iter().map(|problem| problem.code).collect())
}

#[test]
fn a_lot_in_stock_has_the_price_that_was_paid_for_it() {
    let Amount::Volume(measured) = visit().products[0].measured else { panic!("a liquid") };
    // 45.99 for 946.352946 mL; the nearest cent.
    let by_hand = (4_599.0 * measured.to(VolumeUnit::Millilitre) / 946.352_946).round() as i64;
    let (line, from, warnings) = of_stock(vec![quart("A", Some("45.99"))], None);
    assert_eq!((line.amount.minor(), from.as_str(), line.note), (by_hand, "lot A in stock", None));
    assert_eq!(warnings, [""; 0]);
    // Named or not, what is not in stock has the price of the tariff.
    let (line, from, _) = of_stock(Vec::new(), None);
    assert_eq!((line.note, from.as_str()), (None, "tariff"));
    let (line, from, warnings) = of_stock(vec![quart("A", Some("45.99"))], Some("B"));
    assert_eq!((line.note, from.as_str(), &warnings[..]), (None, "tariff", &["cost::unknown-lot"][..]));
    let pounds = business::Money::parse("45.99", business::Currency::parse("GBP").unwrap()).unwrap();
    let (line, from, _) = of_stock(vec![StockedLot { price: Some(pounds), ..quart("A", None) }], None);
    assert_eq!(from, "tariff", "pounds are not dollars");
    assert!(line.note.unwrap().contains("is in GBP"));
    let (line, from, _) = of_stock(vec![quart("A", None)], None);
    assert_eq!(from, "tariff");
    assert!(line.note.unwrap().contains("no price of lot `A`"));
}

#[test]
fn of_several_lots_the_first_to_run_out_counts_and_that_is_said() {
    let lots = || {
        let dated = StockedLot { use_until: Some(date(2026, 12, 31)), ..quart("dated", Some("10")) };
        let older = StockedLot { received_on: date(2025, 3, 2), ..quart("older", Some("20")) };
        let past = StockedLot { use_until: Some(date(2026, 7, 6)), ..quart("past", Some("30")) };
        let empty = StockedLot { left: None, ..quart("empty", Some("40")) };
        let later = StockedLot { received_on: date(2026, 7, 8), ..quart("later", Some("50")) };
        vec![empty, later, past, quart("newer", Some("60")), older, dated]
    };
    let (line, from, warnings) = of_stock(lots(), None);
    assert_eq!((from.as_str(), &warnings[..]), ("lot dated in stock", &["cost::several-lots"][..]));
    assert!(line.note.unwrap().contains("none is named"));
    let without = |gone: &[&str]| lots().into_iter().filter(|lot| !gone.contains(&lot.number.as_str())).collect();
    assert_eq!(of_stock(without(&["dated"]), None).1, "lot older in stock");
    let (line, from, warnings) = of_stock(without(&["dated", "older"]), None);
    assert_eq!((from.as_str(), line.note, warnings.len()), ("lot newer in stock", None, 0));
    assert_eq!(of_stock(without(&["dated", "older", "newer"]), None).1, "tariff", "none of the rest can serve");
    for (named, code) in [("empty", "cost::lot-empty"), ("past", "cost::lot-past-date")] {
        let (_, from, warnings) = of_stock(lots(), Some(named));
        assert_eq!((from, warnings), (format!("lot {named} in stock"), vec![code]));
    }
}

#[test]
fn a_lot_that_is_not_enough_or_measured_otherwise_is_told() {
    let drop = Amount::new(1.0, AmountUnit::Volume(VolumeUnit::Millilitre));
    let (_, from, warnings) = of_stock(vec![StockedLot { left: Some(drop), ..quart("A", Some("45.99")) }], None);
    assert_eq!((from.as_str(), &warnings[..]), ("lot A in stock", &["cost::lot-short"][..]));
    let weighed = Amount::new(2.0, AmountUnit::Mass(MassUnit::Pound));
    let mut occasion = occasion();
    occasion.stock = vec![StockedLot { received: weighed, left: Some(weighed), ..quart("A", Some("45.99")) }];
    let found = cost(&visit(), &tariff(), &occasion).unwrap();
    assert!(found.without_price[0].why.contains("the other of volume and weight"), "{:?}", found.without_price);
}

#[test]
fn what_has_no_price_is_told_and_never_quoted() {
    let mut bare = tariff();
    bare.products.clear();
    bare.hourly = None;
    let mut nowhere = occasion();
    nowhere.journey = business::Journey::default();
    let visit = visit();
    let found = cost(&visit, &bare, &nowhere).unwrap();
    let kinds: Vec<CostKind> = found.without_price.iter().map(|unpriced| unpriced.kind).collect();
    assert_eq!(kinds, [CostKind::Product, CostKind::Work, CostKind::Way, CostKind::WayTime]);
    let problems = price(&found, &bare).unwrap_err();
    assert!(problems.iter().all(|problem| problem.code == "quotation::without-price" && problem.mend.is_some()));
    assert_eq!(problems.len(), 4);
}

#[test]
fn a_price_has_mark_up_minimum_and_tax_in_that_order() {
    let found = cost(&visit(), &tariff(), &occasion()).unwrap();
    let priced = price(&found, &tariff()).unwrap();
    // 99.00 and 30 % on it.
    assert_eq!(priced.lines[1].amount, dollars("128.70"));
    assert_eq!(priced.to_minimum, None);
    let tax = &priced.taxes[0];
    assert_eq!(tax.on, priced.net);
    assert_eq!(tax.amount.minor(), (priced.net.minor() * 725 + 5_000) / 10_000);
    assert_eq!(priced.total, priced.net.plus(tax.amount).unwrap());
    let mut dear = tariff();
    dear.minimum = Some(dollars("1000"));
    let least = price(&found, &dear).unwrap();
    assert_eq!(least.net, dollars("1000"));
    assert!(least.to_minimum.is_some());
}

#[test]
fn a_visit_is_quoted_with_its_conditions() {
    let visit = visit();
    let found = cost(&visit, &tariff(), &occasion()).unwrap();
    let quotation = quote(&visit, &business("US-KS"), &client(), &found, head()).unwrap();
    assert_eq!(quotation.valid_until, date(2026, 7, 31));
    assert_eq!(quotation.work.len(), visit.tasks.len());
    assert!(quotation.conditions[0].contains("nothing is applied under this quotation"));
    assert!(quotation.conditions.iter().any(|condition| condition.contains("two children")));
}

/// A treatment is never quoted before identification, nor a visit that is refused.
#[test]
fn what_is_not_identified_or_refused_is_not_quoted() {
    let mut request = whole();
    request.findings.clear();
    for task in &mut request.tasks {
        task.pest = Some("grasshopper".to_owned());
    }
    let mut refused = whole();
    refused.tasks[0].rate = RateWish::Stated(support::visits::rate("9 fl oz/1,000 sq ft"));
    let mut insects = whole();
    insects.findings[0].pest = "insects".to_owned();
    for (request, rule) in [(request, "quotation::unidentified"), (refused, "rate::"), (insects, "finding::no-pest")] {
        let visit = planned(&request);
        let found = cost(&visit, &tariff(), &occasion()).unwrap();
        match quote(&visit, &business("US-KS"), &client(), &found, head()) {
            Err(NoQuotation::Refused(verdicts)) => {
                assert!(verdicts.iter().any(|verdict| verdict.rule.starts_with(rule)), "{rule}: {verdicts:?}");
            }
            other => panic!("{rule}: {other:?}"),
        }
    }
}

#[test]
fn what_the_business_leaves_open_is_told_at_once() {
    let mut open = business("US-KS");
    open.tariff.pricing = None;
    open.tariff.quotation_days = None;
    let visit = visit();
    let found = cost(&visit, &open.tariff, &occasion()).unwrap();
    let Err(NoQuotation::Incomplete(problems)) = quote(&visit, &open, &client(), &found, head()) else {
        panic!("quoted")
    };
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["quotation::no-pricing", "quotation::no-validity"]);
}
