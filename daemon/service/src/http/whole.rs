//! Bodies are read whole before anything is done with them, within bounds of size and time: what
//! a client did not send to its end is no command, and one that sends a byte now and then does not
//! keep anybody waiting.

use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use http_body_util::LengthLimitError;
use tokio::time::timeout;

use super::MOST_BODY_BYTES;
use super::guard::changes;
use super::problem::Problem;
use crate::text;

/// How long a body may take: the largest comes over a garage's weakest radio in less.
const BODY_PATIENCE: Duration = Duration::from_secs(10);

/// The layer.
pub(super) async fn whole(request: Request, next: Next) -> Response {
    if !changes(request.method()) {
        return next.run(request).await;
    }
    let (parts, body) = request.into_parts();
    match timeout(BODY_PATIENCE, to_bytes(body, MOST_BODY_BYTES)).await {
        Ok(Ok(body)) => next.run(Request::from_parts(parts, Body::from(body))).await,
        Ok(Err(error)) => unread(&error).into_response(),
        Err(_) => too_slow().into_response(),
    }
}

/// Why a body was not read.
pub(super) fn unread(error: &axum::Error) -> Problem {
    let too_large = std::error::Error::source(error)
        .is_some_and(|source| source.downcast_ref::<LengthLimitError>().is_some());
    if too_large {
        return Problem::body_too_large("length limit exceeded");
    }
    Problem::new(
        StatusCode::BAD_REQUEST,
        "body_unreadable",
        text!("The body could not be read"),
        error.to_string(),
        text!("Send the request again."),
    )
}

fn too_slow() -> Problem {
    Problem::new(
        StatusCode::REQUEST_TIMEOUT,
        "body_too_slow",
        text!("The body came too slowly"),
        text!(
            "It was not all there after {patience} seconds. Nothing was done.",
            patience = BODY_PATIENCE.as_secs()
        ),
        text!("Send the request again, over a better connection."),
    )
}
