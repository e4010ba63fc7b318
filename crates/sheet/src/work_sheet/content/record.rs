//! The form of what was done: what is known beforehand stands on it, the rest is left to fill in.

use crate::Units;
use crate::number::measured;
use serde_json::{Value, json};
use treatment::Visit;

/// What was planned, to stand beside what was done.
pub(super) fn of(visit: &Visit, units: Units) -> Value {
    let mut pests: Vec<&str> = Vec::new();
    let mut products: Vec<Value> = Vec::new();
    for product in visit.tasks.iter().flat_map(treatment::Task::products) {
        if !pests.contains(&product.pest.as_str()) {
            pests.push(&product.pest);
        }
        let row = json!(super::task::named(product));
        if !products.contains(&row) {
            products.push(row);
        }
    }
    let mut ingredients: Vec<String> = Vec::new();
    for task in &visit.tasks {
        for measure in task.products().flat_map(|product| &product.measures) {
            if measure.name == "active-ingredient-per-area" {
                ingredients.push({
                    let name = measure.words.strip_suffix(" put down by this task").unwrap_or(&measure.words);
                    format!("{} {name} {}", task.id, measure.figure.show())
                });
            }
        }
    }
    let rows: Vec<Value> = visit
        .tasks
        .iter()
        .map(|task| {
            let rates: Vec<String> = task.products().map(|product| product.rate.show()).collect();
            let amounts: Vec<String> =
                task.products().map(|product| measured(product.measured, product.graduation)).collect();
            json!({
                "task": task.id,
                "rate": rates.join(" and "),
                "tanks": task.loads(),
                "product": amounts.join(" and "),
                "area": units.area(task.ground + task.wall),
            })
        })
        .collect();
    json!({
        "pests": pests.join(", "),
        "products": products,
        "ingredients": ingredients.join("; "),
        "spray": visit.spray.is_positive().then(|| units.spray(visit.spray)),
        "applicator": visit.applicator.as_ref().map(|applicator| &applicator.name),
        "tasks": rows,
    })
}
