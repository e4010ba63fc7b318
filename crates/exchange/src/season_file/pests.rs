//! The pests expected: their generations, what a unit of them is worth.

use super::{Names, place_of};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use business::Currency;
use problem::{Place, Problem};
use season::programme::{Generation, PestPressure, Worth};

pub(super) fn read(root: &Table<'_>, names: &Names, currency: Option<Currency>) -> Option<Vec<PestPressure>> {
    let pests: Vec<_> = root.tables("pest").into_iter().map(|table| pest(table, names, currency)).collect();
    pests.into_iter().collect()
}

fn pest(table: Table<'_>, names: &Names, currency: Option<Currency>) -> Option<PestPressure> {
    let name = table.required_as("name", "its common name, lower case").and_then(|field| field.text());
    let unit = table.required_as("unit", "what its pressure is counted in, such as `nymphs/sq ft`");
    let unit = unit.and_then(|field| field.text());
    let worth = table
        .required_as("worth", "what one unit of it costs in a week, such as `{ money = 0.32, per = \"1,000 sq ft\" }`")
        .and_then(|field| field.table())
        .and_then(|table| worth(table, currency));
    let threshold = match table.optional("threshold") {
        Some(field) => field.number_between(0.0, 1e9).map(Some),
        None => Some(None),
    };
    let rotates = table.optional("rotate").map_or(Some(true), |field| field.flag());
    let shares = match table.table("share") {
        Some(shares) => shares_by_ground(&shares, names),
        None => Some(Vec::new()),
    };
    let generations: Vec<_> = table.tables("generation").into_iter().map(generation).collect();
    if generations.is_empty() {
        table.report(
            Problem::error("season::no-generation", "nothing says when the pest is expected")
                .expected("one `[[pest.generation]]` or more, with `from`, `to` and `pressure`"),
        );
    }
    table.finish();
    Some(PestPressure {
        name: name?.to_owned(),
        unit: unit?.to_owned(),
        worth: worth?,
        threshold: threshold?,
        generations: generations.into_iter().collect::<Option<Vec<_>>>()?,
        share_by_ground: shares?,
        rotates: rotates?,
    })
}

fn worth(table: Table<'_>, currency: Option<Currency>) -> Option<Worth> {
    let money = table.required("money").and_then(|field| field.number_between(0.0, 1e9));
    let per = table.required("per").and_then(|field| quantity_of::area(&field).map(|area| (field, area)));
    table.finish();
    let (field, per) = per?;
    if !per.is_positive() {
        field.report(Problem::error("season::no-area", "the area is nothing").expected("an area above zero"));
        return None;
    }
    Some(Worth { minor_units: money? * currency?.minor_units() as f64, per })
}

/// Shares stand under the names of grounds; a ground that is not named has all of the pressure.
fn shares_by_ground(table: &Table<'_>, names: &Names) -> Option<Vec<f64>> {
    let mut shares = vec![1.0; names.grounds.len()];
    let mut is_sound = true;
    for key in table.keys() {
        let Some(field) = table.entry(key) else { continue };
        let Some(at) = names.grounds.iter().position(|name| name == key) else {
            is_sound = false;
            field.report(Problem::error("season::unknown-name", format!("`{key}` names no ground of this file")));
            continue;
        };
        match field.number_between(0.0, 100.0) {
            Some(share) => shares[at] = share,
            None => is_sound = false,
        }
    }
    is_sound.then_some(shares)
}

fn generation(table: Table<'_>) -> Option<Generation> {
    let from = table.required("from").and_then(|field| field.date());
    let to = table.required("to").and_then(|field| field.date());
    let pressure =
        table.required_as("pressure", "one figure, or several that stand evenly from the first date to the last");
    let pressure: Option<Vec<f64>> = pressure.and_then(|field| {
        if field.is_list() { field.each(Field::number) } else { field.number().map(|one| vec![one]) }
    });
    let made =
        from.zip(to).zip(pressure).and_then(|((from, to), pressure)| match Generation::new(from, to, pressure) {
            Ok(generation) => Some(generation),
            Err(problems) => {
                for problem in problems {
                    table.report(Problem { place: Place::default(), ..problem });
                }
                None
            }
        });
    table.finish();
    made
}

/// The pest that a field names.
pub(super) fn place(field: &Field<'_>, names: &Names) -> Option<usize> {
    place_of(field, &names.pests, "pest")
}
