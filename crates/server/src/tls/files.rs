//! A certificate chain and its key from PEM files.

use super::provider;
use problem::{Problem, Problems};
use rustls::sign::CertifiedKey;
use rustls_pki_types::pem::PemObject as _;
use rustls_pki_types::{CertificateDer, PrivateKeyDer};
use std::path::Path;

/// Reads both files.
///
/// # Errors
/// `tls::certificate`, `tls::key`: a file that cannot be read or holds none; `tls::pair`: a key of another
/// certificate.
pub(super) fn certified(certificate: &Path, key: &Path) -> Result<CertifiedKey, Problems> {
    let mut problems = Problems::new();
    let chain = CertificateDer::pem_file_iter(certificate).and_then(Iterator::collect::<Result<Vec<_>, _>>);
    let chain = match chain {
        Ok(chain) if !chain.is_empty() => chain,
        Ok(_) => {
            problems.push(unread("tls::certificate", "certificate", certificate, "it holds none"));
            Vec::new()
        }
        Err(error) => {
            problems.push(unread("tls::certificate", "certificate", certificate, &error.to_string()));
            Vec::new()
        }
    };
    let key = match PrivateKeyDer::from_pem_file(key) {
        Ok(key) => Some(key),
        Err(error) => {
            problems.push(unread("tls::key", "private key", key, &error.to_string()));
            None
        }
    };
    let Some(key) = key.filter(|_| problems.is_empty()) else { return Err(problems) };
    CertifiedKey::from_der(chain, key, &provider()).map_err(|error| {
        Problem::error("tls::pair", format!("certificate and key do not serve together: {error}"))
            .mend("name the key that the certificate was made for")
            .into()
    })
}

fn unread(code: &'static str, what: &str, path: &Path, why: &str) -> Problem {
    Problem::error(code, format!("the {what} cannot be read: {why}"))
        .expected(format!("a PEM file with the {what}"))
        .in_file(path.display().to_string())
}
