//! Broadcast and spot treatment of the same lawn, side by side.

use crate::Units;
use crate::number::amount;
use quantity::{Mass, MassUnit};
use serde_json::{Value, json};
use treatment::{SideBySide, Visit, Way};

/// One table for each task whose finding was counted at places.
pub(super) fn of(visit: &Visit, units: Units) -> Vec<Value> {
    visit.side_by_side.iter().map(|both| table(both, units)).collect()
}

fn table(both: &SideBySide, units: Units) -> Value {
    let mut rows = vec![row("Ground", &both.broadcast, &both.spots, |way| units.area(way.ground))];
    for (index, product) in both.broadcast.products.iter().enumerate() {
        let of = |way: &Way, show: &dyn Fn(&treatment::WayProduct) -> String| {
            way.products.get(index).map_or_else(String::new, show)
        };
        rows.push(row(&product.product, &both.broadcast, &both.spots, |way| of(way, &|one| amount(one.amount))));
        for (place, (name, _)) in product.active_ingredients.iter().enumerate() {
            let shown = |way: &Way| {
                of(way, &|one| {
                    one.active_ingredients.get(place).map_or_else(String::new, |(_, held)| mass(*held, units))
                })
            };
            rows.push(row(name, &both.broadcast, &both.spots, shown));
        }
        if product.cost.is_some() {
            let shown = |way: &Way| of(way, &|one| one.cost.clone().unwrap_or_default());
            rows.push(row(&format!("Cost of {}", product.product), &both.broadcast, &both.spots, shown));
        }
    }
    json!({
        "task": both.task,
        "by_spots": both.is_by_spots,
        "infested": units.area(both.infested),
        "stays": units.area(both.stays),
        "rows": rows,
    })
}

fn row(head: &str, broadcast: &Way, spots: &Way, shown: impl Fn(&Way) -> String) -> Value {
    json!([head, shown(broadcast), shown(spots)])
}

fn mass(mass: Option<Mass>, units: Units) -> String {
    let Some(mass) = mass else { return "the label does not let tell".to_owned() };
    let (us, metric) = (mass.show(MassUnit::Pound), mass.show(MassUnit::Gram));
    match units {
        Units::UsCustomary => format!("{us} ({metric})"),
        Units::Metric => format!("{metric} ({us})"),
    }
}
