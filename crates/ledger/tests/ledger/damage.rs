//! Whatever is done to a database behind the ledger's back is found.

use ledger::{Book, Digest, Finding, Kind, Ledger, NewEntry};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, TestRunner};
use sqlx::{AssertSqlSafe, Connection as _};

use crate::support::{Database, client, key, next, on_both};

on_both!(
    a_book_as_it_was_kept_is_sound,
    a_changed_field_of_any_kind_is_found,
    a_removed_entry_is_found,
    swapped_entries_are_found,
    a_cut_tail_is_found_by_the_head_and_a_noted_head,
    a_chain_made_anew_is_found_by_a_noted_head,
    a_list_that_shows_something_else_is_found,
    a_changed_or_missing_attachment_is_found,
    the_database_itself_refuses_to_change_what_is_kept,
    a_query_without_an_account_sees_no_other_account,
);

/// Six entries: clients, an amended one, a discarded one and a photo.
async fn filled(database: &Database) -> Book {
    let book = database.book().await;
    let first = book.append(client("Alder Bend"), key()).await.unwrap().entry;
    book.append(client("Beech Row"), key()).await.unwrap();
    let second = book.append(next(&first, "{\"name\":\"Alder Bend 2\"}"), key()).await.unwrap().entry;
    let photo = book.attach(b"a photo".to_vec(), "image/png").await.unwrap();
    book.append(NewEntry { kind: Kind::File, attachment: Some(photo), ..client("gate.png") }, key()).await.unwrap();
    book.discard(second.thing, 2, "drawn twice", crate::support::moment(7), key()).await.unwrap();
    book.append(client("Cedar Lane"), key()).await.unwrap();
    book
}

async fn findings(book: &Book) -> Vec<Finding> {
    book.verify(None, &mut |_| ()).await.unwrap().findings
}

async fn tamper(database: &Database, sql: &str) {
    let mut connection = database.tamperer().await;
    sqlx::raw_sql(AssertSqlSafe(sql.to_owned())).execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
}

async fn a_book_as_it_was_kept_is_sound(database: &Database) {
    let book = filled(database).await;
    let mut told = Vec::new();
    let verification = book.verify(None, &mut |progress| told.push((progress.done, progress.of))).await.unwrap();
    assert!(verification.is_sound());
    assert_eq!((verification.entries, verification.attachments), (6, 1));
    assert_eq!(verification.head, book.head().await.unwrap());
    assert_eq!(told, [(6, 6)]);
    assert!(book.verify(Some(verification.head), &mut |_| ()).await.unwrap().is_sound());
}

async fn a_changed_field_of_any_kind_is_found(database: &Database) {
    let book = filled(database).await;
    let other = Digest::of(b"other");
    let changes = [
        ("kind", "'visit'".to_owned()),
        ("thing", format!("'{}'", ledger::ThingId::fresh())),
        ("version", "9".to_owned()),
        ("recorded_at", "'2026-05-04T06:07:08Z'".to_owned()),
        ("actor_name", "'Jo'".to_owned()),
        ("actor_sign_in", "'jo'".to_owned()),
        ("body", "body || ' '".to_owned()),
        ("reason", "'other'".to_owned()),
        ("client", format!("'{}'", ledger::ThingId::fresh())),
        ("property", format!("'{}'", ledger::ThingId::fresh())),
        ("date", "'2026-05-04'".to_owned()),
        ("title", "'Other'".to_owned()),
        ("labels", "'\na\n'".to_owned()),
        ("ground_south", "1, ground_west = 1, ground_north = 1, ground_east = 1".to_owned()),
        ("attachment", format!("'{other}'")),
        ("discards", "1 - discards".to_owned()),
        ("request", "'other'".to_owned()),
        ("previous_hash", format!("'{other}'")),
        ("hash", format!("'{other}'")),
    ];
    for (column, value) in changes {
        let earlier = format!(
            "create table before_change as select * from entry; update entry set {column} = {value} \
             where sequence = 2"
        );
        tamper(database, &earlier).await;
        let found = findings(&book).await;
        assert!(found.contains(&Finding::Changed { sequence: 2 }), "{column}: {found:?}");
        tamper(database, "delete from entry; insert into entry select * from before_change; drop table before_change")
            .await;
        assert_eq!(findings(&book).await, [], "{column}");
    }
    for (column, value) in
        [("kind", "'thing'"), ("recorded_at", "'noon'"), ("hash", "''"), ("discards", "0 - 1"), ("ground_north", "1")]
    {
        tamper(database, &format!("update entry set {column} = {value} where sequence = 2")).await;
    }
    let found = findings(&book).await;
    assert!(found.contains(&Finding::Unreadable { sequence: 2 }), "{found:?}");
    assert!(found.iter().all(|finding| finding.problem().found.contains('`')));
}

async fn a_removed_entry_is_found(database: &Database) {
    let book = filled(database).await;
    tamper(database, "delete from entry where sequence in (2, 4)").await;
    let found = findings(&book).await;
    assert_eq!(&found[..2], [Finding::Missing { from: 2, until: 2 }, Finding::Missing { from: 4, until: 4 }]);
    // The gap closed by moving the others up does not hide it.
    tamper(
        database,
        "update entry set sequence = 2 where sequence = 3; update entry set sequence = 3 where sequence = 5; \
         update entry set sequence = 4 where sequence = 6; update account set head_sequence = 4",
    )
    .await;
    let found = findings(&book).await;
    for sequence in 2..=4 {
        assert!(found.contains(&Finding::Changed { sequence }), "{found:?}");
    }
}

async fn swapped_entries_are_found(database: &Database) {
    let book = filled(database).await;
    tamper(
        database,
        "update entry set sequence = 99 where sequence = 2; update entry set sequence = 2 where sequence = 3; \
         update entry set sequence = 3 where sequence = 99",
    )
    .await;
    let found = findings(&book).await;
    assert_eq!(&found[..2], [Finding::Changed { sequence: 2 }, Finding::Changed { sequence: 3 }]);
}

async fn a_cut_tail_is_found_by_the_head_and_a_noted_head(database: &Database) {
    let book = filled(database).await;
    let noted = book.head().await.unwrap();
    tamper(database, "delete from entry where sequence > 4").await;
    assert!(findings(&book).await.contains(&Finding::Missing { from: 5, until: 6 }));
    // Even when the head, the index and all are cut to fit, the head noted elsewhere tells.
    let fourth = book.entries(3, 1).await.unwrap().remove(0);
    tamper(database, &format!("update account set head_sequence = 4, head_hash = '{}'", fourth.hash)).await;
    let verification = book.verify(Some(noted), &mut |_| ()).await.unwrap();
    assert!(verification.findings.contains(&Finding::Missing { from: 5, until: 6 }));
    tamper(database, "update account set head_sequence = 3").await;
    assert!(findings(&book).await.contains(&Finding::BehindHead { sequence: 4 }));
}

async fn a_chain_made_anew_is_found_by_a_noted_head(database: &Database) {
    let book = database.book().await;
    book.append(client("Alder Bend"), key()).await.unwrap();
    let noted = book.head().await.unwrap();
    let mut forged = book.entries(0, 1).await.unwrap().remove(0);
    forged.body = String::from("{\"forged\":true}");
    forged.hash = forged.computed_hash();
    tamper(
        database,
        &format!(
            "update entry set body = '{}', hash = '{hash}'; update account set head_hash = '{hash}'",
            forged.body,
            hash = forged.hash
        ),
    )
    .await;
    assert_eq!(findings(&book).await, []);
    let verification = book.verify(Some(noted), &mut |_| ()).await.unwrap();
    assert_eq!(verification.findings, [Finding::OtherHead { sequence: 1 }]);
}

async fn a_list_that_shows_something_else_is_found(database: &Database) {
    let book = filled(database).await;
    let thing = book.entries(1, 1).await.unwrap().remove(0).thing;
    for change in [
        "title = 'Other'",
        "searched = 'other'",
        "version = 9",
        "date = '2026-05-04'",
        "discarded = 1",
        "client = 'x'",
        "ground_south = 0",
        "ground_west = 0",
        "ground_north = 0",
        "ground_east = 0",
        "labels = ''",
    ] {
        tamper(
            database,
            &format!(
                "create table before_change as select * from thing; update thing set {change} \
                 where thing = '{thing}'"
            ),
        )
        .await;
        assert_eq!(findings(&book).await, [Finding::IndexDiffers { thing }], "{change}");
        tamper(database, "delete from thing; insert into thing select * from before_change; drop table before_change")
            .await;
    }
    tamper(database, &format!("delete from thing where thing = '{thing}'")).await;
    assert_eq!(findings(&book).await, [Finding::IndexDiffers { thing }]);
}

async fn a_changed_or_missing_attachment_is_found(database: &Database) {
    let book = filled(database).await;
    let sha256 = Digest::of(b"a photo").to_string();
    let other = if database.is_sqlite() { "x'00'" } else { "'\\x00'::bytea" };
    tamper(database, &format!("update attachment set bytes = {other}")).await;
    assert_eq!(findings(&book).await, [Finding::AttachmentChanged { sha256: sha256.clone() }]);
    let read = book.attachment(Digest::of(b"a photo")).await.unwrap_err();
    assert_eq!(read.problems().iter().next().unwrap().code, "ledger::attachment-changed");
    tamper(database, "delete from attachment").await;
    assert_eq!(findings(&book).await, [Finding::AttachmentMissing { sha256 }]);
}

async fn the_database_itself_refuses_to_change_what_is_kept(database: &Database) {
    let book = filled(database).await;
    let mut connection = sqlx::AnyConnection::connect(&database.url).await.unwrap();
    for sql in [
        "update entry set body = '{}'",
        "delete from entry where sequence = 6",
        "update attachment set media_type = 'image/gif'",
        "delete from attachment",
    ] {
        assert!(sqlx::raw_sql(sql).execute(&mut connection).await.is_err(), "{sql}");
    }
    assert_eq!(findings(&book).await, []);
}

async fn a_query_without_an_account_sees_no_other_account(database: &Database) {
    let book = filled(database).await;
    let ledger = book.ledger().clone();
    let neighbour = ledger.open_account("Neighbour").await.unwrap();
    if database.is_sqlite() {
        // SQLite has no rules for rows: its statements name the account, which `books` tests.
        return;
    }
    let mut connection = sqlx::AnyConnection::connect(&database.url).await.unwrap();
    let mut seen = async |account: String, table: &str| -> i64 {
        let mut transaction = connection.begin().await.unwrap();
        let scope = "select set_config('role', 'tussock_books', true), set_config('tussock.account', $1, true)";
        sqlx::query(scope).bind(account).fetch_one(&mut *transaction).await.unwrap();
        let count = format!("select count(*) from {table}");
        sqlx::query_scalar(AssertSqlSafe(count)).fetch_one(&mut *transaction).await.unwrap()
    };
    for (table, rows) in [("account", 1), ("entry", 6), ("thing", 4), ("attachment", 1)] {
        assert_eq!(seen(book.account().to_string(), table).await, rows, "{table}");
        assert_eq!(seen(String::new(), table).await, 0, "{table}");
        assert_eq!(seen(neighbour.to_string(), table).await, i64::from(table == "account"), "{table}");
    }
    // Nor can a row be put into another account, or the rule be left.
    let mut transaction = connection.begin().await.unwrap();
    let scope = "select set_config('role', 'tussock_books', true), set_config('tussock.account', $1, true)";
    sqlx::query(scope).bind(neighbour.to_string()).fetch_one(&mut *transaction).await.unwrap();
    let forged = "insert into attachment (account, sha256, media_type, bytes) values ($1, 'x', 'x', ''::bytea)";
    let refused = sqlx::query(forged).bind(book.account().to_string()).execute(&mut *transaction).await.unwrap_err();
    assert!(refused.to_string().contains("row-level security"), "{refused}");
}

/// Whichever byte of a file of SQLite changes: the ledger cannot be read, or says so, or nothing of
/// the books has changed (the byte was of a free page or of an index that gave the same answer).
#[test]
fn a_flipped_bit_anywhere_in_the_file_is_found_or_harms_nothing() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let (bytes, entries) = runtime.block_on(async {
        let database = Database::sqlite();
        let book = filled(&database).await;
        let entries = book.entries(0, 100).await.unwrap();
        let copy = database.folder.path().join("copy.db");
        book.ledger().back_up(&copy).await.unwrap();
        (std::fs::read(copy).unwrap(), entries)
    });
    let folder = tempfile::tempdir().unwrap();
    let mut found = 0;
    let mut runner = TestRunner::new(Config { failure_persistence: None, ..Config::with_cases(1) });
    // Most of a small file is empty pages: the bytes that hold something are worth more.
    let written: Vec<usize> = (0..bytes.len()).filter(|place| bytes[*place] != 0).collect();
    let flip = (prop::sample::select(written), 0..8_u8);
    let flips: Vec<(usize, u8)> = (0..100).map(|_| flip.new_tree(&mut runner).unwrap().current()).collect();
    for (number, (place, bit)) in flips.into_iter().enumerate() {
        let mut damaged = bytes.clone();
        damaged[place] ^= 1 << bit;
        let path = folder.path().join(format!("{number}.db"));
        std::fs::write(&path, damaged).unwrap();
        let outcome = runtime.block_on(async {
            let ledger = Ledger::open(&ledger::Location::file(&path).unwrap()).await?;
            let Some(ledger::Account { account, .. }) = ledger.accounts().await?.pop() else {
                return Ok((false, false));
            };
            let book = ledger.book(account, ledger::Actor::local("Mara Reed")).await?;
            let sound = book.verify(None, &mut |_| ()).await?.is_sound();
            let intact = ledger.integrity().await? == ledger::Integrity::Intact;
            let same = book.entries(0, 100).await.is_ok_and(|kept| kept == entries);
            ledger.close().await;
            Ok::<_, ledger::LedgerError>((sound && intact, same))
        });
        match outcome {
            Ok((true, same)) => assert!(same, "byte {place}, bit {bit}: changed, and called sound"),
            _ => found += 1,
        }
    }
    // About two of three hit something; hardly any would mean that nothing was damaged.
    assert!(found > 20, "only {found} of 100 were noticed");
}

/// Any bit of any body.
#[test]
fn a_flipped_bit_of_a_body_is_always_found() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let database = Database::sqlite();
    let book = runtime.block_on(filled(&database));
    let entries = runtime.block_on(book.entries(0, 100)).unwrap();
    let config = Config { failure_persistence: None, ..Config::with_cases(60) };
    proptest!(config, |(index in 0..entries.len(), place in any::<prop::sample::Index>(), bit in 0..8_u8)| {
        let entry = &entries[index];
        let mut body = entry.body.clone().into_bytes();
        let place = place.index(body.len());
        body[place] ^= 1 << bit;
        let set = |body: &[u8]| {
            let hexadecimal = body.iter().fold(String::new(), |text, byte| format!("{text}{byte:02x}"));
            format!("update entry set body = cast(x'{hexadecimal}' as text) where sequence = {}", entry.sequence)
        };
        let found = runtime.block_on(async {
            tamper(&database, &set(&body)).await;
            let found = findings(&book).await;
            tamper(&database, &set(entry.body.as_bytes())).await;
            found
        });
        let sequence = entry.sequence;
        prop_assert!(
            found == [Finding::Changed { sequence }] || found == [Finding::Unreadable { sequence }],
            "{:?}",
            found
        );
    });
    assert_eq!(runtime.block_on(findings(&book)), []);
}

/// Where the database's own description of a table is no text any more, the driver gives up: that is told, and
/// nothing waits for it.
#[test]
fn a_description_of_a_table_that_is_no_text_is_told_and_waited_for_by_nobody() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let database = Database::sqlite();
    let copy = database.folder.path().join("copy.db");
    runtime.block_on(async { filled(&database).await.ledger().back_up(&copy).await.unwrap() });
    let mut bytes = std::fs::read(&copy).unwrap();
    let described = b"sequence bigint not null,\n  kind text";
    let places: Vec<usize> =
        (0..bytes.len() - described.len()).filter(|place| bytes[*place..].starts_with(described)).collect();
    assert!(!places.is_empty(), "the table is described");
    for place in places {
        bytes[place + described.len() - 1] |= 0x80;
    }
    std::fs::write(&copy, bytes).unwrap();
    let opened = runtime.block_on(async {
        let ledger = Ledger::open(&ledger::Location::file(&copy).unwrap()).await?;
        let account = ledger.accounts().await?.remove(0).account;
        let book = ledger.book(account, ledger::Actor::local("Mara Reed")).await?;
        let read = book.entries(0, 10).await.map(drop);
        ledger.close().await;
        read
    });
    assert!(opened.is_err(), "a damaged description was read");
}
