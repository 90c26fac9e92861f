//! Handlers for whoever watches over the daemon.

use axum::Json;
use axum::extract::State;
use axum::http::{HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::App;
use super::problem::Problem;
use super::views::ProblemView;
use super::watch_views::{ReadyCheckView, ReadyStatus, ReadyView};
use crate::metrics::{CONTENT_TYPE, exposition};
use crate::present;
use crate::pulse;
use crate::text;

/// Can the daemon do its work? That it answers at all is `/api/v1/health`'s to say.
#[utoipa::path(get, path = "/api/v1/ready", tag = "daemon", responses(
    (status = 200, body = ReadyView, description = "It can; `degraded` where nothing can be kept"),
    (status = 503, body = ReadyView, description = "It cannot, or not any longer")))]
pub(super) async fn ready(State(app): State<App>) -> (StatusCode, Json<ReadyView>) {
    let running = app.stop.is_cancelled().then(present::stopping_trouble);
    let age = app.instruments.pulse.age();
    let snapshot = (age > pulse::LOST).then(|| present::pulse_trouble(age));
    let store = app
        .visits
        .store()
        .err()
        .as_ref()
        .map(present::store_trouble);
    let status = if running.is_some() || snapshot.is_some() {
        ReadyStatus::NotReady
    } else if store.is_some() {
        ReadyStatus::Degraded
    } else {
        ReadyStatus::Ready
    };
    let checks = [
        ("running", running),
        ("snapshot", snapshot),
        ("store", store),
    ]
    .map(|(name, trouble)| ReadyCheckView {
        name,
        ok: trouble.is_none(),
        trouble,
    })
    .into();
    let code = match status {
        ReadyStatus::NotReady => StatusCode::SERVICE_UNAVAILABLE,
        ReadyStatus::Ready | ReadyStatus::Degraded => StatusCode::OK,
    };
    (code, Json(ReadyView { status, checks }))
}

/// What can be measured of the daemon itself, in the text format that Prometheus reads.
#[utoipa::path(get, path = "/metrics", tag = "daemon", responses(
    (status = 200, body = String, content_type = "text/plain", description = "Text exposition format 0.0.4"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It cannot be put together")))]
pub(super) async fn metrics(State(app): State<App>) -> Response {
    let told: [(HeaderName, &str); 1] = [(header::CONTENT_TYPE, CONTENT_TYPE)];
    match exposition(&app.instruments) {
        Ok(text) => (told, text).into_response(),
        Err(error) => Problem::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "metrics",
            text!("The figures cannot be put together"),
            text!(
                "The library that writes them says: {why}.",
                why = error.to_string()
            ),
            text!("Report this with the version; measuring goes on."),
        )
        .into_response(),
    }
}
