//! A client with neighbours, as a TOML file. The fields are told in `docs/client-file.md`.

use crate::business_file::{address, all, invented, text, whole};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Source, Table, shown};
use business::{Client, Journey, Neighbour};
use jurisdiction::{Jurisdiction, RuleId};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Length, LengthUnit};
use std::collections::BTreeMap;

/// The first line of the file.
pub const FORMAT: &str = "tussock.client/1";

/// Reads a client file. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_client(file: &str, text: &str) -> Result<(Client, Problems), Problems> {
    let source = Source::parse(file, text)?;
    match read(&source) {
        Some(client) => source.into_problems().unless_errors(client),
        None => Err(source.into_problems()),
    }
}

/// Every field that the reader asked for in this text, without the numbers of list entries. For comparing
/// with what is told about the file.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read(&source);
            source.asked().into_iter().collect()
        },
    )
}

fn read(source: &Source<'_>) -> Option<Client> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "who ordered the work").and_then(|field| field.text());
    let address = address(&root);
    let telephone = text(&root, "telephone");
    let lives_there = match root.optional("lives_there") {
        Some(field) => field.each(|entry| entry.text().map(str::to_owned)),
        None => Some(Vec::new()),
    };
    let place = whole(root.optional("jurisdiction"), |field| field.parsed(Jurisdiction::parse));
    let journey = root.table("journey").map_or(Some(Journey::default()), read_journey);
    let neighbours = all(root.tables("neighbour"), read_neighbour);
    let conditions = root.table("conditions").map_or(Some(BTreeMap::new()), |table| read_conditions(&table));
    let invented = invented(&root);
    root.finish();
    Some(Client {
        name: name?.to_owned(),
        address: address?,
        telephone: telephone.ok()?,
        lives_there: lives_there?,
        journey: journey?,
        neighbours: neighbours?,
        place: place.ok()?,
        conditions: conditions?,
        invented: invented?,
    })
}

fn read_journey(table: Table<'_>) -> Option<Journey> {
    let distance = whole(table.optional("distance"), |field| {
        let distance = quantity_of::length(&field)?;
        let within = distance >= Length::ZERO && distance <= Length::new(5000.0, LengthUnit::Kilometre);
        if !within {
            field.report(
                Problem::error("client::journey", "a way that nobody goes for one visit")
                    .expected("the distance there and back, such as `24 mi`, at most 5000 km"),
            );
        }
        within.then_some(distance)
    });
    let time = whole(table.optional("time"), |field| {
        let time = quantity_of::duration(&field)?;
        let within = time >= Duration::ZERO && time <= Duration::new(168.0, DurationUnit::Hour);
        if !within {
            field.report(
                Problem::error("client::journey", "a travel time that nobody takes for one visit")
                    .expected("the time there and back, such as `40 min`, at most a week"),
            );
        }
        within.then_some(time)
    });
    table.finish();
    Some(Journey { distance: distance.ok()?, time: time.ok()? })
}

fn read_neighbour(table: Table<'_>) -> Option<Neighbour> {
    let name = table.required_as("name", "who lives there").and_then(|field| field.text());
    table.know("address");
    let address = if table.has("address") { address(&table) } else { Some(Vec::new()) };
    let flag = |key, meaning| table.required_as(key, meaning).and_then(|field| field.flag());
    let abuts = flag("abuts", "`true` when the property touches the client's");
    let asked_for_notice = flag("asked_for_notice", "`true` when the neighbour asked to be told beforehand");
    let registered = table.optional("registered").map_or(Some(false), |field| field.flag());
    table.finish();
    Some(Neighbour {
        name: name?.to_owned(),
        address: address?,
        abuts: abuts?,
        asked_for_notice: asked_for_notice?,
        registered: registered?,
    })
}

/// What was found out of conditions of rules: names of rules with `true` or `false`.
fn read_conditions(table: &Table<'_>) -> Option<BTreeMap<RuleId, bool>> {
    let mut conditions = BTreeMap::new();
    let mut sound = true;
    for key in table.keys() {
        let answer = table.entry(key).and_then(|field| field.flag());
        let id = RuleId::new(key).map_err(|problem| table.report(problem.at(table.path_of(&shown(key))))).ok();
        match id.zip(answer) {
            Some((id, answer)) => {
                conditions.insert(id, answer);
            }
            None => sound = false,
        }
    }
    sound.then_some(conditions)
}
