//! Sentences, and statements that carry one.

use crate::toml_source::Table;
use label::{Clause, Scope, Statement, Strength};
use problem::Problem;

/// The fields of a sentence, and the one that says a subject does not arise.
pub(super) const OF_SENTENCE: &[&str] = &["text", "page", "strength", "scope", "state", "not_applicable"];

/// Reads the sentence of a table. `default` is what it applies to when it does not say.
pub(super) fn clause(table: &Table<'_>, default: &Scope) -> Option<Clause> {
    let text = table.required_as("text", "the sentence of the label, word for word").and_then(|field| field.text());
    let page = page(table);
    let strength = strength(table);
    let scope = scope(table, default);
    Some(Clause { text: text?.to_owned(), page, strength: strength?, scope: scope? })
}

fn page(table: &Table<'_>) -> Option<u32> {
    let Some(field) = table.optional("page") else {
        table.report(
            Problem::warning("label::no-page", "the page of the label is not given")
                .expected("`page = 3`, counted from 1")
                .mend("add it, so that a refusal can say where its sentence stands"),
        );
        return None;
    };
    let page = field.whole()?;
    if page == 0 {
        field.report(
            Problem::error("label::page", "page `0` is no page")
                .expected("a page counted from 1")
                .mend("count the cover as page 1"),
        );
        return None;
    }
    Some(page)
}

fn strength(table: &Table<'_>) -> Option<Strength> {
    if let Some(field) = table.optional("strength") {
        return field.word(Strength::ALL, Strength::word);
    }
    table.report(
        Problem::warning("label::no-strength", "how far the sentence binds is not given: it is read as mandatory")
            .expected("`strength = \"mandatory\"`, `\"advisory\"` or `\"descriptive\"`")
            .mend("add it: “do not” and “must” bind, “should” advises (EPA PR Notice 2000-5)"),
    );
    Some(Strength::Mandatory)
}

fn scope(table: &Table<'_>, default: &Scope) -> Option<Scope> {
    const WORDS: &[&str] = &["product", "site", "use", "method", "state"];
    let state = table.optional("state");
    let word = match table.optional("scope") {
        Some(field) => field.word(WORDS, |word| word)?,
        None if state.is_some() => "state",
        None => return Some(default.clone()),
    };
    if word == "state" {
        let Some(state) = state else {
            table.report(
                Problem::error("toml::missing-field", "the scope is a state, and `state` is missing")
                    .expected("a field `state` with the usual abbreviation")
                    .mend("add a line such as `state = \"KS\"`"),
            );
            return None;
        };
        return state.text().map(|text| Scope::State(text.to_owned()));
    }
    if let Some(state) = state {
        state.report(
            Problem::error("label::scope", format!("a state is named, and the scope is `{word}`"))
                .expected("`scope = \"state\"`, or no `state`")
                .mend("delete one of the two"),
        );
        return None;
    }
    Some(match word {
        "site" => Scope::Site,
        "use" => Scope::Use,
        "method" => Scope::Method,
        _ => Scope::Product,
    })
}

/// Reads a list of plain sentences.
pub(super) fn clause_list(parent: &Table<'_>, key: &'static str, default: &Scope) -> Vec<Clause> {
    let tables = parent.tables(key);
    tables
        .into_iter()
        .filter_map(|table| {
            let clause = clause(&table, default);
            table.finish();
            clause
        })
        .collect()
}

/// Reads the statement on one subject; `value` reads what it says.
pub(super) fn statement<T>(
    parent: &Table<'_>,
    key: &'static str,
    default: &Scope,
    value: impl FnOnce(&Table<'_>) -> Option<T>,
) -> Statement<T> {
    parent.table(key).map_or(Statement::Silent, |table| of_table(table, default, value))
}

/// Reads a list of statements on one subject.
pub(super) fn statements<T>(
    parent: &Table<'_>,
    key: &'static str,
    default: &Scope,
    value: impl Fn(&Table<'_>) -> Option<T>,
) -> Vec<Statement<T>> {
    let tables = parent.tables(key);
    // A statement that could not be read keeps its place, so that messages count as the file does.
    tables.into_iter().map(|table| of_table(table, default, &value)).collect()
}

fn of_table<T>(table: Table<'_>, default: &Scope, value: impl FnOnce(&Table<'_>) -> Option<T>) -> Statement<T> {
    if let Some(field) = table.optional("not_applicable")
        && field.flag() != Some(false)
    {
        let besides: Vec<&str> = table.keys().filter(|key| !OF_SENTENCE.contains(key)).collect();
        if !besides.is_empty() {
            table.report(
                Problem::error(
                    "label::not-applicable",
                    format!("`not_applicable` stands beside `{}`", besides.join("`, `")),
                )
                .expected("either a value or `not_applicable = true`")
                .mend("delete one of the two"),
            );
        }
        return Statement::NotApplicable;
    }
    let value = value(&table);
    let clause = clause(&table, default);
    table.finish();
    match (value, clause) {
        (Some(value), Some(clause)) => Statement::Stated { value, clause },
        _ => Statement::Silent,
    }
}
