//! The sprinklers of a lawn file, and when they may run.

use super::clock::{time, weekdays};
use super::keep;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use problem::Problem;
use quantity::{Duration, DurationUnit};
use season::sprinkler::{Controller, Delivery, SprinklerZone};
use season::water_plan::WateringHours;
use season::watering::CatchCans;

/// `[watering]`: hours and days on which water may be given.
pub(super) fn hours(root: &Table<'_>) -> Option<WateringHours> {
    let Some(field) = root.optional("watering") else { return Some(WateringHours::early()) };
    let table = field.table()?;
    let usual = WateringHours::early().clock();
    let clock = |key, usual| table.optional(key).map_or(Some(usual), |field| time(&field));
    let (from, until) = (clock("from", usual.0), clock("until", usual.1));
    let days = weekdays(&table, "days");
    // Read by `soak`.
    table.know("soak");
    let told = from.zip(until).zip(days);
    let hours = told.and_then(|((from, until), days)| keep(&table, WateringHours::new(from, until, days)));
    table.finish();
    hours
}

/// The pause in which water soaks in: half an hour where nothing is said (common practice, no source).
pub(super) fn soak(root: &Table<'_>) -> Option<Duration> {
    let usual = Duration::new(30.0, DurationUnit::Minute);
    let Some(field) = root.optional("watering").filter(Field::is_table) else { return Some(usual) };
    field.table()?.optional("soak").map_or(Some(usual), |field| quantity_of::duration(&field))
}

/// `[[zone]]`: the zones in the order in which the controller runs them; `None` for one that cannot be read.
pub(super) fn zones(root: &Table<'_>) -> Vec<Option<SprinklerZone>> {
    root.tables("zone").into_iter().map(zone).collect()
}

pub(super) fn controller(
    root: &Table<'_>,
    zones: Vec<Option<SprinklerZone>>,
    soak: Option<Duration>,
) -> Option<Controller> {
    let zones: Option<Vec<SprinklerZone>> = zones.into_iter().collect();
    keep(root, Controller::new(zones?, soak?))
}

fn zone(table: Table<'_>) -> Option<SprinklerZone> {
    let name = table.required_as("name", "what the zone is called").and_then(|field| field.text());
    let until_runoff = table.required_as("time_to_runoff", "the minutes after which water begins to run off");
    let until_runoff = until_runoff.and_then(|field| quantity_of::duration(&field));
    let area = table.optional("area").map(|field| quantity_of::area(&field));
    let delivery = match (table.has("cans"), table.has("flow")) {
        (true, false) => cans(&table),
        (false, true) => {
            let flow = table.required("flow").and_then(|field| quantity_of::flow(&field));
            let watered = area.unwrap_or_else(|| {
                table.required_as("area", "the ground that the flow waters").and_then(|field| quantity_of::area(&field))
            });
            flow.zip(watered).map(|(flow, area)| Delivery::Flow { flow, area })
        }
        _ => {
            for key in ["cans", "run", "flow"] {
                table.know(key);
            }
            table.report(
                Problem::error("lawn::delivery", "it is not clear how fast the zone waters")
                    .expected("either `cans` with the `run` in which they were filled, or `flow` and `area`"),
            );
            None
        }
    };
    let ground = area.unwrap_or_default();
    let is_read = area.is_none_or(|area| area.is_some());
    let told = name.zip(delivery).zip(until_runoff).filter(|_| is_read);
    let zone = told.and_then(|((name, delivery), until_runoff)| {
        keep(&table, SprinklerZone::new(name, delivery, until_runoff, ground))
    });
    table.finish();
    zone
}

fn cans(table: &Table<'_>) -> Option<Delivery> {
    let depths: Option<Vec<_>> = table.required("cans").and_then(|field| field.each(quantity_of::length));
    let run = table.required_as("run", "the time in which the cans were filled");
    let run = run.and_then(|field| quantity_of::duration(&field));
    keep(table, CatchCans::new(depths?, run?)).map(Delivery::Cans)
}
