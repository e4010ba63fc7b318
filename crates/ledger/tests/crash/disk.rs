//! A disk that fails at each call of a small piece of work, one after another, on SQLite.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use ledger::{AccountId, Ledger, Location};

use crate::acknowledged::{Acknowledged, Writer, check};

/// What the disk does at the call; `tools/failing_disk.c` says more.
const MODES: [&str; 4] = ["once", "since", "kill", "torn"];

/// Goes over every call, or each `stride`-th.
pub(crate) fn failing_calls(stride: u32) {
    if !cfg!(target_os = "linux") {
        println!("failing disk: not run, it is put under a program as Linux does it");
        return;
    }
    let began = Instant::now();
    let folder = tempfile::tempdir().expect("a folder");
    let layer = folder.path().join("failing_disk.so");
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tools/failing_disk.c");
    let compiled =
        Command::new("cc").args(["-shared", "-fPIC", "-O1", "-o"]).arg(&layer).arg(source).arg("-ldl").status();
    assert!(compiled.is_ok_and(|status| status.success()), "the layer does not compile");
    let layer = layer.display().to_string();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");

    let untouched = folder.path().join("untouched");
    fs::create_dir(&untouched).expect("a folder");
    let account = runtime.block_on(async {
        let location = Location::file(&untouched.join("books.db")).expect("a path");
        let ledger = Ledger::open(&location).await.expect("a ledger");
        let account = ledger.open_account("Reed").await.expect("an account");
        ledger.close().await;
        account
    });
    let run = |number: u64, mode: &str| -> (u64, usize, usize) {
        let place = folder.path().join(format!("{mode} {number}"));
        fs::create_dir(&place).expect("a folder");
        fs::copy(untouched.join("books.db"), place.join("books.db")).expect("a copy");
        let outcome = one_run(&runtime, &place, account, &layer, number, mode);
        fs::remove_dir_all(&place).expect("cleared away");
        outcome
    };
    let (calls, all, _) = run(0, "none");
    assert_eq!(all, 4, "a run on a sound disk keeps all");
    let (mut runs, mut acknowledged, mut kept) = (0, 0, 0);
    for mode in MODES {
        for number in (1..=calls).step_by(stride as usize) {
            let (_, told, there) = run(number, mode);
            runs += 1;
            acknowledged += told;
            kept += there;
        }
    }
    assert!(calls > 10 && acknowledged < runs * all, "the disk never failed");
    println!(
        "failing disk: {} of {calls} calls that change files, each failing in {} ways: {runs} runs; {acknowledged} \
         entries acknowledged, all there; {kept} kept; chain and database whole after every run; {} s",
        runs / MODES.len(),
        MODES.len(),
        began.elapsed().as_secs()
    );
}

/// Lets a writer work on a copy and holds it against what was acknowledged. Returns the calls counted
/// (0 when the writer was killed), the entries acknowledged, and those kept.
fn one_run(
    runtime: &tokio::runtime::Runtime,
    place: &Path,
    account: AccountId,
    layer: &str,
    number: u64,
    mode: &str,
) -> (u64, usize, usize) {
    let path = place.join("books.db").display().to_string();
    let (count, number) = (place.join("count").display().to_string(), number.to_string());
    let environment = [
        ("LD_PRELOAD", layer),
        ("FAILING_DISK_PATH", "books.db"),
        ("FAILING_DISK_MODE", mode),
        ("FAILING_DISK_AT", &number),
        ("FAILING_DISK_COUNT", &count),
    ];
    let acknowledged = Acknowledged::default();
    Writer::start(&path, account, ["1", "1", "once"], &environment, &acknowledged).end();
    let calls = fs::read_to_string(&count).ok().and_then(|text| text.trim().parse().ok()).unwrap_or(0);
    let kept = runtime.block_on(check(&Location::parse(&path).expect("a path"), account, &acknowledged));
    let told = acknowledged.lock().expect("the list").len();
    (calls, told, kept)
}
