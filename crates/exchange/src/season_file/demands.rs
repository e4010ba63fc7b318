//! Weeks closed, dates pinned, uses forbidden, protection required, and what was counted.

use super::{Demanded, Names, dates, percent, pests, place_of};
use crate::toml_source::{Field, Table};
use jiff::civil::Date;
use problem::Problem;
use season::programme::{Blackout, Count, Demands, Forbidden, Pin, Required, Week, Weeks, WhyClosed};

pub(super) fn read(root: &Table<'_>, names: &Names, weeks: Option<Weeks>) -> Option<Demanded> {
    let blackouts: Vec<_> = root.tables("closed").into_iter().map(|table| closed(table, names)).collect();
    let counts: Vec<_> = root.tables("count").into_iter().map(|table| count(table, names)).collect();
    let pins: Vec<_> = root.tables("pin").into_iter().map(|table| pin(table, names, weeks)).collect();
    let forbidden: Vec<_> = root.tables("forbid").into_iter().map(|table| forbid(table, names, weeks)).collect();
    let required: Vec<_> = root.tables("require").into_iter().map(|table| require(table, names)).collect();
    Some((
        blackouts.into_iter().collect::<Option<_>>()?,
        counts.into_iter().collect::<Option<_>>()?,
        Demands {
            pins: pins.into_iter().collect::<Option<_>>()?,
            forbidden: forbidden.into_iter().collect::<Option<_>>()?,
            required: required.into_iter().collect::<Option<_>>()?,
        },
    ))
}

fn ground(field: &Field<'_>, names: &Names) -> Option<usize> {
    place_of(field, &names.grounds, "ground")
}

fn product_use(field: &Field<'_>, names: &Names) -> Option<usize> {
    place_of(field, &names.uses, "use")
}

/// A field is there and wrong, which is reported.
struct Wrong;

/// A field that may be left out.
fn if_there<T>(field: Option<Field<'_>>, read: impl FnOnce(&Field<'_>) -> Option<T>) -> Result<Option<T>, Wrong> {
    field.map(|field| read(&field).ok_or(Wrong)).transpose()
}

/// The week of a date; a date outside the weeks planned is reported.
fn week(field: &Field<'_>, weeks: Option<Weeks>) -> Option<Week> {
    let date = field.date()?;
    let weeks = weeks?;
    let found = weeks.holding(date);
    if found.is_none() {
        let last = weeks.date(Week(weeks.count() as u16 - 1)).saturating_add(jiff::Span::new().days(6));
        field.report(
            Problem::error("season::week", format!("{date} is not in the weeks planned"))
                .expected(format!("a date from {} to {last}", weeks.first())),
        );
    }
    found
}

fn closed(table: Table<'_>, names: &Names) -> Option<Blackout> {
    let why = table.required("why").and_then(|field| field.word(WhyClosed::ALL, WhyClosed::word));
    let ground = if_there(table.optional("ground"), |field| ground(field, names));
    let product_use = if_there(table.optional("use"), |field| product_use(field, names));
    let dates = dates(&table);
    table.finish();
    let (from, to) = dates?;
    Some(Blackout { why: why?, ground: ground.ok()?, product_use: product_use.ok()?, from, to })
}

fn count(table: Table<'_>, names: &Names) -> Option<Count> {
    let date: Option<Date> = table.required("date").and_then(|field| field.date());
    let ground = table.required("ground").and_then(|field| ground(&field, names));
    let pest = table.required("pest").and_then(|field| pests::place(&field, names));
    let found = table.required_as("found", "how many, in the unit of the pest's pressure");
    let found = found.and_then(|field| field.number_between(0.0, 1e9));
    table.finish();
    Some(Count { date: date?, ground: ground?, pest: pest?, found: found? })
}

fn pin(table: Table<'_>, names: &Names, weeks: Option<Weeks>) -> Option<Pin> {
    let week = table.required("date").and_then(|field| week(&field, weeks));
    let ground = table.required("ground").and_then(|field| ground(&field, names));
    let product_use = if_there(table.optional("use"), |field| product_use(field, names));
    table.finish();
    Some(Pin { week: week?, ground: ground?, product_use: product_use.ok()? })
}

fn forbid(table: Table<'_>, names: &Names, weeks: Option<Weeks>) -> Option<Forbidden> {
    let from = if_there(table.optional("from"), |field| week(field, weeks));
    let to = if_there(table.optional("to"), |field| week(field, weeks));
    let ground = if_there(table.optional("ground"), |field| ground(field, names));
    let product_use = if_there(table.optional("use"), |field| product_use(field, names));
    let reason = if_there(table.optional("reason"), |field| field.text().map(str::to_owned));
    table.finish();
    let last = Week(weeks?.count() as u16 - 1);
    let span = match (from.ok()?, to.ok()?) {
        (None, None) => None,
        (from, to) => Some((from.unwrap_or(Week(0)), to.unwrap_or(last))),
    };
    Some(Forbidden { ground: ground.ok()?, product_use: product_use.ok()?, weeks: span, reason: reason.ok()? })
}

fn require(table: Table<'_>, names: &Names) -> Option<Required> {
    let ground = table.required("ground").and_then(|field| ground(&field, names));
    let pest = table.required("pest").and_then(|field| pests::place(&field, names));
    let share = table.required_as("at_least", "percent controlled in every week").and_then(|field| percent(&field));
    let dates = dates(&table);
    table.finish();
    let (from, to) = dates?;
    Some(Required { ground: ground?, pest: pest?, share: share?, from, to })
}
