//! Documents of `exchange` in the description of the routes: described by their own schemas, so that a
//! field told in two places cannot come to mean two things.

use schemars::generate::SchemaSettings;
use schemars::transform::{ReplaceBoolSchemas, ReplaceConstValue};
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

/// A schema of the description with its name.
type NamedSchema = (String, RefOr<Schema>);

/// A document's schema, and those of all that stands in it.
fn schemas_of<T: JsonSchema>() -> (RefOr<Schema>, Vec<NamedSchema>) {
    let own = T::schema_name();
    let mut found = (RefOr::T(Schema::default()), Vec::new());
    for (name, schema) in definitions::<T>() {
        // A schema that the description cannot hold would be lost here; a test holds each against it.
        let schema: RefOr<Schema> = serde_json::from_value(schema).unwrap_or_default();
        if name == own {
            found.0 = schema;
        } else {
            found.1.push((name, schema));
        }
    }
    found
}

/// The JSON Schemas of a document and of all that stands in it, referring to one another as the
/// description does.
fn definitions<T: JsonSchema>() -> impl Iterator<Item = (String, Value)> {
    let mut plain_any = ReplaceBoolSchemas::default();
    plain_any.skip_additional_properties = true;
    let settings = SchemaSettings::draft2020_12()
        .for_serialize()
        .with(|settings| {
            settings.definitions_path = "/components/schemas".into();
            settings.meta_schema = None;
        })
        .with_transform(plain_any)
        .with_transform(ReplaceConstValue::default());
    let mut generator: SchemaGenerator = settings.into_generator();
    generator.subschema_for::<T>();
    generator.take_definitions(true).into_iter()
}

/// Names documents of `exchange` for the description.
macro_rules! documents {
    ($($(#[$doc:meta])* $name:ident of $document:ty;)+) => {
        $(
            $(#[$doc])*
            pub(crate) struct $name;

            impl utoipa::PartialSchema for $name {
                fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                    schemas_of::<$document>().0
                }
            }

            impl utoipa::ToSchema for $name {
                fn name() -> std::borrow::Cow<'static, str> {
                    <$document as schemars::JsonSchema>::schema_name()
                }

                fn schemas(schemas: &mut Vec<NamedSchema>) {
                    schemas.extend(schemas_of::<$document>().1);
                }
            }
        )+

        /// Every document named here: its name, and its JSON Schemas.
        #[cfg(test)]
        fn every_document() -> Vec<(&'static str, Vec<(String, serde_json::Value)>)> {
            vec![$((stringify!($name), definitions::<$document>().collect())),+]
        }
    };
}

documents! {
    /// A map as it is drawn, measured.
    DrawingDocument of exchange::drawing_json::DrawingJson;
    /// A label, read and checked.
    LabelReadingDocument of exchange::label_json::LabelReadingJson;
    /// What two versions of a label say differently.
    DifferencesDocument of exchange::difference_json::DifferencesJson;
    /// Equipment, read and checked.
    EquipmentReadingDocument of exchange::equipment_json::EquipmentReadingJson;
    /// A calibration.
    CalibrationDocument of exchange::calibration_json::CalibrationJson;
    /// A forecast, read.
    ForecastReadingDocument of exchange::forecast_json::ForecastReadingJson;
    /// What labels still allow on each place.
    RoomsDocument of exchange::room_json::RoomsJson;
    /// A visit, planned.
    VisitDocument of exchange::visit_json::VisitJson;
    /// Zones as GeoJSON.
    ZonesDocument of exchange::zones_geojson::ZoneCollectionJson;
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    /// What the description cannot hold would be dropped without a word.
    #[test]
    fn the_description_holds_every_schema_whole() {
        for (document, definitions) in every_document() {
            assert!(!definitions.is_empty(), "{document}");
            for (name, schema) in definitions {
                let read: RefOr<Schema> = serde_json::from_value(schema.clone())
                    .unwrap_or_else(|error| panic!("{document}: {name}: {error}\n{schema:#}"));
                let back = serde_json::to_value(&read).expect("JSON");
                assert_eq!(back, schema, "{document}: {name}");
            }
        }
    }

    /// Two things of one name would be described by whichever comes last.
    #[test]
    fn one_name_stands_for_one_thing() {
        let mut known: BTreeMap<String, Value> = BTreeMap::new();
        for (document, definitions) in every_document() {
            for (name, schema) in definitions {
                let first = known.entry(name.clone()).or_insert_with(|| schema.clone());
                assert_eq!(*first, schema, "{document}: {name}");
            }
        }
    }
}
