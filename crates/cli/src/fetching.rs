//! Asking services on the network, the only place where it is done: with limits on time and size, and a few tries.

use exchange::weather_service::Service;
use problem::Problem;
use reqwest::blocking::Client;
use reqwest::redirect::Policy;
use reqwest::{StatusCode, Url};
use std::error::Error;
use std::io::Read as _;
use std::net::IpAddr;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The largest answer read: forecasts have some hundred kilobytes.
const LARGEST: u64 = 8 * 1024 * 1024;
/// How often one address is asked at the most.
const TRIES: u32 = 4;
/// Before the second try; each further one waits twice as long.
const FIRST_WAIT: Duration = Duration::from_millis(500);
/// Longest wait for a connection.
const CONNECT: Duration = Duration::from_secs(5);

/// Asks services.
pub(crate) struct Asker {
    client: Client,
    until: Instant,
    limit: Duration,
}

/// Why a try gave no answer.
struct Miss {
    found: String,
    then: Then,
}

/// What may be done about it.
enum Then {
    /// Another try may do better, after as long as the service asks.
    Again(Option<Duration>),
    /// The answer would be the same.
    Stop,
}

impl Asker {
    /// One that says who it is, and has so long for everything.
    ///
    /// # Errors
    /// `network::setup` when the machine has no certificates, or the contact cannot stand in a header.
    pub(crate) fn new(base: &Url, contact: Option<&str>, limit: Duration) -> Result<Self, Problem> {
        let agent = match contact {
            Some(contact) => format!("tussock/{} ({contact})", env!("CARGO_PKG_VERSION")),
            None => format!("tussock/{}", env!("CARGO_PKG_VERSION")),
        };
        // A second call changes nothing.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let mut builder =
            Client::builder().user_agent(agent).connect_timeout(CONNECT).redirect(Policy::custom(|attempt| {
                let first = attempt.previous().first().map(Url::origin);
                // A service that sends elsewhere is not followed there.
                if attempt.previous().len() > 3 || first.is_some_and(|first| first != attempt.url().origin()) {
                    attempt.stop()
                } else {
                    attempt.follow()
                }
            }));
        if is_this_machine(base) {
            builder = builder.no_proxy();
        }
        let client = builder.build().map_err(|error| {
            Problem::error("network::setup", format!("the network cannot be used: {}", words(&error)))
                .mend("install the certificates of the system, and take signs other than letters out of --contact")
        })?;
        Ok(Self { client, until: Instant::now() + limit, limit })
    }

    /// The text at an address.
    ///
    /// # Errors
    /// `network::no-answer` when no try gave one, `network::refused` when the service says why not.
    pub(crate) fn get(&self, address: &Url, accept: &str) -> Result<String, Problem> {
        let mut wait = FIRST_WAIT;
        let mut tries = 0;
        loop {
            tries += 1;
            let miss = match self.one_try(address, accept) {
                Ok(text) => return Ok(text),
                Err(miss) => miss,
            };
            let Then::Again(asked) = miss.then else {
                return Err(Problem::error("network::refused", miss.found)
                    .expected("a forecast of the place")
                    .mend("look whether the service covers the place; another one may (--service)"));
            };
            let pause = asked.unwrap_or(wait).max(wait);
            if tries == TRIES || Instant::now() + pause >= self.until {
                let found = format!("{}, after {tries} {}", miss.found, if tries == 1 { "try" } else { "tries" });
                return Err(Problem::error("network::no-answer", found)
                    .expected(format!("an answer within {} s (--time-limit)", self.limit.as_secs()))
                    .mend(
                        "look whether this machine has a network, and try again later; a forecast may also be fetched \
                         elsewhere and named as a file",
                    ));
            }
            sleep(pause);
            wait *= 2;
        }
    }

    fn one_try(&self, address: &Url, accept: &str) -> Result<String, Miss> {
        let host = address.host_str().unwrap_or("the service");
        let again = |found: String| Miss { found, then: Then::Again(None) };
        let left = self.until.saturating_duration_since(Instant::now()).max(Duration::from_millis(100));
        let sent = self.client.get(address.clone()).header("accept", accept).timeout(left).send();
        let answer = sent.map_err(|error| again(format!("no answer from `{host}`: {}", words(&error))))?;
        let status = answer.status();
        let asked = answer.headers().get("retry-after").and_then(|value| value.to_str().ok()?.parse().ok());
        let mut bytes = Vec::new();
        let read = answer.take(LARGEST + 1).read_to_end(&mut bytes);
        if let Err(error) = read {
            return Err(again(format!("the answer of `{host}` broke off: {error}")));
        }
        if bytes.len() as u64 > LARGEST {
            return Err(Miss {
                found: format!("the answer of `{host}` is larger than {LARGEST} bytes"),
                then: Then::Stop,
            });
        }
        let text = String::from_utf8(bytes)
            .map_err(|_| Miss { found: format!("the answer of `{host}` is no text"), then: Then::Stop })?;
        if status.is_success() {
            return Ok(text);
        }
        let reason = Service::reason(&text).map_or_else(String::new, |reason| format!(": {reason}"));
        let found = format!("`{host}` answers {}{reason}", status.as_u16());
        let is_passing = status.is_server_error() || status == StatusCode::TOO_MANY_REQUESTS;
        let then = if is_passing { Then::Again(asked.map(Duration::from_secs)) } else { Then::Stop };
        Err(Miss { found, then })
    }
}

/// Whether an address is of this machine.
fn is_this_machine(address: &Url) -> bool {
    let host = address.host_str().unwrap_or_default().trim_matches(['[', ']']);
    host == "localhost" || host.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}

/// The innermost words of an error: the outer ones name the address once more.
fn words(error: &reqwest::Error) -> String {
    if error.is_timeout() {
        return "it took too long".to_owned();
    }
    let mut inner: &dyn Error = error;
    while let Some(source) = inner.source() {
        inner = source;
    }
    inner.to_string()
}
