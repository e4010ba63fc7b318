//! Writers killed, servers crashed, disks that fail: every acknowledged entry is there, the chain is
//! whole, the database intact.
//!
//! Without words it is a short test; `make crash` asks for the full run with `--kills`,
//! `--stride` and `--restarts`; 0 leaves a part out. Started with `write`, it is the writer that another one of it kills.

mod acknowledged;
mod disk;
mod postgres;
mod sqlite;
mod writer;

use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if words.first().is_some_and(|word| word == "write") {
        return writer::run(&words[1..]);
    }
    // As the usual test programs: a word that is no option picks the tests by name.
    let mut picked = words.iter().filter(|word| word.parse::<u32>().is_err() && !word.starts_with('-'));
    if picked.next().is_some_and(|word| !"crash".contains(word.as_str())) || words.iter().any(|word| word == "--list") {
        return ExitCode::SUCCESS;
    }
    let number = |option: &str, otherwise: u32| -> u32 {
        let place = words.iter().position(|word| word == option);
        place.and_then(|place| words.get(place + 1)?.parse().ok()).unwrap_or(otherwise)
    };
    let (kills, stride, restarts) = (number("--kills", 25), number("--stride", 13), number("--restarts", 2));
    if kills > 0 {
        sqlite::killed_writers(kills);
    }
    if stride > 0 {
        disk::failing_calls(stride);
    }
    match std::env::var("TUSSOCK_POSTGRES") {
        Ok(server) if restarts > 0 => postgres::crashing_server(&server, restarts),
        Ok(_) => {}
        Err(_) => println!("PostgreSQL: not run, TUSSOCK_POSTGRES names no server (see tools/postgres)"),
    }
    ExitCode::SUCCESS
}
