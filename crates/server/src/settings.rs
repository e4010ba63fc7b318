//! How a server is to run.

use ledger::Location;
use ledger::access::Lifetime;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

/// How requests come in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Transport {
    /// Plain HTTP, on loopback only.
    Plain,
    /// Plain HTTP on loopback, behind a proxy on the same machine that speaks TLS under this address,
    /// such as `https://books.example`. Sign-in is needed, and the last address that the proxy adds to
    /// `X-Forwarded-For` counts as the client's.
    Proxy(String),
    /// TLS with a certificate chain and its key, both PEM files.
    Files {
        /// The chain, the server's own certificate first.
        certificate: PathBuf,
        /// The private key.
        key: PathBuf,
    },
    /// TLS with certificates of a local authority, whose files lie in this folder and are made there
    /// when there are none.
    Authority(PathBuf),
}

/// How a server is to run.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Where the ledger lies.
    pub location: Location,
    /// The account that is served without sign-in, by its name; made when there is none.
    pub account: String,
    /// Where to listen.
    pub address: SocketAddr,
    /// Names under which the server is reached, beside `localhost` and addresses.
    pub names: Vec<String>,
    /// How requests come in.
    pub transport: Transport,
    /// Where the local authority's certificate can be fetched over plain HTTP.
    pub certificate_port: Option<u16>,
    /// How long sessions last.
    pub lifetime: Lifetime,
    /// Whether owners need a second factor before they reach anything.
    pub require_second_factor: bool,
    /// Requests that one client address may make in a minute.
    pub requests_per_minute: u32,
    /// The longest that an answer may take to begin.
    pub patience: Duration,
    /// The longest that requests under way are waited for at the end.
    pub drain: Duration,
}

impl Settings {
    /// A server on loopback for the ledger in this place: port 7878, no sign-in.
    pub fn local(location: Location) -> Self {
        Self {
            location,
            account: "home".to_owned(),
            address: SocketAddr::from(([127, 0, 0, 1], 7878)),
            names: Vec::new(),
            transport: Transport::Plain,
            certificate_port: None,
            lifetime: Lifetime::default(),
            require_second_factor: false,
            requests_per_minute: 1_200,
            patience: Duration::from_mins(1),
            drain: Duration::from_secs(20),
        }
    }

    /// Whether people must sign in.
    pub fn needs_sign_in(&self) -> bool {
        self.transport != Transport::Plain || !self.address.ip().is_loopback()
    }

    /// Whether browsers reach it over TLS.
    pub fn is_secure(&self) -> bool {
        self.transport != Transport::Plain
    }
}
