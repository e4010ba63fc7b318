//! Writes the JSON Schemas of the commands' answers: `cargo run -p exchange --example answer_schemas`.

fn main() -> std::io::Result<()> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/answers");
    std::fs::create_dir_all(&folder)?;
    for (name, schema) in exchange::answer_schema::answer_schemas() {
        std::fs::write(folder.join(name), schema)?;
    }
    Ok(())
}
