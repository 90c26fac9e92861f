//! Handlers of the interface. They read the latest snapshot and pass wishes
//! on to the swing's task; none of them touches a board.

use std::convert::Infallible;

use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::sse::{Event, KeepAlive};
use axum::response::{IntoResponse as _, Response, Sse};
use futures_util::Stream;
use serde::Serialize;
use utoipa::ToSchema;

use super::App;
use super::problem::{Asked, Body, Problem};
use super::stream::events;
use super::trace_stream::{Pace, batches};
use super::views::{PlateReading, ProblemView, StateView, SwingStart, SwingView};
use crate::documents::Document;
use crate::present;
use crate::text::Language;

/// How often a line of traces that has nothing to say shows that it is alive.
const HEARTBEAT: std::time::Duration = std::time::Duration::from_secs(5);

/// The daemon answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(super) struct HealthView {
    /// Always `ok`.
    pub(super) status: &'static str,
}

/// Everything a page needs to draw itself once.
#[utoipa::path(get, path = "/api/v1/state", tag = "state", responses((status = 200, body = StateView)))]
pub(super) async fn state(State(app): State<App>) -> Json<StateView> {
    let view = app.state.borrow().clone();
    Json((*view).clone())
}

/// Server-sent events: first `snapshot` with the whole state, then `change`
/// with the sections that changed, at most 20 a second. Where nothing changes, a change without
/// sections comes every second: a line that is silent for longer is broken.
#[utoipa::path(get, path = "/api/v1/stream", tag = "state",
    params(("language" = Option<String>, Query, description = "Language of the sentences (BCP 47): en or de. Else Accept-Language decides, as for every other address")),
    responses(
    (status = 200, content_type = "text/event-stream", body = String,
     description = "`event: snapshot` carries StateView, `event: change` carries ChangeView")))]
pub(super) async fn stream(
    State(app): State<App>,
    language: Language,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let seat = app.instruments.streams.to_state();
    Sse::new(events(app.state, app.told, language, app.stop, seat))
}

/// Server-sent events: `traces` with every angle of every mounted board since the event
/// before, at most 20 a second unless another interval is asked for. Whoever reads too slowly loses
/// the oldest and is told.
#[utoipa::path(get, path = "/api/v1/traces", tag = "state",
    params(("interval_ms" = Option<u16>, Query, description = "Least time between two events, 0 to 1000 ms; 50 where nothing is said. With 0 each angle is sent as it comes")),
    responses(
    (status = 200, content_type = "text/event-stream", body = String,
     description = "`event: traces` carries TraceBatchView"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such interval")))]
pub(super) async fn traces(
    State(app): State<App>,
    Asked(pace): Asked<Pace>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    let interval = pace.interval()?;
    let seat = app.instruments.streams.to_traces();
    Ok(
        Sse::new(batches(&app.traces, app.clock, interval, app.stop, seat))
            .keep_alive(KeepAlive::new().interval(HEARTBEAT).text("alive")),
    )
}

/// Starts a steering swing.
#[utoipa::path(post, path = "/api/v1/swing", tag = "swing", request_body = SwingStart, responses(
    (status = 202, body = SwingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json",
     description = "One is running, or no steered wheel has a board that gives readings")))]
pub(super) async fn start_swing(
    State(app): State<App>,
    Body(start): Body<SwingStart>,
) -> Result<(StatusCode, Json<SwingView>), Problem> {
    let snapshot = app
        .swing
        .start(present::steer_source(start.steer_source))
        .await
        .map_err(present::swing_problem)?;
    Ok((StatusCode::ACCEPTED, Json(present::swing_view(&snapshot))))
}

/// Gives the running swing up.
#[utoipa::path(post, path = "/api/v1/swing/cancel", tag = "swing", responses(
    (status = 200, body = SwingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is running")))]
pub(super) async fn cancel_swing(State(app): State<App>) -> Result<Json<SwingView>, Problem> {
    let snapshot = app.swing.cancel().await.map_err(present::swing_problem)?;
    Ok(Json(present::swing_view(&snapshot)))
}

/// Enters a turn-plate reading.
#[utoipa::path(post, path = "/api/v1/swing/plate", tag = "swing", request_body = PlateReading, responses(
    (status = 200, body = SwingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No swing wants it"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such rest or wheel, or no such angle")))]
pub(super) async fn enter_plate(
    State(app): State<App>,
    Body(reading): Body<PlateReading>,
) -> Result<Json<SwingView>, Problem> {
    let (rest, side, angle) = present::plate_reading(&reading)?;
    let snapshot = app
        .swing
        .enter_plate(rest, side, angle)
        .await
        .map_err(present::swing_problem)?;
    Ok(Json(present::swing_view(&snapshot)))
}

/// Does the daemon answer?
#[utoipa::path(get, path = "/api/v1/health", tag = "daemon", responses((status = 200, body = HealthView)))]
pub(super) async fn health() -> Json<HealthView> {
    Json(HealthView { status: "ok" })
}

/// This description.
#[utoipa::path(get, path = "/api/v1/openapi.json", tag = "daemon", responses(
    (status = 200, body = Object, description = "The OpenAPI document")))]
pub(super) async fn openapi() -> Response {
    let kept = Document::Interface.kept();
    match kept {
        Ok(text) => ([(header::CONTENT_TYPE, "application/json")], text).into_response(),
        Err(error) => {
            tracing::error!(%error, "the description of the interface is not whole");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}
