//! What is answered over plain HTTP where HTTPS is on: the certificate, a page that says where to
//! go and what will happen there, and a refusal of everything else.

use axum::Extension;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};

use super::door::Peer;
use super::problem::Problem;
use super::reach_api::{CERTIFICATE_CRT, CERTIFICATE_PEM};
use crate::reach::{Facts, ReachDesk};
use crate::text;

/// No script, nothing from elsewhere.
const CONTENT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const STYLE: &str = "body{font:22px/1.4 system-ui,sans-serif;max-width:40em;margin:2em auto;padding:0 1em;background:#f3eee2;color:#1c1b18}\
    a{display:block;border:2px solid #1d3f72;border-radius:4px;padding:18px 22px;margin:.6em 0;color:#1d3f72;font-weight:650}\
    code{overflow-wrap:anywhere;font-size:18px}hr{border:0;border-top:2px dashed #8d8470;margin:2em 0}";

/// The layer: a request that came in plain gets no farther.
pub(super) async fn plain(
    State(reach): State<ReachDesk>,
    peer: Option<Extension<Peer>>,
    request: Request,
    next: Next,
) -> Response {
    let path = request.uri().path();
    let secured = peer.is_none_or(|Extension(peer)| peer.secured);
    if secured || matches!(path, CERTIFICATE_PEM | CERTIFICATE_CRT) {
        return next.run(request).await;
    }
    let ways = reach.ways();
    let asks = matches!(*request.method(), Method::GET | Method::HEAD);
    if path.starts_with("/api/") || !asks {
        return https_only().into_response();
    }
    let host = request.headers().get(header::HOST).and_then(host);
    let way = match host {
        Some(host) => format!("https://{host}{}", printable(path)),
        None => ways.urls().into_iter().next().unwrap_or_default(),
    };
    let page = Html(page(&way, ways.certificate.as_ref()).into_string());
    let policy = HeaderValue::from_static(CONTENT_POLICY);
    let fresh = HeaderValue::from_static("no-store");
    let headers = [
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::CACHE_CONTROL, fresh),
    ];
    (headers, page).into_response()
}

/// The host that was asked for, if it looks like one.
fn host(value: &HeaderValue) -> Option<&str> {
    let is_part = |letter: char| letter.is_ascii_alphanumeric() || ".-:[]".contains(letter);
    value
        .to_str()
        .ok()
        .filter(|host| !host.is_empty() && host.chars().all(is_part))
}

/// The path, unless it holds what no path of ours does.
fn printable(path: &str) -> &str {
    let is_part = |letter: char| letter.is_ascii_alphanumeric() || "/-._".contains(letter);
    if path.chars().all(is_part) { path } else { "/" }
}

fn https_only() -> Problem {
    Problem::new(
        StatusCode::FORBIDDEN,
        "https_only",
        text!("Only over HTTPS"),
        text!(
            "The daemon was started with HTTPS; over plain HTTP it gives its certificate and nothing else. Nothing was done."
        ),
        text!(
            "Ask again under https:// on the same port; docs/REACH.md says how the certificate is trusted."
        ),
    )
}

fn page(way: &str, certificate: Option<&Facts>) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "hubplumb" }
                style { (STYLE) }
            }
            body {
                (english(way, certificate))
                hr;
                div lang="de" { (german(way, certificate)) }
            }
        }
    }
}

fn english(way: &str, certificate: Option<&Facts>) -> Markup {
    html! {
        h1 { "hubplumb is behind HTTPS" }
        p { "The browser will warn once: nobody outside vouches for the certificate, because hubplumb made it itself. Trust it first and there is no warning; the page can then be installed and the screen kept awake." }
        @if let Some(facts) = certificate {
            p { "1. Get the certificate and let this tablet trust it, as a certificate authority named “" (facts.name) "”." }
            a href=(CERTIFICATE_CRT) { "Get the certificate" }
            p { "2. Compare: its SHA-256 fingerprint must be the one that hubplumb prints where it runs. Over plain HTTP somebody on the network could have put another in its place." }
            p { code { (facts.fingerprint) } }
        }
        p { "3. Go on to the page." }
        a href=(way) { (way) }
    }
}

fn german(way: &str, certificate: Option<&Facts>) -> Markup {
    html! {
        h1 { "hubplumb ist über HTTPS zu erreichen" }
        p { "Der Browser warnt einmal: Für das Zertifikat bürgt niemand von außen, weil hubplumb es selbst ausgestellt hat. Wer ihm vorher vertraut, bekommt keine Warnung; dann lässt sich die Seite installieren und der Bildschirm wach halten." }
        @if let Some(facts) = certificate {
            p { "1. Zertifikat holen und auf diesem Tablet als Zertifizierungsstelle mit dem Namen „" (facts.name) "“ annehmen." }
            a href=(CERTIFICATE_CRT) { "Zertifikat holen" }
            p { "2. Vergleichen: Sein SHA-256-Fingerabdruck muss der sein, den hubplumb dort ausgibt, wo es läuft. Über unverschlüsseltes HTTP könnte jemand im Netz ein anderes untergeschoben haben." }
            p { code { (facts.fingerprint) } }
        }
        p { "3. Weiter zur Seite." }
        a href=(way) { (way) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_host_is_repeated() {
        for (given, taken) in [
            ("192.168.4.20:8710", true),
            ("[fd00::20]:8710", true),
            ("hubplumb-2.local:8710", true),
            ("", false),
            ("a b", false),
            ("x\"><script>", false),
        ] {
            let value = HeaderValue::from_str(given).unwrap();
            assert_eq!(host(&value).is_some(), taken, "{given}");
        }
        assert_eq!(printable("/sheet/3"), "/sheet/3");
        assert_eq!(printable("/\"onclick"), "/");
    }
}
