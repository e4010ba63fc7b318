//! Writers on PostgreSQL, whose server crashes under them and comes back.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use ledger::{Ledger, Location};

use crate::acknowledged::{Acknowledged, Writer, check, random_below};

/// A new account after so many crashes: going over a long book takes longer than crashing.
const CRASHES_EACH: u32 = 10;

pub(crate) fn crashing_server(server: &str, restarts: u32) {
    if std::env::var_os("TUSSOCK_POSTGRES_FOLDER").is_none() {
        println!("PostgreSQL: not run, the server is not one that tools/postgres started");
        return;
    }
    let began = Instant::now();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let location = Location::parse(server).expect("an address");
    let (mut acknowledged_entries, mut kept_entries, mut done) = (0, 0, 0);
    while done < restarts {
        let account = runtime.block_on(async {
            let ledger = Ledger::open(&location).await.expect("a ledger");
            let account = ledger.open_account(&format!("Account {done}")).await.expect("an account");
            ledger.close().await;
            account
        });
        let acknowledged = Acknowledged::default();
        let mut writer = Writer::start(server, account, ["3", "0", "stubborn"], &[], &acknowledged);
        let mut kept = 0;
        for _ in 0..CRASHES_EACH.min(restarts - done) {
            let before = acknowledged.lock().expect("the list").len();
            let patience = Instant::now();
            while acknowledged.lock().expect("the list").len() == before {
                assert!(patience.elapsed() < Duration::from_mins(1), "the writer did not come back after a crash");
                std::thread::sleep(Duration::from_millis(5));
            }
            std::thread::sleep(Duration::from_micros(random_below(400_000)));
            crash();
            kept = runtime.block_on(check(&location, account, &acknowledged));
            done += 1;
        }
        assert!(writer.process.try_wait().expect("its state").is_none(), "the writer gave up");
        writer.kill();
        kept = kept.max(runtime.block_on(check(&location, account, &acknowledged)));
        acknowledged_entries += acknowledged.lock().expect("the list").len();
        kept_entries += kept;
    }
    println!(
        "PostgreSQL: {done} crashes of the server under three writing hands; {acknowledged_entries} entries \
         acknowledged, all there; {kept_entries} kept; chain whole after every crash; {} s",
        began.elapsed().as_secs()
    );
}

fn crash() {
    let tool = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tools/postgres");
    let status = Command::new(tool).arg("--crash").status().expect("tools/postgres");
    assert!(status.success(), "the server did not come back");
}
