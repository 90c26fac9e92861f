//! By what name a request asks for us, and whose page sends it. Pure.
//!
//! A browser may be made to send requests by any page that it shows. Two marks tell that: the
//! name it asked for (a page can let its own name point at our address, DNS rebinding, but
//! not ours), and the site that it says a request comes from.

use axum::http::{HeaderMap, Uri, header};

/// Whose page sent a request, as far as its browser says (W3C *Fetch Metadata*, Fetch's `Origin`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Site {
    /// Our own.
    Own,
    /// It is not said: a program, an address that was typed, or a browser that says nothing.
    Unsaid,
    /// Another's, be it on another port of the same machine.
    Foreign,
}

/// Host and port that a request asks for; none where it names none, or two.
pub(super) fn authority<'a>(uri: &'a Uri, headers: &'a HeaderMap) -> Option<&'a str> {
    let mut hosts = headers.get_all(header::HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok())?;
    if hosts.next().is_some() {
        return None;
    }
    match uri.authority() {
        Some(asked) if !asked.as_str().eq_ignore_ascii_case(host) => None,
        _ => Some(host),
    }
}

/// The host without its port; none where it is not written as one.
pub(super) fn host(authority: &str) -> Option<&str> {
    let (host, port) = match authority.strip_prefix('[') {
        Some(rest) => {
            let end = rest.find(']')? + 2;
            (&authority[..end], &authority[end..])
        }
        None => authority.split_at(authority.find(':').unwrap_or(authority.len())),
    };
    let is_port = match port.strip_prefix(':') {
        Some(port) => port.parse::<u16>().is_ok(),
        None => port.is_empty(),
    };
    (!host.is_empty() && is_port).then_some(host)
}

/// The port, or the usual one.
pub(super) fn port(authority: &str, secured: bool) -> u16 {
    let usual = if secured { 443 } else { 80 };
    host(authority)
        .and_then(|host| authority[host.len()..].strip_prefix(':'))
        .and_then(|port| port.parse().ok())
        .unwrap_or(usual)
}

/// Does a browser trust a page from here without HTTPS (W3C *Secure Contexts*)?
pub(super) fn is_this_machine(host: &str) -> bool {
    host.eq_ignore_ascii_case("localhost")
        || host == "[::1]"
        || host
            .parse::<std::net::Ipv4Addr>()
            .is_ok_and(|address| address.is_loopback())
}

/// Whose page sent a request that asked for `authority`.
pub(super) fn site(headers: &HeaderMap, authority: &str, secured: bool) -> Site {
    let said = match headers.get("sec-fetch-site").map(|site| site.as_bytes()) {
        None | Some(b"none") => Site::Unsaid,
        Some(b"same-origin") => Site::Own,
        Some(_) => Site::Foreign,
    };
    let origin = match headers.get(header::ORIGIN) {
        None => Site::Unsaid,
        Some(origin) if is_own(origin.as_bytes(), authority, secured) => Site::Own,
        Some(_) => Site::Foreign,
    };
    match (said, origin) {
        (Site::Foreign, _) | (_, Site::Foreign) => Site::Foreign,
        (Site::Own, _) | (_, Site::Own) => Site::Own,
        (Site::Unsaid, Site::Unsaid) => Site::Unsaid,
    }
}

/// A page over plain HTTP is another than the same one over HTTPS. The other way round it is
/// somebody's HTTPS in front of us, which only its own page can have passed.
fn is_own(origin: &[u8], authority: &str, secured: bool) -> bool {
    let Ok(origin) = str::from_utf8(origin) else {
        return false;
    };
    let asked = match origin.split_once("://") {
        Some(("https", asked)) => asked,
        Some(("http", asked)) if !secured => asked,
        _ => return false,
    };
    asked.eq_ignore_ascii_case(authority)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(said: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in said {
            headers.append(*name, value.parse().unwrap());
        }
        headers
    }

    #[test]
    fn a_host_is_told_from_its_port() {
        for (authority, found) in [
            ("localhost", Some("localhost")),
            ("localhost:8710", Some("localhost")),
            ("127.0.0.1:8710", Some("127.0.0.1")),
            ("[::1]:8710", Some("[::1]")),
            ("[::1]", Some("[::1]")),
            ("", None),
            (":8710", None),
            ("[::1", None),
            ("a:b", None),
            ("a:1:2", None),
            ("a:99999", None),
            ("[::1]x", None),
        ] {
            assert_eq!(host(authority), found, "{authority}");
        }
        assert_eq!(port("a:8710", false), 8710);
        assert_eq!((port("a", false), port("[::1]", true)), (80, 443));
    }

    #[test]
    fn one_name_is_asked_for_and_no_two() {
        let uri = |uri: &str| uri.parse::<Uri>().unwrap();
        let one = headers(&[("host", "a:1")]);
        assert_eq!(authority(&uri("/x"), &one), Some("a:1"));
        assert_eq!(authority(&uri("http://A:1/x"), &one), Some("a:1"));
        assert_eq!(authority(&uri("http://b:1/x"), &one), None);
        assert_eq!(authority(&uri("/x"), &headers(&[])), None);
        let two = headers(&[("host", "a:1"), ("host", "b:1")]);
        assert_eq!(authority(&uri("/x"), &two), None);
    }

    #[test]
    fn whose_page_it_is_shows_by_either_mark() {
        let at = "192.168.4.20:8710";
        for (said, secured, site_found) in [
            (&[][..], false, Site::Unsaid),
            (&[("sec-fetch-site", "none")], false, Site::Unsaid),
            (&[("sec-fetch-site", "same-origin")], false, Site::Own),
            (&[("sec-fetch-site", "same-site")], false, Site::Foreign),
            (&[("sec-fetch-site", "cross-site")], false, Site::Foreign),
            (&[("sec-fetch-site", "else")], false, Site::Foreign),
            (&[("origin", "http://192.168.4.20:8710")], false, Site::Own),
            (&[("origin", "https://192.168.4.20:8710")], false, Site::Own),
            (&[("origin", "https://192.168.4.20:8710")], true, Site::Own),
            (
                &[("origin", "http://192.168.4.20:8710")],
                true,
                Site::Foreign,
            ),
            (
                &[("origin", "http://192.168.4.20:3000")],
                false,
                Site::Foreign,
            ),
            (&[("origin", "http://192.168.4.20")], false, Site::Foreign),
            (&[("origin", "http://example.com")], false, Site::Foreign),
            (
                &[("origin", "ftp://192.168.4.20:8710")],
                false,
                Site::Foreign,
            ),
            (&[("origin", "null")], false, Site::Foreign),
            (&[("origin", "")], false, Site::Foreign),
            (
                &[
                    ("origin", "http://192.168.4.20:8710"),
                    ("sec-fetch-site", "cross-site"),
                ],
                false,
                Site::Foreign,
            ),
            (
                &[
                    ("origin", "http://example.com"),
                    ("sec-fetch-site", "same-origin"),
                ],
                false,
                Site::Foreign,
            ),
        ] {
            assert_eq!(site(&headers(said), at, secured), site_found, "{said:?}");
        }
    }
}
