//! Several products in one tank: the strictest of their labels, and what they hold of one ingredient
//! together.

mod support;

use label::{Cap, CapAmount, Irrigation, Label, PpeItem, PpeTask, WindLimit, Window};
use quantity::{DurationUnit, MassPerArea, MassPerAreaUnit, Speed, SpeedUnit};
use support::{rate, stated, whole};
use treatment::{PartnerRequest, RateWish, Status, VisitRequest, plan};

/// The demo's lawn with a second label of the same uses in the same tank.
fn with_partner(change: impl FnOnce(&mut Label)) -> VisitRequest {
    let mut request = whole();
    let mut other = request.labels[0].clone();
    "partner".clone_into(&mut other.id);
    "Invented Partner".clone_into(&mut other.product.name);
    change(&mut other);
    request.labels.push(other);
    let lawn = request.tasks.iter_mut().find(|task| task.id == "lawn").unwrap();
    lawn.partners = vec![PartnerRequest {
        label: "partner".to_owned(),
        rate: RateWish::Stated(rate("0.2 fl oz/1,000 sq ft")),
        pest: None,
    }];
    request
}

/// Job step 12 and the short case of mixtures: wind 3-8, gloves and eyewear, no irrigation for 48 h.
#[test]
fn the_strictest_of_both_labels_is_held() {
    let alone = plan(&whole()).unwrap();
    let request = with_partner(|label| {
        label.product.active_ingredients[0].name = "invented other".to_owned();
        let most = Some(Speed::new(8.0, SpeedUnit::MilePerHour));
        label.restraints.wind =
            stated(WindLimit { at_least: None, at_most: most, gusts_count: true }, "Wind to 8 mph.");
        label.restraints.irrigation =
            stated(Irrigation::ProhibitedFor(quantity::Duration::new(48.0, DurationUnit::Hour)), "No water for 48 h.");
        label.restraints.ppe =
            vec![stated(PpeItem { item: "protective eyewear".to_owned(), tasks: vec![PpeTask::Mixing] }, "Eyewear.")];
    });
    let visit = plan(&request).unwrap();
    let lawn = visit.tasks.iter().find(|task| task.id == "lawn").unwrap();
    assert_eq!(lawn.products().map(|product| product.name.as_str()).collect::<Vec<_>>().len(), 2);
    assert_eq!(lawn.partners[0].batches.len(), lawn.product.batches.len());
    for (own, other) in lawn.product.batches.iter().zip(&lawn.partners[0].batches) {
        assert_eq!((own.spray, own.covers), (other.spray, other.covers));
    }
    let half = lawn.partners[0].amount.ratio(lawn.product.amount).unwrap();
    assert!((half - 0.5).abs() < 1e-9);
    assert!(visit.ppe.iter().any(|piece| piece.item == "protective eyewear"));
    assert_eq!(visit.irrigation.prohibited_for.unwrap().to(DurationUnit::Hour).round(), 48.0);
    let open = |visit: &treatment::Visit| visit.hours.iter().filter(|hour| hour.status != Status::Refused).count();
    assert!(open(&visit) < open(&alone), "8 mph with gusts closes hours that 10 mph left open");
    let of = |product: &str| lawn.mixing.iter().any(|step| step.partner.as_deref() == Some(product));
    assert!(of("Invented Partner") && of(&lawn.product.name));
}

/// Short case: 0.30 and 0.20 lb a.i./acre against 0.45, each inside its own product cap.
#[test]
fn one_active_ingredient_counts_from_both() {
    let cap = |most: f64| {
        let mass = MassPerArea::new(most, MassPerAreaUnit::PoundPerAcre);
        let cap = Cap {
            amount: CapAmount::ActiveIngredient(mass),
            active_ingredient: None,
            window: Window::CalendarYear,
            counts_other_products: true,
        };
        vec![stated(cap, "At most so much a.i. per acre and year, all products.")]
    };
    // 1 fl oz/1,000 sq ft of the demo's product holds 0.3403 lb a.i./acre; 0.4 + 0.2 come to 0.204.
    for (most, allowed) in [(0.21, true), (0.20, false)] {
        let mut request = with_partner(|_| {});
        request.history = treatment::History::Known { complete_since: None, applications: Vec::new() };
        request.tasks.retain(|task| task.id == "lawn");
        for label in &mut request.labels {
            for row in &mut label.uses {
                row.constraints.caps.clear();
            }
            label.restraints.caps = cap(most);
        }
        let visit = plan(&request).unwrap();
        let refused = visit
            .all_verdicts()
            .any(|verdict| verdict.rule == "limit::active-ingredient" && verdict.status == Status::Refused);
        assert_eq!(!refused, allowed, "{most}");
        // Each alone is within it.
        request.tasks[0].partners.clear();
        let alone = plan(&request).unwrap();
        assert!(
            !alone
                .all_verdicts()
                .any(|verdict| verdict.rule == "limit::active-ingredient" && verdict.status == Status::Refused)
        );
    }
}

#[test]
fn a_forbidden_partner_refuses_the_task() {
    let request = with_partner(|label| {
        label.restraints.prohibited_partners =
            vec![stated(label.product.active_ingredients[0].name.clone(), "Do not mix with it.")];
    });
    let visit = plan(&request).unwrap();
    let found = visit.all_verdicts().find(|verdict| verdict.rule == "mix::prohibited-partner").unwrap();
    assert_eq!((found.status, found.clause.as_deref()), (Status::Refused, Some("Do not mix with it.")));
}

#[test]
fn the_same_label_twice_or_dry_is_no_mixture() {
    let mut request = with_partner(|_| {});
    let lawn = request.tasks.iter_mut().find(|task| task.id == "lawn").unwrap();
    lawn.partners[0].label.clone_from(&lawn.label.clone());
    let problems = plan(&request).unwrap_err();
    assert!(problems.iter().any(|problem| problem.code == "visit::partner-twice"));
}
