//! A second factor, from outside.

use crate::support::{Client, House, WORDS, refusal, settings};
use data_encoding::BASE32_NOPAD;
use qrcode::QrCode;
use serde_json::{Value, json};
use totp_rs::Builder;

const PATH: &str = "/api/session/second-factor";

/// A phone that makes codes: it knows the secret and nothing of the server.
pub(crate) struct Phone(Vec<u8>);

impl Phone {
    fn of(told: &Value) -> Self {
        let secret = told["secret"].as_str().expect("a secret");
        let address = told["address"].as_str().expect("an address");
        assert!(address.starts_with("otpauth://totp/tussock:") && address.contains(&format!("secret={secret}&")));
        let rows: Vec<&str> =
            told["picture"].as_array().expect("rows").iter().map(|row| row.as_str().expect("a row")).collect();
        let code = QrCode::new(address).expect("a code").to_debug_str('#', '.');
        assert_eq!(rows, code.lines().collect::<Vec<_>>());
        Self(BASE32_NOPAD.decode(secret.as_bytes()).expect("base 32"))
    }

    /// The code so many steps of half a minute from now.
    fn code(&self, steps: i64) -> String {
        let secret: [u8; 20] = self.0.as_slice().try_into().expect("160 bits");
        let at = jiff::Timestamp::now().as_second() + 30 * steps;
        Builder::new().with_secret(secret).build().expect("a phone").generate(at.unsigned_abs()).to_string()
    }
}

/// Begins and confirms a second factor, and gives what makes codes and what stands in for it.
pub(crate) async fn equipped(client: &Client) -> (Phone, Vec<String>) {
    let begun = client.ask("post", PATH, Some(json!({ "password": WORDS }))).await;
    assert_eq!(begun.status(), 201);
    let phone = Phone::of(&begun.json().await.expect("JSON"));
    // The code of the step to come stays unused.
    let confirmed = client.ask("post", &format!("{PATH}/confirmation"), Some(json!({ "code": phone.code(0) }))).await;
    assert_eq!(confirmed.status(), 200);
    let told: Value = confirmed.json().await.expect("JSON");
    let codes = told["recovery_codes"].as_array().expect("codes").iter();
    (phone, codes.map(|code| code.as_str().expect("a code").to_owned()).collect())
}

async fn sign_in(house: &House, password: &str, code: Option<&str>) -> reqwest::Response {
    let credentials = json!({ "name": "reed-owner", "password": password, "code": code });
    house.client().ask("post", "/api/session", Some(credentials)).await
}

async fn trail(house: &House) -> Vec<(String, String)> {
    let owner = house.everybody().await.into_iter().find(|one| one.name == "reed-owner").expect("a sign-in");
    let events = house.running.app().access().audited(owner.account, None, 100).await.expect("a trail");
    events.into_iter().rev().map(|event| (event.event.event, event.event.outcome)).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn signing_in_asks_for_a_code_once_the_password_is_right() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let (phone, recovery) = equipped(&owner).await;
    assert_eq!(recovery.len(), 10);
    let code = phone.code(1);
    // Whoever lacks the password does not learn that there is a second factor.
    for code in [None, Some(code.as_str())] {
        let told = refusal(sign_in(&house, "four small wordz", code).await).await;
        assert_eq!(told, (401, "server::credentials".to_owned()));
    }
    assert_eq!(refusal(sign_in(&house, WORDS, None).await).await, (401, "server::second-factor".to_owned()));
    assert_eq!(sign_in(&house, WORDS, Some(&code)).await.status(), 200);
    let again = refusal(sign_in(&house, WORDS, Some(&code)).await).await;
    assert_eq!(again, (401, "server::second-factor-code".to_owned()));
    assert_eq!(refusal(sign_in(&house, WORDS, Some("no code")).await).await.1, "server::second-factor-code");
    assert_eq!(sign_in(&house, WORDS, Some(&recovery[0])).await.status(), 200);
    assert_eq!(refusal(sign_in(&house, WORDS, Some(&recovery[0])).await).await.1, "server::second-factor-code");

    let stands: Value = owner.ask("get", PATH, None).await.json().await.expect("JSON");
    assert_eq!(stands["confirmed"], true);
    assert_eq!((&stands["recovery_codes"], &stands["wanted"]), (&json!(9), &json!(false)));
    let told = trail(&house).await;
    let of_signing_in: Vec<&str> =
        told.iter().filter(|(event, _)| event == "sign in").map(|(_, outcome)| outcome.as_str()).collect();
    assert_eq!(
        of_signing_in,
        [
            "refused",
            "refused",
            "code wanted",
            "done",
            "code used before",
            "code refused",
            "done with a recovery code",
            "code refused"
        ]
    );
    let of_factor: Vec<&(String, String)> = told.iter().filter(|(event, _)| event.contains("second factor")).collect();
    assert_eq!(
        of_factor,
        [
            &("begin second factor".to_owned(), "done".to_owned()),
            &("confirm second factor".to_owned(), "done".to_owned())
        ]
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_right_password_buys_no_guesses_at_codes() {
    let house = House::of_a_company(|_| ()).await;
    equipped(&house.signed_in("reed-owner").await).await;
    // Being asked for a code between the guesses neither counts as one nor forgets any.
    for turn in 0..5 {
        assert_eq!(refusal(sign_in(&house, WORDS, None).await).await, (401, "server::second-factor".to_owned()));
        let told = refusal(sign_in(&house, WORDS, Some("000000")).await).await;
        assert_eq!(told, (401, "server::second-factor-code".to_owned()), "{turn}");
    }
    let waits = sign_in(&house, WORDS, Some("000001")).await;
    assert_eq!(refusal(waits).await, (429, "server::attempts".to_owned()));
}

/// Whoever holds a session and the password, and not the phone, has no other way to unbounded guesses either.
#[tokio::test(flavor = "multi_thread")]
async fn a_right_password_inside_buys_no_guesses_at_codes() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    equipped(&owner).await;
    let end = json!({ "password": WORDS, "code": "000000" });
    for turn in 0..5 {
        let told = refusal(owner.ask("post", &format!("{PATH}/end"), Some(end.clone())).await).await;
        assert_eq!(told, (403, "server::second-factor-code".to_owned()), "{turn}");
        if turn < 4 {
            let begin = owner.ask("post", PATH, Some(json!({ "password": WORDS }))).await;
            assert_eq!(refusal(begin).await, (409, "access::second-factor-present".to_owned()));
            let short = json!({ "password": WORDS, "new_password": "short" });
            let short = owner.ask("put", "/api/session/password", Some(short)).await;
            assert_eq!(refusal(short).await, (422, "access::password-length".to_owned()));
        }
    }
    let waits = owner.ask("post", &format!("{PATH}/end"), Some(end)).await;
    assert_eq!(refusal(waits).await, (429, "server::attempts".to_owned()));
}

/// An office signs in from one address, all day: the page asks for the password first and for the code then.
#[tokio::test(flavor = "multi_thread")]
async fn forty_good_sign_ins_from_one_address_make_nobody_wait() {
    let house = House::of_a_company(|_| ()).await;
    let mut signed_in = 0;
    for name in ["reed-owner", "reed-planner", "reed-technician", "reed-client"] {
        // Ten recovery codes each: a code of the phone is taken once in half a minute.
        let (_, codes) = equipped(&house.signed_in(name).await).await;
        for code in codes {
            let step = async |code: Option<&str>| {
                let credentials = json!({ "name": name, "password": WORDS, "code": code });
                house.client().ask("post", "/api/session", Some(credentials)).await
            };
            let told = refusal(step(None).await).await;
            assert_eq!(told, (401, "server::second-factor".to_owned()), "after {signed_in}");
            assert_eq!(step(Some(&code)).await.status(), 200, "after {signed_in}");
            signed_in += 1;
        }
    }
    assert_eq!(signed_in, 40);
}

/// What looks at no password and no code is no attempt.
#[tokio::test(flavor = "multi_thread")]
async fn where_there_is_no_second_factor_asking_for_its_end_counts_for_nothing() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    for turn in 0..7 {
        let end = json!({ "password": WORDS, "code": "000000" });
        let told = refusal(owner.ask("post", &format!("{PATH}/end"), Some(end)).await).await;
        assert_eq!(told, (409, "access::no-second-factor".to_owned()), "{turn}");
        let confirm = owner.ask("post", &format!("{PATH}/confirmation"), Some(json!({ "code": "000000" }))).await;
        assert_eq!(refusal(confirm).await, (409, "access::no-second-factor".to_owned()), "{turn}");
    }
    assert_eq!(sign_in(&house, WORDS, None).await.status(), 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn beginning_asks_for_the_password_and_confirming_for_a_code() {
    let house = House::of_a_company(|_| ()).await;
    let planner = house.signed_in("reed-planner").await;
    let elsewhere = house.signed_in("reed-planner").await;
    let ask = async |path: &str, body: Value| refusal(planner.ask("post", path, Some(body)).await).await;
    let confirmation = format!("{PATH}/confirmation");
    let nothing = ask(&confirmation, json!({ "code": "000000" })).await;
    assert_eq!(nothing, (409, "access::no-second-factor".to_owned()));
    let wrong = ask(PATH, json!({ "password": "four small wordz" })).await;
    assert_eq!(wrong, (403, "server::credentials".to_owned()));
    let begun = planner.ask("post", PATH, Some(json!({ "password": WORDS }))).await;
    assert_eq!(begun.status(), 201);
    let wrong = ask(&confirmation, json!({ "code": "none" })).await;
    assert_eq!(wrong, (403, "server::second-factor-code".to_owned()));
    let stands: Value = planner.ask("get", PATH, None).await.json().await.expect("JSON");
    assert_eq!((&stands["confirmed"], &stands["recovery_codes"]), (&json!(false), &json!(0)));
    assert_eq!(elsewhere.ask("get", "/api/session", None).await.status(), 200);
    equipped(&planner).await;
    let told: Value = planner.ask("get", "/api/session", None).await.json().await.expect("JSON");
    assert_eq!((&told["second_factor"], &told["second_factor_wanted"]), (&json!(true), &json!(false)));
    assert_eq!(elsewhere.ask("get", "/api/session", None).await.status(), 401, "begun without a code");
    assert_eq!(ask(PATH, json!({ "password": WORDS })).await, (409, "access::second-factor-present".to_owned()));

    let home = House::at_home().await;
    let told = refusal(home.client().ask("post", PATH, Some(json!({ "password": WORDS }))).await).await;
    assert_eq!(told, (409, "server::no-sign-in".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn ending_ones_own_asks_for_password_and_code() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let end = async |password: &str, code: &str| {
        owner.ask("post", &format!("{PATH}/end"), Some(json!({ "password": password, "code": code }))).await
    };
    assert_eq!(refusal(end(WORDS, "000000").await).await, (409, "access::no-second-factor".to_owned()));
    let (phone, _) = equipped(&owner).await;
    let code = phone.code(1);
    assert_eq!(refusal(end("four small wordz", &code).await).await, (403, "server::credentials".to_owned()));
    assert_eq!(refusal(end(WORDS, "none").await).await, (403, "server::second-factor-code".to_owned()));
    // An owner's own does not end without the code, either.
    let own = house.everybody().await.into_iter().find(|one| one.name == "reed-owner").expect("a sign-in").sign_in;
    let told = refusal(owner.ask("delete", &format!("/api/sign-ins/{own}/second-factor"), None).await).await;
    assert_eq!(told, (409, "server::own-second-factor".to_owned()));
    assert_eq!(end(WORDS, &code).await.status(), 204);
    assert_eq!(owner.ask("get", "/api/session", None).await.status(), 401);
    assert_eq!(sign_in(&house, WORDS, None).await.status(), 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_owner_ends_it_for_who_lost_the_phone() {
    let house = House::of_a_company(|_| ()).await;
    let (owner, planner) = (house.signed_in("reed-owner").await, house.signed_in("reed-planner").await);
    let lost = house.everybody().await.into_iter().find(|one| one.name == "reed-planner").expect("a sign-in").sign_in;
    let path = format!("/api/sign-ins/{lost}/second-factor");
    let none = refusal(owner.ask("delete", &path, None).await).await;
    assert_eq!(none, (409, "access::no-second-factor".to_owned()));
    equipped(&planner).await;
    let listed: Value = owner.ask("get", &format!("/api/sign-ins/{lost}"), None).await.json().await.expect("JSON");
    assert_eq!(listed["second_factor"], true);
    let stranger = house.signed_in("other-owner").await;
    assert_eq!(refusal(stranger.ask("delete", &path, None).await).await, (404, "server::nothing-there".to_owned()));
    assert_eq!(planner.ask("get", "/api/session", None).await.status(), 200);
    assert_eq!(owner.ask("delete", &path, None).await.status(), 204);
    assert_eq!(planner.ask("get", "/api/session", None).await.status(), 401, "every session ends");
    let credentials = json!({ "name": "reed-planner", "password": WORDS });
    assert_eq!(house.client().ask("post", "/api/session", Some(credentials)).await.status(), 200);
    let told = trail(&house).await;
    assert!(told.contains(&(format!("end the second factor of sign-in {lost}"), "done".to_owned())), "{told:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn where_it_is_required_an_owner_reaches_nothing_before() {
    let house = House::of_a_company(|settings| settings.require_second_factor = true).await;
    let owner = house.signed_in("reed-owner").await;
    let told: Value = owner.ask("get", "/api/session", None).await.json().await.expect("JSON");
    assert_eq!((&told["second_factor"], &told["second_factor_wanted"]), (&json!(false), &json!(true)));
    for path in ["/api/sign-ins", "/api/audit", "/api/clients", "/api/records", "/metrics"] {
        let told = refusal(owner.ask("get", path, None).await).await;
        assert_eq!(told, (403, "server::second-factor-wanted".to_owned()), "{path}");
    }
    let planner = house.signed_in("reed-planner").await;
    assert_eq!(planner.ask("get", "/api/clients", None).await.status(), 200, "asked of owners alone");
    equipped(&owner).await;
    for path in ["/api/sign-ins", "/api/audit", "/api/clients"] {
        assert_eq!(owner.ask("get", path, None).await.status(), 200, "{path}");
    }
    // Where nobody signs in, nobody can be asked: that is told, not passed over.
    let folder = tempfile::tempdir().expect("a folder");
    let open = server::Settings { require_second_factor: true, ..settings(&folder) };
    let told = server::serve(open).await.expect_err("refused");
    assert_eq!(told.iter().map(|one| one.code).collect::<Vec<_>>(), ["server::second-factor-without-sign-in"]);
}
