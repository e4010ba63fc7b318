//! The product facts.

use super::constraints::unitless;
use crate::toml_source::{Field, Table};
use label::{ActiveIngredient, Formulation, Product, SignalWord, UseClass};
use problem::Problem;
use quantity::{Content, Density, MassFraction, parse_density};

pub(super) fn read(table: Table<'_>) -> Option<Product> {
    let words = |key| table.optional(key).and_then(|field| field.text()).map(str::to_owned);
    let name = table.required("name").and_then(|field| field.text());
    let registration_number = words("registration_number");
    let establishment_number = words("establishment_number");
    let registrant = words("registrant");
    let label_version = table
        .required_as("label_version", "the version of the label text as printed, or its date")
        .and_then(|field| field.text());
    let label_date = table.optional("label_date").and_then(|field| field.date());
    let net_contents = words("net_contents");
    let registered_in = table.optional("registered_in").map(|field| field.texts()).unwrap_or_default();
    let use_class =
        table.required_as("use_class", "who may use it").and_then(|field| field.word(UseClass::ALL, UseClass::word));
    let formulation = table
        .required_as("formulation", "the two-letter code of the formulation")
        .and_then(|field| field.word(Formulation::ALL, Formulation::code));
    let density = table.optional("density").and_then(|field| positive_density(&field));
    let signal_word = table.required("signal_word").and_then(|field| field.word(SignalWord::ALL, SignalWord::word));
    let invented = table.optional("invented").and_then(|field| field.flag()).unwrap_or(false);
    let ingredients = table.required_as("active_ingredient", "a table for each active ingredient");
    let tables = ingredients.as_ref().map(Field::tables).unwrap_or_default();
    if let Some(field) = ingredients.filter(|field| field.is_list() && tables.is_empty()) {
        field.report(
            Problem::error("label::no-ingredient", "no active ingredient is listed")
                .expected("at least one")
                .mend("copy the ingredient statement of the printed label"),
        );
    }
    let count = tables.len();
    let active_ingredients: Vec<ActiveIngredient> = tables.into_iter().filter_map(ingredient).collect();
    table.finish();
    if active_ingredients.len() < count || count == 0 {
        return None;
    }
    Some(Product {
        name: name?.to_owned(),
        registration_number,
        establishment_number,
        registrant,
        label_version: label_version?.to_owned(),
        label_date,
        net_contents,
        registered_in: registered_in.into_iter().map(str::to_owned).collect(),
        use_class: use_class?,
        formulation: formulation?,
        density,
        signal_word: signal_word?,
        active_ingredients,
        invented,
    })
}

fn positive_density(field: &Field<'_>) -> Option<Density> {
    let density = unitless(field, parse_density)?;
    if !density.is_positive() {
        field.report(
            Problem::error("label::below-nothing", "the mass per volume is not above nothing")
                .expected("such as `8.77 lb/gal` or `1.05 kg/L`"),
        );
        return None;
    }
    Some(density)
}

fn ingredient(table: Table<'_>) -> Option<ActiveIngredient> {
    let name = table.required_as("name", "the common name as printed").and_then(|field| field.text());
    let content = table.optional("content").map(|field| positive_density(&field).ok_or(()));
    let percent = table.optional("percent").map(|field| mass_fraction(&field).ok_or(()));
    let group = table.optional("group").and_then(|field| field.text()).map(str::to_owned);
    if content.is_none() && percent.is_none() {
        table.report(
            Problem::error("label::no-content", "how much of it the product holds is not given")
                .expected("`content` (such as `\"1.0 lb/gal\"`) or `percent`, or both")
                .mend("copy them from the ingredient statement"),
        );
    }
    table.finish();
    let mass_fraction = percent.transpose().ok()?;
    let content = match (content.transpose().ok()?, mass_fraction) {
        (Some(content), _) => Content::MassPerVolume(content),
        (None, Some(share)) => Content::MassFraction(share),
        (None, None) => return None,
    };
    Some(ActiveIngredient { name: name?.to_owned(), content, mass_fraction, group })
}

fn mass_fraction(field: &Field<'_>) -> Option<MassFraction> {
    let percent = field.number()?;
    match MassFraction::from_percent(percent) {
        Ok(share) if share.part() > 0.0 => Some(share),
        Ok(_) => {
            field.report(
                Problem::error("label::below-nothing", "the product holds none of it")
                    .expected("a percentage above 0")
                    .mend("copy it from the ingredient statement"),
            );
            None
        }
        Err(problem) => {
            field.report(problem);
            None
        }
    }
}
