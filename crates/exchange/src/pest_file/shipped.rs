//! The profiles that come with the program, as `tools/list_pests` lists them.

/// The characters.
pub const CHARACTERS: &str = include_str!("../../../../pests/characters.toml");

/// The profiles: names and texts.
pub const SHIPPED: &[(&str, &str)] = &[
    ("pests/differential-grasshopper.toml", include_str!("../../../../pests/differential-grasshopper.toml")),
    ("pests/field-cricket.toml", include_str!("../../../../pests/field-cricket.toml")),
    ("pests/house-cricket.toml", include_str!("../../../../pests/house-cricket.toml")),
    ("pests/migratory-grasshopper.toml", include_str!("../../../../pests/migratory-grasshopper.toml")),
    ("pests/mormon-cricket.toml", include_str!("../../../../pests/mormon-cricket.toml")),
    ("pests/red-legged-grasshopper.toml", include_str!("../../../../pests/red-legged-grasshopper.toml")),
    ("pests/southern-mole-cricket.toml", include_str!("../../../../pests/southern-mole-cricket.toml")),
    ("pests/tawny-mole-cricket.toml", include_str!("../../../../pests/tawny-mole-cricket.toml")),
    ("pests/two-striped-grasshopper.toml", include_str!("../../../../pests/two-striped-grasshopper.toml")),
];
