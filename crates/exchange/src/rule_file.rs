//! Rules of a jurisdiction, as a TOML file.
//!
//! Each rule stands under `[[rule]]`. The fields are told in `docs/jurisdiction-rules.md`. A few files
//! come with the program: [`shipped`].

mod demand;
mod period;

use crate::toml_source::{Field, Source, Table};
use jurisdiction::{Applies, Extent, Ground, InForce, Jurisdiction, Pesticides, Rule, RuleId, RuleSet, Scope};
use problem::{Problem, Problems};
use std::collections::{BTreeMap, BTreeSet};

/// The first line of the file.
pub const FORMAT: &str = "tussock.rules/1";

/// The rule files that come with the program, by name. They are few, and their user must confirm local
/// law ([`jurisdiction::CONFIRM_LOCAL_LAW`]).
pub const fn shipped() -> &'static [(&'static str, &'static str)] {
    &[
        ("us-federal.toml", include_str!("../../../rules/us-federal.toml")),
        ("us-ga.toml", include_str!("../../../rules/us-ga.toml")),
        ("us-in.toml", include_str!("../../../rules/us-in.toml")),
        ("us-ny.toml", include_str!("../../../rules/us-ny.toml")),
        ("us-oh.toml", include_str!("../../../rules/us-oh.toml")),
        ("us-tx.toml", include_str!("../../../rules/us-tx.toml")),
    ]
}

/// Reads rule files into one set. Each is a name, which only serves messages, and a text.
///
/// # Errors
/// Everything wrong with any of the files, each with its file, line, column and field.
pub fn parse_rules<'t>(files: impl IntoIterator<Item = (&'t str, &'t str)>) -> Result<(RuleSet, Problems), Problems> {
    let mut rules = Vec::new();
    let mut problems = Problems::new();
    let mut named = BTreeMap::new();
    for (file, text) in files {
        match Source::parse(file, text) {
            Ok(source) => {
                rules.extend(read_file(&source, file, &mut named));
                problems.extend(source.into_problems());
            }
            Err(found) => problems.extend(found),
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    RuleSet::new(rules).map(|set| (set, problems))
}

/// Every field that the reader of rule files asked for in this text, without the numbers of list
/// entries. For comparing with what is told about the file.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read_file(&source, "", &mut BTreeMap::new());
            source.asked().into_iter().collect()
        },
    )
}

fn read_file(source: &Source<'_>, file: &str, named: &mut BTreeMap<RuleId, String>) -> Vec<Rule> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return Vec::new();
    }
    let place = root
        .required_as("jurisdiction", "where the rules hold, such as `US` or `US-OH`")
        .and_then(|field| field.parsed(Jurisdiction::parse));
    let tables = root.tables("rule");
    if tables.is_empty() && !root.has("rule") {
        root.report(
            Problem::error("rules::none", "there is no rule in the file")
                .expected("at least one `[[rule]]`")
                .mend("add one, or do without the file"),
        );
    }
    let rules = tables.into_iter().filter_map(|table| read_rule(table, place.as_ref(), file, named)).collect();
    root.finish();
    rules
}

fn read_rule(
    table: Table<'_>,
    place: Option<&Jurisdiction>,
    file: &str,
    named: &mut BTreeMap<RuleId, String>,
) -> Option<Rule> {
    let id = table
        .required_as("id", "the word by which records and messages name the rule")
        .and_then(|field| read_id(&field, &table, file, named));
    let sentence =
        table.required_as("sentence", "what the rule says, in your own words").and_then(|field| field.text());
    let in_force = table
        .required_as("in_force", "`{ first = … }`, and `last` when the rule has ended")
        .and_then(|field| field.table())
        .and_then(read_in_force);
    let applies = table
        .required_as("applies", "to which applications, such as `[{ pesticides = \"all\", work = \"for-hire\" }]`")
        .and_then(|field| read_applies(&field));
    let only_where = table.optional("only_where").map(|field| field.text().map(str::to_owned));
    let source = table
        .required_as("source", "a table that says where the rule was found")
        .and_then(|field| field.table())
        .and_then(read_source);
    let demand = demand::read(&table);
    table.finish();
    Some(Rule {
        id: id?,
        jurisdiction: place?.clone(),
        in_force: in_force?,
        applies: applies?,
        only_where: only_where.map_or(Some(None), |text| text.map(Some))?,
        sentence: sentence?.to_owned(),
        demand: demand?,
        source: source?,
    })
}

fn read_id(field: &Field<'_>, table: &Table<'_>, file: &str, named: &mut BTreeMap<RuleId, String>) -> Option<RuleId> {
    let id = field.parsed(RuleId::new)?;
    if let Some(first) = named.get(&id) {
        field.report(
            Problem::error("rules::named-twice", format!("another rule has the name `{id}`: {first}"))
                .expected("a name of its own for each rule of all files")
                .mend("rename one of them, or delete it if it is the same rule"),
        );
        return None;
    }
    named.insert(id.clone(), format!("`{}` in `{file}`", table.path()));
    Some(id)
}

fn read_in_force(table: Table<'_>) -> Option<InForce> {
    let first = table
        .required_as("first", "the first day in force, or `\"unknown\"`")
        .and_then(|field| if is_word(&field, "unknown") { Some(None) } else { field.date().map(Some) });
    let last = table.optional("last").map(|field| field.date());
    let in_force = match (first, last) {
        (Some(first), None) => InForce::new(first, None),
        (Some(first), Some(Some(last))) => InForce::new(first, Some(last)),
        _ => {
            table.finish();
            return None;
        }
    };
    let in_force = in_force.map_err(|problem| table.report(problem)).ok();
    table.finish();
    in_force
}

fn read_applies(field: &Field<'_>) -> Option<Vec<Applies>> {
    let entries = field.each(|entry| entry.table().and_then(read_one_applies))?;
    if entries.is_empty() {
        field.report(
            Problem::error("rules::applies-to-nothing", "the rule applies to no application")
                .expected("at least one entry, such as `{ pesticides = \"all\", work = \"anyone\" }`")
                .mend("add one, or delete the rule"),
        );
        return None;
    }
    Some(entries)
}

fn read_one_applies(table: Table<'_>) -> Option<Applies> {
    let pesticides = table
        .required_as("pesticides", "`\"all\"` or `\"restricted-use\"`")
        .and_then(|field| field.word(Pesticides::ALL, Pesticides::word));
    let work = table
        .required_as("work", "whose work: `\"anyone\"`, `\"commercial\"`, `\"for-hire\"` or `\"private\"`")
        .and_then(|field| field.word(Scope::ALL, Scope::word));
    let ground = table.optional("ground").map_or(Some(BTreeSet::new()), |field| {
        let ground = field.each(|entry| entry.word(Ground::ALL, Ground::word))?;
        if ground.is_empty() {
            field.report(
                Problem::error("rules::applies-to-nothing", "no ground is named")
                    .expected("at least one of `turf`, `ornamental`, `perimeter`")
                    .mend("leave `ground` out where the rule does not tell grounds apart"),
            );
            return None;
        }
        Some(ground.into_iter().collect())
    });
    table.finish();
    Some(Applies { pesticides: pesticides?, work: work?, ground: ground? })
}

fn read_source(table: Table<'_>) -> Option<jurisdiction::Source> {
    let publication = table.required_as("publication", "the law, code or page").and_then(|field| field.text());
    let section = table.required_as("section", "the section of it").and_then(|field| field.text());
    let extent = table
        .required_as("extent", "how far it was read: `\"read\"`, `\"excerpt\"`, `\"secondary\"`, …")
        .and_then(|field| field.word(Extent::ALL, Extent::word));
    let as_of = table.optional("as_of").map(|field| field.date());
    let note = table.optional("note").map(|field| field.text().map(str::to_owned));
    table.finish();
    Some(jurisdiction::Source {
        publication: publication?.to_owned(),
        section: section?.to_owned(),
        extent: extent?,
        as_of: as_of.map_or(Some(None), |date| date.map(Some))?,
        note: note.map_or(Some(None), |note| note.map(Some))?,
    })
}

/// Whether a field holds this word; says nothing when it does not.
fn is_word(field: &Field<'_>, word: &str) -> bool {
    field.is_text() && field.json().as_str().is_some_and(|text| text.trim() == word)
}
