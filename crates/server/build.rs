//! The pages are taken in when they are built; without them the server says so.

fn main() {
    println!("cargo:rerun-if-changed=../../web/dist");
}
