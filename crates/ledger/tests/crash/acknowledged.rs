//! What writers were told is kept, held against what is there.

use std::collections::HashMap;
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;

use ledger::{AccountId, Actor, Digest, Integrity, Ledger, Location};

/// The acknowledged entries of one account: place and hash.
pub(crate) type Acknowledged = Arc<Mutex<Vec<(u64, Digest)>>>;

/// A writer at work, and the thread that listens to it.
pub(crate) struct Writer {
    pub(crate) process: Child,
    listener: Option<JoinHandle<()>>,
}

impl Writer {
    /// Starts a writer (hands, rounds, manner), with an environment of its own, whose
    /// acknowledgements are added.
    pub(crate) fn start(
        location: &str,
        account: AccountId,
        work: [&str; 3],
        environment: &[(&str, &str)],
        acknowledged: &Acknowledged,
    ) -> Self {
        let program = std::env::current_exe().expect("this program");
        let mut process = Command::new(program)
            .args(["write", location, &account.to_string()])
            .args(work)
            .envs(environment.iter().copied())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("a writer");
        let lines = BufReader::new(process.stdout.take().expect("what the writer says"));
        let acknowledged = Arc::clone(acknowledged);
        let listener = std::thread::spawn(move || {
            for line in lines.lines().map_while(Result::ok) {
                let mut words = line.split(' ');
                if let (Some("kept"), Some(sequence), Some(hash)) = (words.next(), words.next(), words.next())
                    && let (Ok(sequence), Ok(hash)) = (sequence.parse(), Digest::parse(hash))
                {
                    acknowledged.lock().expect("the list").push((sequence, hash));
                }
            }
        });
        Self { process, listener: Some(listener) }
    }

    /// Kills the writer at once (SIGKILL) and hears what it still said.
    pub(crate) fn kill(mut self) {
        self.process.kill().expect("killed");
        self.end();
    }

    /// Waits for the writer's own end.
    pub(crate) fn end(mut self) {
        self.process.wait().expect("an end");
        if let Some(listener) = self.listener.take() {
            listener.join().expect("a listener");
        }
    }
}

/// No writer outlives the test, however it ends.
impl Drop for Writer {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Opens the ledger and holds it against what was acknowledged. Returns how many entries it has.
pub(crate) async fn check(location: &Location, account: AccountId, acknowledged: &Acknowledged) -> usize {
    // A writer that goes on meanwhile is told of entries that this look at the book comes too early for.
    let acknowledged = acknowledged.lock().expect("the list").clone();
    let ledger = Ledger::open(location).await.expect("the ledger opens");
    let book = ledger.book(account, Actor::local("checker")).await.expect("the account is there");
    let integrity = ledger.integrity().await.expect("the database checks itself");
    assert!(matches!(integrity, Integrity::Intact | Integrity::LeftToServer), "{integrity:?}");
    let verification = book.verify(None, &mut |_| ()).await.expect("the book is gone over");
    assert!(verification.is_sound(), "{:?}", verification.findings);
    let mut hashes = HashMap::new();
    let mut requests: HashMap<String, Vec<String>> = HashMap::new();
    let mut last = 0;
    loop {
        let entries = book.entries(last, 500).await.expect("the entries are read");
        let Some(newest) = entries.last() else { break };
        last = newest.sequence;
        for entry in entries {
            hashes.insert(entry.sequence, entry.hash);
            requests.entry(entry.request.to_string()).or_default().push(entry.indexed.title);
        }
    }
    ledger.close().await;
    for (sequence, hash) in acknowledged {
        assert_eq!(hashes.get(&sequence), Some(&hash), "entry {sequence} was acknowledged");
    }
    for titles in requests.into_values() {
        let whole = ["part 1", "part 2", "part 3"];
        assert!(titles == whole || titles == ["amended"], "half a request: {titles:?}");
    }
    hashes.len()
}

/// A random number below a bound.
pub(crate) fn random_below(bound: u64) -> u64 {
    getrandom::u64().expect("a random number") % bound
}
