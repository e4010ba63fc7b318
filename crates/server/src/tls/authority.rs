//! A local authority, so that a phone in the yard trusts the laptop: whoever installs its certificate
//! trusts it for names of the house and private networks, and for nothing in the internet.

use super::{is_private, private_networks, provider};
use jiff::civil::Date;
use jiff::{Span, ToSpan as _};
use problem::{Problem, Problems};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints,
};
use rustls::sign::CertifiedKey;
use rustls_pki_types::pem::PemObject as _;
use rustls_pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::fs;
use std::io::Write as _;
use std::net::IpAddr;
use std::path::Path;

/// Days that a server's certificate is good for.
///
/// # Source
/// Apple Support, "About upcoming limits on trusted certificates" (398 days); the allowance of one day on
/// either side for clocks that are off is ours.
const LEAF_DAYS: i64 = 396;
/// Years that the authority is good for.
const AUTHORITY_YEARS: i64 = 10;

/// The SHA-256 of a certificate, as people compare it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fingerprint(String);

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A local authority: its certificate and its key.
pub struct Authority {
    issuer: Issuer<'static, KeyPair>,
    certificate: CertificateDer<'static>,
}

impl fmt::Debug for Authority {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Authority({})", self.fingerprint())
    }
}

impl Authority {
    /// The authority whose files lie in a folder, made there when there are none. Its key is readable by
    /// its owner alone.
    ///
    /// # Errors
    /// `tls::authority`: the files cannot be read, written, or are of no authority.
    pub fn open(folder: &Path, today: Date) -> Result<Self, Problem> {
        let key_path = folder.join("authority-key.pem");
        let certificate_path = folder.join("authority.crt");
        let told = |what: &str, error: &dyn fmt::Display| {
            Problem::error("tls::authority", format!("{what}: {error}"))
                .mend("name a folder that may be written, or take the broken files away to have new ones made")
                .in_file(folder.display().to_string())
        };
        if !key_path.exists() && !certificate_path.exists() {
            fs::create_dir_all(folder).map_err(|error| told("the folder cannot be made", &error))?;
            let key = KeyPair::generate().map_err(|error| told("no key can be made", &error))?;
            let certificate = params(&key, today)
                .and_then(|params| params.self_signed(&key))
                .map_err(|error| told("no certificate can be made", &error))?;
            // The key last: a stop half-way leaves a certificate without a key, which is told, not used.
            write_new(&certificate_path, &certificate.pem(), 0o644)
                .and_then(|()| write_new(&key_path, &key.serialize_pem(), 0o600))
                .map_err(|error| told("the files cannot be written", &error))?;
        }
        let text = fs::read_to_string(&key_path).map_err(|error| told("the key cannot be read", &error))?;
        let key = KeyPair::from_pem(&text).map_err(|error| told("the key cannot be used", &error))?;
        let certificate = CertificateDer::from_pem_file(&certificate_path)
            .map_err(|error| told("the certificate cannot be read", &error))?;
        // Name and key identifier follow from the key, so that nothing of the certificate need be read back.
        let params = params(&key, today).map_err(|error| told("the key cannot be used", &error))?;
        Ok(Self { issuer: Issuer::new(params, key), certificate })
    }

    /// The authority's certificate.
    pub fn certificate(&self) -> &CertificateDer<'static> {
        &self.certificate
    }

    /// What to compare before trusting it.
    pub fn fingerprint(&self) -> Fingerprint {
        let pairs: Vec<String> = Sha256::digest(&self.certificate).iter().map(|byte| format!("{byte:02X}")).collect();
        Fingerprint(pairs.join(":"))
    }

    /// A certificate for these names and addresses with a key of its own, good from yesterday for at most
    /// 397 days. The key is never written anywhere.
    ///
    /// # Errors
    /// `tls::name`: a name that is neither `localhost` nor ends in `.local`, or an address of no private
    /// network; phones would refuse it.
    pub fn leaf(&self, names: &[String], today: Date) -> Result<CertifiedKey, Problems> {
        let problems: Problems = names.iter().filter(|name| !may_vouch(name)).map(|name| outside(name)).collect();
        if problems.has_errors() {
            return Err(problems);
        }
        self.sign(names, today).map_err(|error| {
            Problem::error("tls::leaf", format!("no certificate can be made for the server: {error}")).into()
        })
    }

    fn sign(&self, names: &[String], today: Date) -> Result<CertifiedKey, Box<dyn std::error::Error>> {
        let mut params = CertificateParams::new(names)?;
        valid(&mut params, today, LEAF_DAYS.days());
        params.distinguished_name = named("tussock");
        params.use_authority_key_identifier_extension = true;
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        let key = KeyPair::generate()?;
        let certificate = params.signed_by(&key, &self.issuer)?;
        let key = PrivateKeyDer::from(PrivatePkcs8KeyDer::from(key.serialize_der()));
        Ok(CertifiedKey::from_der(vec![certificate.into(), self.certificate.clone()], key, &provider())?)
    }
}

fn may_vouch(name: &str) -> bool {
    match name.parse::<IpAddr>() {
        Ok(address) => is_private(address),
        Err(_) => {
            let name = name.to_lowercase();
            name == "localhost" || name.strip_suffix(".local").is_some_and(|host| !host.is_empty())
        }
    }
}

fn outside(name: &str) -> Problem {
    Problem::error("tls::name", format!("`{name}` is outside what the local authority vouches for"))
        .expected("`localhost`, a name that ends in `.local`, or an address of a private network")
        .mend("use such a name, or bring a certificate of your own with `--certificate` and `--key`")
        .at("name")
}

fn params(key: &KeyPair, today: Date) -> Result<CertificateParams, rcgen::Error> {
    let mut params = CertificateParams::new(Vec::new())?;
    valid(&mut params, today, AUTHORITY_YEARS.years());
    let digest = Sha256::digest(key.public_key_raw());
    params.distinguished_name =
        named(&format!("tussock local authority {:02x}{:02x}{:02x}", digest[0], digest[1], digest[2]));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let names = ["localhost", "local"].map(|name| GeneralSubtree::DnsName(name.to_owned()));
    let networks = private_networks()
        .map(|(address, prefix)| GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(address, prefix)));
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: names.into_iter().chain(networks).collect(),
        excluded_subtrees: Vec::new(),
    });
    Ok(params)
}

fn named(name: &str) -> DistinguishedName {
    let mut distinguished = DistinguishedName::new();
    distinguished.push(DnType::CommonName, name);
    distinguished
}

fn valid(params: &mut CertificateParams, today: Date, span: Span) {
    let day = |date: Date| {
        rcgen::date_time_ymd(i32::from(date.year()), date.month().unsigned_abs(), date.day().unsigned_abs())
    };
    params.not_before = day(today.saturating_sub(1.day()));
    params.not_after = day(today.saturating_add(span));
}

/// Writes a file that is not there yet, with these rights from its first byte on.
fn write_new(path: &Path, text: &str, mode: u32) -> std::io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, mode);
    #[cfg(not(unix))]
    let _ = mode;
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_the_house_are_vouched_for() {
        for name in ["localhost", "shed.local", "192.168.1.20", "10.0.0.1", "fd00::1", "fe80::1", "127.0.0.1", "::1"] {
            assert!(may_vouch(name), "{name}");
        }
        for name in ["example.com", ".local", "local", "notlocal", "192.0.2.1", "172.32.0.1", "2001:db8::1", "0.0.0.0"]
        {
            assert!(!may_vouch(name), "{name}");
        }
    }
}
