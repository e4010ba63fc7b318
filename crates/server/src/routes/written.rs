//! Files of the trade as pages send them: as the text that a person writes, or as an object with the same
//! fields, which a form is made of.

use exchange::toml_text::{json_to_toml, toml_to_json};
use problem::Problems;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// A TOML file of the trade.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(untagged)]
pub(super) enum WrittenFile {
    /// Its text. Problems name its lines.
    Text(String),
    /// An object with the same fields; `null` is as good as left out. Problems name the field.
    Fields(Map<String, Value>),
}

/// The fields that come first in a text made of an object, at every level.
const ORDER: &[&str] = &[
    "format",
    "id",
    "name",
    "date",
    "state",
    "property",
    "labels",
    "kind",
    "method",
    "sites",
    "pest",
    "label",
    "rate",
    "lowest",
    "highest",
    "value",
    "at_least",
    "at_most",
    "item",
    "tasks",
    "feature",
    "distance",
    "product",
    "active_ingredient",
    "of",
    "window",
    "counts_other_products",
    "text",
    "page",
    "strength",
    "scope",
];

impl WrittenFile {
    /// Its text.
    ///
    /// # Errors
    /// What TOML cannot say.
    pub(super) fn text(self) -> Result<String, Problems> {
        match self {
            Self::Text(text) => Ok(text),
            Self::Fields(fields) => json_to_toml(&fields.into(), ORDER),
        }
    }

    /// Its text, and its fields as an object.
    ///
    /// # Errors
    /// The text is no TOML; what TOML cannot say.
    pub(super) fn both(self, file: &str) -> Result<(String, Value), Problems> {
        let text = self.text()?;
        let fields = toml_to_json(file, &text)?;
        Ok((text, fields))
    }
}
