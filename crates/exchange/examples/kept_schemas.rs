//! Writes the JSON Schemas of the documents of kept things: `cargo run -p exchange --example kept_schemas`.

fn main() -> std::io::Result<()> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/kept");
    std::fs::create_dir_all(&folder)?;
    for (name, schema) in exchange::kept::kept_schemas() {
        std::fs::write(folder.join(name), schema)?;
    }
    Ok(())
}
