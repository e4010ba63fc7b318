//! What a second factor promises, the same on both databases.

use crate::access::{WORDS, person};
use crate::support::{Database, moment, on_both};
use ledger::access::{Access, Lifetime, Password, Proof, RecoveryCode, Role, Secret, SignIn, Taken, Token};
use ledger::{AccountId, Ledger};
use sqlx::{AnyConnection, Connection as _};

on_both!(
    a_second_factor_asks_for_nothing_until_it_is_confirmed,
    confirming_ends_every_session_that_was_begun_without_a_code,
    a_code_is_taken_once_on_every_server,
    a_recovery_code_is_taken_once_and_the_others_stay,
    ending_it_ends_codes_and_sessions,
    what_the_database_holds_of_recovery_codes_opens_nothing,
);

const FITS: Taken = Taken::Fits { recovery: false };
const RECOVERED: Taken = Taken::Fits { recovery: true };

async fn mara(database: &Database) -> (Ledger, AccountId, SignIn) {
    let ledger = database.ledger().await;
    let account = ledger.open_account("Reed").await.unwrap();
    let owner = person(&ledger, account, "mara", Role::Owner).await;
    (ledger, account, owner)
}

async fn session(access: &Access, owner: &SignIn, proof: Proof) -> Token {
    access.begin_session(owner.sign_in, proof, Lifetime::default(), moment(0)).await.unwrap()
}

/// A second factor that was confirmed with the code of the first moment.
async fn confirmed(access: &Access, owner: &SignIn) -> (Secret, Vec<RecoveryCode>) {
    let token = session(access, owner, Proof::Password).await;
    let secret = access.begin_second_factor(owner.sign_in, moment(0)).await.unwrap();
    let code = secret.code(moment(0));
    let codes = access.confirm_second_factor(owner.sign_in, &code, &token, moment(0)).await.unwrap().unwrap();
    (secret, codes)
}

async fn a_second_factor_asks_for_nothing_until_it_is_confirmed(database: &Database) {
    let (ledger, _, owner) = mara(database).await;
    let access = ledger.access();
    let found = async || access.check("mara", &Password::typed(WORDS)).await.unwrap().unwrap();
    let token = session(&access, &owner, Proof::Password).await;
    let confirm = async |code: &str| access.confirm_second_factor(owner.sign_in, code, &token, moment(1)).await;
    assert!(confirm("000000").await.unwrap_err().to_string().contains("access::no-second-factor"));
    let first = access.begin_second_factor(owner.sign_in, moment(0)).await.unwrap();
    let second = access.begin_second_factor(owner.sign_in, moment(1)).await.unwrap();
    assert_ne!(first, second);
    assert!(!found().await.second_factor);
    assert_eq!(access.take_code(owner.sign_in, &second.code(moment(1)), moment(1)).await.unwrap(), Taken::No);
    let stands = access.second_factor(owner.sign_in).await.unwrap().unwrap();
    assert_eq!((stands.confirmed, stands.begun_at, stands.recovery_codes), (false, moment(1), 0));

    assert_eq!(confirm(&first.code(moment(1))).await.unwrap(), None, "the first was replaced");
    assert_eq!(confirm(&second.code(moment(1))).await.unwrap().map(|codes| codes.len()), Some(10));
    assert!(found().await.second_factor);
    assert!(access.sign_ins(owner.account).await.unwrap()[0].second_factor);
    for refused in [
        confirm(&second.code(moment(1))).await.unwrap_err(),
        access.begin_second_factor(owner.sign_in, moment(2)).await.unwrap_err(),
    ] {
        assert!(refused.to_string().contains("access::second-factor-present"), "{refused}");
    }
    assert!(access.second_factor(owner.sign_in).await.unwrap().unwrap().confirmed);
}

async fn confirming_ends_every_session_that_was_begun_without_a_code(database: &Database) {
    let (ledger, _, owner) = mara(database).await;
    let access = ledger.access();
    let alive = async |token| access.session(token, Lifetime::default(), moment(1)).await.unwrap();
    let (here, there) =
        (session(&access, &owner, Proof::Password).await, session(&access, &owner, Proof::Password).await);
    let secret = access.begin_second_factor(owner.sign_in, moment(0)).await.unwrap();
    assert!(alive(&here).await.is_some() && alive(&there).await.is_some());
    let code = secret.code(moment(0));
    access.confirm_second_factor(owner.sign_in, &code, &here, moment(0)).await.unwrap().unwrap();
    assert!(alive(&there).await.is_none());
    assert!(alive(&here).await.is_some_and(|session| session.sign_in.second_factor));
    // Someone whose password was checked just before, and whose session begins just after.
    let late = session(&access, &owner, Proof::Password).await;
    assert!(alive(&late).await.is_none());
    let proven = session(&access, &owner, Proof::SecondFactor).await;
    assert!(alive(&proven).await.is_some());
}

async fn a_code_is_taken_once_on_every_server(database: &Database) {
    let (ledger, _, owner) = mara(database).await;
    let (one, two) = (ledger.access(), database.ledger().await.access());
    let (secret, _) = confirmed(&one, &owner).await;
    let take = async |access: &Access, code: &str, at| access.take_code(owner.sign_in, code, at).await.unwrap();
    assert_eq!(take(&one, &secret.code(moment(0)), moment(1)).await, Taken::UsedBefore, "confirmed with it");
    let code = secret.code(moment(60));
    assert_eq!(take(&two, &format!(" {code} "), moment(60)).await, FITS);
    assert_eq!(take(&one, &code, moment(61)).await, Taken::UsedBefore);
    // The step before the last one used is no way round.
    assert_eq!(take(&one, &secret.code(moment(30)), moment(59)).await, Taken::UsedBefore);
    assert_eq!(take(&one, &secret.code(moment(600)), moment(60)).await, Taken::No);
    assert_eq!(take(&one, "000", moment(60)).await, Taken::No);
    let other = person(&ledger, owner.account, "tilda", Role::Planner).await;
    assert_eq!(one.take_code(other.sign_in, &secret.code(moment(90)), moment(90)).await.unwrap(), Taken::No);
    // At once, on two servers: one of them is the first.
    let code = secret.code(moment(120));
    let tries = (0..20).map(|turn| {
        let (access, code) = (if turn % 2 == 0 { one.clone() } else { two.clone() }, code.clone());
        let sign_in = owner.sign_in;
        tokio::spawn(async move { access.take_code(sign_in, &code, moment(120)).await.unwrap() })
    });
    let mut fits = 0;
    for attempt in tries.collect::<Vec<_>>() {
        match attempt.await.unwrap() {
            FITS => fits += 1,
            other => assert_eq!(other, Taken::UsedBefore),
        }
    }
    assert_eq!(fits, 1);
}

async fn a_recovery_code_is_taken_once_and_the_others_stay(database: &Database) {
    let (ledger, _, owner) = mara(database).await;
    let (one, two) = (ledger.access(), database.ledger().await.access());
    let (_, codes) = confirmed(&one, &owner).await;
    let texts: std::collections::BTreeSet<String> = codes.iter().map(RecoveryCode::text).collect();
    assert_eq!(texts.len(), 10);
    let take = async |access: &Access, code: &str| access.take_code(owner.sign_in, code, moment(1)).await.unwrap();
    assert_eq!(take(&one, &codes[3].text()).await, RECOVERED);
    assert_eq!(take(&two, &codes[3].text()).await, Taken::No);
    assert_eq!(take(&two, &codes[4].text().to_uppercase().replace('-', "")).await, RECOVERED);
    assert_eq!(one.second_factor(owner.sign_in).await.unwrap().unwrap().recovery_codes, 8);
    let other = person(&ledger, owner.account, "tilda", Role::Planner).await;
    assert_eq!(one.take_code(other.sign_in, &codes[5].text(), moment(1)).await.unwrap(), Taken::No);
    let tries = (0..20).map(|turn| {
        let (access, code) = (if turn % 2 == 0 { one.clone() } else { two.clone() }, codes[6].text());
        let sign_in = owner.sign_in;
        tokio::spawn(async move { access.take_code(sign_in, &code, moment(1)).await.unwrap() })
    });
    let mut fits = 0;
    for attempt in tries.collect::<Vec<_>>() {
        fits += usize::from(attempt.await.unwrap() == RECOVERED);
    }
    assert_eq!(fits, 1);
}

async fn ending_it_ends_codes_and_sessions(database: &Database) {
    let (ledger, account, owner) = mara(database).await;
    let access = ledger.access();
    let (secret, codes) = confirmed(&access, &owner).await;
    let token = session(&access, &owner, Proof::SecondFactor).await;
    let other = ledger.open_account("Other").await.unwrap();
    let refused = access.end_second_factor(other, owner.sign_in).await.unwrap_err();
    assert!(refused.to_string().contains("access::unknown-sign-in"), "{refused}");
    assert!(access.session(&token, Lifetime::default(), moment(1)).await.unwrap().is_some());

    access.end_second_factor(account, owner.sign_in).await.unwrap();
    assert!(access.session(&token, Lifetime::default(), moment(1)).await.unwrap().is_none());
    assert_eq!(access.second_factor(owner.sign_in).await.unwrap(), None);
    for code in [secret.code(moment(60)), codes[0].text()] {
        assert_eq!(access.take_code(owner.sign_in, &code, moment(60)).await.unwrap(), Taken::No);
    }
    let again = access.end_second_factor(account, owner.sign_in).await.unwrap_err();
    assert!(again.to_string().contains("access::no-second-factor"), "{again}");
    // Another one may be begun, with another secret.
    let (fresh, _) = confirmed(&access, &owner).await;
    assert_ne!(fresh, secret);
}

async fn what_the_database_holds_of_recovery_codes_opens_nothing(database: &Database) {
    let (ledger, _, owner) = mara(database).await;
    let access = ledger.access();
    let (_, codes) = confirmed(&access, &owner).await;
    let mut connection = AnyConnection::connect(&database.url).await.unwrap();
    let kept: Vec<String> =
        sqlx::query_scalar("select code_sha256 from recovery_code").fetch_all(&mut connection).await.unwrap();
    assert_eq!(kept.len(), 10);
    for hash in &kept {
        assert!(codes.iter().all(|code| !hash.contains(&code.text().replace('-', ""))));
        assert_eq!(access.take_code(owner.sign_in, hash, moment(1)).await.unwrap(), Taken::No);
    }
}
