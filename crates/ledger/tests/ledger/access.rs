//! What the door promises, the same on both databases.

use crate::support::{Database, moment, on_both};
use jiff::{SignedDuration, Timestamp};
use ledger::access::{Access, Attempt, Event, Lifetime, NewSignIn, Password, Proof, Role, SignIn, Tried};
use ledger::{AccountId, Ledger, ThingId};
use sqlx::{AnyConnection, Connection as _};

on_both!(
    a_sign_in_opens_with_its_password_only,
    a_session_ends_by_rest_by_age_by_signing_out_and_by_a_new_password,
    a_technician_rests_longer_unless_the_rest_is_set_for_everybody,
    failures_make_the_next_attempt_wait_on_every_server,
    what_was_no_failure_leaves_name_and_address_as_they_were,
    the_audit_trail_is_appended_to_and_nothing_else,
    the_last_owner_cannot_be_locked_out,
    another_role_ends_the_sessions_and_leaves_an_owner,
    open_sessions_are_told_and_ended_by_owner_and_person,
    what_the_database_holds_opens_nothing,
    another_account_is_not_reached,
);

pub(crate) const WORDS: &str = "four small words";

pub(crate) async fn person(ledger: &Ledger, account: AccountId, name: &str, role: Role) -> SignIn {
    let client = (role == Role::Client).then(ThingId::fresh);
    let password = Password::choose(WORDS, &[name]).unwrap();
    let new = NewSignIn { name: name.to_owned(), account, role, client, password };
    ledger.access().make_sign_in(new, moment(0)).await.unwrap()
}

async fn a_sign_in_opens_with_its_password_only(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    assert!(!access.has_owner().await.unwrap());
    let owner = person(&ledger, account, "mara", Role::Owner).await;
    let client = person(&ledger, account, "tilda", Role::Client).await;
    assert!(access.has_owner().await.unwrap());
    assert_eq!(access.check("mara", &Password::typed(WORDS)).await.unwrap(), Some(owner.clone()));
    assert_eq!(access.check("mara", &Password::typed("four small wordz")).await.unwrap(), None);
    assert_eq!(access.check("nobody", &Password::typed(WORDS)).await.unwrap(), None);
    assert_eq!(access.sign_ins(account).await.unwrap(), [owner.clone(), client.clone()]);
    access.set_disabled(account, client.sign_in, true).await.unwrap();
    assert_eq!(access.check("tilda", &Password::typed(WORDS)).await.unwrap(), None);

    let password = Password::choose(WORDS, &[]).unwrap();
    let again = NewSignIn { name: "mara".into(), account, role: Role::Planner, client: None, password };
    let taken = access.make_sign_in(again.clone(), moment(0)).await.unwrap_err();
    assert!(taken.to_string().contains("access::name-taken"));
    let linked = NewSignIn { name: String::new(), client: Some(ThingId::fresh()), ..again };
    assert_eq!(access.make_sign_in(linked, moment(0)).await.unwrap_err().problems().len(), 2);
}

async fn a_session_ends_by_rest_by_age_by_signing_out_and_by_a_new_password(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let owner = person(&ledger, account, "mara", Role::Owner).await;
    let lifetime = Lifetime::default();
    let alive = async |token: &_, at: Timestamp| access.session(token, lifetime, at).await.unwrap().is_some();

    let token = access.begin_session(owner.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
    assert!(alive(&token, moment(1799)).await);
    // Use holds it alive, on another server too, but not beyond twelve hours.
    let other = database.ledger().await;
    assert!(other.access().session(&token, lifetime, moment(3500)).await.unwrap().is_some());
    assert!(!alive(&token, moment(3500 + 1801)).await);
    for half_hour in 2..=24 {
        let at = moment(half_hour * 1799);
        assert!(alive(&token, at).await, "half hour {half_hour}");
    }
    assert!(!alive(&token, moment(12 * 3600 + 1)).await);

    let token = access.begin_session(owner.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
    access.end_session(&token).await.unwrap();
    assert!(!alive(&token, moment(1)).await);

    let token = access.begin_session(owner.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
    let password = Password::choose("other small words", &[]).unwrap();
    access.set_password(account, owner.sign_in, password).await.unwrap();
    assert!(!alive(&token, moment(1)).await);
    assert_eq!(access.check("mara", &Password::typed(WORDS)).await.unwrap(), None);

    let client = person(&ledger, account, "tilda", Role::Client).await;
    let token = access.begin_session(client.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
    assert!(alive(&token, moment(1)).await);
    access.set_disabled(account, client.sign_in, true).await.unwrap();
    assert!(!alive(&token, moment(1)).await);
    access.set_disabled(account, client.sign_in, false).await.unwrap();
    assert!(!alive(&token, moment(1)).await, "an old session does not come back");
}

async fn a_technician_rests_longer_unless_the_rest_is_set_for_everybody(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    for (role, rests) in [(Role::Owner, 1800), (Role::Planner, 1800), (Role::Technician, 3600), (Role::Client, 1800)] {
        let person = person(&ledger, account, role.word(), role).await;
        for (lifetime, rest) in [(Lifetime::default(), rests), (Lifetime::resting(SignedDuration::from_mins(10)), 600)]
        {
            let token = access.begin_session(person.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
            // Others who sign in meanwhile clear away what is over, and nothing else.
            access.begin_session(person.sign_in, Proof::Password, lifetime, moment(rest)).await.unwrap();
            let alive = async |at| access.session(&token, lifetime, at).await.unwrap().is_some();
            assert!(!alive(moment(rest + 1)).await, "{role:?}");
            assert!(alive(moment(rest)).await, "{role:?}");
        }
    }
}

/// How long an attempt has to wait; nothing where it is made, and counted.
async fn waits(server: &Access, name: &str, address: &str, second: i64) -> Option<SignedDuration> {
    match server.try_attempt(name, address, moment(second)).await.unwrap() {
        Tried::Wait(wait) => Some(wait),
        Tried::Counted(_) => None,
    }
}

async fn counted(server: &Access, name: &str, address: &str, second: i64) -> Attempt {
    match server.try_attempt(name, address, moment(second)).await.unwrap() {
        Tried::Counted(attempt) => attempt,
        Tried::Wait(wait) => panic!("{name} from {address} waits {wait}"),
    }
}

async fn failures_make_the_next_attempt_wait_on_every_server(database: &Database) {
    let (one, two) = (database.ledger().await.access(), database.ledger().await.access());
    for second in 0..5 {
        let server = if second % 2 == 0 { &one } else { &two };
        assert_eq!(waits(server, "mara", "192.0.2.1", second).await, None);
    }
    let wait = waits(&two, "mara", "192.0.2.9", 4).await;
    assert_eq!(wait, Some(SignedDuration::from_secs(1)), "whatever the address");
    let attempt = counted(&one, "mara", "192.0.2.1", 5).await;
    assert_eq!(waits(&one, "mara", "192.0.2.1", 6).await, Some(SignedDuration::from_secs(1)));
    assert_eq!(waits(&one, "tilda", "192.0.2.1", 6).await, None, "another name from there");
    one.forgive(attempt).await.unwrap();
    assert_eq!(waits(&two, "mara", "192.0.2.1", 6).await, None);
    // An address that tries name after name waits too.
    for name in 0..30 {
        waits(&one, &format!("name {name}"), "192.0.2.7", 7).await;
    }
    assert!(waits(&two, "fresh", "192.0.2.7", 7).await.is_some());
    // At once, no more than are free get through.
    let tries = (0..20).map(|_| {
        let server = one.clone();
        tokio::spawn(async move { waits(&server, "all at once", "192.0.2.8", 8).await })
    });
    let mut through = 0;
    for attempt in tries.collect::<Vec<_>>() {
        through += usize::from(attempt.await.unwrap().is_none());
    }
    assert_eq!(through, 5);
}

async fn what_was_no_failure_leaves_name_and_address_as_they_were(database: &Database) {
    let access = database.ledger().await.access();
    let office = "192.0.2.20";
    // Somebody there failed as often as costs nothing, once less.
    for second in 0..19 {
        waits(&access, &format!("slip {second}"), office, second).await;
    }
    for name in 0..50 {
        // Both steps of the page within a second: nobody waits, and nobody's wait grows.
        let name = format!("name {name}");
        let attempt = counted(&access, &name, office, 20).await;
        access.take_back(attempt).await.unwrap();
        let attempt = counted(&access, &name, office, 20).await;
        access.forgive(attempt).await.unwrap();
    }
    assert_eq!(waits(&access, "last free", office, 21).await, None);
    assert_eq!(waits(&access, "too many", office, 21).await, Some(SignedDuration::from_secs(1)));

    // A right password before a guess neither adds to the wait nor takes from it.
    for second in 100..105 {
        let _ = counted(&access, "mara", "192.0.2.21", second).await;
    }
    let attempt = counted(&access, "mara", "192.0.2.22", 106).await;
    access.take_back(attempt).await.unwrap();
    let guess = counted(&access, "mara", "192.0.2.22", 106).await;
    assert_eq!(waits(&access, "mara", "192.0.2.22", 106).await, Some(SignedDuration::from_secs(2)));
    access.take_back(guess).await.unwrap();
    let attempt = counted(&access, "mara", "192.0.2.22", 106).await;
    access.forgive(attempt).await.unwrap();
    for second in 107..112 {
        assert_eq!(waits(&access, "mara", "192.0.2.22", second).await, None, "forgotten");
    }
}

async fn the_audit_trail_is_appended_to_and_nothing_else(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let event = |second| Event {
        at: moment(second),
        account: Some(account),
        sign_in: None,
        name: "mara".into(),
        address: "192.0.2.1".into(),
        event: format!("event {second}"),
        outcome: "done".into(),
        request: "r".into(),
    };
    for second in 0..5 {
        access.audit(&event(second)).await.unwrap();
    }
    let newest = access.audited(account, None, 2).await.unwrap();
    assert_eq!([&newest[0].event, &newest[1].event], [&event(4), &event(3)]);
    let older = access.audited(account, Some(newest[1].number), 10).await.unwrap();
    assert_eq!(older.iter().map(|one| one.event.event.as_str()).collect::<Vec<_>>(), ["event 2", "event 1", "event 0"]);
    let other = ledger.open_account("Other").await.unwrap();
    assert_eq!(access.audited(other, None, 10).await.unwrap(), []);
    let mut connection = AnyConnection::connect(&database.url).await.unwrap();
    for sql in ["update audit set name = 'x'", "delete from audit"] {
        assert!(sqlx::raw_sql(sql).execute(&mut connection).await.is_err(), "{sql}");
    }
}

async fn the_last_owner_cannot_be_locked_out(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let first = person(&ledger, account, "mara", Role::Owner).await;
    let told = access.set_disabled(account, first.sign_in, true).await.unwrap_err();
    assert!(told.to_string().contains("access::last-owner"));
    let second = person(&ledger, account, "tilda", Role::Owner).await;
    access.set_disabled(account, first.sign_in, true).await.unwrap();
    assert!(access.set_disabled(account, second.sign_in, true).await.is_err());
}

async fn another_role_ends_the_sessions_and_leaves_an_owner(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let other = ledger.open_account("Other").await.unwrap();
    let first = person(&ledger, account, "mara", Role::Owner).await;
    let second = person(&ledger, account, "tilda", Role::Technician).await;
    let code = |error: ledger::LedgerError| error.problems().iter().map(|problem| problem.code).collect::<Vec<_>>();
    let set = async |account: AccountId, one: &SignIn, role: Role, client: Option<ThingId>| {
        let told = |before: &SignIn| Event {
            at: moment(0),
            account: Some(account),
            sign_in: None,
            name: "mara".into(),
            address: "192.0.2.1".into(),
            event: format!("{} {} to {}", before.name, before.role.word(), role.word()),
            outcome: "done".into(),
            request: "r".into(),
        };
        access.set_role(account, one.sign_in, role, client, told).await
    };
    let told = set(account, &first, Role::Planner, None).await.unwrap_err();
    assert_eq!(code(told), ["access::last-owner"]);
    set(account, &first, Role::Owner, None).await.unwrap();
    for (role, client) in [(Role::Client, None), (Role::Planner, Some(ThingId::fresh()))] {
        assert_eq!(code(set(account, &second, role, client).await.unwrap_err()), ["access::client-link"]);
    }
    assert_eq!(code(set(other, &second, Role::Owner, None).await.unwrap_err()), ["access::unknown-sign-in"]);

    let lifetime = Lifetime::default();
    let token = access.begin_session(second.sign_in, Proof::Password, lifetime, moment(0)).await.unwrap();
    set(account, &second, Role::Owner, None).await.unwrap();
    assert!(access.session(&token, lifetime, moment(1)).await.unwrap().is_none());
    // With another owner the first may step back; a closed one counts for none.
    set(account, &first, Role::Planner, None).await.unwrap();
    set(account, &first, Role::Owner, None).await.unwrap();
    access.set_disabled(account, first.sign_in, true).await.unwrap();
    let house = ThingId::fresh();
    assert_eq!(code(set(account, &second, Role::Client, Some(house)).await.unwrap_err()), ["access::last-owner"]);
    access.set_disabled(account, first.sign_in, false).await.unwrap();
    set(account, &second, Role::Client, Some(house)).await.unwrap();
    let now = access.sign_in(account, second.sign_in).await.unwrap().unwrap();
    assert_eq!((now.role, now.client), (Role::Client, Some(house)));
    // The trail holds what was done, each by what stood before, and nothing of what was refused.
    let trail = access.audited(account, None, 100).await.unwrap();
    let events: Vec<&str> = trail.iter().rev().map(|one| one.event.event.as_str()).collect();
    assert_eq!(
        events,
        [
            "mara owner to owner",
            "tilda technician to owner",
            "mara owner to planner",
            "mara planner to owner",
            "tilda owner to client",
        ]
    );
    assert_eq!(access.audited(other, None, 100).await.unwrap(), []);
}

async fn open_sessions_are_told_and_ended_by_owner_and_person(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let other = ledger.open_account("Other").await.unwrap();
    let mara = person(&ledger, account, "mara", Role::Owner).await;
    let tilda = person(&ledger, account, "tilda", Role::Technician).await;
    let lifetime = Lifetime::default();
    let begin = async |one: &SignIn, at| access.begin_session(one.sign_in, Proof::Password, lifetime, moment(at)).await;
    let open = async |at| access.open_sessions(account, lifetime, moment(at)).await.unwrap();
    let hers = begin(&mara, 0).await.unwrap();
    let phone = begin(&tilda, 10).await.unwrap();
    let laptop = begin(&tilda, 20).await.unwrap();
    let told = open(30).await;
    assert_eq!(told.iter().map(|one| one.began_at).collect::<Vec<_>>(), [moment(0), moment(10), moment(20)]);
    assert!(told[1].is_of(&phone) && !told[1].is_of(&laptop) && told[1].sign_in == tilda.sign_in);
    assert_eq!(access.open_sessions(other, lifetime, moment(30)).await.unwrap(), []);
    // A rest too long for an owner is none for a technician.
    access.session(&phone, lifetime, moment(1000)).await.unwrap();
    let told = open(1801).await;
    assert_eq!(told.iter().map(|one| one.seen_at).collect::<Vec<_>>(), [moment(1000), moment(20)]);

    access.end_other_sessions(tilda.sign_in, &phone).await.unwrap();
    assert_eq!(open(1801).await.len(), 1);
    assert!(access.session(&phone, lifetime, moment(1801)).await.unwrap().is_some());
    assert!(access.session(&laptop, lifetime, moment(1801)).await.unwrap().is_none());
    assert!(access.session(&hers, lifetime, moment(1800)).await.unwrap().is_some(), "another person's goes on");
    let told = access.end_sessions(other, tilda.sign_in).await.unwrap_err();
    assert!(told.to_string().contains("access::unknown-sign-in"));
    assert!(access.session(&phone, lifetime, moment(1801)).await.unwrap().is_some());
    access.end_sessions(account, tilda.sign_in).await.unwrap();
    assert!(access.session(&phone, lifetime, moment(1801)).await.unwrap().is_none());
}

async fn what_the_database_holds_opens_nothing(database: &Database) {
    let ledger = database.ledger().await;
    let account = ledger.open_account("Reed").await.unwrap();
    let owner = person(&ledger, account, "mara", Role::Owner).await;
    let token =
        ledger.access().begin_session(owner.sign_in, Proof::Password, Lifetime::default(), moment(0)).await.unwrap();
    let mut connection = AnyConnection::connect(&database.url).await.unwrap();
    let hash: String =
        sqlx::query_scalar("select password_hash from sign_in").fetch_one(&mut connection).await.unwrap();
    let kept: String = sqlx::query_scalar("select token_sha256 from session").fetch_one(&mut connection).await.unwrap();
    assert!(hash.starts_with("$argon2id$") && !hash.contains(WORDS));
    assert_ne!(kept, token.text());
    let stolen = ledger::access::Token::parse(&kept).unwrap();
    assert!(ledger.access().session(&stolen, Lifetime::default(), moment(1)).await.unwrap().is_none());
}

async fn another_account_is_not_reached(database: &Database) {
    let ledger = database.ledger().await;
    let access = ledger.access();
    let account = ledger.open_account("Reed").await.unwrap();
    let other = ledger.open_account("Other").await.unwrap();
    let theirs = person(&ledger, other, "tilda", Role::Planner).await;
    assert_eq!(access.sign_in(account, theirs.sign_in).await.unwrap(), None);
    assert!(access.set_disabled(account, theirs.sign_in, true).await.is_err());
    let password = Password::choose("other small words", &[]).unwrap();
    assert!(access.set_password(account, theirs.sign_in, password).await.is_err());
    assert_eq!(access.check("tilda", &Password::typed(WORDS)).await.unwrap(), Some(theirs));
}
