//! The pages are taken in when they are built; without them the server says so.

fn main() {
    // What is not there would be looked for at every build.
    let dist = std::path::Path::new("../../web/dist");
    let watched = if dist.exists() { "../../web/dist" } else { "../../web" };
    println!("cargo:rerun-if-changed={watched}");
}
