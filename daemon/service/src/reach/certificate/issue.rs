//! Making the two certificates: the authority that a tablet is told to trust, and the page's
//! own, which the authority signs and which changes with the addresses.
//!
//! They are two so that a new address asks nothing of anybody: what a tablet trusts stays the
//! same for years. What the authority may vouch for is bound by name constraints
//! (RFC 5280, 4.2.1.10) to names ending in `.local` and to addresses that are private to a
//! network, so that its key, should somebody steal it, opens nobody's bank.

use std::net::IpAddr;

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints, SanType,
};
use time::{Duration, OffsetDateTime};
use uuid::Uuid;

use super::{Authority, CertificateError, PageCertificate};

/// How long the authority is good for: as long as a tablet lasts.
const AUTHORITY_DAYS: i64 = 3650;
/// How long the page's certificate is good for. Browsers refuse more than 398 days of a public
/// authority's and some systems more than 825 of one's own (from memory); this is below both.
const PAGE_DAYS: i64 = 397;
/// How long before now a certificate begins, so that a tablet whose clock is behind takes it.
const BEFORE_DAYS: i64 = 7;

/// Networks whose addresses are private to them: IPv4 (RFC 1918), what cards give themselves
/// (RFC 3927), this machine; IPv6 (RFC 4193), and this machine.
const PRIVATE: [(&str, u8); 7] = [
    ("10.0.0.0", 8),
    ("172.16.0.0", 12),
    ("192.168.0.0", 16),
    ("169.254.0.0", 16),
    ("127.0.0.0", 8),
    ("fc00::", 7),
    ("::1", 128),
];

/// May the authority vouch for this address?
pub(crate) fn is_private(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => {
            address.is_private() || address.is_link_local() || address.is_loopback()
        }
        IpAddr::V6(address) => address.is_unique_local() || address.is_loopback(),
    }
}

/// May the authority vouch for this name of a host?
pub(crate) fn is_local(name: &str) -> bool {
    name == "localhost" || name.rsplit_once('.').is_some_and(|(_, top)| top == "local")
}

fn constraints() -> NameConstraints {
    let addresses = PRIVATE.iter().filter_map(|(address, bits)| {
        let address: IpAddr = address.parse().ok()?;
        Some(GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(
            address, *bits,
        )))
    });
    let names = ["local", "localhost"].map(|name| GeneralSubtree::DnsName(name.to_owned()));
    NameConstraints {
        permitted_subtrees: names.into_iter().chain(addresses).collect(),
        excluded_subtrees: Vec::new(),
    }
}

fn dates(now: OffsetDateTime, days: i64) -> (OffsetDateTime, OffsetDateTime) {
    (
        now - Duration::days(BEFORE_DAYS),
        now + Duration::days(days),
    )
}

fn named(name: &str) -> DistinguishedName {
    let mut distinguished = DistinguishedName::new();
    distinguished.push(DnType::CommonName, name);
    distinguished
}

/// The authority's particulars; whoever signs with its key needs the same ones.
fn authority_params(name: &str) -> CertificateParams {
    let mut params = CertificateParams::default();
    params.distinguished_name = named(name);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.name_constraints = Some(constraints());
    params
}

/// Makes an authority.
pub(super) fn authority(now: OffsetDateTime) -> Result<Authority, CertificateError> {
    // Two authorities of two machines must not share a name, or browsers take one for the other.
    let chance = Uuid::new_v4().simple().to_string();
    let name = format!("hubplumb {}", &chance[..8]);
    let key = KeyPair::generate()?;
    let mut params = authority_params(&name);
    (params.not_before, params.not_after) = dates(now, AUTHORITY_DAYS);
    let certificate = params.self_signed(&key)?;
    Ok(Authority {
        name,
        until: params.not_after.unix_timestamp(),
        certificate: certificate.pem(),
        key: key.serialize_pem(),
    })
}

/// Is the authority's key one?
pub(super) fn can_sign(authority: &Authority) -> bool {
    KeyPair::from_pem(&authority.key).is_ok()
}

/// Has the authority sign a certificate for these names and addresses.
pub(super) fn page(
    authority: &Authority,
    names: &[String],
    now: OffsetDateTime,
) -> Result<PageCertificate, CertificateError> {
    let signer = Issuer::new(
        authority_params(&authority.name),
        KeyPair::from_pem(&authority.key)?,
    );
    let mut params = CertificateParams::default();
    params.distinguished_name = named("hubplumb page");
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    (params.not_before, params.not_after) = dates(now, PAGE_DAYS);
    // Past the authority's own end nobody would believe it.
    let last = OffsetDateTime::from_unix_timestamp(authority.until).unwrap_or(params.not_after);
    params.not_after = params.not_after.min(last);
    for name in names {
        params.subject_alt_names.push(match name.parse::<IpAddr>() {
            Ok(address) => SanType::IpAddress(address),
            Err(_) => SanType::DnsName(name.as_str().try_into()?),
        });
    }
    let key = KeyPair::generate()?;
    let certificate = params.signed_by(&key, &signer)?;
    Ok(PageCertificate {
        names: names.to_vec(),
        until: params.not_after.unix_timestamp(),
        certificate: certificate.pem(),
        key: key.serialize_pem(),
    })
}
