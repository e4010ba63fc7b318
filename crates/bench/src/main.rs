//! The benchmarks.
fn main() {}
