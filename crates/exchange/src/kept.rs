//! Documents of kept things: one JSON document for each thing that the books keep.
//!
//! A document says what it is in its first field, `format`. What a person measured is kept in the
//! words it was written in (`"2.5 gal"`), and the files of the trade (map, label, equipment,
//! visit request) are kept whole, as the texts they are. The schemas stand in `schema/kept`.

mod business;
mod client;
mod equipment;
mod file;
mod label;
mod lot;
mod person;
mod property;
mod stock_adjustment;
mod survey;
mod value;
mod visit;

pub use business::{Business, Contact};
pub use client::{Client, Neighbour};
pub use equipment::Equipment;
pub use file::{File, MediaType};
pub use label::Label;
pub use lot::Lot;
pub use person::{Category, Certificate, Person, Training, TrainingKind};
pub use property::Property;
pub use stock_adjustment::{Direction, StockAdjustment};
pub use survey::{Station, Survey, SurveyThreshold, SurveyThresholdOf, SurveyTreatment};
pub(crate) use survey::{counted_before, station_twice, stations_twice};
pub use value::{AmountText, AreaText, Day, FileText, JurisdictionText, Position, Price, Reference, Sha256};
pub use visit::{PlannedProduct, PlannedResult, VerdictWord, Visit};

use crate::json_source::{Field, FromJson, Source};
use jiff::civil::Date;
use problem::Problems;
use schemars::JsonSchema;
use serde::Serialize;

/// What a kept thing is found by in lists.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Index {
    /// What it is called.
    pub title: String,
    /// The client whom it concerns.
    pub client: Option<Reference>,
    /// The property that it concerns.
    pub property: Option<Reference>,
    /// The day that it concerns.
    pub date: Option<Date>,
}

/// A document of a kept thing.
pub trait Kept: Sized {
    /// What its field `format` says.
    const FORMAT: &'static str;

    /// Reads a document.
    ///
    /// # Errors
    /// Everything wrong with it, each with its place as a JSON Pointer: `json::…` for what is missing,
    /// unknown or of the wrong kind, `format::…` for another document, `kept::…` for what such a thing
    /// cannot say, and the problems of the texts within it (map, label, equipment, visit request).
    fn read(text: &str) -> Result<Self, Problems>;

    /// The document as text: the same bytes for the same thing, fields in their order.
    fn text(&self) -> String;

    /// What it is found by in lists.
    fn index(&self) -> Index;
}

/// What a document is checked for beyond the kind of each field.
pub(crate) trait Checked {
    /// Adds what such a thing cannot say.
    fn check(&self, problems: &mut Problems);
}

/// Reads and checks a document.
fn read_document<T: FromJson + Checked>(text: &str, format: &'static str) -> Result<T, Problems> {
    let document: T = Source::parse(text)?.document(format)?;
    let mut problems = Problems::new();
    document.check(&mut problems);
    problems.unless_errors(document).map(|(document, _)| document)
}

/// A document as text, its format first.
fn document_text<T: Serialize>(document: &T, format: &'static str) -> String {
    #[derive(Serialize)]
    struct Document<'d, T> {
        format: &'static str,
        #[serde(flatten)]
        document: &'d T,
    }
    crate::json_text::pretty(&Document { format, document })
}

/// The schema of a document, its format among the fields.
fn document_schema<T: JsonSchema>(format: &'static str) -> String {
    let settings = schemars::generate::SchemaSettings::draft2020_12();
    let mut schema = settings.into_generator().into_root_schema_for::<T>().to_value();
    if let Some(properties) = schema.get_mut("properties").and_then(|properties| properties.as_object_mut()) {
        let words = "What the document is, and the version of its form.";
        properties.insert("format".to_owned(), serde_json::json!({ "const": format, "description": words }));
    }
    if let Some(required) = schema.get_mut("required").and_then(|required| required.as_array_mut()) {
        required.insert(0, "format".into());
    }
    crate::json_text::pretty(&schema)
}

/// A structure that is written with its fields in order and read field by field, so that what is
/// declared, written, read and told in the schema is one.
macro_rules! fields {
    (
        $(#[$doc:meta])*
        pub struct $name:ident { $($(#[$field_doc:meta])* pub $field:ident: $kind:ty,)+ }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, schemars::JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($(#[$field_doc])* pub $field: $kind,)+ }

        impl crate::json_source::FromJson for $name {
            fn from_json(field: &crate::json_source::Field<'_>) -> Option<Self> {
                let object = field.object()?;
                $(let $field = object.take::<$kind>(stringify!($field));)+
                object.finish();
                Some(Self { $($field: $field?),+ })
            }
        }
    };
}
use fields;

/// An enumeration written as one of a few words.
macro_rules! words {
    (
        $(#[$doc:meta])*
        pub enum $name:ident { $($(#[$entry_doc:meta])* $entry:ident = $word:literal,)+ }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, schemars::JsonSchema)]
        pub enum $name { $($(#[$entry_doc])* #[serde(rename = $word)] $entry,)+ }

        impl $name {
            /// Every one.
            pub const ALL: &'static [Self] = &[$(Self::$entry),+];

            /// The word used in documents.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$entry => $word),+ }
            }
        }

        impl crate::json_source::FromJson for $name {
            fn from_json(field: &crate::json_source::Field<'_>) -> Option<Self> {
                field.word(Self::ALL, Self::word)
            }
        }
    };
}
use words;

/// Every document: its format, the name of its schema's file, its schema, and its reader.
macro_rules! documents {
    ($($kind:ty = $format:literal, $file:literal;)+) => {
        $(impl Kept for $kind {
            const FORMAT: &'static str = $format;

            fn read(text: &str) -> Result<Self, Problems> {
                read_document(text, $format)
            }

            fn text(&self) -> String {
                document_text(self, $format)
            }

            fn index(&self) -> Index {
                self.found_by()
            }
        })+

        /// Every document: the name of its schema's file in `schema/kept`, and the schema as text.
        pub fn kept_schemas() -> Vec<(&'static str, String)> {
            vec![$(($file, document_schema::<$kind>($format))),+]
        }

        /// The formats of the documents.
        pub const FORMATS: &[&str] = &[$($format),+];

        /// Checks a document of any of the [`FORMATS`], and tells what it is found by.
        ///
        /// # Errors
        /// As [`Kept::read`]; `format::other` when `format` is none of them.
        pub fn index_of(format: &str, text: &str) -> Result<Index, Problems> {
            match format {
                $($format => <$kind>::read(text).map(|document| document.index()),)+
                other => Err(unknown_format(other).into()),
            }
        }
    };
}

documents! {
    Business = "tussock.kept-business/1", "business.schema.json";
    Client = "tussock.kept-client/1", "client.schema.json";
    Person = "tussock.kept-person/1", "person.schema.json";
    Property = "tussock.kept-property/1", "property.schema.json";
    Label = "tussock.kept-label/1", "label.schema.json";
    Equipment = "tussock.kept-equipment/1", "equipment.schema.json";
    Lot = "tussock.kept-lot/1", "lot.schema.json";
    StockAdjustment = "tussock.kept-stock-adjustment/1", "stock-adjustment.schema.json";
    Survey = "tussock.kept-survey/1", "survey.schema.json";
    Visit = "tussock.kept-visit/1", "visit.schema.json";
    File = "tussock.kept-file/1", "file.schema.json";
}

fn unknown_format(format: &str) -> problem::Problem {
    let shown = crate::toml_source::shown(format);
    problem::Problem::error("format::other", format!("`{shown}` is no document of a kept thing"))
        .expected(format!("one of {}", FORMATS.iter().map(|known| format!("`{known}`")).collect::<Vec<_>>().join(", ")))
        .at("/format")
}

/// Takes over the problems of a text within a document: the place is the field, line and column are
/// those of the text, and what the text calls the place stands before the words.
fn within(pointer: &str, found: Problems, problems: &mut Problems) {
    problems.extend(found.into_iter().filter(|problem| problem.severity == problem::Severity::Error).map(
        |mut problem| {
            if let Some(path) = problem.place.path.replace(pointer.to_owned()) {
                problem.found = format!("{path}: {}", problem.found);
            }
            problem.place.file = None;
            problem
        },
    ));
}

/// Reports a day that stands before the one that it must follow.
fn check_order(pointer: &str, earlier: Option<&Day>, later: Option<&Day>, problems: &mut Problems) {
    if let (Some(earlier), Some(later)) = (earlier, later)
        && later.date() < earlier.date()
    {
        problems.push(
            problem::Problem::error("kept::day-order", format!("`{}` is before `{}`", later.date(), earlier.date()))
                .expected("a day on or after the first")
                .mend("correct one of the two days")
                .at(pointer),
        );
    }
}
