//! The product facts.

use crate::product::{Label, SignalWord};
use problem::Problem;
use quantity::{Content, DensityUnit};

/// How far the printed share times the density may lie from the printed mass per volume, both
/// being rounded on labels.
const CONTENT_TOLERANCE: f64 = 0.05;

pub(super) fn check(label: &Label, list: &mut Vec<Problem>) {
    contents(label, list);
    signal_word(label, list);
    if label.precautions.is_empty() {
        list.push(
            Problem::warning("label::no-precautions", "no precautionary statement is given")
                .expected("the hazards to people, pets, water and bees as printed")
                .mend("add `[[precaution]]` tables; customer notices quote them")
                .at("precaution"),
        );
    }
    if label.first_aid.is_empty() && label.product.signal_word != SignalWord::NoneRequired {
        list.push(
            Problem::warning("label::no-first-aid", "no first-aid statement is given")
                .expected("what to do if swallowed, on skin, in eyes, if breathed in")
                .mend("add `[[first_aid]]` tables; work sheets print them")
                .at("first_aid"),
        );
    }
    if label.storage_and_disposal.is_empty() {
        list.push(
            Problem::warning("label::no-storage", "no storage and disposal statement is given")
                .expected("storage, disposal and rinsing of the container as printed")
                .mend("add `[[storage_and_disposal]]` tables")
                .at("storage_and_disposal"),
        );
    }
}

/// Share of mass × density = mass per volume.
fn contents(label: &Label, list: &mut Vec<Problem>) {
    let product = &label.product;
    let mut whole = 0.0;
    for (index, ingredient) in product.active_ingredients.iter().enumerate() {
        let path = format!("product.active_ingredient[{}]", index + 1);
        let share = match ingredient.content {
            Content::MassFraction(share) => Some(share),
            Content::MassPerVolume(_) => ingredient.mass_fraction,
        };
        whole += share.map_or(0.0, quantity::MassFraction::part);
        match (ingredient.content, ingredient.mass_fraction, product.density) {
            (Content::MassPerVolume(content), Some(share), Some(density)) => {
                let from_share = density * share.part();
                let ratio = content.ratio(from_share);
                if !((1.0 - CONTENT_TOLERANCE)..=(1.0 + CONTENT_TOLERANCE)).contains(&ratio) {
                    let unit = DensityUnit::PoundPerUsGallon;
                    list.push(
                        Problem::error(
                            "label::content-disagrees",
                            format!(
                                "`{}`: the content is `{:.3} lb/gal`, but {:.3} % of a product of {:.3} lb/gal is `{:.3} lb/gal`",
                                ingredient.name,
                                content.to(unit),
                                share.percent(),
                                density.to(unit),
                                from_share.to(unit)
                            ),
                        )
                        .expected("the two within 5 % of each other")
                        .mend("compare content, percentage and density with the printed label")
                        .at(format!("{path}.content")),
                    );
                }
            }
            (Content::MassPerVolume(content), None, Some(density)) if content > density => {
                list.push(
                    Problem::error(
                        "label::content-beyond-whole",
                        format!("`{}` weighs more than the product that holds it", ingredient.name),
                    )
                    .expected("a content below the density of the product")
                    .mend("compare content and density with the printed label")
                    .at(format!("{path}.content")),
                );
            }
            (Content::MassFraction(_), _, None) if !product.formulation.is_applied_dry() && dosed_by_volume(label) => {
                list.push(
                    Problem::warning(
                        "label::no-density",
                        format!(
                            "`{}` is given as a share of mass, the product is dosed by volume, and its density is missing",
                            ingredient.name
                        ),
                    )
                    .expected("the density, or the content as mass per volume (`1.0 lb/gal`, `120 g/L`)")
                    .mend("add it, from the label or the safety data sheet; without it no limit of active ingredient can be proved")
                    .at(path),
                );
            }
            _ => {}
        }
    }
    if whole > 1.0 {
        list.push(
            Problem::error(
                "label::content-beyond-whole",
                format!("the active ingredients add up to `{:.1} %` of the product", whole * 100.0),
            )
            .expected("100 % at most")
            .mend("compare the percentages with the printed label; 0.2 % is written `0.2`")
            .at("product.active_ingredient"),
        );
    }
}

fn dosed_by_volume(label: &Label) -> bool {
    label
        .uses
        .iter()
        .filter_map(|row| row.rate.value())
        .any(|rate| matches!(rate.highest.unit(), quantity::AmountUnit::Volume(_)))
}

/// A precaution headed by another signal word than the product's.
fn signal_word(label: &Label, list: &mut Vec<Problem>) {
    let own = label.product.signal_word;
    let printed = own.printed().split(' ').next().unwrap_or_default();
    for (index, clause) in label.precautions.iter().enumerate() {
        // Only capitals count: "use caution" is an ordinary word.
        let other = clause
            .text
            .split(|c: char| !c.is_alphabetic())
            .find(|word| ["CAUTION", "WARNING", "DANGER"].contains(word) && *word != printed);
        if let Some(other) = other {
            let own = if printed.is_empty() { "none" } else { printed };
            list.push(
                Problem::warning(
                    "label::signal-word",
                    format!("a precaution says `{other}`, but the signal word of the product is `{own}`"),
                )
                .expected("one signal word, that of the most severe route (40 CFR 156.64)")
                .mend("compare both with the printed label")
                .at(format!("precaution[{}]", index + 1)),
            );
        }
    }
}
