//! TLS and the local authority.

use crate::support::{House, http_client, person, refusal, settings};
use ledger::Ledger;
use ledger::access::Role;
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, RootCertStore};
use server::tls::Authority;
use server::{Running, Settings, Transport};
use std::sync::Arc;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;

async fn house() -> (TempDir, Running) {
    let folder = tempfile::tempdir().expect("a folder");
    let settings = Settings {
        transport: Transport::Authority(folder.path().join("authority")),
        certificate_port: Some(0),
        names: vec!["shed.local".to_owned()],
        ..settings(&folder)
    };
    let ledger = Ledger::open(&settings.location).await.expect("a ledger");
    person(&ledger, "reed", Role::Owner).await;
    ledger.close().await;
    (folder, server::serve(settings).await.expect("a server"))
}

async fn greet(
    running: &Running,
    name: &str,
    trusted: Option<CertificateDer<'static>>,
) -> std::io::Result<TlsStream<TcpStream>> {
    let mut roots = RootCertStore::empty();
    if let Some(certificate) = trusted {
        roots.add(certificate).expect("a certificate");
    }
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_root_certificates(roots)
        .with_no_client_auth();
    let stream = TcpStream::connect(running.address()).await?;
    let name = ServerName::try_from(name.to_owned()).expect("a name");
    TlsConnector::from(Arc::new(config)).connect(name, stream).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_that_trusts_the_authority_reaches_the_server_and_another_does_not() {
    let (_folder, running) = house().await;
    let address = running.certificate_address().expect("an address");
    let fetched = http_client().get(format!("http://{address}/")).send().await.expect("an answer");
    assert_eq!(fetched.headers()["content-type"], "application/x-x509-ca-cert");
    let trusted = CertificateDer::from(fetched.bytes().await.expect("bytes").to_vec());
    for name in ["localhost", "127.0.0.1", "shed.local"] {
        let mut stream =
            greet(&running, name, Some(trusted.clone())).await.unwrap_or_else(|error| panic!("{name}: {error}"));
        let request = format!("GET /api/session HTTP/1.1\r\nhost: {name}\r\nconnection: close\r\n\r\n");
        stream.write_all(request.as_bytes()).await.expect("sent");
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer).await;
        assert!(answer.starts_with(b"HTTP/1.1 401"), "{name}: sign-in is needed under TLS");
    }
    assert!(greet(&running, "other.local", Some(trusted)).await.is_err(), "a name that it was not given");
    assert!(greet(&running, "localhost", None).await.is_err(), "an authority that is not trusted");
    running.stop().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_certificate_port_serves_nothing_else() {
    let (_folder, running) = house().await;
    let address = running.certificate_address().expect("an address");
    for path in ["api/session", "api/health/live", "metrics", "authority-key.pem"] {
        assert_eq!(
            http_client().get(format!("http://{address}/{path}")).send().await.expect("an answer").status(),
            404,
            "{path}"
        );
    }
}

#[test]
fn the_authority_vouches_for_no_name_of_the_internet() {
    let folder = tempfile::tempdir().expect("a folder");
    let today = jiff::civil::date(2026, 5, 4);
    let authority = Authority::open(folder.path(), today).expect("an authority");
    let told = authority.leaf(&["shed.local".into(), "books.example".into(), "192.0.2.1".into()], today);
    let told = told.expect_err("refused");
    assert_eq!(told.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["tls::name", "tls::name"]);
}

/// Whoever steals the authority's key gains nothing beyond the house: clients refuse the name themselves.
#[test]
fn clients_refuse_a_name_outside_the_authoritys_constraints() {
    let folder = tempfile::tempdir().expect("a folder");
    let today = jiff::Timestamp::now();
    let date = jiff::tz::Offset::UTC.to_datetime(today).date();
    let authority = Authority::open(folder.path(), date).expect("an authority");
    let key = std::fs::read_to_string(folder.path().join("authority-key.pem")).expect("a key");
    let key = rcgen::KeyPair::from_pem(&key).expect("a key");
    // The thief writes the same issuer by the certificate's own name, which any leaf of it shows.
    let leaf = authority.leaf(&["shed.local".into()], date).expect("a leaf");
    let mut issuer = rcgen::CertificateParams::new(Vec::new()).expect("parameters");
    let digest = <sha2::Sha256 as sha2::Digest>::digest(rcgen::PublicKeyData::der_bytes(&key));
    issuer.distinguished_name = rcgen::DistinguishedName::new();
    let name = format!("tussock local authority {:02x}{:02x}{:02x}", digest[0], digest[1], digest[2]);
    issuer.distinguished_name.push(rcgen::DnType::CommonName, name);
    let issuer = rcgen::Issuer::new(issuer, key);
    let forged = |name: &str| {
        let params = rcgen::CertificateParams::new(vec![name.to_owned()]).expect("parameters");
        let key = rcgen::KeyPair::generate().expect("a key");
        params.signed_by(&key, &issuer).expect("a certificate").der().clone()
    };
    let verdict = |der: &CertificateDer<'static>, name: &str| {
        let mut roots = RootCertStore::empty();
        roots.add(authority.certificate().clone()).expect("a certificate");
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let verifier = rustls::client::WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider);
        let verifier = verifier.build().expect("a verifier");
        let name = ServerName::try_from(name.to_owned()).expect("a name");
        let now = rustls::pki_types::UnixTime::since_unix_epoch(std::time::Duration::from_secs(
            today.as_second().unsigned_abs(),
        ));
        rustls::client::danger::ServerCertVerifier::verify_server_cert(&*verifier, der, &[], &name, &[], now).map(drop)
    };
    assert!(verdict(&leaf.cert[0], "shed.local").is_ok());
    assert!(verdict(&forged("barn.local"), "barn.local").is_ok(), "the forgery is well made");
    for name in ["books.example", "local.example", "192.0.2.1"] {
        let told = verdict(&forged(name), name).expect_err(name);
        assert!(format!("{told:?}").contains("NameConstraint"), "{name}: {told:?}");
    }
}

#[test]
fn the_authority_stays_the_same_and_its_key_is_its_owners_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let today = jiff::civil::date(2026, 5, 4);
    let first = Authority::open(folder.path(), today).expect("an authority");
    let again = Authority::open(folder.path(), jiff::civil::date(2027, 5, 4)).expect("an authority");
    assert_eq!(first.fingerprint(), again.fingerprint());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let rights = std::fs::metadata(folder.path().join("authority-key.pem")).expect("a file").permissions().mode();
        assert_eq!(rights & 0o777, 0o600);
    }
    std::fs::remove_file(folder.path().join("authority-key.pem")).expect("removed");
    assert_eq!(Authority::open(folder.path(), today).expect_err("refused").code, "tls::authority");
}

#[tokio::test(flavor = "multi_thread")]
async fn files_that_cannot_serve_are_told_one_by_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let transport = Transport::Files { certificate: folder.path().join("a.pem"), key: folder.path().join("b.pem") };
    let told = server::serve(Settings { transport, ..settings(&folder) }).await.expect_err("refused");
    let codes: Vec<_> = told.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["server::no-owner", "tls::certificate", "tls::key"]);
    let house = House::of_a_company(|_| ()).await;
    assert_eq!(refusal(house.client().ask("get", "/metrics", None).await).await.0, 401);
}
