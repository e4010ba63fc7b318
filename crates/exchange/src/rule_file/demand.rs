//! What a rule demands, under the table that names its kind.

use super::period;
use crate::quantity_field;
use crate::toml_source::{Field, Table, nearest, shown};
use jurisdiction::{
    AdvanceNotice, CountedFrom, CustomerNotice, CustomerNoticeTime, Demand, NoticeItem, Paper, Posting, PutUp,
    Recipient, RecordField, RecordKeeping, Retention, SignEdge, SignHeight, SignSize,
};
use problem::Problem;
use quantity::Length;
use std::collections::BTreeSet;

/// Reads the one demand of a rule.
pub(super) fn read(rule: &Table<'_>) -> Option<Demand> {
    let kinds = [
        rule.optional("record").map(|field| field.table().and_then(read_record).map(Demand::Record)),
        rule.optional("retention").map(|field| field.table().and_then(read_retention).map(Demand::Retention)),
        rule.optional("posting").map(|field| field.table().and_then(read_posting).map(Demand::Posting)),
        rule.optional("advance_notice")
            .map(|field| field.table().and_then(read_advance_notice).map(Demand::AdvanceNotice)),
        rule.optional("customer_notice")
            .map(|field| field.table().and_then(read_customer_notice).map(Demand::CustomerNotice)),
        rule.optional("duty").map(|field| read_duty(&field)),
    ];
    let mut stated = kinds.into_iter().flatten();
    let first = stated.next();
    if first.is_none() || stated.next().is_some() {
        let found = if first.is_none() { "the rule demands nothing" } else { "the rule demands several things" };
        rule.report(
            Problem::error("rules::one-demand", found)
                .expected(
                    "one of `record`, `retention`, `posting`, `advance_notice`, `customer_notice`, or `duty = true`",
                )
                .mend("make a rule of its own for each thing that is demanded"),
        );
        return None;
    }
    first.flatten()
}

fn read_duty(field: &Field<'_>) -> Option<Demand> {
    if field.flag()? {
        return Some(Demand::Duty);
    }
    field.report(
        Problem::error("rules::one-demand", "`duty = false` demands nothing")
            .expected("`duty = true`")
            .mend("write `true`, or say what the rule demands"),
    );
    None
}

fn read_record(table: Table<'_>) -> Option<RecordKeeping> {
    let field =
        table.required_as("fields", "what must be recorded, such as `[\"date\", [\"area\", \"total-amount\"]]`");
    let fields = field.as_ref().and_then(|field| field.each(any_of));
    let complete_by = table.optional("complete_by").map(|field| period::complete_by(&field));
    table.finish();
    let (field, fields) = (field?, fields?);
    let record = RecordKeeping::new(fields, complete_by.map_or(Some(None), |by| by.map(Some))?);
    if record.is_none() {
        field.report(
            Problem::error("rules::no-fields", "nothing is to be recorded")
                .expected("at least one field, and at least one in each list of alternatives"),
        );
    }
    record
}

/// One field, or several of which one is enough.
fn any_of(field: &Field<'_>) -> Option<BTreeSet<RecordField>> {
    let one = |field: &Field<'_>| field.word(RecordField::ALL, RecordField::word);
    if field.is_list() {
        return Some(field.each(one)?.into_iter().collect());
    }
    one(field).map(|field| BTreeSet::from([field]))
}

fn read_retention(table: Table<'_>) -> Option<Retention> {
    let paper = table
        .required_as("paper", "what is kept: `\"record\"`, `\"notice\"` or `\"contract\"`")
        .and_then(|field| field.word(Paper::ALL, Paper::word));
    let period =
        table.required_as("period", "how long, such as `\"2 years\"`").and_then(|field| period::period(&field));
    let from = table
        .required_as("from", "from when it counts: `\"application\"`, `\"end-of-year\"` or `\"not-stated\"`")
        .and_then(|field| field.word(CountedFrom::ALL, CountedFrom::word));
    table.finish();
    Some(Retention { paper: paper?, period: period?, from: from? })
}

fn read_posting(table: Table<'_>) -> Option<Posting> {
    let height = table.optional("height").map(|field| field.table().and_then(read_height));
    let least_size = table.optional("least_size").map(|field| read_size(&field));
    let least_letters = table.optional("least_letters").map(|field| length(&field));
    let wording =
        table.optional("wording").map_or(Some(Vec::new()), |field| field.each(|entry| entry.text().map(str::to_owned)));
    let text = |key| table.optional(key).map(|field: Field<'_>| field.text().map(str::to_owned));
    let look = text("look");
    let place = text("place");
    let put_up = table.optional("put_up").map(|field| field.word(PutUp::ALL, PutUp::word));
    let removal = table.optional("removal").map(|field| period::removal(&field));
    table.finish();
    Some(Posting {
        height: as_read(height)?,
        least_size: as_read(least_size)?,
        least_letters: as_read(least_letters)?,
        wording: wording?,
        look: as_read(look)?,
        place: as_read(place)?,
        put_up: as_read(put_up)?,
        removal: as_read(removal)?,
    })
}

fn read_height(table: Table<'_>) -> Option<SignHeight> {
    let edge = table
        .required_as("edge", "the edge measured: `\"bottom\"`, `\"top\"` or `\"not-stated\"`")
        .and_then(|field| field.word(SignEdge::ALL, SignEdge::word));
    let lowest = table.optional("at_least").map(|field| length(&field));
    let highest = table.optional("at_most").map(|field| length(&field));
    let height = match (edge, as_read(lowest), as_read(highest)) {
        (Some(edge), Some(lowest), Some(highest)) => {
            SignHeight::new(edge, lowest, highest).map_err(|problem| table.report(problem)).ok()
        }
        _ => None,
    };
    table.finish();
    height
}

fn read_size(field: &Field<'_>) -> Option<SignSize> {
    let sides = field.each(length)?;
    let size = if let [one, other] = sides[..] { SignSize::new(one, other) } else { None };
    if size.is_none() {
        field.report(
            Problem::error("rules::sign-size", "the size of the sign is not two sides")
                .expected("two lengths above zero, such as `[\"4 in\", \"5 in\"]`"),
        );
    }
    size
}

fn read_advance_notice(table: Table<'_>) -> Option<AdvanceNotice> {
    let to = table
        .required_as("to", "who is told, such as `\"abutting-on-request\"`")
        .and_then(|field| field.word(Recipient::ALL, Recipient::word));
    let within = table.optional("within").map(|field| length(&field));
    let before = table
        .required_as("before", "how long before, such as `\"48 hours\"` or `\"1 business day\"`")
        .and_then(|field| period::before(&field));
    let contains = read_contains(&table);
    table.finish();
    Some(AdvanceNotice { to: to?, within: as_read(within)?, before: before?, contains: contains? })
}

fn read_customer_notice(table: Table<'_>) -> Option<CustomerNotice> {
    let when = table
        .required_as("when", "`\"before\"`, `\"before-or-at\"`, `\"at\"` or `\"on-completion\"`")
        .and_then(|field| field.word(CustomerNoticeTime::ALL, CustomerNoticeTime::word));
    let contains = read_contains(&table);
    table.finish();
    Some(CustomerNotice { when: when?, contains: contains? })
}

fn read_contains(table: &Table<'_>) -> Option<Vec<NoticeItem>> {
    table.optional("contains").map_or(Some(Vec::new()), |field| field.each(notice_item))
}

/// A word for something that a notice contains, or `{ words = "…" }`.
fn notice_item(field: &Field<'_>) -> Option<NoticeItem> {
    if field.is_table() {
        let table = field.table()?;
        let words = table.required_as("words", "the words that must stand there").and_then(|field| field.text());
        table.finish();
        return words.map(|words| NoticeItem::Words(words.to_owned()));
    }
    let text = field.text()?;
    let found = NoticeItem::ALL.iter().find(|item| item.word() == Some(text));
    if found.is_none() {
        let words: Vec<&str> = NoticeItem::ALL.iter().filter_map(NoticeItem::word).collect();
        let mut problem = Problem::error("toml::unknown-word", format!("`{}` is no word known here", shown(text)))
            .expected(format!("one of `{}`, or `{{ words = \"…\" }}`", words.join("`, `")));
        if let Some(near) = nearest(text, words) {
            problem = problem.mend(format!("did you mean `{near}`?"));
        }
        field.report(problem);
    }
    found.cloned()
}

/// A length above zero.
fn length(field: &Field<'_>) -> Option<Length> {
    let length = quantity_field::length(field)?;
    if length.is_positive() {
        return Some(length);
    }
    field.report(Problem::error("rules::no-length", "the length is nothing").expected("a length above zero"));
    None
}

/// What became of an optional field: `None` when it is there and could not be read.
#[allow(clippy::option_option)]
fn as_read<T>(field: Option<Option<T>>) -> Option<Option<T>> {
    match field {
        None => Some(None),
        Some(read) => read.map(Some),
    }
}
