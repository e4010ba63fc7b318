//! Money of broadcast and of spots, side by side.

use crate::product_cost::product_line;
use crate::stocked_lot::chosen;
use crate::{Journey, Occasion, Tariff};
use problem::Problems;
use std::collections::BTreeMap;
use std::num::NonZeroU16;
use treatment::{ProductTotal, Visit, WayProduct};

/// Adds to each product of ways that stand side by side what it costs by the tariff; one without a price stays without.
///
/// # Errors
/// An amount of money that is too large.
pub fn with_cost_of_ways(mut visit: Visit, tariff: &Tariff) -> Result<Visit, Problems> {
    let occasion =
        Occasion { people: NonZeroU16::MIN, journey: Journey::default(), lots: BTreeMap::new(), stock: Vec::new() };
    let date = visit.date;
    let mut problems = Problems::new();
    let both = visit.side_by_side.iter_mut().flat_map(|both| [&mut both.broadcast, &mut both.spots]);
    for product in both.flat_map(|way| &mut way.products) {
        let WayProduct { label, product: name, amount, cost, .. } = product;
        let total = ProductTotal { label: label.clone(), product: name.clone(), amount: *amount, measured: *amount };
        match product_line(&total, tariff, &chosen(&total, &occasion, date)) {
            Ok(Ok(line)) => *cost = Some(line.amount.to_string()),
            Ok(Err(problem)) => problems.push(problem),
            Err(_) => *cost = None,
        }
    }
    problems.unless_errors(visit).map(|(visit, _)| visit)
}
