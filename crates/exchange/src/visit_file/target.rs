//! Where a task is wanted.

use super::link::Known;
use crate::history_file::read_ground;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use geometry::LocalPlane;
use label::Site;
use problem::Problem;
use quantity::Length;
use treatment::Target;

/// The fields of which a target has exactly one.
const WAYS: [&str; 7] = ["site", "hot_spots", "structures", "features", "ground", "entry_points", "places"];

pub(super) fn read_target(field: &Field<'_>, plane: Option<&LocalPlane>, known: &Known<'_>) -> Option<Target> {
    let table = field.table()?;
    let given: Vec<&str> = WAYS.iter().copied().filter(|way| table.has(way)).collect();
    // Beside `places` the site says what they lie on.
    let given = if given == ["site", "places"] { vec!["places"] } else { given };
    let target = match given.as_slice() {
        ["site"] => table.optional("site").and_then(|site| site.word(&["turf"], |word| word)).map(|_| Target::Turf),
        ["hot_spots"] => read_hot_spots(&table),
        ["structures"] => read_structures(&table, known),
        ["features"] => table.optional("features").and_then(|list| {
            let ids = names(&list, |name| known.check_feature(name))?;
            if ids.is_empty() {
                list.report(Problem::error("visit::no-place", "no feature is named").expected("one feature or more"));
                return None;
            }
            Some(Target::Features(ids))
        }),
        ["ground"] => table.optional("ground").and_then(|ground| read_ground(&ground, plane)).map(Target::Ground),
        ["entry_points"] => read_entry_points(&table, known),
        ["places"] => read_places(&table),
        _ => {
            let found = if given.is_empty() {
                "the target says no place".to_owned()
            } else {
                format!("the target says `{}` at once", given.join("` and `"))
            };
            table.report(
                Problem::error("visit::target", found)
                    .expected("exactly one of `site = \"turf\"`, `hot_spots = \"turf\"`, `structures`, `features`, `ground`, `entry_points`, `places`")
                    .mend(if given.is_empty() { "add one of them" } else { "make a task of its own for each" }),
            );
            None
        }
    };
    for way in WAYS {
        table.know(way);
    }
    if given != ["structures"] && !given.is_empty() {
        for (key, value) in [("band_width", table.has("band_width")), ("wall_height", table.has("wall_height"))] {
            if value {
                table.know(key);
                table.report(
                    Problem::error("visit::band-without-structures", format!("`{key}` belongs to `structures` alone"))
                        .expected("`structures` beside it")
                        .mend("delete it, or write `structures = \"all\"`")
                        .at(table.path_of(key)),
                );
            }
        }
    }
    if given != ["entry_points"] && table.has("width") {
        table.know("width");
        table.report(
            Problem::error("visit::width-without-entry-points", "`width` belongs to `entry_points` alone")
                .expected("`entry_points` beside it")
                .mend("delete it, or write `entry_points = \"all\"`")
                .at(table.path_of("width")),
        );
    }
    if given != ["hot_spots"] && table.has("may_stay") {
        table.know("may_stay");
        table.report(
            Problem::error("visit::may-stay-without-hot-spots", "`may_stay` belongs to `hot_spots` alone")
                .expected("`hot_spots = \"turf\"` beside it")
                .mend("delete it, or treat by hot spots")
                .at(table.path_of("may_stay")),
        );
    }
    table.finish();
    target
}

fn read_hot_spots(table: &Table<'_>) -> Option<Target> {
    let turf = table.optional("hot_spots")?.word(&["turf"], |word| word);
    let may_stay = match table.optional("may_stay") {
        // At the whole of it nothing would be treated.
        Some(field) => field.number_between(0.0, 0.9),
        None => Some(treatment::USUAL_SHARE_THAT_MAY_STAY),
    };
    turf?;
    Some(Target::HotSpots { may_stay: may_stay? })
}

fn read_places(table: &Table<'_>) -> Option<Target> {
    let places = table.optional("places")?;
    let words: Vec<&str> = Site::ALL.iter().map(|site| site.word()).collect();
    let site = match table.optional("site") {
        Some(field) => field.word(&words, |word| word).and_then(Site::from_word),
        None => Some(Site::Turf),
    };
    let count = places.whole()?;
    if count == 0 {
        places.report(Problem::error("visit::no-place", "nothing is to be treated").expected("`1` or more"));
        return None;
    }
    Some(Target::Places { count, site: site? })
}

fn read_entry_points(table: &Table<'_>, known: &Known<'_>) -> Option<Target> {
    let entry_points = table.optional("entry_points")?;
    let features = if entry_points.is_text() {
        entry_points.word(&["all"], |word| word).map(|_| Vec::new())
    } else {
        let ids = names(&entry_points, |name| known.check_feature(name));
        if ids.as_ref().is_some_and(Vec::is_empty) {
            entry_points.report(
                Problem::error("visit::no-place", "no entry point is named")
                    .expected("`\"all\"`, or a list of features"),
            );
            return None;
        }
        ids
    };
    let width = table.required_as("width", "how wide the treated line is, such as `1 in`").and_then(|field| {
        let width = quantity_of::length(&field)?;
        if width > Length::new(1.0, quantity::LengthUnit::Foot) || !width.is_positive() {
            field.report(
                Problem::error("visit::entry-point-size", "the line along an entry point is no line")
                    .expected("above 0, and at most 1 ft (30 cm)")
                    .mend("check the unit"),
            );
            return None;
        }
        Some(width)
    });
    Some(Target::EntryPoints { features: features?, width: width? })
}

fn read_structures(table: &Table<'_>, known: &Known<'_>) -> Option<Target> {
    let structures = table.optional("structures")?;
    let features = if structures.is_text() {
        structures.word(&["all"], |word| word).map(|_| Vec::new())
    } else {
        let ids = names(&structures, |name| known.check_structure(name));
        if ids.as_ref().is_some_and(Vec::is_empty) {
            structures.report(
                Problem::error("visit::no-place", "no structure is named").expected("`\"all\"`, or a list of features"),
            );
            return None;
        }
        ids
    };
    let side = |key, meaning: &str| -> Option<Length> {
        let field = table.required_as(key, meaning)?;
        let length = quantity_of::length(&field)?;
        if length > Length::new(10.0, quantity::LengthUnit::Foot) {
            field.report(
                Problem::error("visit::band-size", "the band is wider or higher than any label's")
                    .expected("at most 10 ft (3 m)")
                    .mend("check the unit"),
            );
            return None;
        }
        Some(length)
    };
    let band_width = side("band_width", "how far out on the ground, such as `3 ft`");
    let wall_height = side("wall_height", "how far up the wall, such as `3 ft`; `0 ft` for none");
    Some(Target::Structures { features: features?, band_width: band_width?, wall_height: wall_height? })
}

fn names(list: &Field<'_>, check: impl Fn(&Field<'_>)) -> Option<Vec<String>> {
    list.each(|name| {
        let text = name.text()?;
        check(name);
        Some(text.to_owned())
    })
}
