//! The invented demo property, which the program carries along: the texts of its files, each with its name.
//!
//! All of it is invented, for practice only: the place, the people, the products, the business, its rules.

/// The visit request. It names [`NAMED`].
pub const VISIT: (&str, &str) = ("demo/alder-bend/visit.toml", include_str!("../../../demo/alder-bend/visit.toml"));

/// The map.
pub const MAP: (&str, &str) = ("property.geojson", include_str!("../../../demo/alder-bend/property.geojson"));
/// The sprayer with its calibrations.
pub const EQUIPMENT: (&str, &str) = ("equipment.toml", include_str!("../../../demo/alder-bend/equipment.toml"));
/// The labels.
pub const LABELS: [(&str, &str); 3] = [
    ("../labels/brackwater-sc.toml", include_str!("../../../demo/labels/brackwater-sc.toml")),
    ("../labels/gravelhome-gr.toml", include_str!("../../../demo/labels/gravelhome-gr.toml")),
    ("../labels/anthollow-rb.toml", include_str!("../../../demo/labels/anthollow-rb.toml")),
];

/// What the request names, under the names that it gives them.
pub const NAMED: [(&str, &str); 7] = [
    MAP,
    EQUIPMENT,
    ("forecast.csv", include_str!("../../../demo/alder-bend/forecast.csv")),
    ("history.toml", include_str!("../../../demo/alder-bend/history.toml")),
    LABELS[0],
    LABELS[1],
    LABELS[2],
];

/// The business.
pub const BUSINESS: (&str, &str) = ("demo/business.toml", include_str!("../../../demo/business.toml"));
/// Its client.
pub const CLIENT: (&str, &str) = ("demo/alder-bend/client.toml", include_str!("../../../demo/alder-bend/client.toml"));
/// Who applies, as the books keep people.
pub const PERSON: (&str, &str) = ("demo/alder-bend/person.json", include_str!("../../../demo/alder-bend/person.json"));
/// A lot on the shelf, as the books keep lots.
pub const LOT: (&str, &str) = ("demo/alder-bend/lot.json", include_str!("../../../demo/alder-bend/lot.json"));
/// The rules of the invented place.
pub const RULES: (&str, &str) = ("demo/rules-invented.toml", include_str!("../../../demo/rules-invented.toml"));
