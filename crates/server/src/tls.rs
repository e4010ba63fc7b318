//! TLS: certificates from files, or from a local authority of our own.

mod authority;
mod files;

pub use authority::{Authority, Fingerprint};

use crate::settings::{Settings, Transport};
use problem::{Problem, Problems};
use rustls::ServerConfig;
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use std::net::IpAddr;
use std::sync::{Arc, PoisonError, RwLock};

/// The certificate that the server shows, replaced while it runs.
#[derive(Debug)]
pub struct Shown(RwLock<Arc<CertifiedKey>>);

impl Shown {
    fn new(key: CertifiedKey) -> Arc<Self> {
        Arc::new(Self(RwLock::new(Arc::new(key))))
    }

    /// Shows another certificate from now on.
    pub fn replace(&self, key: CertifiedKey) {
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(key);
    }
}

impl ResolvesServerCert for Shown {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(self.0.read().unwrap_or_else(PoisonError::into_inner).clone())
    }
}

/// What a listener needs to speak TLS.
#[derive(Debug, Clone)]
pub struct Tls {
    /// For each connection.
    pub config: Arc<ServerConfig>,
    /// What is shown.
    pub shown: Arc<Shown>,
    /// The local authority, when the certificates are of one.
    pub authority: Option<Arc<Authority>>,
}

impl Tls {
    /// TLS as the settings want it; none for plain HTTP.
    ///
    /// # Errors
    /// Files that cannot be read or do not belong together; names that the local authority may not vouch
    /// for.
    pub fn new(settings: &Settings, today: jiff::civil::Date) -> Result<Option<Self>, Problems> {
        let (key, authority) = match &settings.transport {
            Transport::Plain | Transport::Proxy(_) => return Ok(None),
            Transport::Files { certificate, key } => (files::certified(certificate, key)?, None),
            Transport::Authority(folder) => {
                let authority = Authority::open(folder, today)?;
                let key = authority.leaf(&names(settings), today)?;
                (key, Some(Arc::new(authority)))
            }
        };
        let shown = Shown::new(key);
        let mut config = ServerConfig::builder_with_provider(provider())
            .with_safe_default_protocol_versions()
            .map_err(|error| Problem::error("tls::setup", format!("TLS cannot be set up: {error}")))?
            .with_no_client_auth()
            .with_cert_resolver(shown.clone());
        config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
        Ok(Some(Self { config: Arc::new(config), shown, authority }))
    }

    /// Shows a new certificate of the local authority, or what now stands in the files.
    ///
    /// # Errors
    /// As [`Tls::new`]; the certificate shown so far stays.
    pub fn renew(&self, settings: &Settings, today: jiff::civil::Date) -> Result<(), Problems> {
        match (&self.authority, &settings.transport) {
            (Some(authority), _) => self.shown.replace(authority.leaf(&names(settings), today)?),
            (None, Transport::Files { certificate, key }) => self.shown.replace(files::certified(certificate, key)?),
            (None, _) => {}
        }
        Ok(())
    }
}

/// What a certificate vouches for: the names given, `localhost`, and the address listened on.
fn names(settings: &Settings) -> Vec<String> {
    let mut names = settings.names.clone();
    names.extend(["localhost", "127.0.0.1", "::1"].map(str::to_owned));
    if !settings.address.ip().is_unspecified() {
        names.push(settings.address.ip().to_string());
    }
    names.sort();
    names.dedup();
    names
}

fn provider() -> Arc<rustls::crypto::CryptoProvider> {
    Arc::new(rustls::crypto::ring::default_provider())
}

/// Networks that are nobody's in the internet.
///
/// # Source
/// RFC 1918 (private IPv4), RFC 4193 (unique local IPv6), RFC 3927 and RFC 4291 (link local), RFC 1122
/// and RFC 4291 (loopback).
const PRIVATE: &[(&str, u8)] = &[
    ("127.0.0.0", 8),
    ("10.0.0.0", 8),
    ("172.16.0.0", 12),
    ("192.168.0.0", 16),
    ("169.254.0.0", 16),
    ("::1", 128),
    ("fc00::", 7),
    ("fe80::", 10),
];

/// The private networks, parsed.
fn private_networks() -> impl Iterator<Item = (IpAddr, u8)> {
    PRIVATE.iter().filter_map(|(address, prefix)| Some((address.parse().ok()?, *prefix)))
}

/// Whether an address lies in a private network.
fn is_private(address: IpAddr) -> bool {
    private_networks().any(|(network, prefix)| match (network, address) {
        (IpAddr::V4(network), IpAddr::V4(address)) => {
            (network.to_bits() ^ address.to_bits()).leading_zeros() >= u32::from(prefix)
        }
        (IpAddr::V6(network), IpAddr::V6(address)) => {
            (network.to_bits() ^ address.to_bits()).leading_zeros() >= u32::from(prefix)
        }
        _ => false,
    })
}
