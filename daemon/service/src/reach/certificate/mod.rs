//! The page's own certificate, for HTTPS without anybody's help from outside.

mod issue;
mod kept;
#[cfg(test)]
mod tests;

use std::net::IpAddr;
use std::path::PathBuf;
use std::sync::Arc;

use rustls::ServerConfig;
use rustls::crypto::ring;
use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use thiserror::Error;
use time::{Date, Duration, OffsetDateTime};
use tokio_rustls::rustls;

use kept::FILE;

/// The page's certificate is made anew when it has less than this left.
const RENEW: Duration = Duration::days(30);

/// Most names in one certificate: those of now, and of networks the machine was on before.
const MOST_NAMES: usize = 32;

/// Why there is no certificate.
#[derive(Debug, Error)]
pub enum CertificateError {
    /// It could not be made.
    #[error("a certificate cannot be made: {0}")]
    Make(#[from] rcgen::Error),
    /// It cannot be used for serving.
    #[error("a certificate cannot be used: {0}")]
    Use(#[from] rustls::Error),
    /// What was kept is no certificate or no key.
    #[error("a certificate that was kept cannot be read: {0}")]
    Read(#[from] rustls::pki_types::pem::Error),
}

/// Whom a tablet is told to trust.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Authority {
    name: String,
    /// Good until then, seconds since 1970.
    until: i64,
    certificate: String,
    key: String,
}

/// What the page shows itself by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PageCertificate {
    names: Vec<String>,
    /// Good until then, seconds since 1970.
    until: i64,
    certificate: String,
    key: String,
}

/// Both, as they lie in the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Papers {
    authority: Authority,
    page: PageCertificate,
}

/// What can be told of the certificates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Facts {
    /// SHA-256 of the authority's certificate, the one that is trusted.
    pub(crate) fingerprint: String,
    /// SHA-256 of the page's certificate, the one a browser shows beside its warning.
    pub(crate) page_fingerprint: String,
    /// What the authority calls itself.
    pub(crate) name: String,
    /// The authority's certificate.
    pub(crate) pem: Arc<str>,
    /// The same in binary.
    pub(crate) der: Arc<[u8]>,
}

/// What a look at the kept certificate showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Inspected {
    /// There is none.
    Missing,
    /// It can be trusted until this day.
    Good { until: Date },
    /// Its end is so near that the next start makes another.
    Ends { until: Date },
    /// Others can read its key.
    Open { file: PathBuf, mode: u32 },
    /// It is no certificate, or none that can be used.
    Unusable { file: PathBuf, why: String },
}

/// Looks at what is kept in the folder, and changes nothing.
pub(crate) fn inspect(folder: &std::path::Path, now: OffsetDateTime) -> Inspected {
    let file = folder.join(FILE);
    let papers = match kept::read(&file) {
        Ok(None) => return Inspected::Missing,
        Ok(Some(papers)) => papers,
        Err(why) => return Inspected::Unusable { file, why },
    };
    if let Some(mode) = kept::open_to_others(&file) {
        return Inspected::Open { file, mode };
    }
    if let Err(error) = server_config(&papers) {
        let why = error.to_string();
        return Inspected::Unusable { file, why };
    }
    if !issue::can_sign(&papers.authority) {
        let why = "the authority's key does not fit".to_owned();
        return Inspected::Unusable { file, why };
    }
    let until = OffsetDateTime::from_unix_timestamp(papers.authority.until);
    let until = until.unwrap_or(OffsetDateTime::UNIX_EPOCH).date();
    if outlives(papers.authority.until, now) {
        Inspected::Good { until }
    } else {
        Inspected::Ends { until }
    }
}

/// The certificates of this machine.
#[derive(Debug)]
pub(crate) struct Certificates {
    folder: Option<PathBuf>,
    papers: Papers,
}

impl Certificates {
    /// Those that are kept in the folder, made or renewed as needed for these names.
    pub(crate) fn open(
        folder: Option<PathBuf>,
        names: &[String],
        now: OffsetDateTime,
    ) -> Result<Self, CertificateError> {
        let kept = folder.as_deref().and_then(kept::load);
        let usable = kept.filter(|papers| {
            let fits = server_config(papers).is_ok() && issue::can_sign(&papers.authority);
            if !fits {
                tracing::warn!(
                    "the kept certificate cannot be used; tablets have to trust a new one"
                );
            }
            fits && outlives(papers.authority.until, now)
        });
        let papers = if let Some(papers) = usable {
            papers
        } else {
            let authority = issue::authority(now)?;
            let page = issue::page(&authority, &vouched(names), now)?;
            let papers = Papers { authority, page };
            keep(folder.as_deref(), &papers);
            papers
        };
        let mut certificates = Self { folder, papers };
        certificates.renew(names, now)?;
        Ok(certificates)
    }

    /// Makes the page's certificate anew where it lacks a name or nears its end. True if it did.
    pub(crate) fn renew(
        &mut self,
        names: &[String],
        now: OffsetDateTime,
    ) -> Result<bool, CertificateError> {
        let page = &self.papers.page;
        let mut wanted = vouched(names);
        let has_all = wanted.iter().all(|name| page.names.contains(name));
        if has_all && outlives(page.until, now) {
            return Ok(false);
        }
        // Names of before stay: a machine that goes to and fro between two networks would
        // otherwise show another certificate each time, and every browser would warn anew.
        let before = page.names.iter().filter(|name| !wanted.contains(name));
        let before: Vec<String> = before.cloned().collect();
        wanted.extend(before);
        wanted.truncate(MOST_NAMES);
        self.papers.page = issue::page(&self.papers.authority, &wanted, now)?;
        keep(self.folder.as_deref(), &self.papers);
        Ok(true)
    }

    /// What the server needs.
    pub(crate) fn server_config(&self) -> Result<Arc<ServerConfig>, CertificateError> {
        server_config(&self.papers).map(Arc::new)
    }

    /// What can be told of them.
    pub(crate) fn facts(&self) -> Result<Facts, CertificateError> {
        let der = |pem: &str| CertificateDer::from_pem_slice(pem.as_bytes());
        let authority = der(&self.papers.authority.certificate)?;
        Ok(Facts {
            fingerprint: fingerprint(&authority),
            page_fingerprint: fingerprint(&der(&self.papers.page.certificate)?),
            name: self.papers.authority.name.clone(),
            pem: self.papers.authority.certificate.as_str().into(),
            der: authority.as_ref().into(),
        })
    }
}

/// Of these names, those that the authority may vouch for.
fn vouched(names: &[String]) -> Vec<String> {
    let may = |name: &&String| match name.parse::<IpAddr>() {
        Ok(address) => issue::is_private(address),
        Err(_) => issue::is_local(name),
    };
    let (vouched, others): (Vec<&String>, Vec<&String>) = names.iter().partition(may);
    for name in others {
        tracing::warn!(
            name,
            "the certificate does not cover this address: it is not private"
        );
    }
    vouched.into_iter().cloned().collect()
}

fn outlives(until: i64, now: OffsetDateTime) -> bool {
    until > (now + RENEW).unix_timestamp()
}

fn keep(folder: Option<&std::path::Path>, papers: &Papers) {
    let kept = folder.map_or(Err("there is no folder for it".to_owned()), |folder| {
        kept::keep(folder, papers)
    });
    if let Err(why) = kept {
        tracing::warn!(
            why,
            "the certificate cannot be kept; tablets have to trust a new one after the next start"
        );
    }
}

fn server_config(papers: &Papers) -> Result<ServerConfig, CertificateError> {
    let der = |pem: &str| CertificateDer::from_pem_slice(pem.as_bytes());
    let chain = vec![
        der(&papers.page.certificate)?,
        der(&papers.authority.certificate)?,
    ];
    let key = PrivateKeyDer::from_pem_slice(papers.page.key.as_bytes())?;
    let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()?
        .with_no_client_auth()
        .with_single_cert(chain, key)?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(config)
}

/// SHA-256 as browsers and systems show it: pairs of hexadecimal digits with colons between them.
fn fingerprint(der: &[u8]) -> String {
    let pairs: Vec<String> = Sha256::digest(der)
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    pairs.join(":")
}
