//! What was applied before, as a TOML file.
//!
//! Each application stands under `[[application]]`. The fields are told in
//! `docs/visit-request.md`.

use crate::geojson_map;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table, shown};
use geometry::{LocalPlane, Region};
use problem::{Problem, Problems};
use quantity::AmountPerArea;
use treatment::{Application, History, Place};

/// The first line of the file.
pub const FORMAT: &str = "tussock.history/1";

/// Reads a history. `file` is the name that its user gave it and only serves messages; `plane` is
/// the property's, on which ground drawn for an application is laid.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_history(file: &str, text: &str, plane: &LocalPlane) -> Result<(History, Problems), Problems> {
    parse_history_for(file, text, Some(plane), &mut |_| {})
}

/// As [`parse_history`], and `check` looks at every field that names a feature of the map. Ground is
/// left out when the plane is not known because the map could not be read.
pub(crate) fn parse_history_for(
    file: &str,
    text: &str,
    plane: Option<&LocalPlane>,
    check: &mut dyn FnMut(&Field<'_>),
) -> Result<(History, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return Err(source.into_problems());
    }
    let history = read_history(root, plane, check);
    source.into_problems().unless_errors(history)
}

/// Reads a table that holds a history.
pub(crate) fn read_history(table: Table<'_>, plane: Option<&LocalPlane>, check: &mut dyn FnMut(&Field<'_>)) -> History {
    table.know("format");
    let complete_since = table.optional("complete_since").and_then(|field| field.date());
    if !table.has("complete_since") {
        table.report(
            Problem::warning("history::open-beginning", "the history does not say since when it is complete")
                .expected("the day from which on nothing is left out, such as `complete_since = 2025-01-01`")
                .mend("add the day; until then it is taken that nothing was ever left out"),
        );
    }
    let mut applications: Vec<Application> = table
        .tables("application")
        .into_iter()
        .filter_map(|application| read_application(application, plane, check))
        .collect();
    applications.sort_by_key(|application| application.date);
    table.finish();
    History::Known { complete_since, applications }
}

fn read_application(
    table: Table<'_>,
    plane: Option<&LocalPlane>,
    check: &mut dyn FnMut(&Field<'_>),
) -> Option<Application> {
    let date = table.required("date").and_then(|field| field.date());
    let product =
        table.required_as("product", "the id of a label on the shelf, or the product's name").and_then(|f| f.text());
    let per_area = read_per_area(&table);
    let active_ingredients = table
        .tables("active_ingredient")
        .into_iter()
        .map(|ingredient| {
            let name = ingredient.required("name").and_then(|field| field.text());
            let rate = ingredient
                .required_as("rate", "what was put down of it, such as `0.2 lb/acre`")
                .and_then(|field| quantity_of::mass_per_area(&field));
            ingredient.finish();
            Some((name?.to_owned(), rate?))
        })
        .collect::<Vec<_>>()
        .into_iter()
        .collect::<Option<Vec<_>>>();
    let group = table.optional("group").map(|field| field.text().map(str::to_owned));
    let place = table
        .required_as("place", "one of `turf`, `band`, `everywhere`, `{ feature = \"…\" }` or `{ ground = … }`")
        .and_then(|field| read_place(&field, plane, check));
    table.finish();
    Some(Application {
        date: date?,
        product: product?.to_owned(),
        per_area: per_area?,
        active_ingredients: active_ingredients?,
        group: group.map_or(Some(None), |group| group.map(Some))?,
        place: place?,
    })
}

/// A rate per area, or an amount over an area.
fn read_per_area(table: &Table<'_>) -> Option<AmountPerArea> {
    let rate = table.optional("rate");
    let amount = table.optional("amount");
    let area = table.optional("area");
    match (rate, amount, area) {
        (Some(rate), None, None) => read_rate(&rate),
        (None, Some(amount), Some(area)) => {
            let amount = quantity_of::amount(&amount);
            let ground = quantity_of::area(&area)?;
            if !ground.is_positive() {
                area.report(Problem::error("history::no-area", "the area is nothing").expected("an area above zero"));
                return None;
            }
            Some(amount?.per_area(ground))
        }
        _ => {
            table.report(
                Problem::error("history::no-rate", "it is not clear how much lay on the place afterwards")
                    .expected("either `rate`, such as `\"0.4 fl oz/1,000 sq ft\"`, or both `amount` and `area`"),
            );
            None
        }
    }
}

fn read_rate(field: &Field<'_>) -> Option<AmountPerArea> {
    let rate = quantity_of::rate(field)?;
    let per_area = rate.per_area();
    if per_area.is_none() {
        field.report(
            Problem::error(
                "history::rate-basis",
                format!("`{}` does not say how much lay on an area afterwards", shown(field.text().unwrap_or(""))),
            )
            .expected("an amount per area, such as `0.4 fl oz/1,000 sq ft`")
            .mend("give `amount` (product used) and `area` (ground treated) in its stead"),
        );
    }
    per_area
}

fn read_place(field: &Field<'_>, plane: Option<&LocalPlane>, check: &mut dyn FnMut(&Field<'_>)) -> Option<Place> {
    if !field.is_table() {
        return field.word(&["everywhere", "turf", "band"], |word| word).map(|word| match word {
            "everywhere" => Place::Everywhere,
            "turf" => Place::Turf,
            _ => Place::Band(None),
        });
    }
    let table = field.table()?;
    let feature = table.optional("feature");
    let ground = table.optional("ground");
    let band = table.optional("band");
    let place = match (feature, ground, band) {
        (None, None, Some(band)) => crate::quantity_field::length(&band).map(|width| Place::Band(Some(width))),
        (Some(feature), None, None) => feature.text().map(|id| {
            check(&feature);
            Place::Feature(id.to_owned())
        }),
        (None, Some(ground), None) => read_ground(&ground, plane).map(Place::Ground),
        _ => {
            table.report(Problem::error("history::place", "the place is not told in one way").expected(
                "`turf`, `band`, `everywhere`, `{ band = \"3 ft\" }`, `{ feature = \"…\" }` or `{ ground = … }`",
            ));
            None
        }
    };
    table.finish();
    place
}

/// Ground drawn as a GeoJSON geometry, in a table or as text. `None` without a word when the plane
/// is not known because the map could not be read.
pub(crate) fn read_ground(field: &Field<'_>, plane: Option<&LocalPlane>) -> Option<Region> {
    let geometry = if field.is_text() {
        let text = field.text()?;
        let Ok(geometry) = serde_json::from_str(text) else {
            field.report(
                Problem::error("map::syntax", format!("`{}` is no GeoJSON", shown(text)))
                    .expected("a GeoJSON geometry of type `Polygon` or `MultiPolygon`")
                    .mend("draw the ground, and put the geometry of its feature here"),
            );
            return None;
        };
        geometry
    } else {
        field.json()
    };
    match geojson_map::ground_of(&geometry, plane?) {
        Ok(region) => Some(region),
        Err(problems) => {
            for problem in problems {
                field.report(problem);
            }
            None
        }
    }
}
