//! The pages are taken in when they are built; without them the server says so.

fn main() {
    // Without optimisation the pages are read where they lie when they are asked for: nothing to build anew.
    if std::env::var("PROFILE").is_ok_and(|profile| profile == "debug") {
        println!("cargo:rerun-if-changed=build.rs");
        return;
    }
    println!("cargo:rerun-if-changed=../../web/dist");
    if !std::path::Path::new("../../web/dist/index.html").exists() {
        println!("cargo:warning=the pages are not built, and will not be in this program; mend: make web");
    }
}
