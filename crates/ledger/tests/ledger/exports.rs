//! Exports, imports and backups: everything comes through, or nothing does.

use std::fs;
use std::path::{Path, PathBuf};

use ledger::{Actor, Book, Entry, Filter, Integrity, Kind, Labels, Ledger, LedgerError, Location, NewEntry, ThingId};

use crate::support::{Database, client, key, moment, next, on_both};

on_both!(
    an_export_comes_back_without_loss_from_the_other_database,
    an_account_is_taken_in_once,
    a_broken_export_is_told_with_file_and_line_and_nothing_is_taken_in,
    a_foreign_folder_is_refused,
    a_backup_is_a_ledger_of_its_own,
);

/// A book with texts of every sort, an amendment, a discarded thing and an attachment.
async fn filled(database: &Database) -> Book {
    let book = database.book().await;
    let mut first = client("Ünal \"Gärten\" \\ 草\u{2028}");
    first.body = String::from("{\n\t\"a\": \"\\u0000\\n ü\", \"n\": 1.10}");
    first.indexed.client = Some(ThingId::fresh());
    first.indexed.property = Some(ThingId::fresh());
    first.indexed.date = Some(jiff::civil::date(2026, 5, 4));
    first.indexed.ground = geometry::GeoExtent::of_bounds([388_401_499, -976_198_501, 388_404_001, -976_194_002]);
    first.indexed.labels = Some(Labels::new(["one".to_owned(), "a \\ b%_".to_owned()]));
    first.recorded_at = "2026-05-04T06:07:08.123456789Z".parse().unwrap();
    let first = book.append(first, key()).await.unwrap().entry;
    let second = book.append(next(&first, "[1, 2]"), key()).await.unwrap().entry;
    let photo = book.attach((0..=255).collect(), "image/png").await.unwrap();
    book.attach(b"a paper".to_vec(), "application/pdf").await.unwrap();
    book.append(NewEntry { kind: Kind::File, attachment: Some(photo), ..client("gate.png") }, key()).await.unwrap();
    book.discard(second.thing, 2, "drawn twice", moment(7), key()).await.unwrap();
    let signed_in = book.ledger().book(book.account(), Actor::signed_in("Jo", "jo@example.org")).await.unwrap();
    let many = (0..600).map(|number| client(&format!("Client {number}"))).collect();
    signed_in.append_all(many, key()).await.unwrap();
    book
}

/// All that a book holds, as far as it can be asked.
async fn all_of(book: &Book) -> (Vec<Entry>, Vec<Entry>, Vec<ledger::Attachment>) {
    let entries = book.entries(0, 10_000).await.unwrap();
    let listed = book.all(&Filter { discarded: true, ..Filter::default() }).await.unwrap();
    let mut attachments = Vec::new();
    for bytes in [(0..=255).collect::<Vec<u8>>(), b"a paper".to_vec()] {
        attachments.push(book.attachment(ledger::Digest::of(&bytes)).await.unwrap());
    }
    (entries, listed, attachments)
}

async fn imported(ledger: &Ledger, folder: &Path) -> Book {
    let account = ledger.import(folder, None).await.unwrap();
    ledger.book(account, Actor::local("Mara Reed")).await.unwrap()
}

/// What breaks an export.
type Break = Box<dyn Fn(&Path)>;

/// The other database where there is one, else another file.
async fn other(database: &Database) -> Database {
    let postgres = if database.is_sqlite() { Database::postgres().await } else { None };
    postgres.unwrap_or_else(Database::sqlite)
}

fn read_folder(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(read_folder(&path));
        } else {
            files.push((path.clone(), fs::read(&path).unwrap()));
        }
    }
    files.sort();
    files
}

async fn an_export_comes_back_without_loss_from_the_other_database(database: &Database) {
    let book = filled(database).await;
    let (out, again) = (database.folder.path().join("out"), database.folder.path().join("again"));
    book.export(&out).await.unwrap();
    let other = other(database).await;
    let there = imported(&other.ledger().await, &out).await;
    assert_eq!(there.account(), book.account());
    assert_eq!(all_of(&there).await, all_of(&book).await);
    assert!(there.verify(Some(book.head().await.unwrap()), &mut |_| ()).await.unwrap().is_sound());
    there.export(&again).await.unwrap();
    let relative = |folder: &Path| -> Vec<(PathBuf, Vec<u8>)> {
        let files = read_folder(folder).into_iter();
        files.map(|(path, bytes)| (path.strip_prefix(folder).unwrap().to_owned(), bytes)).collect()
    };
    assert_eq!(relative(&again), relative(&out));
    // The book goes on where it stood, and its requests are still known.
    let last = there.entries(603, 1).await.unwrap().remove(0);
    there.append(next(&last, "{}"), key()).await.unwrap();
    let repeated = NewEntry { thing: ThingId::fresh(), ..client("Alder Bend") };
    assert!(matches!(there.append(repeated, last.request).await, Err(LedgerError::KeyReused(_))));
    assert!(there.verify(None, &mut |_| ()).await.unwrap().is_sound());
    let names: Vec<_> = there.ledger().accounts().await.unwrap().into_iter().map(|account| account.name).collect();
    assert_eq!(names, ["Reed & Daughters Lawn Care"]);
    there.ledger().close().await;
    other.remove().await;
    // A folder that exists is left alone.
    let refused = book.export(&out).await.unwrap_err().problems();
    assert_eq!(refused.iter().next().unwrap().code, "ledger::exists");
}

async fn an_account_is_taken_in_once(database: &Database) {
    let book = filled(database).await;
    let out = database.folder.path().join("out");
    book.export(&out).await.unwrap();
    let code = |error: LedgerError| error.problems().iter().map(|problem| problem.code).collect::<Vec<_>>();
    assert_eq!(code(book.ledger().import(&out, None).await.unwrap_err()), ["ledger::account-exists"]);
    let other = Database::sqlite();
    let ledger = other.ledger().await;
    ledger.open_account("Reed & Daughters Lawn Care").await.unwrap();
    let refused = ledger.import(&out, None).await.unwrap_err();
    assert!(refused.to_string().contains("another account of this ledger has the name"), "{refused}");
    assert!(refused.problems().iter().next().unwrap().mend.as_deref().unwrap().contains("--as NAME"));
    assert_eq!(ledger.accounts().await.unwrap().len(), 1);
    // Another name that is taken, or is none, is no fault of the folder.
    for (name, expected) in [("Reed & Daughters Lawn Care", "ledger::account-exists"), (" ", "ledger::account-title")] {
        let refused = ledger.import(&out, Some(name)).await.unwrap_err().problems();
        let problem = refused.iter().next().unwrap();
        assert_eq!((problem.code, problem.place.file.as_deref()), (expected, None));
    }
    let account = ledger.import(&out, Some("north yard")).await.unwrap();
    let names: Vec<String> = ledger.accounts().await.unwrap().into_iter().map(|account| account.name).collect();
    assert_eq!((names.len(), names.contains(&"north yard".to_owned())), (2, true));
    let taken = ledger.book(account, Actor::local("Mara Reed")).await.unwrap();
    assert_eq!(all_of(&taken).await, all_of(&book).await);
    assert!(taken.verify(None, &mut |_| ()).await.unwrap().is_sound());
}

async fn a_broken_export_is_told_with_file_and_line_and_nothing_is_taken_in(database: &Database) {
    let source = Database::sqlite();
    let book = filled(&source).await;
    let ledger = database.ledger().await;
    let photo = ledger::Digest::of(&(0..=255).collect::<Vec<u8>>()).to_string();
    let lines = |change: fn(&mut Vec<String>)| -> Break {
        Box::new(move |folder| {
            let path = folder.join("entries.jsonl");
            let mut lines: Vec<String> = fs::read_to_string(&path).unwrap().lines().map(str::to_owned).collect();
            change(&mut lines);
            fs::write(&path, lines.join("\n") + "\n").unwrap();
        })
    };
    let photo_file = photo.clone();
    let cases: Vec<(Break, &str, &str, Option<usize>)> = vec![
        (
            lines(|lines| lines[3] = lines[3].replace("drawn twice", "never drawn")),
            "ledger::changed",
            "entries.jsonl",
            Some(4),
        ),
        (lines(|lines| drop(lines.remove(1))), "ledger::out-of-order", "entries.jsonl", Some(2)),
        (lines(|lines| lines.swap(6, 7)), "ledger::out-of-order", "entries.jsonl", Some(7)),
        (lines(|lines| lines.truncate(9)), "ledger::export-differs", "manifest.json", None),
        (lines(|lines| lines[9].truncate(40)), "ledger::export-line", "entries.jsonl", Some(10)),
        (lines(|lines| lines[9] = String::from("null")), "ledger::export-line", "entries.jsonl", Some(10)),
        (lines(|lines| lines[9].insert_str(1, "\"more\":1,")), "ledger::export-line", "entries.jsonl", Some(10)),
        (
            lines(|lines| lines[9] = lines[9].replace("\"client\",", "\"customer\",")),
            "ledger::export-line",
            "entries.jsonl",
            Some(10),
        ),
        (
            Box::new(|folder| fs::remove_file(folder.join("entries.jsonl")).unwrap()),
            "ledger::no-export",
            "entries.jsonl",
            None,
        ),
        (
            Box::new(|folder| {
                let path = folder.join("entries.jsonl");
                let mut bytes = fs::read(&path).unwrap();
                bytes[30] = 0xff;
                fs::write(path, bytes).unwrap();
            }),
            "ledger::export-line",
            "entries.jsonl",
            Some(1),
        ),
        (
            Box::new(move |folder| fs::write(folder.join("attachments").join(&photo_file), "other").unwrap()),
            "ledger::attachment-changed",
            "attachments",
            None,
        ),
        (
            Box::new(move |folder| fs::remove_file(folder.join("attachments").join(&photo)).unwrap()),
            "ledger::attachment-missing",
            "attachments",
            None,
        ),
    ];
    for (number, (damage, code, file, line)) in cases.into_iter().enumerate() {
        let folder = database.folder.path().join(format!("broken {number}"));
        book.export(&folder).await.unwrap();
        damage(&folder);
        let problems = ledger.import(&folder, None).await.unwrap_err().problems();
        let first = problems.iter().next().unwrap();
        assert_eq!((first.code, first.place.line), (code, line), "case {number}: {problems}");
        assert!(first.place.file.as_deref().unwrap().contains(file), "case {number}: {problems}");
        assert!(ledger.accounts().await.unwrap().is_empty(), "case {number}: something was taken in");
    }
}

async fn a_foreign_folder_is_refused(database: &Database) {
    let ledger = database.ledger().await;
    let folder = database.folder.path().join("foreign");
    let refusal = async || {
        let problems = ledger.import(&folder, None).await.unwrap_err().problems();
        let problem = problems.iter().next().unwrap().clone();
        assert_eq!(problem.code, "ledger::no-export");
        assert!(problem.place.file.unwrap().ends_with("manifest.json"));
        (problem.found, problem.place.line)
    };
    assert!(refusal().await.0.contains("cannot be read"));
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("manifest.json"), "{\n  \"name\": \"a web page\"\n}").unwrap();
    assert_eq!(refusal().await.1, Some(3));
    fs::write(folder.join("manifest.json"), "{\"format\": \"other/1\"}").unwrap();
    assert_eq!(refusal().await.0, "`other/1` is no export of a ledger");
    fs::write(folder.join("manifest.json"), "{\"format\": \"tussock.ledger-export/2\"}").unwrap();
    assert_eq!(refusal().await.0, "the export is of the format `tussock.ledger-export/2`");
    fs::write(folder.join("manifest.json"), "{\"format\": \"tussock.ledger-export/1\"}").unwrap();
    assert!(refusal().await.0.contains("missing field"));
    assert!(ledger.accounts().await.unwrap().is_empty());
}

async fn a_backup_is_a_ledger_of_its_own(database: &Database) {
    let book = filled(database).await;
    let (copy, restored) = (database.folder.path().join("copy.db"), database.folder.path().join("restored.db"));
    let to = Location::file(&restored).unwrap();
    let first_code = |error: LedgerError| error.problems().iter().next().unwrap().code;
    if !database.is_sqlite() {
        let refused = book.ledger().back_up(&copy).await.unwrap_err();
        assert!(refused.to_string().contains("pg_dump"), "{refused}");
        let refused = Ledger::restore(&copy, book.ledger().location()).await.unwrap_err();
        assert!(refused.to_string().contains("pg_restore"), "{refused}");
        assert_eq!(book.ledger().integrity().await.unwrap(), Integrity::LeftToServer);
        return;
    }
    assert_eq!(book.ledger().integrity().await.unwrap(), Integrity::Intact);
    // The copy is made while the book is written in.
    let writer = tokio::spawn({
        let book = book.clone();
        async move {
            for number in 0..30 {
                book.append(client(&format!("Late {number}")), key()).await.unwrap();
            }
        }
    });
    book.ledger().back_up(&copy).await.unwrap();
    writer.await.unwrap();
    let ledger = Ledger::restore(&copy, &to).await.unwrap();
    let there = ledger.book(book.account(), Actor::local("Mara Reed")).await.unwrap();
    let verification = there.verify(None, &mut |_| ()).await.unwrap();
    assert!(verification.is_sound() && (604..=634).contains(&verification.entries), "{verification:?}");
    let entries = there.entries(0, 10_000).await.unwrap();
    assert_eq!(entries, book.entries(0, u32::try_from(entries.len()).unwrap()).await.unwrap());

    assert_eq!(first_code(book.ledger().back_up(&copy).await.unwrap_err()), "ledger::exists");
    assert_eq!(first_code(Ledger::restore(&copy, &to).await.unwrap_err()), "ledger::exists");
    // What a crash left beside a ledger that is gone does not enter the new one.
    let left = database.folder.path().join("gone.db-wal");
    fs::write(&left, b"left").unwrap();
    let gone = Location::file(&database.folder.path().join("gone.db")).unwrap();
    assert_eq!(first_code(Ledger::restore(&copy, &gone).await.unwrap_err()), "ledger::exists");
    assert_eq!(fs::read(&left).unwrap(), b"left");
    let nowhere = database.folder.path().join("no folder/copy.db");
    assert_eq!(first_code(book.ledger().back_up(&nowhere).await.unwrap_err()), "ledger::not-written");
    for (name, bytes) in [("empty.db", Vec::new()), ("text.db", vec![b'x'; 5000])] {
        let (broken, to) = (database.folder.path().join(name), database.folder.path().join("to.db"));
        fs::write(&broken, bytes).unwrap();
        let refused = Ledger::restore(&broken, &Location::file(&to).unwrap()).await.unwrap_err();
        assert_eq!(first_code(refused), "ledger::not-a-ledger");
        assert!(!to.exists());
    }
}

#[cfg(unix)]
#[tokio::test]
async fn only_their_owner_reads_a_ledger_its_backup_and_its_export() {
    use std::os::unix::fs::PermissionsExt as _;

    let database = Database::sqlite();
    let book = database.book().await;
    let (copy, out) = (database.folder.path().join("copy.db"), database.folder.path().join("out"));
    book.ledger().back_up(&copy).await.unwrap();
    book.export(&out).await.unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(database.location.path().unwrap()), 0o600);
    assert_eq!(mode(&copy), 0o600);
    assert_eq!(mode(&out), 0o700);
}
