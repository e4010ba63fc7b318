//! A server of its own for every test, and a client that keeps its session.

use ledger::access::{NewSignIn, Password, Proof, Role, SignIn};
use ledger::{AccountId, Ledger, Location, ThingId};
use reqwest::{Method, Response};
use serde_json::Value;
use server::{Running, Settings, Transport};
use std::net::SocketAddr;
use tempfile::TempDir;

/// The password of everybody in the tests.
pub(crate) const WORDS: &str = "four small words";

/// A server with a folder of its own.
pub(crate) struct House {
    pub(crate) running: Running,
    pub(crate) folder: TempDir,
}

impl House {
    /// On loopback without sign-in.
    pub(crate) async fn at_home() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let running = server::serve(settings(&folder)).await.expect("a server");
        Self { running, folder }
    }

    /// With sign-in, behind a proxy that is not there, with these people in the account `reed`.
    pub(crate) async fn of_a_company(change: impl FnOnce(&mut Settings)) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut settings = settings(&folder);
        settings.transport = Transport::Proxy("https://books.example".to_owned());
        let ledger = Ledger::open(&settings.location).await.expect("a ledger");
        for role in Role::ALL {
            person(&ledger, "reed", role).await;
        }
        person(&ledger, "other", Role::Owner).await;
        ledger.close().await;
        change(&mut settings);
        let running = server::serve(settings).await.expect("a server");
        Self { running, folder }
    }

    pub(crate) fn client(&self) -> Client {
        Client { address: self.running.address(), http: http_client(), session: None }
    }

    /// A client with a session of this person, begun without the password's cost.
    pub(crate) async fn signed_in(&self, name: &str) -> Client {
        let app = self.running.app();
        let found = self.everybody().await.into_iter().find(|sign_in| sign_in.name == name).expect("a sign-in");
        let lifetime = app.settings().lifetime;
        let token = app.access().begin_session(found.sign_in, Proof::Password, lifetime, app.now()).await;
        let token = token.expect("a session");
        let session = Some((token.text().to_owned(), token.form_token()));
        Client { session, ..self.client() }
    }

    /// Every sign-in of every account.
    pub(crate) async fn everybody(&self) -> Vec<SignIn> {
        let mut everybody = Vec::new();
        for account in self.running.app().ledger().accounts().await.expect("accounts") {
            everybody.extend(self.running.app().access().sign_ins(account.account).await.expect("sign-ins"));
        }
        everybody
    }
}

/// Settings for a server in a folder, on any free port.
pub(crate) fn settings(folder: &TempDir) -> Settings {
    let location = Location::file(&folder.path().join("books.db")).expect("a path");
    Settings { address: SocketAddr::from(([127, 0, 0, 1], 0)), ..Settings::local(location) }
}

/// A person named `account-role`.
pub(crate) async fn person(ledger: &Ledger, account: &str, role: Role) -> SignIn {
    let account: (&str, AccountId) = (account, ledger.open_account(account).await.expect("an account"));
    let new = NewSignIn {
        name: format!("{}-{}", account.0, role.word()),
        account: account.1,
        role,
        client: (role == Role::Client).then(ThingId::fresh),
        password: Password::choose(WORDS, &[]).expect("a password"),
    };
    ledger.access().make_sign_in(new, jiff::Timestamp::now()).await.expect("a sign-in")
}

/// Whoever asks.
#[derive(Clone)]
pub(crate) struct Client {
    pub(crate) address: SocketAddr,
    pub(crate) http: reqwest::Client,
    /// The session's token and form token.
    pub(crate) session: Option<(String, String)>,
}

impl Client {
    pub(crate) fn request(&self, method: &str, path: &str) -> reqwest::RequestBuilder {
        let method: Method = method.to_uppercase().parse().expect("a method");
        let request = self.http.request(method, format!("http://{}{path}", self.address));
        match &self.session {
            Some((token, form)) => request
                .header("cookie", format!("theme=day; __Host-tussock-session={token}"))
                .header("x-form-token", form),
            None => request,
        }
    }

    pub(crate) async fn ask(&self, method: &str, path: &str, body: Option<Value>) -> Response {
        let request = self.request(method, path);
        let request = match body {
            Some(body) => request.json(&body),
            None => request,
        };
        request.send().await.expect("an answer")
    }
}

/// Status and first code of a refusal, which must be problem details.
pub(crate) async fn refusal(response: Response) -> (u16, String) {
    let status = response.status().as_u16();
    let kind = response.headers().get("content-type").map(|value| value.to_str().unwrap_or_default().to_owned());
    assert_eq!(kind.as_deref(), Some("application/problem+json"), "status {status}");
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(body["status"], status);
    assert_eq!(body["format"], "tussock.problems/1");
    (status, body["problems"][0]["code"].as_str().expect("a code").to_owned())
}

/// A client of HTTP. Built with the command it may ask over TLS as well, and wants to be told by which cryptography: that of
/// the server. A second call changes nothing.
pub(crate) fn http_client() -> reqwest::Client {
    let _ = rustls::crypto::ring::default_provider().install_default();
    reqwest::Client::new()
}
