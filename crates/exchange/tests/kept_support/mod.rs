//! One document of every kind, as text, with the demo's files in them.

use exchange::kept::Kept;
use serde_json::{Value, json};
use std::path::Path;

/// A reference that leads nowhere.
pub(crate) const SOMETHING: &str = "01997fb2-7a4e-7c11-8b52-6f0d6a3c9e01";

/// A file of the demo.
pub(crate) fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name);
    std::fs::read_to_string(path).expect("the demo is there")
}

/// Every document, with its format.
pub(crate) fn documents() -> Vec<(&'static str, Value)> {
    use exchange::kept;
    let files = ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"];
    let labels = ["brackwater-sc", "gravelhome-gr", "anthollow-rb"];
    let files: serde_json::Map<String, Value> = files
        .iter()
        .map(|name| ((*name).to_owned(), Value::from(demo(&format!("alder-bend/{name}")))))
        .chain(
            labels.iter().map(|id| (format!("../labels/{id}.toml"), Value::from(demo(&format!("labels/{id}.toml"))))),
        )
        .collect();
    let documents = vec![
        (
            kept::Business::FORMAT,
            json!({ "name": "Example Lawn Care", "jurisdiction": "US-KS", "licence_until": "2026-12-31",
                "contacts": [{ "purpose": "questions", "name": "J. Example", "reach": "555-0100" }] }),
        ),
        (
            kept::Client::FORMAT,
            json!({ "name": "A. Client", "address": "1 Alder Bend\nExampleton", "disclosures": ["two dogs"],
                "neighbours": [{ "name": "B. Neighbour", "reach": "555-0101", "abuts": true }] }),
        ),
        (
            kept::Person::FORMAT,
            json!({ "name": "J. Example",
                "certificates": [{ "number": "KS-00000", "jurisdiction": "US-KS", "categories": ["ornamental-and-turf"],
                    "valid_from": "2024-01-01", "valid_until": "2026-12-31" }],
                "training": [{ "kind": "noncertified-applicator", "date": "2026-03-01", "by": "K. Example" }] }),
        ),
        (
            kept::Property::FORMAT,
            json!({ "name": "Alder Bend", "client": SOMETHING, "jurisdiction": "US-KS", "complete_since": "2025-01-01",
                "map": demo("alder-bend/property.geojson") }),
        ),
        (
            kept::Label::FORMAT,
            json!({ "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml"), "compared_on": "2026-03-01" }),
        ),
        (kept::Equipment::FORMAT, json!({ "name": "hand pump", "equipment": demo("alder-bend/equipment.toml") })),
        (
            kept::Lot::FORMAT,
            json!({ "label": "brackwater-sc", "number": "A-17", "received_on": "2026-03-02", "received": "1 qt",
                "price": { "amount": "45.99", "currency": "USD" }, "use_until": "2028-01-01" }),
        ),
        (
            kept::StockAdjustment::FORMAT,
            json!({ "lot": SOMETHING, "date": "2026-05-01", "direction": "less", "amount": "2 fl oz",
                "reason": "measuring cup knocked over on the bench" }),
        ),
        (
            kept::Survey::FORMAT,
            json!({ "property": SOMETHING, "date": "2026-07-07", "pest": "grasshopper", "stage": "nymph",
                "method": "frame", "count_area": "1 sq ft", "by": "J. Example",
                "stations": [{ "count": 3, "is_check": false, "position": { "longitude": -97.6, "latitude": 38.8 } },
                    { "count": 0, "is_check": true }] }),
        ),
        (
            kept::Visit::FORMAT,
            json!({ "name": "Alder Bend", "date": "2026-07-07", "property": SOMETHING,
                "request": demo("alder-bend/visit.toml"), "files": files,
                "result": { "verdict": "caution", "ground_m2": 742.0, "wall_m2": 40.5, "spray_litres": 50.25,
                    "duration_minutes": 99.0, "products": [{ "label": "brackwater-sc", "product": "Brackwater SC",
                        "measured": "3.2 fl oz" }] } }),
        ),
        (
            kept::File::FORMAT,
            json!({ "name": "hedge.jpg", "media_type": "image/jpeg", "size_bytes": 1200, "belongs_to": SOMETHING,
                "sha256": "0".repeat(64), "date": "2026-07-07" }),
        ),
    ];
    documents
        .into_iter()
        .map(|(format, mut document)| {
            document["format"] = format.into();
            (format, document)
        })
        .collect()
}

/// Reads and writes a document of a format.
///
/// # Errors
/// As its reader.
pub(crate) fn rewritten(format: &str, text: &str) -> Result<String, problem::Problems> {
    use exchange::kept;
    fn again<T: Kept>(text: &str) -> Result<String, problem::Problems> {
        T::read(text).map(|document| document.text())
    }
    match format {
        kept::Business::FORMAT => again::<kept::Business>(text),
        kept::Client::FORMAT => again::<kept::Client>(text),
        kept::Person::FORMAT => again::<kept::Person>(text),
        kept::Property::FORMAT => again::<kept::Property>(text),
        kept::Label::FORMAT => again::<kept::Label>(text),
        kept::Equipment::FORMAT => again::<kept::Equipment>(text),
        kept::Lot::FORMAT => again::<kept::Lot>(text),
        kept::StockAdjustment::FORMAT => again::<kept::StockAdjustment>(text),
        kept::Survey::FORMAT => again::<kept::Survey>(text),
        kept::Visit::FORMAT => again::<kept::Visit>(text),
        kept::File::FORMAT => again::<kept::File>(text),
        other => panic!("`{other}` has no reader here"),
    }
}
