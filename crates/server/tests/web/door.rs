//! Signing in and out.

use crate::support::{Client, House, WORDS, person, refusal, settings};
use ledger::Ledger;
use ledger::access::Role;
use serde_json::{Value, json};
use server::{Settings, Transport};
use std::net::SocketAddr;

#[tokio::test(flavor = "multi_thread")]
async fn on_loopback_whoever_asks_is_the_owner() {
    let house = House::at_home().await;
    let told: Value = house.client().ask("get", "/api/session", None).await.json().await.expect("JSON");
    assert_eq!((told["role"].as_str(), &told["form_token"]), (Some("owner"), &Value::Null));
    let credentials = json!({ "name": "a", "password": "b" });
    assert_eq!(refusal(house.client().ask("post", "/api/session", Some(credentials)).await).await.0, 409);
}

#[tokio::test(flavor = "multi_thread")]
async fn elsewhere_it_does_not_start_without_tls_and_an_owner() {
    let folder = tempfile::tempdir().expect("a folder");
    let open = Settings { address: SocketAddr::from(([0, 0, 0, 0], 0)), ..settings(&folder) };
    let codes = |problems: problem::Problems| problems.iter().map(|problem| problem.code).collect::<Vec<_>>();
    let told = server::serve(open.clone()).await.expect_err("refused");
    assert!(told.iter().all(|problem| problem.mend.is_some()));
    assert_eq!(codes(told), ["server::no-tls", "server::no-owner"]);
    let authority = Transport::Authority(folder.path().join("authority"));
    let told = server::serve(Settings { transport: authority.clone(), ..open.clone() }).await.expect_err("refused");
    assert_eq!(codes(told), ["server::no-owner"]);
    let ledger = Ledger::open(&open.location).await.expect("a ledger");
    person(&ledger, "reed", Role::Owner).await;
    ledger.close().await;
    assert_eq!(codes(server::serve(open.clone()).await.expect_err("refused")), ["server::no-tls"]);
    server::serve(Settings { transport: authority, ..open }).await.expect("a server").stop().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_session_lives_in_a_cookie_that_scripts_and_other_sites_do_not_get() {
    let house = House::of_a_company(|_| ()).await;
    let mut client = house.client();
    let credentials = json!({ "name": "reed-planner", "password": WORDS });
    let response = client.ask("post", "/api/session", Some(credentials)).await;
    assert_eq!(response.status(), 200);
    let cookie = response.headers()["set-cookie"].to_str().expect("text").to_owned();
    for part in ["__Host-tussock-session=", "; Secure", "; HttpOnly", "; SameSite=Strict", "; Path=/"] {
        assert!(cookie.contains(part), "{part} in {cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    let token = cookie.split(['=', ';']).nth(1).expect("a token").to_owned();
    let told: Value = response.json().await.expect("JSON");
    assert_eq!(told["role"], "planner");
    client.session = Some((token, told["form_token"].as_str().expect("a token").to_owned()));
    assert_eq!(client.ask("get", "/api/session", None).await.status(), 200);
    assert_eq!(client.ask("delete", "/api/session", None).await.status(), 204);
    assert_eq!(refusal(client.ask("get", "/api/session", None).await).await.0, 401);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_password_and_an_unknown_name_are_told_alike_and_then_made_to_wait() {
    let house = House::of_a_company(|_| ()).await;
    let client = house.client();
    let attempt = async |name: &str, password: &str| {
        client.ask("post", "/api/session", Some(json!({ "name": name, "password": password }))).await
    };
    let wrong = attempt("reed-owner", "four small wordz").await;
    let unknown = attempt("nobody", WORDS).await;
    assert_eq!(
        (wrong.status(), unknown.status()),
        (reqwest::StatusCode::UNAUTHORIZED, reqwest::StatusCode::UNAUTHORIZED)
    );
    assert_eq!(wrong.text().await.expect("text"), unknown.text().await.expect("text"));
    for _ in 0..4 {
        assert_eq!(attempt("reed-owner", "four small wordz").await.status(), 401);
    }
    let app = house.running.app();
    for _ in 0..6 {
        // Without the wait between them, as if several servers were asked.
        let _ =
            app.access().try_attempt("reed-owner", "192.0.2.1", app.now() + jiff::SignedDuration::from_mins(30)).await;
    }
    let waits = attempt("reed-owner", WORDS).await;
    assert!(waits.headers().contains_key("retry-after"));
    assert_eq!(refusal(waits).await, (429, "server::attempts".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_password_ends_every_session_and_asks_for_the_old_one() {
    let house = House::of_a_company(|_| ()).await;
    let (one, two) = (house.signed_in("reed-client").await, house.signed_in("reed-client").await);
    let change = |old: &str, new: &str| Some(json!({ "password": old, "new_password": new }));
    let path = "/api/session/password";
    assert_eq!(refusal(one.ask("put", path, change("wrong words here", "other small words")).await).await.0, 403);
    // Nor is it got round by an owner, who sets the passwords of others.
    let owner = house.signed_in("reed-owner").await;
    let own = house.everybody().await.into_iter().find(|one| one.name == "reed-owner").expect("a sign-in").sign_in;
    let set = Some(json!({ "password": "other small words" }));
    let told = refusal(owner.ask("put", &format!("/api/sign-ins/{own}/password"), set).await).await;
    assert_eq!(told, (409, "server::own-password".to_owned()));
    assert_eq!(owner.ask("get", "/api/session", None).await.status(), 200, "and no session ends");
    let short = refusal(one.ask("put", path, change(WORDS, "short")).await).await;
    assert_eq!(short, (422, "access::password-length".to_owned()));
    assert_eq!(one.ask("put", path, change(WORDS, "other small words")).await.status(), 204);
    for client in [one, two] {
        assert_eq!(client.ask("get", "/api/session", None).await.status(), 401);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_owner_keeps_the_sign_ins_and_the_trail_tells_it() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let order = |role: &str| json!({ "name": "newcomer", "role": role, "password": WORDS });
    let told = refusal(owner.ask("post", "/api/sign-ins", Some(order("king"))).await).await;
    assert_eq!(told, (422, "access::role".to_owned()));
    let made = owner.ask("post", "/api/sign-ins", Some(order("technician"))).await;
    assert_eq!(made.status(), 201);
    let made: Value = made.json().await.expect("JSON");
    let path = format!("/api/sign-ins/{}", made["sign_in"].as_str().expect("a name"));
    let newcomer = house.signed_in("newcomer").await;
    assert_eq!(owner.ask("patch", &path, Some(json!({ "disabled": true }))).await.status(), 204);
    assert_eq!(newcomer.ask("get", "/api/session", None).await.status(), 401);
    let page: Value = owner.ask("get", "/api/audit?limit=1", None).await.json().await.expect("JSON");
    assert!(page["entries"][0]["event"].as_str().expect("a text").starts_with("close sign-in"));
    let next = page["next"].as_str().expect("a next page");
    let page: Value =
        owner.ask("get", &format!("/api/audit?limit=1&after={next}"), None).await.json().await.expect("JSON");
    let event = &page["entries"][0];
    assert!(event["event"].as_str().expect("a text").starts_with("make sign-in"), "{event}");
    assert_eq!((event["name"].as_str(), event["address"].as_str()), (Some("reed-owner"), Some("127.0.0.1")));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_owner_gives_another_role_and_a_client_one_that_is_kept() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let of = async |name: &str| house.everybody().await.into_iter().find(|one| one.name == name).expect("a sign-in");
    let path = format!("/api/sign-ins/{}/role", of("reed-technician").await.sign_in);
    let give = async |body: Value| owner.ask("put", &path, Some(body)).await;
    let nobody = "01890000-0000-7000-8000-000000000000";
    for (body, code) in [
        (json!({ "role": "king" }), "access::role"),
        (json!({ "role": "client" }), "access::client-link"),
        (json!({ "role": "client", "client": "x" }), "ledger::thing-name"),
        (json!({ "role": "client", "client": nobody }), "server::unknown-client"),
    ] {
        assert_eq!(refusal(give(body.clone()).await).await, (422, code.to_owned()), "{body}");
    }
    let order = json!({ "name": "newcomer", "role": "client", "client": nobody, "password": WORDS });
    let told = refusal(owner.ask("post", "/api/sign-ins", Some(order)).await).await;
    assert_eq!(told, (422, "server::unknown-client".to_owned()));

    let technician = house.signed_in("reed-technician").await;
    let demo = async |client: &Client| {
        let request = client.request("post", "/api/demo").header("idempotency-key", "demo");
        request.send().await.expect("an answer").status().as_u16()
    };
    assert_eq!(demo(&technician).await, 403);
    assert_eq!(give(json!({ "role": "planner" })).await.status(), 204);
    assert_eq!(technician.ask("get", "/api/session", None).await.status(), 401, "what a session reached has changed");
    let planner = house.signed_in("reed-technician").await;
    assert_eq!(demo(&planner).await, 201);
    let page: Value = owner.ask("get", "/api/audit?limit=1", None).await.json().await.expect("JSON");
    let event = page["entries"][0]["event"].as_str().expect("a text").to_owned();
    let changed = of("reed-technician").await.sign_in;
    assert_eq!(event, format!("give sign-in {changed} the role planner in the stead of technician"));
    let clients: Value = owner.ask("get", "/api/clients", None).await.json().await.expect("JSON");
    let kept = clients["entries"][0]["thing"].as_str().expect("the demo's client");
    assert_eq!(give(json!({ "role": "client", "client": kept })).await.status(), 204);
    let client = house.signed_in("reed-technician").await;
    let own: Value = client.ask("get", "/api/properties", None).await.json().await.expect("JSON");
    assert_eq!(own["entries"].as_array().map(Vec::len), Some(1), "{own}");
    // Whose books were opened to a client, and to which, is in the trail as well.
    let order = json!({ "name": "newcomer", "role": "client", "client": kept, "password": WORDS });
    let newcomer: Value = owner.ask("post", "/api/sign-ins", Some(order)).await.json().await.expect("JSON");
    assert_eq!(give(json!({ "role": "technician" })).await.status(), 204);
    let page: Value = owner.ask("get", "/api/audit?limit=3", None).await.json().await.expect("JSON");
    let events: Vec<&str> =
        page["entries"].as_array().expect("events").iter().filter_map(|one| one["event"].as_str()).collect();
    assert_eq!(
        events,
        [
            format!("give sign-in {changed} the role technician in the stead of client of {kept}"),
            format!("make sign-in {} as client of {kept}", newcomer["sign_in"].as_str().expect("a name")),
            format!("give sign-in {changed} the role client of {kept} in the stead of planner"),
        ]
    );

    let own = format!("/api/sign-ins/{}/role", of("reed-owner").await.sign_in);
    let told = refusal(owner.ask("put", &own, Some(json!({ "role": "planner" }))).await).await;
    assert_eq!(told, (422, "access::last-owner".to_owned()));
    let intruder = house.signed_in("other-owner").await;
    let told = refusal(intruder.ask("put", &path, Some(json!({ "role": "owner" }))).await).await;
    assert_eq!(told, (404, "server::nothing-there".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn sessions_are_told_and_ended_by_who_has_them_and_by_an_owner() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let (phone, laptop) = (house.signed_in("reed-client").await, house.signed_in("reed-client").await);
    let others = async || -> Value { phone.ask("get", "/api/session/others", None).await.json().await.expect("JSON") };
    let told = others().await;
    assert_eq!(told.as_array().map(Vec::len), Some(1));
    assert!(told[0]["began_at"].is_string() && told[0]["seen_at"].is_string(), "{told}");
    assert_eq!(phone.ask("delete", "/api/session/others", None).await.status(), 204);
    assert_eq!(others().await, json!([]));
    assert_eq!(laptop.ask("get", "/api/session", None).await.status(), 401);
    assert_eq!(phone.ask("get", "/api/session", None).await.status(), 200);

    let of = async |name: &str| -> Value {
        let listed: Value = owner.ask("get", "/api/sign-ins", None).await.json().await.expect("JSON");
        listed.as_array().expect("a list").iter().find(|one| one["name"] == name).expect("a sign-in").clone()
    };
    let client = of("reed-client").await;
    assert_eq!(client["sessions"], 1);
    assert!(client["seen_at"].is_string(), "{client}");
    assert_eq!(of("reed-planner").await["sessions"], 0);
    let path = format!("/api/sign-ins/{}/sessions", client["sign_in"].as_str().expect("a name"));
    let intruder = house.signed_in("other-owner").await;
    assert_eq!(refusal(intruder.ask("delete", &path, None).await).await.0, 404);
    assert_eq!(phone.ask("get", "/api/session", None).await.status(), 200);
    assert_eq!(owner.ask("delete", &path, None).await.status(), 204);
    assert_eq!(phone.ask("get", "/api/session", None).await.status(), 401);
    assert_eq!((&of("reed-client").await["sessions"], &of("reed-client").await["seen_at"]), (&json!(0), &Value::Null));
    let page: Value = owner.ask("get", "/api/audit?limit=2", None).await.json().await.expect("JSON");
    let events: Vec<&str> =
        page["entries"].as_array().expect("events").iter().filter_map(|one| one["event"].as_str()).collect();
    assert!(events[0].starts_with("end the sessions of sign-in ") && events[1] == "end other sessions", "{events:?}");
}
