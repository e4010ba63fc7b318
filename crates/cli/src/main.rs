//! The `tussock` command.
fn main() {}
