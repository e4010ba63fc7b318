//! Prints the JSON Schema of a record:
//! `cargo run -p exchange --example record_schema > schema/record.schema.json`.

fn main() {
    print!("{}", exchange::record_json::record_schema());
}
