//! Writers on SQLite, killed at random moments.

use std::time::{Duration, Instant};

use ledger::{Ledger, Location};

use crate::acknowledged::{Acknowledged, Writer, check, random_below};

/// A new database after so many kills: going over a long book takes longer than killing.
const KILLS_EACH: u32 = 20;

pub(crate) fn killed_writers(kills: u32) {
    let began = Instant::now();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let (mut acknowledged_entries, mut kept_entries, mut early) = (0, 0, 0);
    let mut done = 0;
    while done < kills {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("books.db").display().to_string();
        let location = Location::parse(&path).expect("a path");
        let account = runtime.block_on(async {
            let ledger = Ledger::open(&location).await.expect("a ledger");
            let account = ledger.open_account("Reed").await.expect("an account");
            ledger.close().await;
            account
        });
        let acknowledged = Acknowledged::default();
        let mut kept = 0;
        for _ in 0..KILLS_EACH.min(kills - done) {
            let before = acknowledged.lock().expect("the list").len();
            let writer = Writer::start(&path, account, ["3", "0", "once"], &[], &acknowledged);
            std::thread::sleep(Duration::from_micros(random_below(120_000)));
            writer.kill();
            early += u32::from(acknowledged.lock().expect("the list").len() == before);
            kept = runtime.block_on(check(&location, account, &acknowledged));
            done += 1;
        }
        acknowledged_entries += acknowledged.lock().expect("the list").len();
        kept_entries += kept;
    }
    assert!(acknowledged_entries > 0, "no writer came to write");
    println!(
        "SQLite: {done} writers killed ({early} of them before their first entry); {acknowledged_entries} entries \
         acknowledged, all there; {kept_entries} kept; chain and database whole after every kill; {} s",
        began.elapsed().as_secs()
    );
}
