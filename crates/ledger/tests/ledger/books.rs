//! What a book promises, the same on both databases.

use crate::support::{Database, client, key, moment, next, on_both};
use ledger::{
    Actor, Digest, Expected, Filter, Indexed, Kind, Labels, LedgerError, NewEntry, Order, Page, RequestKey, ThingId,
};

on_both!(
    what_is_kept_comes_back_as_it_was,
    a_version_is_kept_only_on_top_of_the_one_seen,
    a_request_sent_again_gives_the_first_answer,
    a_key_serves_one_request_only,
    a_request_carried_to_another_hand_gives_the_first_answer,
    a_request_kept_with_its_hand_is_known_by_that_hand,
    a_request_that_says_what_it_asks_for_is_known_by_its_words,
    a_batch_is_kept_whole_or_not_at_all,
    a_discarded_thing_keeps_its_versions_and_takes_no_more,
    lists_filter_and_page_without_loss_or_repeat,
    titles_are_searched_by_words_and_listed_in_their_order,
    what_tells_its_ground_or_its_labels_is_found_by_them,
    writers_at_once_lose_nothing,
    two_ledgers_on_one_database_share_its_books,
    attachments_are_kept_once_and_named_by_their_hash,
    accounts_do_not_see_each_other,
    what_cannot_be_kept_is_told_field_by_field,
);

async fn what_is_kept_comes_back_as_it_was(database: &Database) {
    let book = database.book().await;
    let mut wanted = client("Ünal \"Gärten\" \\ 草");
    wanted.indexed.client = Some(ThingId::fresh());
    wanted.indexed.property = Some(ThingId::fresh());
    wanted.indexed.date = Some(jiff::civil::date(2026, 5, 4));
    wanted.body = String::from("{ \"b\": 1.10,\n\t\"a\": \"\\u0000 ü\" }");
    wanted.recorded_at = "2026-05-04T06:07:08.123456789Z".parse().unwrap();
    let kept = book.append(wanted.clone(), key()).await.unwrap().entry;
    assert_eq!((kept.sequence, kept.version, kept.previous), (1, 1, Digest::NONE));
    assert_eq!((&kept.body, &kept.indexed, kept.recorded_at), (&wanted.body, &wanted.indexed, wanted.recorded_at));
    assert_eq!(kept.actor, Actor::local("Mara Reed"));
    assert_eq!(kept.hash, kept.computed_hash());

    let amended = book.append(next(&kept, "{}"), key()).await.unwrap().entry;
    assert_eq!((amended.sequence, amended.version, amended.previous), (2, 2, kept.hash));
    assert_eq!(book.newest(wanted.thing).await.unwrap(), amended);
    assert_eq!(book.version(wanted.thing, 1).await.unwrap(), kept);
    assert_eq!(book.versions(wanted.thing).await.unwrap(), [kept.clone(), amended.clone()]);
    assert_eq!(book.entries(0, 10).await.unwrap(), [kept, amended.clone()]);
    assert_eq!(book.entries(1, 10).await.unwrap(), std::slice::from_ref(&amended));
    assert_eq!(book.newest_of(Kind::Client).await.unwrap(), Some(amended.clone()));
    assert_eq!(book.newest_of(Kind::Visit).await.unwrap(), None);
    let head = book.head().await.unwrap();
    assert_eq!((head.sequence, head.hash), (2, amended.hash));
    let unknown = ThingId::fresh();
    assert!(matches!(book.newest(unknown).await, Err(LedgerError::UnknownThing { version: None, .. })));
    assert!(matches!(book.versions(unknown).await, Err(LedgerError::UnknownThing { .. })));
    assert!(matches!(book.version(wanted.thing, 3).await, Err(LedgerError::UnknownThing { version: Some(3), .. })));
}

async fn a_version_is_kept_only_on_top_of_the_one_seen(database: &Database) {
    let book = database.book().await;
    let first = book.append(client("Alder Bend"), key()).await.unwrap().entry;
    let second = book.append(next(&first, "{\"by\":\"one\"}"), key()).await.unwrap().entry;
    let late = book.append(next(&first, "{\"by\":\"other\"}"), key()).await.unwrap_err();
    let expected = Expected::Version(1);
    assert_eq!(late, LedgerError::Conflict { thing: first.thing, expected, present: Some(2) });
    let problem = late.problems().iter().next().cloned().unwrap();
    assert_eq!((problem.code, problem.expected.as_deref()), ("ledger::conflict", Some("version 1")));

    let again = NewEntry { expected: Expected::New, ..next(&second, "{}") };
    assert!(matches!(book.append(again, key()).await, Err(LedgerError::Conflict { present: Some(2), .. })));
    let ahead = NewEntry { thing: ThingId::fresh(), ..next(&second, "{}") };
    assert!(matches!(book.append(ahead, key()).await, Err(LedgerError::Conflict { present: None, .. })));
    let other_kind = NewEntry { kind: Kind::Visit, ..next(&second, "{}") };
    let refused = book.append(other_kind, key()).await.unwrap_err().problems();
    assert_eq!(refused.iter().next().unwrap().code, "ledger::kind");
    assert_eq!(book.head().await.unwrap().sequence, 2);
}

async fn a_request_sent_again_gives_the_first_answer(database: &Database) {
    let book = database.book().await;
    let request = key();
    let wanted = client("Alder Bend");
    let first = book.append(wanted.clone(), request.clone()).await.unwrap();
    assert!(!first.replayed);
    // Sent again, a request has another time, and its new thing another name.
    let again = NewEntry { thing: ThingId::fresh(), recorded_at: moment(9), ..wanted };
    let second = book.append(again, request).await.unwrap();
    assert!(second.replayed);
    assert_eq!(second.entry, first.entry);

    let request = key();
    let change = next(&first.entry, "{\"a\":1}");
    book.append(change.clone(), request.clone()).await.unwrap();
    book.append(NewEntry { expected: Expected::Version(2), ..next(&first.entry, "{\"a\":2}") }, key()).await.unwrap();
    let replayed = book.append(change, request).await.unwrap();
    assert_eq!((replayed.replayed, replayed.entry.version), (true, 2));
    assert_eq!(book.head().await.unwrap().sequence, 3);
}

async fn a_key_serves_one_request_only(database: &Database) {
    let book = database.book().await;
    let request = RequestKey::parse("visit-7").unwrap();
    let wanted = client("Alder Bend");
    book.append(wanted.clone(), request.clone()).await.unwrap();
    let others = [
        NewEntry { body: "{}".to_owned(), ..wanted.clone() },
        NewEntry { kind: Kind::Person, ..wanted.clone() },
        NewEntry { reason: Some("other".to_owned()), ..wanted.clone() },
        NewEntry { indexed: Indexed { title: "Other".to_owned(), ..Indexed::default() }, ..wanted.clone() },
        NewEntry { expected: Expected::Version(1), ..wanted.clone() },
    ];
    for other in others {
        let answer = book.append(other, request.clone()).await;
        assert_eq!(answer.unwrap_err(), LedgerError::KeyReused(request.clone()));
    }
    let more = book.append_all(vec![wanted.clone(), client("Beech Row")], request.clone()).await;
    assert_eq!(more.unwrap_err(), LedgerError::KeyReused(request.clone()));
    assert_eq!(book.head().await.unwrap().sequence, 1);
}

async fn a_request_carried_to_another_hand_gives_the_first_answer(database: &Database) {
    let book = database.book().await;
    let other_hand = database.ledger().await.book(book.account(), Actor::signed_in("Jo", "jo")).await.unwrap();
    let (bare, asking) = (key(), key().asking(["visits", "alder"]));
    for request in [bare, asking] {
        let wanted = client("Alder Bend");
        let first = book.append(wanted.clone(), request.clone()).await.unwrap();
        let again = NewEntry { thing: ThingId::fresh(), ..wanted.clone() };
        let second = other_hand.append(again, request.clone()).await.unwrap();
        assert_eq!((second.replayed, &second.entry), (true, &first.entry));
        assert_eq!(second.entry.actor, Actor::local("Mara Reed"), "who kept it first");
        let other = NewEntry { body: "{}".to_owned(), ..wanted };
        let same_key = RequestKey::parse(request.as_str()).unwrap();
        assert!(matches!(other_hand.append(other, same_key).await, Err(LedgerError::KeyReused(_))));
    }
    assert_eq!(book.head().await.unwrap().sequence, 2);
}

/// What was kept of a request when its hand still counted: as digests are made of fields, each behind its length.
async fn a_request_kept_with_its_hand_is_known_by_that_hand(database: &Database) {
    let fields = |all: &[&str]| -> Vec<u8> {
        all.iter().flat_map(|field| [&(field.len() as u64).to_be_bytes(), field.as_bytes()].concat()).collect()
    };
    let book = database.book().await;
    let request = RequestKey::parse("visit-7").unwrap().asking(["visits", "alder"]);
    let first = book.append(client("Alder Bend"), request.clone()).await.unwrap();
    let asking = Digest::of(&fields(&["tussock.asking/1", "visits", "alder"])).to_string();
    // The name, a byte 0 for no sign-in, and what was asked for.
    let bytes = [fields(&["tussock.request/1", "Mara Reed"]), vec![0], fields(&[&asking])].concat();
    let changed = sqlx::query("update request set asked = $1 where request = 'visit-7'")
        .bind(Digest::of(&bytes).to_string())
        .execute(&mut database.tamperer().await)
        .await
        .unwrap();
    assert_eq!(changed.rows_affected(), 1);
    assert_eq!(book.answered(&request).await.unwrap(), Some(vec![first.entry]));
    let other_hand = database.ledger().await.book(book.account(), Actor::signed_in("Jo", "jo")).await.unwrap();
    assert!(matches!(other_hand.answered(&request).await, Err(LedgerError::KeyReused(_))));
}

async fn a_request_that_says_what_it_asks_for_is_known_by_its_words(database: &Database) {
    let book = database.book().await;
    let key = |words: &str| RequestKey::parse("visit-7").unwrap().asking(["visits", words]);
    assert_eq!(book.answered(&key("alder")).await.unwrap(), None);
    let first = book.append(client("Alder Bend"), key("alder")).await.unwrap();
    assert_eq!(book.answered(&key("alder")).await.unwrap(), Some(vec![first.entry.clone()]));
    // What it would keep by now is another thing: the words count.
    let again = book.append(client("Alder Bend, today"), key("alder")).await.unwrap();
    assert_eq!((again.replayed, again.entry), (true, first.entry.clone()));
    let others = [key("beech"), RequestKey::parse("visit-7").unwrap().asking(["visitsalder"])];
    for other in others {
        assert!(matches!(book.answered(&other).await, Err(LedgerError::KeyReused(_))));
        assert!(matches!(book.append(client("Alder Bend"), other).await, Err(LedgerError::KeyReused(_))));
    }
    let other_hand = database.ledger().await.book(book.account(), Actor::signed_in("Jo", "jo")).await.unwrap();
    assert_eq!(other_hand.answered(&key("alder")).await.unwrap(), Some(vec![first.entry.clone()]));
    let ledger = database.ledger().await;
    let neighbour = ledger.open_account("Neighbour").await.unwrap();
    let neighbour = ledger.book(neighbour, Actor::local("Mara Reed")).await.unwrap();
    assert_eq!(neighbour.answered(&key("alder")).await.unwrap(), None, "each account has keys of its own");
    // A request that was refused may be mended and sent with its key.
    let taken = NewEntry { expected: Expected::Version(7), ..next(&first.entry, "{}") };
    let mended = RequestKey::fresh();
    book.append(taken, mended.clone().asking(["wrong"])).await.unwrap_err();
    book.append(next(&first.entry, "{}"), mended.asking(["right"])).await.unwrap();
    assert_eq!(book.head().await.unwrap().sequence, 2);
}

async fn a_batch_is_kept_whole_or_not_at_all(database: &Database) {
    let book = database.book().await;
    let first = client("Alder Bend");
    let second = NewEntry { expected: Expected::Version(1), body: "{\"b\":2}".to_owned(), ..first.clone() };
    let request = key();
    let kept =
        book.append_all(vec![first.clone(), second.clone(), client("Beech Row")], request.clone()).await.unwrap();
    assert_eq!(kept.iter().map(|kept| kept.entry.sequence).collect::<Vec<_>>(), [1, 2, 3]);
    let again = book.append_all(vec![first.clone(), second, client("Beech Row")], request).await.unwrap();
    assert!(again.iter().all(|kept| kept.replayed));
    assert_eq!(again[2].entry, kept[2].entry);

    let torn = vec![client("Cedar Lane"), first];
    assert!(matches!(book.append_all(torn, key()).await, Err(LedgerError::Conflict { present: Some(2), .. })));
    assert_eq!(book.head().await.unwrap().sequence, 3);
    assert_eq!(book.all(&Filter::of(Kind::Client)).await.unwrap().len(), 2);
    let nothing = book.append_all(Vec::new(), key()).await.unwrap_err().problems();
    assert_eq!(nothing.iter().next().unwrap().code, "ledger::nothing-to-keep");
}

async fn a_discarded_thing_keeps_its_versions_and_takes_no_more(database: &Database) {
    let book = database.book().await;
    let draft = book.append(client("Alder Bend"), key()).await.unwrap().entry;
    let stale = book.discard(draft.thing, 7, "never happened", moment(5), key()).await;
    assert!(matches!(stale, Err(LedgerError::Conflict { present: Some(1), .. })));
    let request = key();
    let gone = book.discard(draft.thing, 1, "never happened", moment(5), request.clone()).await.unwrap();
    assert!(gone.entry.discards && gone.entry.reason.as_deref() == Some("never happened"));
    let again = book.discard(draft.thing, 1, "never happened", moment(6), request).await.unwrap();
    assert!(again.replayed);
    assert_eq!(book.versions(draft.thing).await.unwrap(), [draft.clone(), gone.entry.clone()]);
    let more = book.append(next(&gone.entry, "{}"), key()).await;
    assert_eq!(more.unwrap_err(), LedgerError::Discarded(draft.thing));
    assert!(book.all(&Filter::of(Kind::Client)).await.unwrap().is_empty());
    assert_eq!(book.newest_of(Kind::Client).await.unwrap(), None);
    let with_discarded = Filter { discarded: true, ..Filter::default() };
    assert_eq!(book.all(&with_discarded).await.unwrap(), [gone.entry]);
    let unknown = book.discard(ThingId::fresh(), 1, "never happened", moment(5), key()).await;
    assert!(matches!(unknown, Err(LedgerError::UnknownThing { .. })));
}

async fn lists_filter_and_page_without_loss_or_repeat(database: &Database) {
    let book = database.book().await;
    let (owner, ground) = (ThingId::fresh(), ThingId::fresh());
    let visits: Vec<_> = (0..25_i8)
        .map(|number| {
            let mut visit = client(&format!("Visit {number}"));
            visit.kind = Kind::Visit;
            // Several visits share a day, and three have none.
            visit.indexed.date = (number >= 3).then(|| jiff::civil::date(2026, 5, 1 + number / 4));
            visit.indexed.client = (number % 2 == 0).then_some(owner);
            visit.indexed.property = (number % 5 == 0).then_some(ground);
            visit
        })
        .collect();
    book.append_all(visits.clone(), key()).await.unwrap();
    book.append(client("A client"), key()).await.unwrap();
    for (filter, count) in [
        (Filter::default(), 26),
        (Filter::of(Kind::Visit), 25),
        (Filter { client: Some(owner), ..Filter::default() }, 13),
        (Filter { property: Some(ground), ..Filter::default() }, 5),
        (Filter { client: Some(owner), property: Some(ground), ..Filter::default() }, 3),
        (Filter { from: Some(jiff::civil::date(2026, 5, 3)), ..Filter::default() }, 17),
        (Filter { until: Some(jiff::civil::date(2026, 5, 2)), ..Filter::default() }, 5),
    ] {
        for order in [Order::NewestFirst, Order::Title] {
            for limit in [1, 4, 25, 26, 0] {
                let mut page = Page { after: None, limit };
                let mut seen = Vec::new();
                loop {
                    let listing = book.list(&filter, order, &page).await.unwrap();
                    seen.extend(listing.entries);
                    let Some(next) = listing.next else { break };
                    page.after = Some(ledger::Cursor::parse(&next.to_string()).unwrap());
                }
                assert_eq!(seen.len(), count, "{filter:?} {order:?} {limit}");
                let mut things: Vec<_> = seen.iter().map(|entry| entry.thing).collect();
                things.sort();
                things.dedup();
                assert_eq!(things.len(), count);
                match order {
                    Order::NewestFirst => assert!(seen.is_sorted_by(|a, b| a.indexed.date >= b.indexed.date)),
                    Order::Title => {
                        assert!(seen.is_sorted_by_key(|entry| entry.indexed.title.to_lowercase()));
                    }
                }
            }
        }
    }
    let after = book.list(&Filter::default(), Order::Title, &Page { after: None, limit: 1 }).await.unwrap().next;
    let wrong = book.list(&Filter::default(), Order::NewestFirst, &Page { after, limit: 1 }).await;
    assert_eq!(wrong.unwrap_err().problems().iter().next().unwrap().code, "ledger::cursor");
    for text in ["", "x", "d", "dnone", "d00000000-0000-0000-0000-00000000000\u{fc}2"] {
        assert_eq!(ledger::Cursor::parse(text).unwrap_err().code, "ledger::cursor");
    }
}

async fn titles_are_searched_by_words_and_listed_in_their_order(database: &Database) {
    let book = database.book().await;
    for name in ["Öland Garten", "alder bend", "Beech Row", "100 % Grün_werk", "Alder Row"] {
        book.append(client(name), key()).await.unwrap();
    }
    let titles =
        |entries: Vec<ledger::Entry>| -> Vec<String> { entries.into_iter().map(|entry| entry.indexed.title).collect() };
    let search = |text: &str| Filter { text: Some(text.to_owned()), ..Filter::default() };
    let all = titles(book.all(&Filter::default()).await.unwrap());
    assert_eq!(all, ["100 % Grün_werk", "alder bend", "Alder Row", "Beech Row", "Öland Garten"]);
    assert_eq!(titles(book.all(&search("ALDER")).await.unwrap()), ["alder bend", "Alder Row"]);
    assert_eq!(titles(book.all(&search("row al")).await.unwrap()), ["Alder Row"]);
    assert_eq!(titles(book.all(&search("ÖLAND")).await.unwrap()), ["Öland Garten"]);
    assert_eq!(titles(book.all(&search("%")).await.unwrap()), ["100 % Grün_werk"]);
    assert_eq!(titles(book.all(&search("n_w")).await.unwrap()), ["100 % Grün_werk"]);
    assert!(book.all(&search("r_w")).await.unwrap().is_empty());
    assert!(book.all(&search("'; drop table entry; --")).await.unwrap().is_empty());
}

async fn writers_at_once_lose_nothing(database: &Database) {
    let book = database.book().await;
    let first = book.append(client("Alder Bend"), key()).await.unwrap().entry;
    let writers: Vec<_> = (0..20)
        .map(|writer| {
            let book = book.clone();
            let thing = first.thing;
            tokio::spawn(async move {
                for turn in 0..5 {
                    loop {
                        let newest = book.newest(thing).await.unwrap();
                        let change = next(&newest, &format!("{{\"writer\":{writer},\"turn\":{turn}}}"));
                        match book.append(change, key()).await {
                            Ok(_) => break,
                            Err(LedgerError::Conflict { present, .. }) => assert!(present > Some(newest.version)),
                            Err(other) => panic!("{other}"),
                        }
                    }
                }
            })
        })
        .collect();
    for writer in writers {
        writer.await.unwrap();
    }
    let versions = book.versions(first.thing).await.unwrap();
    assert_eq!(versions.len(), 101);
    let bodies: std::collections::HashSet<_> = versions.iter().map(|entry| entry.body.clone()).collect();
    assert_eq!(bodies.len(), 101);
    let verification = book.verify(None, &mut |_| ()).await.unwrap();
    assert_eq!((verification.findings, verification.entries), (Vec::new(), 101));
}

async fn two_ledgers_on_one_database_share_its_books(database: &Database) {
    // As two servers: opened at once on an empty database, then writing by turns.
    let (one, other) = tokio::join!(ledger::Ledger::open(&database.location), ledger::Ledger::open(&database.location));
    let (one, other) = (one.unwrap(), other.unwrap());
    let (first, second) = tokio::join!(one.open_account("Reed"), other.open_account("Reed"));
    let account = first.unwrap();
    assert_eq!(second.unwrap(), account);
    let books = [
        one.book(account, Actor::local("Mara")).await.unwrap(),
        other.book(account, Actor::signed_in("Jo", "jo")).await.unwrap(),
    ];
    let writers: Vec<_> = (0..40)
        .map(|number| {
            let book = books[number % 2].clone();
            tokio::spawn(async move { book.append(client(&format!("Client {number}")), key()).await.unwrap() })
        })
        .collect();
    for writer in writers {
        writer.await.unwrap();
    }
    for book in &books {
        let verification = book.verify(None, &mut |_| ()).await.unwrap();
        assert!(verification.is_sound());
        assert_eq!(verification.entries, 40);
    }
}

async fn attachments_are_kept_once_and_named_by_their_hash(database: &Database) {
    let book = database.book().await;
    let bytes: Vec<u8> = (0..=255).cycle().take(70_000).collect();
    let sha256 = book.attach(bytes.clone(), "image/jpeg").await.unwrap();
    assert_eq!(sha256, Digest::of(&bytes));
    assert_eq!(book.attach(bytes.clone(), "image/jpeg").await.unwrap(), sha256);
    let kept = book.attachment(sha256).await.unwrap();
    assert_eq!((kept.bytes, kept.media_type.as_str()), (bytes, "image/jpeg"));
    let photo = NewEntry { kind: Kind::File, attachment: Some(sha256), ..client("gate.jpg") };
    assert_eq!(book.append(photo.clone(), key()).await.unwrap().entry.attachment, Some(sha256));
    let nowhere = Digest::of(b"nowhere");
    let missing = book.append(NewEntry { attachment: Some(nowhere), ..client("gone.jpg") }, key()).await.unwrap_err();
    assert_eq!(missing.problems().iter().next().unwrap().code, "ledger::unknown-attachment");
    assert_eq!(book.attachment(nowhere).await.unwrap_err(), missing);
    for (bytes, media_type, code) in [
        (Vec::new(), "image/jpeg", "ledger::attachment-size"),
        (vec![1], "jpeg", "ledger::media-type"),
        (vec![1], "image/", "ledger::media-type"),
        (vec![1], "image/jpeg\r\nx: y", "ledger::media-type"),
    ] {
        let refused = book.attach(bytes, media_type).await.unwrap_err();
        assert_eq!(refused.problems().iter().next().unwrap().code, code);
    }
}

async fn accounts_do_not_see_each_other(database: &Database) {
    let book = database.book().await;
    let ledger = database.ledger().await;
    let neighbour = ledger.open_account("Neighbour").await.unwrap();
    let neighbour = ledger.book(neighbour, Actor::local("Nell")).await.unwrap();
    let request = key();
    let ours = book.append(client("Alder Bend"), request.clone()).await.unwrap().entry;
    let photo = book.attach(vec![1, 2, 3], "image/png").await.unwrap();
    assert!(matches!(neighbour.newest(ours.thing).await, Err(LedgerError::UnknownThing { .. })));
    assert!(matches!(neighbour.version(ours.thing, 1).await, Err(LedgerError::UnknownThing { .. })));
    assert!(neighbour.all(&Filter::default()).await.unwrap().is_empty());
    assert!(neighbour.entries(0, 10).await.unwrap().is_empty());
    assert!(neighbour.attachment(photo).await.is_err());
    let conflict = neighbour.append(next(&ours, "{}"), key()).await.unwrap_err();
    assert!(matches!(conflict, LedgerError::Conflict { present: None, .. }));
    // Keys and names of things are each account's own.
    let theirs = neighbour.append(NewEntry { thing: ours.thing, ..client("Alder Bend") }, request).await.unwrap();
    assert!(!theirs.replayed);
    assert_eq!(book.head().await.unwrap().sequence, 1);
    let names: Vec<_> = ledger.accounts().await.unwrap().into_iter().map(|account| account.name).collect();
    assert_eq!(names, ["Neighbour", "Reed & Daughters Lawn Care"]);
    let nobody = crate::support::no_account();
    let unknown = ledger.book(nobody, Actor::local("Nell")).await.unwrap_err();
    assert_eq!(unknown, LedgerError::UnknownAccount(nobody));
}

async fn what_cannot_be_kept_is_told_field_by_field(database: &Database) {
    let book = database.book().await;
    let broken = NewEntry {
        body: "{\n \"a\": }".to_owned(),
        reason: Some("\0".to_owned()),
        indexed: Indexed { title: "\0".to_owned(), ..Indexed::default() },
        expected: Expected::Version(0),
        ..client("Alder Bend")
    };
    let problems = book.append_all(vec![client("Beech Row"), broken], key()).await.unwrap_err().problems();
    let told: Vec<_> =
        problems.iter().map(|problem| (problem.code, problem.place.path.as_deref(), problem.place.line)).collect();
    assert_eq!(
        told,
        [
            ("ledger::body", Some("entry[2].body"), Some(2)),
            ("ledger::zero-character", Some("entry[2].reason"), None),
            ("ledger::zero-character", Some("entry[2].title"), None),
            ("ledger::version", Some("entry[2].expected"), None),
        ]
    );
    assert_eq!(book.head().await.unwrap().sequence, 0);
    for name in ["", "  ", "a\0b"] {
        assert!(database.ledger().await.open_account(name).await.is_err());
    }
}

/// What tells nothing is found wherever one looks; a sign of the search in a label is no sign.
async fn what_tells_its_ground_or_its_labels_is_found_by_them(database: &Database) {
    let book = database.book().await;
    let ground = |bounds| geometry::GeoExtent::of_bounds(bounds).unwrap();
    let keep = |title: &str, bounds: Option<[i64; 4]>, labels: Option<&[&str]>| {
        let mut entry = client(title);
        entry.indexed.ground = bounds.map(ground);
        entry.indexed.labels = labels.map(|labels| Labels::new(labels.iter().map(|&label| label.to_owned())));
        entry
    };
    let entries = vec![
        keep("A", Some([0, 0, 10, 10]), Some(&["one", "two"])),
        keep("B", Some([11, 0, 20, 10]), Some(&["t%o", "a\\b"])),
        keep("C", Some([0, 11, 10, 20]), Some(&[])),
        keep("D", None, None),
    ];
    book.append_all(entries, key()).await.unwrap();
    let titles = async |filter: Filter| {
        let all = book.all(&filter).await.unwrap();
        all.into_iter().map(|entry| entry.indexed.title).collect::<String>()
    };
    let near = |bounds| Filter { near: Some(ground(bounds)), ..Filter::default() };
    assert_eq!(titles(near([10, 10, 10, 10])).await, "AD");
    assert_eq!(titles(near([10, 10, 11, 11])).await, "ABCD");
    assert_eq!(titles(near([30, 30, 30, 30])).await, "D");
    let used = |label: &str| Filter { labels: Some(vec![label.to_owned()]), ..Filter::default() };
    assert_eq!(titles(used("two")).await, "AD");
    assert_eq!(titles(used("t%o")).await, "BD");
    assert_eq!(titles(used("a\\b")).await, "BD");
    assert_eq!(titles(used("tw")).await, "D");
    assert_eq!(titles(Filter { labels: Some(Vec::new()), ..Filter::default() }).await, "D");
}
