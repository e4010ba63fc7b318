//! The season: one TOML file that names the ground, the labels and their uses, the pests expected, money and demands.
//!
//! The fields are told in `docs/season.md`.

mod demands;
mod pests;
mod uses;

use crate::named_file::Shelf;
use crate::toml_source::{Field, Source, Table, shown};
use business::{Currency, Money};
use jiff::civil::Date;
use label::{Label, Site};
use problem::{Problem, Problems};
use season::programme::{Advisory, Demands, Ground, MinorUnits, SeasonRequest, Weeks};

/// The first line of the file.
pub const FORMAT: &str = "tussock.season/1";

/// A season file as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonFile {
    /// The question.
    pub request: SeasonRequest,
    /// The currency of all its money.
    pub currency: Currency,
    /// By how much the budget is raised to see what more money would bring; `None` without a budget.
    pub budget_step: Option<MinorUnits>,
    /// Whether its figures are invented, for practice only.
    pub invented: bool,
}

/// Reads a season file with the labels that it names. `file` is the name that its user gave it.
///
/// The reader opens no file itself: `fetch` is asked for the text of each label file, by its name relative to the
/// season's, and answers with the text or with the reason why there is none.
///
/// # Errors
/// Everything wrong in the file and in the labels, each with its own file, line and field.
pub fn parse_season(
    file: &str,
    text: &str,
    fetch: &mut dyn FnMut(&str) -> Result<String, String>,
) -> Result<(SeasonFile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let mut shelf = Shelf::new(file, text, fetch);
    let season = read(&source, &mut shelf);
    let mut problems = source.into_problems();
    problems.extend(shelf.problems);
    match season {
        Some(season) => problems.unless_errors(season),
        None => Err(problems),
    }
}

/// Every field that the reader asked for in this text, without the numbers of list entries. For comparing with what is
/// told about the file.
pub fn fields_asked(text: &str, fetch: &mut dyn FnMut(&str) -> Result<String, String>) -> Vec<String> {
    let Ok(source) = Source::parse("", text) else { return Vec::new() };
    read(&source, &mut Shelf::new("", text, fetch));
    source.asked().into_iter().collect()
}

/// Names of the file's own lists, by which other fields point at their entries.
struct Names {
    grounds: Vec<String>,
    uses: Vec<String>,
    pests: Vec<String>,
}

fn read(source: &Source<'_>, shelf: &mut Shelf<'_>) -> Option<SeasonFile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "what the season is called").and_then(|field| field.text());
    let invented = root.optional("invented").map_or(Some(false), |field| field.flag());
    let state = root.optional("state").map(|field| field.text());
    let currency = root
        .required_as("currency", "the currency of all money in the file, such as `USD`")
        .and_then(|field| field.parsed(Currency::parse));
    let first = root.required_as("first", "the first day planned; the same day of the week from then on");
    let first = first.and_then(|field| field.date());
    let count = root.required_as("weeks", "how many weeks are planned").and_then(|field| weeks(&field, first));
    let from = root.optional("from").map_or(Some(None), |field| field.date().map(Some));
    let past_is_known = root
        .required_as("past_is_complete", "whether `[[applied]]` tells all that was applied in the twelve months before")
        .and_then(|field| field.flag());
    let advisory = match root.optional("advisory_gives_way") {
        Some(field) => field.text().map(|reason| Advisory::GivesWay(reason.to_owned())),
        None => Some(Advisory::Kept),
    };
    let in_currency = |key: &'static str| -> Option<Option<MinorUnits>> {
        match root.optional(key) {
            Some(field) => money(&field, currency?).map(Some),
            None => Some(None),
        }
    };
    let (travel, budget, budget_step) = (in_currency("travel"), in_currency("budget"), in_currency("budget_step"));
    let labels = labels(&root, shelf, state.flatten());
    let grounds: Option<Vec<Ground>> = root.tables("ground").into_iter().map(ground).collect();
    let ids = |key: &'static str, id: &str| -> Vec<String> {
        root.tables(key).iter().filter_map(|table| table.entry(id)?.text().map(str::to_owned)).collect()
    };
    let names = Names { grounds: ids("ground", "id"), uses: ids("use", "id"), pests: ids("pest", "name") };
    for (key, list) in [("ground", &names.grounds), ("use", &names.uses), ("pest", &names.pests)] {
        twice(&root, key, list);
    }
    let pests = pests::read(&root, &names, currency);
    let (uses, known) = uses::read(&root, &names, labels.as_deref(), currency);
    let weeks = first.zip(count).and_then(|(first, count)| Weeks::new(first, count).ok());
    let demands = demands::read(&root, &names, weeks);
    let past = uses::past(&root, &names, labels.as_deref(), uses.as_deref());
    let stock = uses::stock(&root, labels.as_deref());
    root.finish();
    let (blackouts, counts, demands) = demands?;
    let request = SeasonRequest {
        name: name?.to_owned(),
        weeks: weeks?,
        from: from?.unwrap_or(first?),
        grounds: grounds?,
        uses: uses?,
        pests: pests?,
        travel: travel?.unwrap_or_default(),
        budget: budget?,
        stock: stock?,
        blackouts,
        past_is_known: past_is_known?,
        past: past?,
        demands,
        counts,
        advisory: advisory?,
    };
    known.then_some(())?;
    if let Err(problems) = request.check() {
        for problem in problems {
            root_report(source, problem);
        }
        return None;
    }
    offered_nowhere(source, &request);
    let tenth = request.budget.map(|budget| MinorUnits((budget.0 / 10).max(1)));
    Some(SeasonFile { request, currency: currency?, budget_step: budget_step?.or(tenth), invented: invented? })
}

fn root_report(source: &Source<'_>, problem: Problem) {
    source.root().report(problem);
}

/// A use whose row names no site of the season can never be planned, and that is told.
fn offered_nowhere(source: &Source<'_>, request: &SeasonRequest) {
    for (at, of) in request.uses.iter().enumerate() {
        if !(0..request.grounds.len()).any(|ground| request.is_offered(at, ground)) {
            let sites = of.sites.iter().map(|site| site.word()).collect::<Vec<_>>().join(", ");
            source.report(
                Problem::warning(
                    "season::offered-nowhere",
                    format!("`{}` is for {sites}, and no ground is that", of.id),
                )
                .mend("add the ground, or leave the use out")
                .at(format!("use[{}]", at + 1)),
            );
        }
    }
}

fn weeks(field: &Field<'_>, first: Option<Date>) -> Option<u16> {
    let count = u16::try_from(field.whole()?).unwrap_or(u16::MAX);
    match Weeks::new(first?, count) {
        Ok(_) => Some(count),
        Err(problem) => {
            field.report(problem);
            None
        }
    }
}

/// An amount of money as text.
fn money(field: &Field<'_>, currency: Currency) -> Option<MinorUnits> {
    field.parsed(|text| Money::parse(text, currency)).map(|money| MinorUnits(money.minor()))
}

fn labels(root: &Table<'_>, shelf: &mut Shelf<'_>, state: Option<&str>) -> Option<Vec<Label>> {
    let field = root.required_as("labels", "the shelf: a list of names of label files")?;
    let mut labels = Vec::new();
    let mut is_whole = field.is_list();
    for entry in field.items() {
        let read =
            shelf.fetch(&entry).and_then(|(file, text)| shelf.keep(crate::label_file::parse_label(&file, &text)));
        match read {
            Some(label) => labels.push(label::for_state(&label, state)),
            None => is_whole = false,
        }
    }
    is_whole.then_some(labels)
}

fn ground(table: Table<'_>) -> Option<Ground> {
    let id = table.required_as("id", "the word by which it is named").and_then(|field| field.text());
    let name = table.optional("name").map_or(Some(None), |field| field.text().map(Some));
    let area = table.required_as("area", "its size, such as `5,936 sq ft`").and_then(|field| {
        let area = crate::quantity_field::area(&field)?;
        if !area.is_positive() {
            field.report(Problem::error("season::no-area", "the area is nothing").expected("an area above zero"));
            return None;
        }
        Some(area)
    });
    let site =
        table.required_as("site", "the site, as labels name it").and_then(|field| field.word(Site::ALL, Site::word));
    table.finish();
    let id = id?.to_owned();
    Some(Ground { name: name?.map_or_else(|| id.clone(), str::to_owned), id, area: area?, site: site? })
}

/// Reports a name that stands twice.
fn twice(root: &Table<'_>, key: &str, names: &[String]) {
    for (at, name) in names.iter().enumerate() {
        if names[..at].contains(name) {
            root.report(
                Problem::error("season::named-twice", format!("`{}` stands twice", shown(name)))
                    .expected("a name of its own for each")
                    .at(format!("{key}[{}]", at + 1)),
            );
        }
    }
}

/// The place of a name in a list; a name that leads nowhere is reported.
fn place_of(field: &Field<'_>, names: &[String], what: &str) -> Option<usize> {
    let text = field.text()?;
    let found = names.iter().position(|name| name == text);
    if found.is_none() {
        let problem = Problem::error("season::unknown-name", format!("`{}` names no {what} of this file", shown(text)));
        let near = crate::toml_source::nearest(text, names.iter().map(String::as_str));
        field.report(match near {
            Some(near) => problem.mend(format!("did you mean `{near}`?")),
            None => problem.expected(format!(
                "one of {}",
                names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
            )),
        });
    }
    found
}

/// A share in percent.
fn percent(field: &Field<'_>) -> Option<f64> {
    field.number_between(0.0, 100.0).map(|percent| percent / 100.0)
}

/// From a first to a last date.
fn dates(table: &Table<'_>) -> Option<(Date, Date)> {
    let from = table.required("from").and_then(|field| field.date());
    let to = table.required("to").and_then(|field| field.date());
    let (from, to) = (from?, to?);
    if to < from {
        table.report(
            Problem::error("season::dates", format!("from {from} to {to}")).expected("an end not before the beginning"),
        );
        return None;
    }
    Some((from, to))
}

type Demanded = (Vec<season::programme::Blackout>, Vec<season::programme::Count>, Demands);
