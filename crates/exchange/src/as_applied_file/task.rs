//! What differed on one task.

use super::fact::{moment, read_fact, text};
use super::{Day, observed};
use crate::history_file::read_ground;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use label::Site;
use problem::Problem;
use quantity::Amount;
use record::{ActualLeftover, ActualTank, ActualTask, Left, LeftoverUse};

/// Stands where a name could not be read, so that what comes after keeps its place in the list; nothing is called so.
const UNREAD: &str = "";

/// Stands where the number of a tank could not be read; no tank has it.
const UNREAD_NUMBER: usize = 0;

pub(super) fn read_task(table: Table<'_>, day: &Day<'_>) -> ActualTask {
    let id = table.required_as("id", "the task's name in the visit").and_then(|field| field.text());
    let not_done = flag(&table, "not_done");
    let ground = table.optional("ground").and_then(|field| read_ground(&field, Some(day.plane)));
    let wall = table.optional("wall").and_then(|field| quantity_of::area(&field));
    let places = table.optional("places").and_then(|field| field.whole());
    let equipment = text(&table, "equipment");
    let lots = table.tables("lot").into_iter().map(lot).collect();
    let tanks = table.tables("tank").into_iter().map(|table| tank(table, day)).collect();
    let leftover = table.table("leftover").and_then(|table| leftover(table, day));
    table.finish();
    let task = id.unwrap_or(UNREAD).to_owned();
    ActualTask { task, not_done, ground, wall, places, equipment, lots, tanks, leftover }
}

fn flag(table: &Table<'_>, key: &'static str) -> bool {
    table.optional(key).and_then(|field| field.flag()) == Some(true)
}

fn lot(table: Table<'_>) -> (String, record::Fact<Vec<String>>) {
    let label = table.required("label").and_then(|field| field.text());
    let lots = read_fact(&table, "numbers", |field| {
        let numbers: Vec<String> = field.texts().into_iter().map(str::to_owned).collect();
        (!numbers.is_empty()).then_some(numbers)
    });
    if !table.has("numbers") {
        table.report(
            Problem::error("toml::missing-field", "the lot has no `numbers`")
                .expected("a field `numbers`, such as `numbers = [\"A17\"]`")
                .mend("read them from the container"),
        );
    }
    table.finish();
    (label.unwrap_or(UNREAD).to_owned(), lots)
}

fn tank(table: Table<'_>, day: &Day<'_>) -> ActualTank {
    let number = table.required_as("number", "which tank of the task, from 1").and_then(|field| field.whole());
    let not_filled = flag(&table, "not_filled");
    let spray = table.optional("spray").and_then(|field| quantity_of::volume(&field));
    let products = products(&table);
    let covered = table.optional("covered").and_then(|field| quantity_of::area(&field));
    let filled_at = read_fact(&table, "filled_at", |field| moment(field, day));
    let emptied_at = read_fact(&table, "emptied_at", |field| moment(field, day));
    let weather = table.table("weather").map(observed).unwrap_or_default();
    let carried_over = read_fact(&table, "carried_over", quantity_of::volume);
    let leftover = table.table("leftover").and_then(|table| leftover(table, day));
    table.finish();
    let number = number.map_or(UNREAD_NUMBER, |number| usize::try_from(number).unwrap_or(usize::MAX));
    ActualTank { number, not_filled, spray, products, covered, filled_at, emptied_at, weather, carried_over, leftover }
}

fn products(table: &Table<'_>) -> Vec<(String, Amount)> {
    let read = |table: Table<'_>| {
        let label = table.required("label").and_then(|field| field.text());
        let amount = table.required("amount").and_then(|field| quantity_of::amount(&field));
        table.finish();
        let nothing = Amount::Volume(quantity::Volume::ZERO);
        (label.unwrap_or(UNREAD).to_owned(), amount.unwrap_or(nothing))
    };
    table.tables("product").into_iter().map(read).collect()
}

fn leftover(table: Table<'_>, day: &Day<'_>) -> Option<ActualLeftover> {
    let spray = table.optional("spray");
    let products = products(&table);
    let left = match (flag(&table, "nothing"), spray, products.is_empty()) {
        (true, None, true) => Some(Left::Nothing),
        (false, Some(spray), true) => quantity_of::volume(&spray).map(Left::Spray),
        (false, None, false) => Some(Left::Products(products)),
        _ => {
            table.report(
                Problem::error("as-applied::leftover", "it is not clear how much was left")
                    .expected("`spray`, such as `\"0.4 gal\"`, for dry products `product`, or `nothing = true`"),
            );
            None
        }
    };
    let way = table.optional("way");
    let became = match (table.optional("became"), table.optional("applied")) {
        (None, None) => Some(LeftoverUse::NotSaid),
        (Some(words), None) => {
            let way = way.as_ref().map_or(Some(Way::Other), |way| way.word(Way::ALL, Way::word));
            words.text().zip(way).map(|(words, way)| way.of(words.to_owned()))
        }
        (None, Some(field)) => applied(&field, day),
        (Some(words), Some(_)) => {
            words.report(
                Problem::error("as-applied::leftover-use", "the leftover was both applied and something else")
                    .expected("`became` in words, or `applied` with ground and site")
                    .mend("delete one of the two"),
            );
            None
        }
    };
    if let Some(way) = way.filter(|_| !table.has("became")) {
        way.report(
            Problem::error("as-applied::leftover-way", "`way` stands without `became`")
                .expected("where it is, or who took it, under `became`; for ground that it was put on, `applied` alone")
                .mend("write `became`, such as \"in the closed, labelled tank\""),
        );
    }
    table.finish();
    Some(ActualLeftover { left: left?, became: became? })
}

/// What became of a leftover that was not put down, in a word.
#[derive(Debug, Clone, Copy)]
enum Way {
    Kept,
    HandedIn,
    Other,
}

impl Way {
    const ALL: &'static [Self] = &[Self::Kept, Self::HandedIn, Self::Other];

    const fn word(self) -> &'static str {
        match self {
            Self::Kept => "kept",
            Self::HandedIn => "handed-in",
            Self::Other => "other",
        }
    }

    fn of(self, words: String) -> LeftoverUse {
        match self {
            Self::Kept => LeftoverUse::Kept(words),
            Self::HandedIn => LeftoverUse::HandedIn(words),
            Self::Other => LeftoverUse::Other(words),
        }
    }
}

fn applied(field: &Field<'_>, day: &Day<'_>) -> Option<LeftoverUse> {
    let table = field.table()?;
    let ground = table
        .required_as("ground", "where it was put down, as a GeoJSON geometry")
        .and_then(|field| read_ground(&field, Some(day.plane)));
    let site = table.required_as("site", "what was treated").and_then(|field| field.word(Site::ALL, Site::word));
    table.finish();
    Some(LeftoverUse::Applied { ground: ground?, site: site? })
}
