//! Documents of `exchange` in the description of the routes: described by their own schemas, so that a
//! field told in two places cannot come to mean two things.

use exchange::kept::Kept;
use schemars::generate::SchemaSettings;
use schemars::transform::{ReplaceBoolSchemas, ReplaceConstValue};
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Value, json};
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

/// The schema of a kept document: its own, and the format that every one says first.
fn kept_schemas_of<T: JsonSchema + Kept>() -> (RefOr<Schema>, Vec<NamedSchema>) {
    let (own, beside) = schemas_of::<T>();
    let mut schema = serde_json::to_value(&own).unwrap_or_default();
    let words = "What the document is, and the version of its form.";
    schema["properties"]["format"] = json!({ "type": "string", "enum": [T::FORMAT], "description": words });
    if let Some(required) = schema["required"].as_array_mut() {
        required.insert(0, "format".into());
    }
    (serde_json::from_value(schema).unwrap_or_default(), beside)
}

/// Implements the naming of one document for the description.
macro_rules! named {
    ($name:ident, $document:ty, $called:expr, $schemas:ident) => {
        impl utoipa::PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                $schemas::<$document>().0
            }
        }

        impl utoipa::ToSchema for $name {
            fn name() -> std::borrow::Cow<'static, str> {
                $called.into()
            }

            fn schemas(schemas: &mut Vec<NamedSchema>) {
                schemas.extend($schemas::<$document>().1);
            }
        }
    };
}

/// Names documents of `exchange` for the description.
macro_rules! documents {
    (
        written { $($(#[$doc:meta])* $name:ident of $document:ty;)+ }
        kept { $($(#[$kept_doc:meta])* $kept_name:ident of $kept:ty;)+ }
    ) => {
        $(
            $(#[$doc])*
            pub(crate) struct $name;

            named!($name, $document, <$document as JsonSchema>::schema_name(), schemas_of);
        )+
        $(
            $(#[$kept_doc])*
            pub(crate) struct $kept_name;

            named!($kept_name, $kept, stringify!($kept_name), kept_schemas_of);
        )+

        /// Every document named here: its name, and its JSON Schemas.
        #[cfg(test)]
        fn every_document() -> Vec<(&'static str, Vec<(String, serde_json::Value)>)> {
            vec![
                $((stringify!($name), definitions::<$document>().collect()),)+
                $((stringify!($kept_name), definitions::<$kept>().collect()),)+
            ]
        }
    };
}

documents! {
    written {
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
    /// The profiles of pests, listed.
    PestsDocument of exchange::pest_json::PestsJson;
    /// A profile of a pest.
    PestDocument of exchange::pest_json::PestProfileJson;
    /// The key.
    KeyDocument of exchange::key_json::KeyJson;
    /// What the key says.
    IdentificationDocument of exchange::identification_json::IdentificationJson;
    /// What counts call for.
    ScoutingDocument of exchange::scouting_json::ScoutingJson;
    /// Whether treatments worked.
    EfficacyDocument of exchange::efficacy_json::EfficacyJson;
    /// What labels still allow on each place.
    RoomsDocument of exchange::room_json::RoomsJson;
    /// A visit, planned.
    VisitDocument of exchange::visit_json::VisitJson;
    /// Zones as GeoJSON.
    ZonesDocument of exchange::zones_geojson::ZoneCollectionJson;
    /// A record of what was done.
    RecordDocument of exchange::record_json::RecordJson;
    /// What lies on each place.
    TotalsDocument of exchange::totals_json::TotalsJson;
    /// The applications near a place.
    ComplaintDocument of exchange::complaint_json::ComplaintJson;
    /// The watering of a lawn.
    WaterDocument of exchange::water_json::WaterJson;
    /// The mowing of a lawn.
    MowDocument of exchange::mow_json::MowJson;
    /// Stock by lot.
    StockDocument of exchange::books_json::StockJson;
    }
    kept {
    /// The business itself.
    KeptBusiness of exchange::kept::Business;
    /// A client.
    KeptClient of exchange::kept::Client;
    /// Somebody who applies or helps.
    KeptPerson of exchange::kept::Person;
    /// A property with its map.
    KeptProperty of exchange::kept::Property;
    /// A label.
    KeptLabel of exchange::kept::Label;
    /// Equipment.
    KeptEquipment of exchange::kept::Equipment;
    /// A lot of a product.
    KeptLot of exchange::kept::Lot;
    /// A correction of stock.
    KeptStockAdjustment of exchange::kept::StockAdjustment;
    /// Counts at stations.
    KeptSurvey of exchange::kept::Survey;
    /// A visit planned.
    KeptVisit of exchange::kept::Visit;
    }
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
