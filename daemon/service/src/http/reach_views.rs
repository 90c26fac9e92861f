//! What the wire looks like where the ways in are told.

use serde::Serialize;
use utoipa::ToSchema;

use crate::reach::{Announced, Code, Facts, Ways};

/// How a tablet gets to the page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReachView {
    /// Who can open the page.
    pub scope: ReachScope,
    /// Is the page served over HTTPS?
    pub https: bool,
    /// Addresses to open it at, the likeliest for a tablet first; none where there is no network.
    pub addresses: Vec<ReachAddress>,
    /// The name it is announced by.
    pub name: ReachName,
    /// The certificate that a tablet may trust; none without HTTPS.
    pub certificate: Option<CertificateView>,
}

/// Who can open the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReachScope {
    /// Nobody but the machine that the daemon runs on.
    ThisMachine,
    /// Everybody on its network.
    Network,
}

/// One address.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReachAddress {
    /// The whole address.
    pub url: String,
    /// The QR code of it: rows from the top, `1` for a dark module, without the free modules
    /// around, of which there have to be four on each side. Empty for this machine's own address.
    pub code: Vec<String>,
}

/// The name the page is announced by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReachName {
    /// Is it announced?
    pub state: AnnouncedView,
    /// The whole address by name; none where no name is announced.
    pub url: Option<String>,
}

/// What came of announcing the page on the network.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AnnouncedView {
    /// Not announced: switched off, or nobody else could open it.
    Off,
    /// Others are being asked whether the name is theirs.
    Asking,
    /// Announced.
    Announced,
    /// It cannot be announced here; the numeric address works.
    Failed,
}

/// The certificate that a tablet may trust.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CertificateView {
    /// What it calls itself in the list of what a tablet trusts.
    pub name: String,
    /// SHA-256 of it, as pairs of hexadecimal digits with colons between.
    pub fingerprint_sha256: String,
    /// SHA-256 of the page's own certificate, which a browser shows beside its warning.
    pub page_fingerprint_sha256: String,
    /// Where it is to be had.
    pub path: String,
}

impl ReachView {
    /// The view of the ways in.
    pub(crate) fn of(ways: &Ways) -> Self {
        let local = ways.is_this_machine_only();
        let address = |url: String| ReachAddress {
            code: if local { None } else { Code::of(&url) }
                .map(|code| code.rows())
                .unwrap_or_default(),
            url,
        };
        Self {
            scope: if local {
                ReachScope::ThisMachine
            } else {
                ReachScope::Network
            },
            https: ways.https,
            addresses: ways.urls().into_iter().map(address).collect(),
            name: ReachName {
                state: match ways.announced {
                    Announced::Off => AnnouncedView::Off,
                    Announced::Asking => AnnouncedView::Asking,
                    Announced::Told => AnnouncedView::Announced,
                    Announced::Failed => AnnouncedView::Failed,
                },
                url: ways.named_url(),
            },
            certificate: ways.certificate.as_ref().map(CertificateView::of),
        }
    }
}

impl CertificateView {
    fn of(facts: &Facts) -> Self {
        Self {
            name: facts.name.clone(),
            fingerprint_sha256: facts.fingerprint.clone(),
            page_fingerprint_sha256: facts.page_fingerprint.clone(),
            path: super::reach_api::CERTIFICATE_CRT.to_owned(),
        }
    }
}
