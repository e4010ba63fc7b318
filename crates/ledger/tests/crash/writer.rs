//! The writer: keeps entries as fast as it can, and says of each when it is acknowledged.

use std::io::Write as _;
use std::process::ExitCode;

use jiff::Timestamp;
use ledger::{AccountId, Actor, Appended, Book, Expected, Kind, Ledger, LedgerError, Location, NewEntry};
use ledger::{RequestKey, ThingId};

/// `write LOCATION ACCOUNT HANDS ROUNDS MANNER`: so many hands write at once, each so many rounds (0
/// for ever). A round keeps a batch of three entries, an attachment and an amendment. In the manner
/// `stubborn` a request that failed is sent again with its key; else the writer gives up.
pub(crate) fn run(words: &[String]) -> ExitCode {
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().expect("a runtime");
    let [location, account, hands, rounds, manner] = words else { return ExitCode::from(2) };
    let account = AccountId::parse(account).expect("an account");
    let hands: u32 = hands.parse().expect("a number of hands");
    let rounds: u32 = rounds.parse().expect("a number of rounds");
    let stubborn = manner == "stubborn";
    let written = runtime.block_on(async {
        let ledger = Ledger::open(&Location::parse(location)?).await?;
        let book = ledger.book(account, Actor::local("writer")).await?;
        say("ready");
        let hands: Vec<_> = (0..hands).map(|_| tokio::spawn(hand(book.clone(), rounds, stubborn))).collect();
        for hand in hands {
            hand.await.expect("a hand")?;
        }
        ledger.close().await;
        Ok::<_, LedgerError>(())
    });
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

async fn hand(book: Book, rounds: u32, stubborn: bool) -> Result<(), LedgerError> {
    let mut round = 0;
    while rounds == 0 || round < rounds {
        round += 1;
        let batch: Vec<NewEntry> = (1..=3)
            .map(|part| {
                let body = format!("{{\"part\":{part},\"of\":3,\"text\":\"{}\"}}", "grass ".repeat(part * 40));
                NewEntry::first(Kind::Visit, ThingId::fresh(), format!("part {part}"), body, Timestamp::UNIX_EPOCH)
            })
            .collect();
        let kept = keep(&book, batch, stubborn).await?;
        let photo = loop {
            match book.attach(ThingId::fresh().to_string().repeat(200).into_bytes(), "image/png").await {
                Err(error) if stubborn => wait(&error).await,
                answer => break answer?,
            }
        };
        let amended = NewEntry {
            expected: Expected::Version(1),
            reason: Some("read again".to_owned()),
            attachment: Some(photo),
            thing: kept[0].entry.thing,
            ..NewEntry::first(Kind::Visit, ThingId::fresh(), "amended", "{}", Timestamp::UNIX_EPOCH)
        };
        keep(&book, vec![amended], stubborn).await?;
    }
    Ok(())
}

async fn keep(book: &Book, entries: Vec<NewEntry>, stubborn: bool) -> Result<Vec<Appended>, LedgerError> {
    let key = RequestKey::fresh();
    loop {
        match book.append_all(entries.clone(), key.clone()).await {
            Err(error) if stubborn => wait(&error).await,
            answer => {
                let kept = answer?;
                for Appended { entry, .. } in &kept {
                    say(&format!("kept {} {}", entry.sequence, entry.hash));
                }
                return Ok(kept);
            }
        }
    }
}

async fn wait(error: &LedgerError) {
    assert!(matches!(error, LedgerError::Unreachable(_)), "{error}");
    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
}

/// One line, whole: a killed writer leaves no half of one that could be read as another.
fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(format!("{line}\n").as_bytes());
    let _ = out.flush();
}
