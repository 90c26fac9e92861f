//! Certificates as a browser meets them: by a handshake with a client that trusts the authority.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, RootCertStore};
use tokio_rustls::{TlsAcceptor, TlsConnector};

use super::*;

fn now() -> OffsetDateTime {
    OffsetDateTime::now_utc()
}

fn names(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn open(folder: &Path, wanted: &[&str], now: OffsetDateTime) -> Certificates {
    Certificates::open(Some(folder.to_owned()), &names(wanted), now).unwrap()
}

/// What a client that trusts only `authority` says to a server with these papers under `name`.
async fn handshake(papers: &Papers, authority: &str, name: &str) -> Result<(), String> {
    let mut roots = RootCertStore::empty();
    roots
        .add(CertificateDer::from_pem_slice(authority.as_bytes()).unwrap())
        .unwrap();
    let client = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let (near, far) = tokio::io::duplex(16_384);
    let acceptor = TlsAcceptor::from(Arc::new(server_config(papers).unwrap()));
    let server = tokio::spawn(async move {
        let mut stream = acceptor.accept(far).await?;
        stream.write_all(b"in").await?;
        stream.shutdown().await
    });
    let name = ServerName::try_from(name.to_owned()).unwrap();
    let connected = TlsConnector::from(Arc::new(client))
        .connect(name, near)
        .await;
    let outcome = match connected {
        Ok(mut stream) => {
            let mut said = [0; 2];
            stream.read_exact(&mut said).await.unwrap();
            Ok(())
        }
        Err(error) => Err(error.to_string()),
    };
    let served = server.await.unwrap();
    assert_eq!(served.is_ok(), outcome.is_ok(), "{served:?}");
    outcome
}

#[tokio::test]
async fn a_client_that_trusts_the_authority_takes_every_name_of_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let wanted = ["192.168.4.20", "fd00::20", "hubplumb.local", "localhost"];
    let papers = open(folder.path(), &wanted, now()).papers;
    for name in wanted {
        let taken = handshake(&papers, &papers.authority.certificate, name).await;
        assert_eq!(taken, Ok(()), "{name}");
    }
    for other in ["192.168.4.21", "garage.local"] {
        let refused = handshake(&papers, &papers.authority.certificate, other).await;
        assert!(
            refused.unwrap_err().contains("not valid for name"),
            "{other}"
        );
    }
}

#[tokio::test]
async fn a_client_that_trusts_another_authority_takes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let papers = open(folder.path(), &["127.0.0.1"], now()).papers;
    let other = issue::authority(now()).unwrap();
    let refused = handshake(&papers, &other.certificate, "127.0.0.1").await;
    assert!(refused.unwrap_err().contains("UnknownIssuer"));
}

/// Whoever steals the key and signs for a public name with it is not believed.
#[tokio::test]
async fn the_authority_is_not_believed_beyond_the_local_network() {
    let authority = issue::authority(now()).unwrap();
    for name in ["bank.example", "203.0.113.9", "2001:db8::1"] {
        let page = issue::page(&authority, &names(&[name]), now()).unwrap();
        let papers = Papers {
            authority: authority.clone(),
            page,
        };
        let refused = handshake(&papers, &authority.certificate, name).await;
        assert!(
            refused
                .clone()
                .unwrap_err()
                .contains("NameConstraintViolation"),
            "{name}: {refused:?}"
        );
    }
}

#[test]
fn what_is_not_private_is_left_out() {
    let asked = names(&[
        "203.0.113.9",
        "192.168.4.20",
        "2001:db8::1",
        "hubplumb.local",
        "garage.example",
    ]);
    assert_eq!(vouched(&asked), ["192.168.4.20", "hubplumb.local"]);
}

#[test]
fn both_are_kept_for_their_owner_alone_and_found_again() {
    let folder = tempfile::tempdir().unwrap();
    let first = open(folder.path(), &["192.168.4.20"], now());
    let file = folder.path().join(FILE);
    let mode = || fs::metadata(&file).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(), 0o600);
    // Copied by somebody who was careless.
    fs::set_permissions(&file, fs::Permissions::from_mode(0o644)).unwrap();
    let again = open(folder.path(), &["192.168.4.20"], now());
    assert_eq!(again.papers, first.papers);
    assert_eq!(mode(), 0o600);
}

#[test]
fn a_new_address_renews_the_page_and_never_the_authority() {
    let folder = tempfile::tempdir().unwrap();
    let mut certificates = open(folder.path(), &["192.168.4.20"], now());
    let first = certificates.papers.clone();
    assert!(
        !certificates
            .renew(&names(&["192.168.4.20"]), now())
            .unwrap()
    );
    assert!(certificates.renew(&names(&["10.0.0.7"]), now()).unwrap());
    let renewed = certificates.papers.clone();
    assert_eq!(renewed.authority, first.authority);
    assert_ne!(renewed.page.certificate, first.page.certificate);
    assert_eq!(renewed.page.names, ["10.0.0.7", "192.168.4.20"]);
    // Back on the network of before nothing changes, also after another start.
    let mut again = open(folder.path(), &["192.168.4.20"], now());
    assert_eq!(again.papers, renewed);
    for nth in 0..40 {
        again
            .renew(&names(&[&format!("10.0.1.{nth}")]), now())
            .unwrap();
    }
    assert_eq!(again.papers.page.names.len(), MOST_NAMES);
    assert_eq!(again.papers.page.names[0], "10.0.1.39");
}

#[test]
fn both_are_renewed_near_their_end() {
    let folder = tempfile::tempdir().unwrap();
    let first = open(folder.path(), &["192.168.4.20"], now()).papers;
    let fine = now() + Duration::days(397 - 31);
    assert_eq!(open(folder.path(), &["192.168.4.20"], fine).papers, first);
    let near = now() + Duration::days(397 - 29);
    let page = open(folder.path(), &["192.168.4.20"], near).papers;
    assert_eq!(page.authority, first.authority);
    assert_ne!(page.page, first.page);
    let years = now() + Duration::days(3650 - 29);
    let both = open(folder.path(), &["192.168.4.20"], years).papers;
    assert_ne!(both.authority, first.authority);
}

#[test]
fn a_file_that_is_no_certificate_is_set_aside() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(FILE);
    fs::write(&file, "mine").unwrap();
    let made = open(folder.path(), &["192.168.4.20"], now());
    assert_eq!(kept::load(folder.path()), Some(made.papers));
    let aside = folder.path().join("https.toml.unreadable-1");
    assert_eq!(fs::read_to_string(aside).unwrap(), "mine");
}

#[test]
fn a_file_whose_key_was_damaged_is_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let first = open(folder.path(), &["192.168.4.20"], now()).papers;
    let other = issue::page(
        &issue::authority(now()).unwrap(),
        &names(&["127.0.0.1"]),
        now(),
    );
    let mut damaged = first.clone();
    damaged.page.key = other.unwrap().key;
    kept::keep(folder.path(), &damaged).unwrap();
    let made = open(folder.path(), &["192.168.4.20"], now()).papers;
    assert_ne!(made.authority, first.authority);
    assert!(server_config(&made).is_ok());
}

#[test]
fn without_a_folder_there_is_a_certificate_for_this_run() {
    let certificates = Certificates::open(None, &names(&["127.0.0.1"]), now()).unwrap();
    let facts = certificates.facts().unwrap();
    for print in [&facts.fingerprint, &facts.page_fingerprint] {
        assert_eq!(print.len(), 32 * 3 - 1);
        assert!(print.split(':').all(|pair| pair.len() == 2));
    }
    assert_ne!(facts.fingerprint, facts.page_fingerprint);
    assert!(facts.pem.starts_with("-----BEGIN CERTIFICATE-----"));
    assert!(!facts.pem.contains("PRIVATE"));
}
