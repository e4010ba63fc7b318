//! A TOML value as JSON, for readers that take JSON apart.

use serde_json::{Map, Number, Value as Json};
use toml_edit::{Item, TableLike, Value};

pub(super) fn of_value(value: &Value) -> Json {
    match value {
        Value::String(text) => Json::String(text.value().clone()),
        Value::Integer(number) => Json::from(*number.value()),
        // JSON has no NaN and no infinity: they become `null`, which no reader takes for a number.
        Value::Float(number) => Number::from_f64(*number.value()).map_or(Json::Null, Json::Number),
        Value::Boolean(flag) => Json::Bool(*flag.value()),
        Value::Datetime(date) => Json::String(date.value().to_string()),
        Value::Array(values) => Json::Array(values.iter().map(of_value).collect()),
        Value::InlineTable(table) => of_table(table),
    }
}

pub(super) fn of_table(table: &dyn TableLike) -> Json {
    Json::Object(table.iter().map(|(key, item)| (key.to_owned(), of_item(item))).collect::<Map<_, _>>())
}

fn of_item(item: &Item) -> Json {
    match item {
        Item::None => Json::Null,
        Item::Value(value) => of_value(value),
        Item::Table(table) => of_table(table),
        Item::ArrayOfTables(tables) => Json::Array(tables.iter().map(|table| of_table(table)).collect()),
    }
}
