//! Named figures around the rate of one product.

use crate::dose::{Extent, area_figure, figure};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Figure, Origin};
use crate::visit::Measure;
use label::Method;
use quantity::{AmountPerArea, AmountUnit, Basis, Rate};

/// The figures around the rate of one product: `highest` is the most that may lie on a place today.
pub(crate) fn rate_measures(
    task: &Resolved<'_>,
    product: &Product<'_>,
    extent: &Extent,
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    highest: Option<AmountPerArea>,
) -> Vec<Measure> {
    let mut measures = Vec::new();
    let mut add = |name: &str, words: &str, figure: Figure| {
        measures.push(Measure { name: name.to_owned(), words: words.to_owned(), figure, origin: Origin::Label });
    };
    if let Some(most) = highest {
        add(
            "highest-lawful-rate-today",
            "highest rate that label, caps and history allow today",
            area_figure(most, rate),
        );
    }
    let dilution = matches!(rate.basis(), Basis::SprayVolume(..));
    if dilution && let Some(range) = product.row.rate.value() {
        let single = product.row.maximum_single.value();
        if let Some(ceiling) = single.and_then(|single| extent.rate_for(&range.highest, single.per_area()?)) {
            add("dilution-ceiling", "dilution at which the area maximum is reached", figure(&ceiling));
        }
        if let (Some(top), Some(single)) = (extent.per_area(&range.highest), single) {
            add(
                "area-rate-at-top-dilution",
                "what the label's highest dilution would put on the area",
                area_figure(top, single),
            );
        }
        if let (Some(per_area), Some(single)) = (per_area, single) {
            add("area-rate", "what today's dilution puts on the area", area_figure(per_area, single));
        }
    }
    active_ingredient(product, rate, per_area, &mut add);
    if task.request.method == Method::GranularBroadcast {
        // Half the rate in two directions at right angles evens out the spread.
        add(
            "half-rate",
            "spreader setting for two passes at right angles",
            figure(&rate.with_value(rate.value() / 2.0)),
        );
    }
    measures
}

fn active_ingredient(
    product: &Product<'_>,
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    add: &mut impl FnMut(&str, &str, Figure),
) {
    use quantity::MassPerAreaUnit::{KilogramPerHectare, PoundPerAcre};
    let metric = match rate.unit() {
        AmountUnit::Volume(unit) => unit.system() == quantity::System::Metric,
        AmountUnit::Mass(unit) => unit.system() == quantity::System::Metric,
    };
    let unit = if metric { KilogramPerHectare } else { PoundPerAcre };
    for ingredient in &product.label.product.active_ingredients {
        let Some(per_area) = per_area else { continue };
        let Some(mass) = product.label.product.ingredient_per_area(ingredient, per_area) else { continue };
        let name = &ingredient.name;
        add(
            "active-ingredient-per-area",
            &format!("{name} put down by this task"),
            Figure::new(mass.to(unit), unit.symbol(), unit.ucum()),
        );
        let one = product.row.maximum_single.value().copied().filter(|_| rate.per_area().is_none()).unwrap_or(*rate);
        let Some(one) = one.with_value(1.0).per_area() else { continue };
        if let Some(mass) = product.label.product.ingredient_per_area(ingredient, one) {
            add(
                "active-ingredient-of-one",
                &format!("{name} in one unit of the rate per area"),
                Figure::new(mass.to(unit), unit.symbol(), unit.ucum()),
            );
        }
    }
}
