//! The log, in a process of its own: a process has one.

#[path = "web/support.rs"]
#[allow(dead_code)] // This file has use for a part of it.
mod support;

use serde_json::json;
use std::io::Write;
use std::sync::{Arc, Mutex};
use support::{House, WORDS};

#[derive(Clone, Default)]
struct Lines(Arc<Mutex<Vec<u8>>>);

impl Write for Lines {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().expect("the lines").extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_log_tells_requests_and_no_secret() {
    let lines = Lines::default();
    let writer = lines.clone();
    // Even at its most talkative.
    let filter = "server=trace,ledger=trace,axum=trace,tower=trace,tower_http=trace,sqlx=trace";
    assert!(server::log::install(filter, move || writer.clone()));
    let house = House::of_a_company(|_| ()).await;
    let mut client = house.client();
    let credentials = json!({ "name": "reed-owner", "password": WORDS });
    let response = client.ask("post", "/api/session", Some(credentials)).await;
    let number = response.headers()["x-request-id"].to_str().expect("text").to_owned();
    let cookie = response.headers()["set-cookie"].to_str().expect("text").to_owned();
    let token = cookie.split(['=', ';']).nth(1).expect("a token").to_owned();
    let told: serde_json::Value = response.json().await.expect("JSON");
    let form_token = told["form_token"].as_str().expect("a token").to_owned();
    client.session = Some((token.clone(), form_token.clone()));
    let again = json!({ "password": WORDS });
    let begun = client.ask("post", "/api/session/second-factor", Some(again)).await;
    assert_eq!(begun.status(), 201);
    let begun: serde_json::Value = begun.json().await.expect("JSON");
    let secret = begun["secret"].as_str().expect("a secret").to_owned();
    let code = json!({ "name": "reed-owner", "password": WORDS, "code": "271828" });
    assert_eq!(house.client().ask("post", "/api/session", Some(code)).await.status(), 200);
    let change = json!({ "password": WORDS, "new_password": "other small words" });
    assert_eq!(client.ask("put", "/api/session/password?secret=inquery", Some(change)).await.status(), 204);
    let client_of = house.signed_in("reed-client").await;
    assert_eq!(client_of.ask("get", "/api/audit", None).await.status(), 403);
    let text = String::from_utf8(lines.0.lock().expect("the lines").clone()).expect("UTF-8");
    let answered: Vec<serde_json::Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).expect("a JSON object a line"))
        .filter(|line: &serde_json::Value| line["message"] == "answered")
        .collect();
    assert!(
        answered.iter().any(|line| line["request"] == number.as_str() && line["route"] == "/api/session"),
        "{text}"
    );
    let refused = answered.iter().find(|line| line["status"] == 403).expect("a refusal");
    let asked = house.everybody().await.into_iter().find(|one| one.name == "reed-client").expect("a sign-in");
    assert_eq!((&refused["route"], &refused["client"]), (&json!("/api/audit"), &json!("127.0.0.1")));
    assert_eq!(refused["sign_in"], asked.sign_in.to_string(), "who was refused");
    assert!(refused["timestamp"].as_str().is_some_and(|at| at.ends_with('Z')), "universal time: {refused}");
    let hidden = [WORDS, "other small words", &token, &form_token, "inquery", "argon2id", &secret, "271828"];
    for secret in hidden {
        assert!(!text.contains(secret), "`{secret}` stands in the log of the server");
    }
}
