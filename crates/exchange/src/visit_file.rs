//! The visit request: one TOML file that names the map, the shelf of labels, the equipment, the
//! forecast and the history, and says what is wanted.
//!
//! Each of these may stand in a file of its own, named relative to the request, or inline. The
//! fields are told in `docs/visit-request.md`; `schema/visit-request.schema.json` is their schema.

mod facts;
mod finding;
mod link;
mod parts;
mod practice;
pub(crate) mod reference;
mod target;
mod task;

use crate::toml_source::{Source, Table, shown};
use problem::{Problem, Problems};
use reference::Shelf;
use treatment::VisitRequest;

/// The first line of the file.
pub const FORMAT: &str = "tussock.visit-request/1";

/// Reads a visit request with everything it names. `file` is the name that its user gave it.
///
/// The reader opens no file itself: `fetch` is asked for the text of each file named, by its name
/// relative to the request, and answers with the text or with the reason why there is none.
///
/// With the request come the warnings of all its files.
///
/// # Errors
/// Everything wrong in the request and in every file it names, each with its own file, line and
/// field or feature; and every name in a task that leads nowhere.
pub fn parse_visit(
    file: &str,
    text: &str,
    fetch: &mut dyn FnMut(&str) -> Result<String, String>,
) -> Result<(VisitRequest, Problems), Problems> {
    parse_visit_in(file, text, None, fetch)
}

/// As [`parse_visit`], of a property that is known to lie in a state, whatever the request says of it.
///
/// # Errors
/// As [`parse_visit`].
pub fn parse_visit_in(
    file: &str,
    text: &str,
    state: Option<&str>,
    fetch: &mut dyn FnMut(&str) -> Result<String, String>,
) -> Result<(VisitRequest, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let mut shelf = Shelf::new(file, text, fetch);
    let request = read(&source, &mut shelf, state);
    let mut problems = source.into_problems();
    problems.extend(shelf.problems);
    match request {
        Some(request) => problems.unless_errors(request),
        None => Err(problems),
    }
}

/// Every field that the reader of visit requests asked for in this text, without the numbers of
/// list entries. For comparing with the schema.
pub fn fields_asked(text: &str) -> Vec<String> {
    let Ok(source) = Source::parse("", text) else { return Vec::new() };
    let mut none = |_: &str| Err("not asked for here".to_owned());
    read(&source, &mut Shelf::new("", text, &mut none), None);
    source.asked().into_iter().collect()
}

fn read(source: &Source<'_>, shelf: &mut Shelf<'_>, known_state: Option<&str>) -> Option<VisitRequest> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "what the visit is called").and_then(|field| field.text());
    let date = root.required_as("date", "the day planned").and_then(|field| field.date());
    let said = read_state(&root);
    let state = known_state.map(str::to_owned).or(said);
    let property = parts::property(&root, shelf);
    let labels = parts::labels(&root, shelf);
    let equipment = parts::equipment(&root, shelf);
    let forecast = parts::forecast(&root, shelf, date);
    let history = parts::history(&root, shelf, property.as_ref());
    let applicator = root.table("applicator").and_then(finding::read_applicator);
    let findings = finding::read_findings(&root, shelf, &finding::Case { date, property: property.as_ref(), name });
    let setbacks = root.table("setbacks").map(practice::read_setbacks).unwrap_or_default();
    let practice = root.table("practice").map_or_else(Default::default, practice::read_practice);
    let plane = property.as_ref().map(property::Property::plane);
    let tables = root.tables("task");
    if tables.is_empty() {
        root.report(
            Problem::error("visit::no-task", "the visit has no task")
                .expected("one `[[task]]` or more: a method, a label, a rate, equipment and a place")
                .mend("add a task")
                .at("task"),
        );
    }
    if state.is_none() {
        report_uses_of_a_state(&root, &labels.entries);
    }
    let known = link::Known { property: property.as_ref(), labels: &labels, equipment: &equipment };
    let stated = tables.len();
    let mut ids = Vec::new();
    let tasks: Vec<(usize, treatment::TaskRequest)> = tables
        .into_iter()
        .enumerate()
        .filter_map(|(index, table)| Some((index + 1, task::read_task(table, plane, &known, &mut ids)?)))
        .collect();
    let complete = tasks.len() == stated;
    link::report_findings_of_tasks(&root, findings.as_deref(), &tasks);
    // Read once more, and kept, by `aftercare_file::parse_aftercare`; here for its problems.
    crate::aftercare_file::read_aftercare(&root);
    root.finish();
    Some(VisitRequest {
        name: name?.to_owned(),
        date: date?,
        labels: labels.whole()?.iter().map(|label| label::for_state(label, state.as_deref())).collect(),
        state,
        property: property?,
        equipment: equipment.whole()?,
        applicator,
        forecast: forecast.ok()?,
        history: history?,
        findings: findings?,
        tasks: complete.then(|| tasks.into_iter().map(|(_, task)| task).collect())?,
        setbacks,
        practice,
    })
}

/// A use that only one state permits is none where the state is not known, and that is said.
fn report_uses_of_a_state(root: &Table<'_>, labels: &[label::Label]) {
    for label in labels {
        for row in &label.uses {
            if let label::Scope::State(state) = &row.clause.scope {
                let found = format!(
                    "use `{}` of label `{}` holds in {state} only, and the request names no state",
                    row.id, label.id
                );
                root.report(
                    Problem::warning("visit::state-unknown", found)
                        .expected(format!("`state = \"{state}\"`, where the property lies there"))
                        .mend("name the state; without it the use is not taken")
                        .at("state"),
                );
            }
        }
    }
}

fn read_state(root: &Table<'_>) -> Option<String> {
    let field = root.optional("state")?;
    let text = field.text()?;
    if (2..=3).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_alphabetic()) {
        return Some(text.to_ascii_uppercase());
    }
    field.report(
        Problem::error("visit::state", format!("`{}` is no abbreviation of a state or province", shown(text)))
            .expected("two or three letters as labels print them, such as `KS`"),
    );
    None
}
