//! Values that documents of kept things share.

use super::{Field, FromJson, fields};
use crate::toml_source::shown;
use jiff::civil::Date;
use jurisdiction::Jurisdiction;
use problem::Problem;
use quantity::{Amount, Area, parse_amount, parse_area};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

/// A value that stands in a document as a text of its own form.
macro_rules! text_value {
    ($name:ident, $like:literal, $schema:tt) => {
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn inline_schema() -> bool {
                true
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }

        impl FromJson for $name {
            fn from_json(field: &Field<'_>) -> Option<Self> {
                let text = field.words()?;
                match Self::parse(text) {
                    Ok(value) => Some(value),
                    Err(mut problem) => {
                        problem.expected.get_or_insert_with(|| $like.to_owned());
                        field.report(problem);
                        None
                    }
                }
            }
        }
    };
}

/// The identifier of a kept thing: a UUID (RFC 9562) in lower case with hyphens.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reference(String);

impl Reference {
    /// Reads an identifier.
    ///
    /// # Errors
    /// `kept::reference` when the text is no UUID in lower case with hyphens.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let is_uuid = text.len() == 36
            && text.bytes().enumerate().all(|(index, byte)| match index {
                8 | 13 | 18 | 23 => byte == b'-',
                _ => matches!(byte, b'0'..=b'9' | b'a'..=b'f'),
            });
        if is_uuid {
            Ok(Self(text.to_owned()))
        } else {
            Err(Problem::error("kept::reference", format!("`{}` is no identifier of a kept thing", shown(text))))
        }
    }

    /// The identifier as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Reference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

text_value!(Reference, "a UUID in lower case with hyphens", {
    "type": "string",
    "pattern": "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$",
    "description": "The identifier of a kept thing: a UUID in lower case."
});

/// A day of the calendar (ISO 8601).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(Date);

impl Day {
    /// The day of a date.
    pub const fn new(date: Date) -> Self {
        Self(date)
    }

    /// The date.
    pub const fn date(self) -> Date {
        self.0
    }
}

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl JsonSchema for Day {
    fn schema_name() -> Cow<'static, str> {
        "Day".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "format": "date", "description": "A day, such as `2026-07-07`." })
    }
}

impl FromJson for Day {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.date().map(Self)
    }
}

/// A quantity kept in the words it was written in.
macro_rules! written {
    ($(#[$doc:meta])* $name:ident, $kind:ty, $parse:ident, $like:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            text: String,
            value: $kind,
        }

        impl $name {
            /// Reads a quantity with its unit.
            ///
            /// # Errors
            /// `kept::quantity` when the text is no such quantity.
            pub fn parse(text: &str) -> Result<Self, Problem> {
                match $parse(text) {
                    Ok((value, _)) => Ok(Self { text: text.to_owned(), value }),
                    Err(error) => Err(error.into_problem("kept::quantity")),
                }
            }

            /// The quantity.
            pub const fn value(&self) -> $kind {
                self.value
            }

            /// As it was written.
            pub fn as_str(&self) -> &str {
                &self.text
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.text)
            }
        }

        text_value!($name, $like, { "type": "string", "description": $like });
    };
}

written!(
    /// An amount of product as it was written, such as `2.5 gal`.
    AmountText,
    Amount,
    parse_amount,
    "a volume or a weight, such as `2.5 gal`"
);
written!(
    /// An area as it was written, such as `1 sq ft`.
    AreaText,
    Area,
    parse_area,
    "an area, such as `1 sq ft`"
);

/// A country, state or province by its code (ISO 3166), such as `US-OH`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JurisdictionText(Jurisdiction);

impl JurisdictionText {
    /// Reads a code.
    ///
    /// # Errors
    /// `jurisdiction::code` when it is none.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        Jurisdiction::parse(text).map(Self)
    }

    /// The place.
    pub const fn place(&self) -> &Jurisdiction {
        &self.0
    }
}

impl From<Jurisdiction> for JurisdictionText {
    fn from(place: Jurisdiction) -> Self {
        Self(place)
    }
}

impl fmt::Display for JurisdictionText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

text_value!(JurisdictionText, "a country, or a state or province of it, such as `US-OH`", {
    "type": "string",
    "description": "A country, or a state or province of it, by its code of ISO 3166, such as `US-OH`."
});

/// A checksum: SHA-256 (FIPS 180-4) in lower-case hexadecimal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sha256(String);

impl Sha256 {
    /// Reads a checksum.
    ///
    /// # Errors
    /// `kept::checksum` when the text is not 64 hexadecimal figures in lower case.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        if text.len() == 64 && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f')) {
            Ok(Self(text.to_owned()))
        } else {
            Err(Problem::error("kept::checksum", format!("`{}` is no SHA-256 checksum", shown(text))))
        }
    }

    /// The checksum as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Sha256 {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

text_value!(Sha256, "64 hexadecimal figures in lower case", {
    "type": "string",
    "pattern": "^[0-9a-f]{64}$",
    "description": "SHA-256 in lower-case hexadecimal."
});

/// The whole text of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(transparent)]
#[schemars(inline)]
pub struct FileText(pub String);

impl FromJson for FileText {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.file_text().map(|text| Self(text.to_owned()))
    }
}

impl FromJson for BTreeMap<String, FileText> {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        let texts: Vec<Option<(String, FileText)>> = field
            .object()?
            .entries()
            .map(|(name, text)| FileText::from_json(&text).map(|text| (name.to_owned(), text)))
            .collect();
        texts.into_iter().collect()
    }

    fn absent() -> Option<Self> {
        Some(Self::new())
    }
}

fields! {
    /// A position on the earth (WGS 84).
    pub struct Position {
        /// Degrees east of Greenwich, from -180 to 180.
        pub longitude: f64,
        /// Degrees north of the equator, from -90 to 90.
        pub latitude: f64,
    }
}

impl Position {
    pub(super) fn check(&self, pointer: &str, problems: &mut problem::Problems) {
        if geometry::GeoPosition::from_degrees(self.longitude, self.latitude).is_err() {
            problems.push(
                Problem::error("kept::position", format!("{}, {} is no place on earth", self.longitude, self.latitude))
                    .expected("longitude from -180 to 180 and latitude from -90 to 90, in degrees")
                    .at(pointer),
            );
        }
    }
}

fields! {
    /// A price: an exact amount of money.
    pub struct Price {
        /// Decimal figures, such as `45.99`.
        pub amount: String,
        /// The currency by its three letters (ISO 4217), such as `USD`.
        pub currency: String,
    }
}

impl Price {
    pub(super) fn check(&self, pointer: &str, problems: &mut problem::Problems) {
        let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let (whole, part) = self.amount.split_once('.').unwrap_or((&self.amount, "0"));
        if !is_number(whole) || !is_number(part) || self.amount.len() > 15 {
            problems.push(
                Problem::error("kept::price", format!("`{}` is no amount of money", shown(&self.amount)))
                    .expected("decimal figures, such as `45.99`")
                    .at(format!("{pointer}/amount")),
            );
        }
        if self.currency.len() != 3 || !self.currency.bytes().all(|byte| byte.is_ascii_uppercase()) {
            problems.push(
                Problem::error("kept::currency", format!("`{}` is no currency", shown(&self.currency)))
                    .expected("three capital letters, such as `USD`")
                    .at(format!("{pointer}/currency")),
            );
        }
    }
}
