//! What every request and answer passes.

use crate::support::{House, WORDS, refusal};
use reqwest::header::HOST;
use serde_json::json;
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

#[tokio::test(flavor = "multi_thread")]
async fn every_refusal_is_problem_details() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let anybody = house.client();
    assert_eq!(refusal(anybody.ask("get", "/api/nothing", None).await).await, (404, "server::nothing-there".into()));
    assert_eq!(refusal(anybody.ask("put", "/api/session", None).await).await, (405, "server::method".into()));
    // Hardly more than is read: a client still sending much when it is refused finds the line cut instead.
    let large = json!({ "name": "x".repeat(1024 * 1024), "password": "" });
    assert_eq!(
        refusal(anybody.ask("post", "/api/session", Some(large)).await).await,
        (413, "server::body-size".into())
    );
    let fields = anybody.ask("post", "/api/session", Some(json!({ "name": 1 }))).await;
    assert_eq!(refusal(fields).await, (422, "server::body".into()));
    let more =
        anybody.ask("post", "/api/session", Some(json!({ "name": "a", "password": "b", "role": "owner" }))).await;
    assert_eq!(refusal(more).await, (422, "server::body".into()), "a field that nobody reads");
    let broken =
        anybody.request("post", "/api/session").header("content-type", "application/json").body("{").send().await;
    assert_eq!(refusal(broken.expect("an answer")).await, (400, "server::body".into()));
    let kind = anybody.request("post", "/api/session").body("{}").send().await;
    assert_eq!(refusal(kind.expect("an answer")).await, (415, "server::media-type".into()));
    assert_eq!(refusal(owner.ask("get", "/api/sign-ins/x", None).await).await, (404, "server::nothing-there".into()));
    assert_eq!(refusal(owner.ask("get", "/api/audit?limit=x", None).await).await, (400, "server::query".into()));
    assert_eq!(refusal(owner.ask("get", "/api/audit?after=x", None).await).await, (400, "server::cursor".into()));
}

#[tokio::test(flavor = "multi_thread")]
async fn when_the_ledger_fails_nobody_is_let_through() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    assert_eq!(owner.ask("get", "/api/sign-ins", None).await.status(), 200);
    house.running.app().ledger().close().await;
    for (method, path) in
        [("get", "/api/session"), ("get", "/api/sign-ins"), ("get", "/api/records"), ("get", "/metrics")]
    {
        let (status, code) = refusal(owner.ask(method, path, None).await).await;
        assert!(matches!(status, 500 | 503), "{path}: {status} {code}");
    }
    let credentials = json!({ "name": "reed-owner", "password": WORDS });
    let response = house.client().ask("post", "/api/session", Some(credentials)).await;
    assert!(!response.headers().contains_key("set-cookie"));
    assert!(matches!(refusal(response).await.0, 500 | 503));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_of_another_origin_changes_nothing() {
    let house = House::of_a_company(|_| ()).await;
    let credentials = json!({ "name": "reed-owner", "password": WORDS });
    let send = async |name: &'static str, value: &str| {
        let request = house.client().request("post", "/api/session").json(&credentials);
        request.header(name, value).send().await.expect("an answer")
    };
    for (name, value) in [
        ("origin", "https://elsewhere.example"),
        ("origin", "null"),
        ("origin", "http://books.example"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ] {
        assert_eq!(refusal(send(name, value).await).await, (403, "server::origin".to_owned()), "{name}: {value}");
    }
    assert_eq!(send("origin", "https://books.example").await.status(), 200);
    assert_eq!(send("sec-fetch-site", "same-origin").await.status(), 200);

    let home = House::at_home().await;
    let foreign = home.client().request("delete", "/api/session").header("origin", "http://127.0.0.1:1").send().await;
    assert_eq!(refusal(foreign.expect("an answer")).await, (403, "server::origin".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_name_that_points_here_is_not_answered() {
    let house = House::at_home().await;
    let port = house.running.address().port();
    let by = async |host: &str| {
        let request = house.client().request("get", "/api/session").header(HOST, host);
        request.send().await.expect("an answer")
    };
    let foreign = format!("evil.example:{port}");
    for host in [foreign.as_str(), "127.0.0.1.evil.example", "localhost.evil.example", "", "books.example"] {
        assert_eq!(refusal(by(host).await).await, (421, "server::host".to_owned()), "{host}");
    }
    for host in [format!("localhost:{port}"), "LOCALHOST".into(), "127.0.0.1".into(), format!("[::1]:{port}")] {
        assert_eq!(by(&host).await.status(), 200, "{host}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_answer_carries_the_safeguards() {
    let house = House::of_a_company(|_| ()).await;
    for path in ["/api/health/live", "/api/nothing", "/api/session"] {
        let response = house.client().ask("get", path, None).await;
        let header = |name: &str| response.headers()[name].to_str().expect("text").to_owned();
        let policy = header("content-security-policy");
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(header("x-content-type-options"), "nosniff");
        assert_eq!(header("referrer-policy"), "same-origin");
        assert!(header("permissions-policy").contains("geolocation=(self), camera=(self)"));
        assert_eq!(header("cross-origin-opener-policy"), "same-origin");
        assert_eq!(header("cross-origin-resource-policy"), "same-origin");
        assert!(header("strict-transport-security").starts_with("max-age=31536000"));
        assert_eq!(header("cache-control"), "no-store");
        assert_eq!(header("x-frame-options"), "DENY");
        assert_eq!(header("x-request-id").len(), 36);
        assert!(header("content-type").contains("json"), "{path}");
        assert_eq!(header("content-disposition"), "attachment; filename=\"answer.json\"");
        // No page of another origin may read an answer, and none says what made it.
        for name in ["access-control-allow-origin", "server", "x-powered-by", "via"] {
            assert!(!response.headers().contains_key(name), "{name}");
        }
    }
    let home = House::at_home().await;
    let response = home.client().ask("get", "/api/health/live", None).await;
    assert!(!response.headers().contains_key("strict-transport-security"), "plain HTTP promises no TLS");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_flood_from_one_address_waits() {
    let house = House::of_a_company(|settings| settings.requests_per_minute = 5).await;
    let client = house.client();
    for _ in 0..5 {
        assert_eq!(client.ask("get", "/api/health/live", None).await.status(), 200);
    }
    let flood = client.ask("get", "/api/health/live", None).await;
    assert!(flood.headers().contains_key("retry-after"));
    assert_eq!(refusal(flood).await, (429, "server::too-many".to_owned()));
    // The proxy tells who is behind it; what a client claims itself stands further left and counts nothing.
    let forged = client.request("get", "/api/health/live").header("x-forwarded-for", "192.0.2.77, 127.0.0.1");
    assert_eq!(forged.send().await.expect("an answer").status(), 429);
    let other = client.request("get", "/api/health/live").header("x-forwarded-for", "192.0.2.5");
    assert_eq!(other.send().await.expect("an answer").status(), 200);
}

/// A page that is refused one of its files stays blank, and cannot say that its requests are used up.
#[tokio::test(flavor = "multi_thread")]
async fn files_of_the_pages_have_a_larger_bound_of_their_own() {
    let house = House::of_a_company(|settings| settings.requests_per_minute = 5).await;
    let client = house.client();
    let status = async |method: &str, path: &str| client.ask(method, path, None).await.status().as_u16();
    for _ in 0..5 {
        assert_eq!(status("get", "/api/health/live").await, 200);
    }
    assert_eq!(status("get", "/api/health/live").await, 429);
    // Where the pages were not built it says so, with another status than this one.
    for path in ["/", "/properties", "/assets/none.js"] {
        assert_ne!(status("get", path).await, 429, "{path}");
    }
    // Nothing that is asked of the books goes that way.
    for (method, path) in [("post", "/properties"), ("get", "/metrics"), ("get", "/api"), ("get", "//api/session")] {
        assert_eq!(status(method, path).await, 429, "{method} {path}");
    }
    // They are bound, too: ten for each request.
    let mut files = 3;
    while status("get", "/").await != 429 {
        files += 1;
        assert!(files < 60, "files are not bound");
    }
    assert!(files >= 50, "{files}");
}

#[tokio::test(flavor = "multi_thread")]
async fn health_and_counters_are_told() {
    let house = House::of_a_company(|_| ()).await;
    assert_eq!(house.client().ask("get", "/api/health/live", None).await.status(), 200);
    assert_eq!(house.client().ask("get", "/api/health/ready", None).await.status(), 200);
    let told = house.signed_in("reed-owner").await.ask("get", "/metrics", None).await.text().await.expect("text");
    assert!(
        told.contains("tussock_requests_total{method=\"GET\",route=\"/api/health/ready\",status=\"200\"} 1"),
        "{told}"
    );
    house.running.app().stop();
    assert_eq!(refusal(house.client().ask("get", "/api/health/ready", None).await).await.0, 503);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_under_way_is_answered_before_the_end() {
    let House { running, folder: _folder } = House::of_a_company(|_| ()).await;
    let mut stream = tokio::net::TcpStream::connect(running.address()).await.expect("a connection");
    let head =
        "POST /api/session HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 2\r\n\r\n";
    stream.write_all(head.as_bytes()).await.expect("sent");
    tokio::time::sleep(Duration::from_millis(300)).await;
    let address = running.address();
    let end = tokio::spawn(running.stop());
    tokio::time::sleep(Duration::from_millis(300)).await;
    assert!(!end.is_finished(), "it waits for the request");
    assert!(tokio::net::TcpStream::connect(address).await.is_err(), "nothing new is taken");
    stream.write_all(b"{}").await.expect("sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await.expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 422"), "{answer}");
    tokio::time::timeout(Duration::from_secs(20), end).await.expect("it ends").expect("without a panic");
}
