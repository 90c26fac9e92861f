//! The layer that lets commands through from paired devices alone.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use super::guard::{Asked, changes};
use super::origin::{self, Site};
use super::pairing_api;
use super::problem::Problem;
use crate::pairing::{Commands, Device, PairingDesk};
use crate::text;

/// How long a browser keeps its token, s: the longest that browsers keep any (RFC 6265bis, 400 days).
const COOKIE_LIFE_S: u32 = 400 * 86_400;

/// Who commands. Whatever is kept for one is never given to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Commander {
    /// Whoever gets to the page, where commands are open.
    Anybody,
    /// A paired device, by its number.
    Device(u32),
}

/// The layer.
pub(super) async fn admitted(
    State(pairing): State<PairingDesk>,
    mut request: Request,
    next: Next,
) -> Response {
    // A code is all that a device has before it is paired.
    let asks_to_pair =
        request.method() == Method::POST && pairing_api::is_here(request.uri().path());
    if !changes(request.method()) || asks_to_pair {
        return next.run(request).await;
    }
    let commander = match pairing.commands() {
        Commands::Open => Ok(Commander::Anybody),
        Commands::Paired => match may_show(&request) {
            Ok(token) => commander(&pairing, token).await,
            Err(problem) => Err(problem),
        },
    };
    match commander {
        Ok(commander) => {
            request.extensions_mut().insert(commander);
            next.run(request).await
        }
        Err(problem) => problem.into_response(),
    }
}

/// The token of a request that may be a device's own.
fn may_show(request: &Request) -> Result<String, Problem> {
    let asked = request.extensions().get::<Asked>();
    let (token, by) = shown(request.headers(), asked).ok_or_else(not_paired)?;
    // A browser adds its cookie to whatever any page asks it to send; it says whose page it was.
    let is_own = asked.is_some_and(|asked| asked.site == Site::Own);
    if by == By::Cookie && !is_own {
        return Err(Problem::foreign_page());
    }
    Ok(token.to_owned())
}

async fn commander(pairing: &PairingDesk, token: String) -> Result<Commander, Problem> {
    let device = pairing
        .device(&token)
        .await
        .map_err(|fault| pairing_api::problem(&fault))?;
    device
        .map(|device| Commander::Device(device.id))
        .ok_or_else(not_paired)
}

/// The device that a request comes from; none where it shows no token, or none that is good.
pub(super) async fn device(
    pairing: &PairingDesk,
    headers: &HeaderMap,
    asked: Option<&Asked>,
) -> Result<Option<Device>, Problem> {
    match shown(headers, asked) {
        Some((token, _)) => pairing
            .device(token)
            .await
            .map_err(|fault| pairing_api::problem(&fault)),
        None => Ok(None),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Header,
    Cookie,
}

/// The token that a request shows: in `Authorization` (RFC 6750), else as a cookie.
fn shown<'a>(headers: &'a HeaderMap, asked: Option<&Asked>) -> Option<(&'a str, By)> {
    if let Some(value) = headers.get(header::AUTHORIZATION) {
        let (scheme, token) = value.to_str().ok()?.split_once(' ')?;
        return scheme
            .eq_ignore_ascii_case("bearer")
            .then_some((token.trim(), By::Header));
    }
    let name = cookie_name(asked?);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|cookies| cookies.to_str().ok())
        .flat_map(|cookies| cookies.split(';'))
        .filter_map(|cookie| cookie.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, token)| (token, By::Cookie))
}

/// Browsers tell cookies apart by host, not by port, and two daemons may run on one machine.
fn cookie_name(asked: &Asked) -> String {
    format!("hubplumb-{}", origin::port(&asked.authority, asked.secured))
}

/// A cookie that scripts of the page cannot read and other sites cannot have sent.
pub(super) fn cookie(asked: &Asked, token: &str) -> Option<HeaderValue> {
    let life_s = if token.is_empty() { 0 } else { COOKIE_LIFE_S };
    let secure = if asked.secured { "; Secure" } else { "" };
    let name = cookie_name(asked);
    HeaderValue::from_str(&format!(
        "{name}={token}; Path=/; Max-Age={life_s}; HttpOnly; SameSite=Strict{secure}"
    ))
    .ok()
}

pub(super) fn not_paired() -> Problem {
    Problem::new(
        StatusCode::UNAUTHORIZED,
        "not_paired",
        text!("Not paired yet"),
        text!("This device may look. To press buttons it is paired once. Nothing was done."),
        text!(
            "Type the code that stands on the terminal of hubplumb. A new one is made there by: hubplumb pairing code."
        ),
    )
}
