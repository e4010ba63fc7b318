//! Prints the JSON Schema of `visit.json`:
//! `cargo run -p exchange --example visit_schema > schema/visit.schema.json`.

fn main() {
    print!("{}", exchange::visit_json::visit_schema());
}
