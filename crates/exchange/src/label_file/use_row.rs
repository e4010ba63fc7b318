//! Use rows.

use super::clause::{clause, statement};
use super::constraints::{self, length, unitless};
use super::read_id;
use crate::toml_source::{Field, Table};
use label::{Claim, Method, PestClaim, PreventiveUse, RateRange, Scope, Site, UseRow};
use quantity::{Rate, parse_area, parse_rate};

pub(super) fn read(table: Table<'_>) -> Option<UseRow> {
    let scope = Scope::Use;
    let id = table.required_as("id", "the word by which verdicts name the use").and_then(|field| read_id(&field));
    let clause = clause(&table, &scope);
    let sites = table
        .required_as("sites", "a list of the sites that the directions name")
        .map(|field| field.items().iter().filter_map(|item| item.word(Site::ALL, Site::word)).collect());
    let excluded = texts(&table, "excluded");
    let pests = table.tables("pest").into_iter().filter_map(pest).collect();
    let pests_excluded = texts(&table, "pests_excluded");
    let only_these_pests = table.optional("only_these_pests").and_then(|field| field.flag()).unwrap_or(false);
    let method =
        table.required_as("method", "the way to apply").and_then(|field| field.word(Method::ALL, Method::word));
    let rate = statement(&table, "rate", &scope, rate_range);
    let maximum_single =
        statement(&table, "maximum_single", &scope, |t| t.required("value").and_then(|field| rate_of(&field)));
    let lengths = |key| statement(&table, key, &scope, |t| t.required("value").and_then(|field| length(&field)));
    let band_width = lengths("band_width");
    let wall_height = lengths("wall_height");
    let entry_point_width = lengths("entry_point_width");
    let spot_area =
        statement(&table, "spot_area", &scope, |t| t.required("value").and_then(|field| unitless(&field, parse_area)));
    let preventive = statement(&table, "preventive", &scope, |t| {
        t.required("value").and_then(|field| field.word(PreventiveUse::ALL, PreventiveUse::word))
    });
    let constraints = constraints::read(&table, &scope);
    table.finish();
    Some(UseRow {
        id: id?,
        clause: clause?,
        sites: sites?,
        excluded,
        pests,
        pests_excluded,
        only_these_pests,
        method: method?,
        rate,
        maximum_single,
        band_width,
        wall_height,
        entry_point_width,
        spot_area,
        preventive,
        constraints,
    })
}

fn texts(table: &Table<'_>, key: &'static str) -> Vec<String> {
    table.optional(key).map(|field| field.texts()).unwrap_or_default().into_iter().map(str::to_owned).collect()
}

fn pest(table: Table<'_>) -> Option<PestClaim> {
    let pest = table.required_as("name", "the common name in small letters").and_then(|field| field.text());
    let stages = texts(&table, "stages");
    let claim = table.optional("claim").map_or(Some(Claim::Control), |field| field.word(Claim::ALL, Claim::word));
    table.finish();
    Some(PestClaim { pest: pest?.to_lowercase(), stages, claim: claim? })
}

fn rate_of(field: &Field<'_>) -> Option<Rate> {
    field.quantity(parse_rate)
}

fn rate_range(table: &Table<'_>) -> Option<RateRange> {
    let lowest = table.optional("lowest").map(|field| rate_of(&field).ok_or(()));
    let highest = table
        .required_as("highest", "the highest rate, such as `\"0.4 fl oz/1,000 sq ft\"`")
        .and_then(|field| rate_of(&field));
    let choice = table.optional("choice").and_then(|field| field.text()).map(str::to_owned);
    let below_lowest_prohibited = table.optional("below_lowest_prohibited").map(|field| field.flag().ok_or(()));
    Some(RateRange {
        lowest: lowest.transpose().ok()?,
        highest: highest?,
        choice,
        below_lowest_prohibited: below_lowest_prohibited.transpose().ok()?.unwrap_or(false),
    })
}
