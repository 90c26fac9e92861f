//! Pairing a device, and ending that. This stands before the ledger of commands: an answer with a
//! token in it is never kept.

use axum::extract::Request;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use axum::{Extension, Json};
use time::OffsetDateTime;

use super::admitted::{self, Commander};
use super::door::Peer;
use super::guard::Asked;
use super::pairing_views::{
    CommandsView, KnownDeviceView, PairedDeviceView, PairedView, PairingView, PairingWish,
};
use super::problem::{Body, Numbered, Problem};
use super::views::ProblemView;
use crate::pairing::{BETWEEN_GUESSES, Commands, MOST_DEVICES, PairingDesk, PairingFault, TRIES};
use crate::practice;
use crate::text;

/// Where devices are paired.
const PATH: &str = "/api/v1/pairing";

/// Is it the address where devices are paired? A practice is part of the same daemon.
pub(super) fn is_here(path: &str) -> bool {
    path.strip_prefix(practice::PATH).unwrap_or(path) == PATH
}

/// Who may command, and whether the device that asks is one of them.
#[utoipa::path(get, path = "/api/v1/pairing", tag = "pairing", operation_id = "pairing", responses((status = 200, body = PairingView)))]
pub(super) async fn pairing(
    Extension(pairing): Extension<PairingDesk>,
    asked: Option<Extension<Asked>>,
    headers: HeaderMap,
) -> Result<Json<PairingView>, Problem> {
    let asked = asked.as_deref();
    let device = admitted::device(&pairing, &headers, asked).await?;
    Ok(Json(PairingView {
        commands: match pairing.commands() {
            Commands::Paired => CommandsView::Paired,
            Commands::Open => CommandsView::Open,
        },
        device: device.map(|device| PairedDeviceView {
            id: device.id,
            name: device.name,
        }),
    }))
}

/// Exchanges a code from the terminal for a token. A code is good once, for ten minutes and five
/// guesses; guesses come no faster than one a second.
#[utoipa::path(post, path = "/api/v1/pairing", tag = "pairing", operation_id = "pair", request_body = PairingWish, responses(
    (status = 201, body = PairedView, headers(("set-cookie" = String, description = "The token, where it was not asked for"))),
    (status = 403, body = ProblemView, content_type = "application/problem+json", description = "Another code, none that is good, or the page of another site"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Too many devices are paired"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No code at all"),
    (status = 429, body = ProblemView, content_type = "application/problem+json", description = "A code was tried a moment ago")))]
pub(super) async fn pair(
    Extension(pairing): Extension<PairingDesk>,
    asked: Option<Extension<Asked>>,
    peer: Option<Extension<Peer>>,
    Body(wish): Body<PairingWish>,
) -> Result<Response, Problem> {
    let from = peer.map(|Extension(peer)| peer.address.to_string());
    let paired = pairing.pair(wish.code, wish.name, from).await;
    let paired = paired.map_err(|fault| problem(&fault))?;
    tracing::info!(id = paired.id, name = paired.name, "a device was paired");
    let cookie = asked
        .filter(|_| !wish.bearer)
        .and_then(|asked| admitted::cookie(&asked, paired.token.told()));
    let view = PairedView {
        device: PairedDeviceView {
            id: paired.id,
            name: paired.name,
        },
        token: wish.bearer.then(|| paired.token.told().to_owned()),
    };
    let mut response = (StatusCode::CREATED, Json(view)).into_response();
    if let Some(cookie) = cookie {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    Ok(response)
}

/// Ends the pairing of the device that asks.
#[utoipa::path(delete, path = "/api/v1/pairing", tag = "pairing", operation_id = "unpair", responses(
    (status = 204, description = "It is not paired any more"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Nobody is paired: commands are open")))]
pub(super) async fn unpair(
    Extension(pairing): Extension<PairingDesk>,
    request: Request,
) -> Result<Response, Problem> {
    let Some(Commander::Device(id)) = request.extensions().get::<Commander>().copied() else {
        return Err(open());
    };
    pairing.leave(id).await.map_err(|fault| problem(&fault))?;
    tracing::info!(id, "a device ended its pairing");
    let mut response = StatusCode::NO_CONTENT.into_response();
    let asked = request.extensions().get::<Asked>();
    if let Some(cookie) = asked.and_then(|asked| admitted::cookie(asked, "")) {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    Ok(response)
}

/// All paired devices, told to one of them.
#[utoipa::path(get, path = "/api/v1/pairing/devices", tag = "pairing", operation_id = "paired_devices", responses(
    (status = 200, body = Vec<KnownDeviceView>),
    (status = 401, body = ProblemView, content_type = "application/problem+json", description = "The device is not paired"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "Paired devices cannot be looked up")))]
pub(super) async fn devices(
    Extension(pairing): Extension<PairingDesk>,
    asked: Option<Extension<Asked>>,
    headers: HeaderMap,
) -> Result<Json<Vec<KnownDeviceView>>, Problem> {
    let own = admitted::device(&pairing, &headers, asked.as_deref()).await?;
    let own = own.ok_or_else(admitted::not_paired)?.id;
    let known = pairing.listed().await.map_err(|fault| problem(&fault))?;
    let views = known.into_iter().map(|device| KnownDeviceView {
        paired_on: OffsetDateTime::from_unix_timestamp(device.paired_at)
            .map(|at| at.date().to_string())
            .unwrap_or_default(),
        own: device.id == own,
        id: device.id,
        name: device.name,
    });
    Ok(Json(views.collect()))
}

/// Takes the right to press buttons from a device; it is refused from its next press on.
#[utoipa::path(delete, path = "/api/v1/pairing/devices/{id}", tag = "pairing", operation_id = "revoke_device", params(("id" = i64, Path)), responses(
    (status = 204, description = "It is not paired any more"),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "There is no such device"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Nobody is paired: commands are open")))]
pub(super) async fn revoke(
    Extension(pairing): Extension<PairingDesk>,
    commander: Option<Extension<Commander>>,
    Numbered(id): Numbered,
) -> Result<StatusCode, Problem> {
    let Some(Extension(Commander::Device(by))) = commander else {
        return Err(open());
    };
    let gone = match u32::try_from(id) {
        Ok(id) => pairing.leave(id).await.map_err(|fault| problem(&fault))?,
        Err(_) => false,
    };
    if !gone {
        return Err(Problem::new(
            StatusCode::NOT_FOUND,
            "no_such_device",
            text!("There is no such device"),
            text!("It may have been revoked already."),
            text!("Look at the list anew."),
        ));
    }
    tracing::info!(id, by, "a device was revoked");
    Ok(StatusCode::NO_CONTENT)
}

fn open() -> Problem {
    Problem::new(
        StatusCode::CONFLICT,
        "commands_open",
        text!("Nobody is paired here"),
        text!("The daemon was started with commands open to everybody."),
        text!("Start it with --commands paired to have devices paired."),
    )
}

/// What a device is told that is not paired.
pub(super) fn problem(fault: &PairingFault) -> Problem {
    let new_code =
        || text!("Make a new code on the machine that hubplumb runs on: hubplumb pairing code.");
    let own_fault = |what: String| {
        Problem::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "pairing_not_kept",
            text!("Paired devices cannot be looked up"),
            what,
            text!(
                "On the machine that hubplumb runs on: make the file readable and writable, or move it away and pair anew."
            ),
        )
    };
    match fault {
        PairingFault::NoCodeTyped => Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "no_code_typed",
            text!("That is no code"),
            text!("A code has eight digits."),
            text!("Type the code that stands on the terminal of hubplumb."),
        ),
        PairingFault::TooSoon => Problem::new(
            StatusCode::TOO_MANY_REQUESTS,
            "pairing_too_soon",
            text!("A code was tried a moment ago"),
            text!("Codes are tried one at a time, so that nobody can guess one. This one was not tried."),
            text!("Wait a moment and type it again."),
        )
        .again_after(BETWEEN_GUESSES),
        PairingFault::NoCode => Problem::new(
            StatusCode::FORBIDDEN,
            "no_pairing_code",
            text!("No code is good now"),
            text!("A code is good once and for ten minutes; after {tries} wrong guesses it is given up.", tries = usize::from(TRIES)),
            new_code(),
        ),
        PairingFault::WrongCode { left: 0 } => Problem::new(
            StatusCode::FORBIDDEN,
            "wrong_pairing_code",
            text!("That was not the code"),
            text!("That was the last try: the code is given up."),
            new_code(),
        ),
        PairingFault::WrongCode { left } => Problem::new(
            StatusCode::FORBIDDEN,
            "wrong_pairing_code",
            text!("That was not the code"),
            text!("Tries that are left: {left}.", left = usize::from(*left)),
            text!("Type the code that stands on the terminal of hubplumb."),
        ),
        PairingFault::Full => Problem::new(
            StatusCode::CONFLICT,
            "too_many_devices",
            text!("Too many devices are paired"),
            text!("{most} devices are paired already. The code was not used.", most = MOST_DEVICES),
            text!("Revoke one that is not used any more on the machine that hubplumb runs on: hubplumb pairing list."),
        ),
        PairingFault::Ended => Problem::stopping(),
        PairingFault::NoChance(_)
        | PairingFault::File(_)
        | PairingFault::NotUnderstood(_)
        | PairingFault::NoFolder => own_fault(fault.to_string()),
    }
}
