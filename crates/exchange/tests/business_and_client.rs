//! Business and client files: every field is read and told, the demo is sound, no text makes a reader panic,
//! and the answers made from them follow their schemas.

mod output_support;

use business::{Advice, Applied, Facts, Occasion, Pricing, QuotationHead, Treatment, cost, demands, ground_of, quote};
use exchange::applied_json::write_applied;
use exchange::business_file::{self, parse_business};
use exchange::client_file::{self, parse_client};
use exchange::cost_json::write_cost;
use exchange::demands_json::write_demands;
use exchange::quotation_json::{write_quotation, write_quotation_refused};
use exchange::rule_file::{parse_rules, shipped};
use jiff::civil::date;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::num::NonZeroU16;

const EVERY_BUSINESS: &str = include_str!("business_every_field.toml");
const EVERY_CLIENT: &str = include_str!("client_every_field.toml");
const DEMO_BUSINESS: &str = include_str!("../../../demo/business.toml");
const DEMO_CLIENT: &str = include_str!("../../../demo/alder-bend/client.toml");
const DEMO_RULES: &str = include_str!("../../../demo/rules-invented.toml");

#[test]
fn every_field_is_read() {
    let (file, problems) = parse_business("business.toml", EVERY_BUSINESS).unwrap();
    assert!(problems.is_empty(), "{problems}");
    assert_eq!(file.rules, ["own.toml"]);
    let business = &file.business;
    assert!(business.invented && business.licence_number.is_some() && business.email.is_some());
    assert_eq!(business.who_to_call(), "J. Example, Example, 555-0100");
    assert_eq!(business.poison_centre(), Some("555-0199"));
    assert!(!business.holidays.is_business_day(date(2026, 7, 3)));
    let tariff = &business.tariff;
    assert!(matches!(tariff.pricing, Some(Pricing::Margin(_))));
    assert_eq!(tariff.products[0].price.to_string(), "186.50 USD");
    assert_eq!((tariff.products[0].lot.as_deref(), tariff.quotation_days), (Some("A"), Some(14)));
    assert!(tariff.travel.is_some_and(|travel| travel.per_distance.is_some() && travel.hourly.is_some()));

    let (client, problems) = parse_client("client.toml", EVERY_CLIENT).unwrap();
    assert!(problems.is_empty() && client.invented, "{problems}");
    let neighbour = &client.neighbours[0];
    assert!(neighbour.abuts && neighbour.asked_for_notice && neighbour.registered);
    assert_eq!(client.place.map(|place| place.to_string()), Some("US-OH".to_owned()));
    assert_eq!(client.conditions.len(), 1);
    assert!(client.journey.distance.is_some() && client.journey.time.is_some());
}

#[test]
fn every_field_is_told_in_its_document() {
    let told = |fields: Vec<String>, document: &str, least: usize| {
        assert!(fields.len() >= least, "only {fields:?}");
        for field in fields {
            let name = field.rsplit('.').next().unwrap().trim_end_matches("[]");
            let forms = [format!("`{name}`"), format!("[{name}]"), format!("[[{name}]]")];
            assert!(forms.iter().any(|form| document.contains(form)), "`{field}` is not told");
        }
    };
    told(business_file::fields_asked(EVERY_BUSINESS), include_str!("../../../docs/business-file.md"), 30);
    told(client_file::fields_asked(EVERY_CLIENT), include_str!("../../../docs/client-file.md"), 15);
}

fn validated(name: &str, answer: &str) {
    let (_, schema) = exchange::answer_schema::answer_schemas().into_iter().find(|(own, _)| *own == name).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    let answer: serde_json::Value = serde_json::from_str(answer).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let errors: Vec<String> = validator.iter_errors(&answer).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{name}: {errors:#?}");
    assert!(!validator.is_valid(&serde_json::json!({ "format": answer["format"] })));
}

#[test]
fn the_demo_is_priced_quoted_and_told_by_the_schemas() {
    let visit = output_support::demo();
    let (file, _) = parse_business("business.toml", DEMO_BUSINESS).unwrap();
    let (client, _) = parse_client("client.toml", DEMO_CLIENT).unwrap();
    assert!(file.business.invented && client.invented, "the demo says that it is invented");
    let occasion =
        Occasion { people: NonZeroU16::MIN, journey: client.journey, lots: BTreeMap::new(), stock: Vec::new() };
    let found = cost(&visit, &file.business.tariff, &occasion).unwrap();
    assert!(found.without_price.is_empty(), "{:?}", found.without_price);
    validated("cost.schema.json", &write_cost(&visit, &found));

    let head = QuotationHead { number: "1".to_owned(), issued: date(2026, 7, 1) };
    let quotation = quote(&visit, &file.business, &client, &found, head).unwrap();
    validated("quotation.schema.json", &write_quotation(&quotation, &file.business, &client));
    let verdicts: Vec<_> = output_support::refused().all_verdicts().cloned().collect();
    validated("quotation-refused.schema.json", &write_quotation_refused(&visit.name, &verdicts));

    let rules = shipped().iter().copied().chain([("rules-invented.toml", DEMO_RULES)]);
    let (rules, _) = parse_rules(rules).unwrap();
    let treatment = Treatment::planned(&visit);
    let facts = Facts { ground: ground_of(&visit), restricted_use: false };
    let held = demands(&rules, &treatment, &file.business, &client, facts);
    let answer = write_demands(&held, &treatment, &file.business, visit.offset);
    validated("demands.schema.json", &answer);
    let answer: serde_json::Value = serde_json::from_str(&answer).unwrap();
    // Tuesday 07:00 less one business day; the Friday before, a holiday of the file, is not touched by it.
    assert_eq!(answer["neighbours"][0]["by"], "2026-07-06T07:00:00-05:00");
    assert_eq!(answer["neighbours"][0]["neighbours"], serde_json::json!(["B. Example (invented)"]));
    assert_eq!(answer["by_courtesy"], serde_json::json!(["D. Example (invented)"]));
    let lowest = answer["sign"]["bottom_at_least_m"].as_f64().unwrap();
    assert!((lowest - 0.3048).abs() < 1e-9, "12 in: {lowest}");
    assert_eq!(answer["sign_contradiction"], serde_json::Value::Null);
    assert_eq!(answer["client"][0]["lacking"], serde_json::json!([]));

    // The same visit, done.
    let applied = Applied {
        visit: treatment.visit.clone(),
        property: treatment.property.clone(),
        start: date(2026, 7, 7).at(7, 5, 0, 0),
        end: date(2026, 7, 7).at(8, 50, 0, 0),
        places: treatment.places.clone(),
        products: treatment.products.clone(),
        by: treatment.by.clone(),
        why: treatment.why.clone(),
        misapplied: Vec::new(),
    };
    let done = Treatment::done(&applied, Advice::of(&visit));
    let answer = write_applied(&done, &file.business, &held, visit.offset);
    validated("applied.schema.json", &answer);
    let answer: serde_json::Value = serde_json::from_str(&answer).unwrap();
    assert_eq!(answer["keep_off_until"], "2026-07-07T10:50:00-05:00");
    assert_eq!(answer["places"].as_array().map(Vec::len), Some(visit.tasks.len()));
}

proptest! {
    /// A sound file with one piece cut out and another put in.
    #[test]
    fn a_damaged_file(
        of_business in any::<bool>(), from in 0..1000_usize, length in 0..40_usize,
        put in "(|0|-1|99999|1e300|nan|\"\"|'é'|\\[|\\}|\n|\\[\\[product\\]\\]\n|\"1e99 gal\"|\"9 mi\")",
    ) {
        let whole = if of_business { EVERY_BUSINESS } else { EVERY_CLIENT };
        let from = whole.floor_char_boundary(from.min(whole.len()));
        let to = whole.floor_char_boundary((from + length).min(whole.len())).max(from);
        let text = format!("{}{put}{}", &whole[..from], &whole[to..]);
        let problems = if of_business { parse_business("x", &text).err() } else { parse_client("x", &text).err() };
        for problem in problems.iter().flat_map(problem::Problems::iter) {
            prop_assert!(problem.place.line.is_some_and(|line| line <= text.lines().count() + 1), "{}", problem);
        }
        prop_assert!(problems.is_none_or(|problems| problems.has_errors()));
    }
}
