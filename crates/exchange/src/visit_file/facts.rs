//! What a request adds to the features of the map, as known on the day: `[feature.house]`.

use super::link::unknown;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use jiff::civil::Date;
use property::{RawFeature, RawOpening};
use quantity::Length;

/// What is said of one feature; what is absent leaves the map as it is.
pub(super) struct Facts<'a> {
    field: Field<'a>,
    id: String,
    name: Option<String>,
    note: Option<String>,
    in_bloom: Option<bool>,
    seen_on: Option<Date>,
    wall_height: Option<Length>,
    eaves: Option<Length>,
    openings: Option<Vec<RawOpening>>,
    intermittent: Option<bool>,
}

/// Reads every table under `feature`.
pub(super) fn read_all<'a>(root: &Table<'a>) -> Vec<Facts<'a>> {
    let Some(features) = root.table("feature") else { return Vec::new() };
    let ids: Vec<&str> = features.keys().collect();
    ids.into_iter().filter_map(|id| read(&features.entry(id)?, id)).collect()
}

fn read<'a>(field: &Field<'a>, id: &str) -> Option<Facts<'a>> {
    let table = field.table()?;
    let text = |key| table.optional(key).and_then(|field| field.text()).map(str::to_owned);
    let facts = Facts {
        field: field.clone(),
        id: id.to_owned(),
        name: text("name"),
        note: text("note"),
        in_bloom: table.optional("in_bloom").and_then(|field| field.flag()),
        seen_on: table.optional("seen_on").and_then(|field| field.date()),
        wall_height: table.optional("wall_height").and_then(|field| quantity_of::length(&field)),
        eaves: table.optional("eaves").and_then(|field| quantity_of::length(&field)),
        openings: table.optional("openings").map(|list| list.tables().into_iter().filter_map(read_opening).collect()),
        intermittent: table.optional("intermittent").and_then(|field| field.flag()),
    };
    table.finish();
    Some(facts)
}

fn read_opening(table: Table<'_>) -> Option<RawOpening> {
    let what = table.required_as("what", "such as `front door`").and_then(|field| field.text());
    let width = table.required("width").and_then(|field| quantity_of::length(&field));
    let height = table.required("height").and_then(|field| quantity_of::length(&field));
    let sill = table.optional("sill").map(|field| quantity_of::length(&field));
    table.finish();
    Some(RawOpening { what: what?.to_owned(), width: width?, height: height?, sill: sill.flatten() })
}

/// Completes the features of a map, and reports facts about features that it has not.
pub(super) fn apply(facts: &[Facts<'_>], features: &mut [RawFeature]) {
    let ids: Vec<String> = features.iter().enumerate().map(|(index, raw)| raw.id_or_number(index)).collect();
    for known in facts {
        let mut found = false;
        for (raw, id) in features.iter_mut().zip(&ids).filter(|(_, id)| **id == known.id) {
            debug_assert_eq!(*id, known.id);
            found = true;
            complete(raw, known);
        }
        if !found {
            let names: Vec<&str> = ids.iter().map(String::as_str).collect();
            known.field.report(unknown(
                "visit::unknown-feature",
                "feature of the map",
                &known.id,
                &names,
                "draw it on the map",
            ));
        }
    }
}

fn complete(raw: &mut RawFeature, known: &Facts<'_>) {
    fn over<T: Clone>(place: &mut Option<T>, value: Option<&T>) {
        if let Some(value) = value {
            *place = Some(value.clone());
        }
    }
    over(&mut raw.name, known.name.as_ref());
    over(&mut raw.note, known.note.as_ref());
    over(&mut raw.in_bloom, known.in_bloom.as_ref());
    over(&mut raw.bloom_seen_on, known.seen_on.as_ref());
    over(&mut raw.wall_height, known.wall_height.as_ref());
    over(&mut raw.eaves, known.eaves.as_ref());
    over(&mut raw.intermittent, known.intermittent.as_ref());
    if let Some(openings) = &known.openings {
        raw.openings.clone_from(openings);
    }
}
