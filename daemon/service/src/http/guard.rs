//! Before everything else: by what name we are asked, whose page asks, and what every answer says
//! to the browser.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use super::door::Peer;
use super::origin::{self, Site};
use super::problem::Problem;
use crate::reach::ReachDesk;
use crate::text;

/// Of what is no page nothing is shown, run or put into another page.
const CONTENT_POLICY: &str =
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What the page needs of the browser's powers is to keep the screen on.
const PERMISSIONS: &str = "bluetooth=(), camera=(), display-capture=(), geolocation=(), hid=(), \
     microphone=(), midi=(), payment=(), serial=(), usb=(), screen-wake-lock=(self)";

/// How long a browser that trusts the certificate goes on by HTTPS alone. A day: when the
/// certificate is made anew, no tablet may be locked out for longer.
const STRICT_TRANSPORT: &str = "max-age=86400";

/// What is known of a request once it got in.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    /// Host and port that were asked for.
    pub(super) authority: String,
    /// Whose page asked.
    pub(super) site: Site,
    /// Over HTTPS?
    pub(super) secured: bool,
}

/// Does it change something?
pub(super) fn changes(method: &Method) -> bool {
    !matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// The layer.
pub(super) async fn guard(
    State(reach): State<ReachDesk>,
    mut request: Request,
    next: Next,
) -> Response {
    let secured = request
        .extensions()
        .get::<Peer>()
        .is_some_and(|peer| peer.secured);
    let asked = asked(&reach, &request, secured);
    let is_trusted_here = secured
        || asked
            .as_ref()
            .is_ok_and(|asked| origin::host(&asked.authority).is_some_and(origin::is_this_machine));
    let mut response = match asked {
        Err(problem) => problem.into_response(),
        Ok(asked) if asked.site == Site::Foreign && minds(&request) => {
            Problem::foreign_page().into_response()
        }
        Ok(asked) => {
            request.extensions_mut().insert(asked);
            next.run(request).await
        }
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (HeaderName::from_static("permissions-policy"), PERMISSIONS),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Elsewhere browsers leave it alone and complain.
    if is_trusted_here {
        headers.insert(
            HeaderName::from_static("cross-origin-opener-policy"),
            HeaderValue::from_static("same-origin"),
        );
    }
    if secured {
        headers.insert(
            header::STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static(STRICT_TRANSPORT),
        );
    }
    unless_said(headers, header::CACHE_CONTROL, "no-store");
    unless_said(headers, header::CONTENT_SECURITY_POLICY, CONTENT_POLICY);
    response
}

fn unless_said(headers: &mut HeaderMap, name: HeaderName, value: &'static str) {
    headers
        .entry(name)
        .or_insert(HeaderValue::from_static(value));
}

fn asked(reach: &ReachDesk, request: &Request, secured: bool) -> Result<Asked, Problem> {
    let authority = origin::authority(request.uri(), request.headers());
    let authority = authority.ok_or_else(|| unknown_host("?"))?;
    let is_ours = origin::host(authority).is_some_and(|host| reach.is_called(host));
    if !is_ours {
        return Err(unknown_host(authority));
    }
    Ok(Asked {
        authority: authority.to_owned(),
        site: origin::site(request.headers(), authority, secured),
        secured,
    })
}

/// Is it something that no page of another site may ask for? A link to a page or a sheet of ours
/// may stand anywhere; a browser does not show other sites what it got.
fn minds(request: &Request) -> bool {
    let is_link = request
        .headers()
        .get("sec-fetch-mode")
        .is_some_and(|mode| mode == "navigate");
    changes(request.method()) || (request.uri().path().contains("/api/") && !is_link)
}

fn unknown_host(asked: &str) -> Problem {
    Problem::new(
        StatusCode::MISDIRECTED_REQUEST,
        "unknown_host",
        text!("That is not a name of this daemon"),
        text!(
            "It was asked for as {asked}. Nothing was told or done, because another site may have let its name point here.",
            asked = asked.to_owned()
        ),
        text!(
            "Open it by its address, or name it: names = [\"…\"] under [http] in the configuration, or --name."
        ),
    )
}
