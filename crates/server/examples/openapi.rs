//! Writes the description of the HTTP interface: `cargo run -p server --example openapi`.

fn main() -> std::io::Result<()> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/openapi.json");
    std::fs::write(path, server::routes::openapi_text())
}
