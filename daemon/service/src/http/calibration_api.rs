//! Handlers for calibrations. They answer with the calibration as it stands
//! after the wish.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;

use super::App;
use super::calibration_views::{CalibrationOf, CalibrationStart, CalibrationView, PoseBack};
use super::problem::{Body, Problem};
use super::views::ProblemView;
use crate::board::Board;
use crate::calibrating::DeskError;
use crate::present;

fn told(board: Result<Arc<Board>, DeskError>) -> Result<Json<CalibrationView>, Problem> {
    let board = board.map_err(|error| present::desk_problem(&error))?;
    let now = board.calibration(|held, pipeline| held.look(pipeline));
    Ok(Json(present::calibration_view(&now)))
}

/// Starts a calibration of a board that gives readings.
#[utoipa::path(post, path = "/api/v1/calibration/start", tag = "calibration", operation_id = "start_calibration",
    request_body = CalibrationStart, responses(
    (status = 202, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json",
     description = "The board or a swing is busy, it gives no readings, or its calibration is configured"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "The axes do not go together")))]
pub(super) async fn start(
    State(app): State<App>,
    Body(start): Body<CalibrationStart>,
) -> Result<(StatusCode, Json<CalibrationView>), Problem> {
    let wish = present::kind_wish(&start);
    let view = told(app.calibration.start(&start.board, wish))?;
    Ok((StatusCode::ACCEPTED, view))
}

/// Takes back a pose, so that it can be done again.
#[utoipa::path(post, path = "/api/v1/calibration/take-back", tag = "calibration", operation_id = "take_back_pose",
    request_body = PoseBack, responses(
    (status = 200, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No calibration by poses is under way"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such pose")))]
pub(super) async fn take_back(
    State(app): State<App>,
    Body(back): Body<PoseBack>,
) -> Result<Json<CalibrationView>, Problem> {
    told(app.calibration.take_back(&back.board, back.pose))
}

/// Solves the poses taken so far.
#[utoipa::path(post, path = "/api/v1/calibration/solve", tag = "calibration", operation_id = "solve_calibration",
    request_body = CalibrationOf, responses(
    (status = 200, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No calibration by poses is under way"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "The poses have no calibration in them")))]
pub(super) async fn solve(
    State(app): State<App>,
    Body(of): Body<CalibrationOf>,
) -> Result<Json<CalibrationView>, Problem> {
    told(app.calibration.solve(&of.board))
}

/// Keeps the result; it comes into force at once.
#[utoipa::path(post, path = "/api/v1/calibration/keep", tag = "calibration", operation_id = "keep_calibration",
    request_body = CalibrationOf, responses(
    (status = 200, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "There is no result, or a swing is running"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "The file cannot be written")))]
pub(super) async fn keep(
    State(app): State<App>,
    Body(of): Body<CalibrationOf>,
) -> Result<Json<CalibrationView>, Problem> {
    told(app.calibration.keep(&of.board).await)
}

/// Discards the result; the calibration before stays in force.
#[utoipa::path(post, path = "/api/v1/calibration/discard", tag = "calibration", operation_id = "discard_calibration",
    request_body = CalibrationOf, responses(
    (status = 200, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is under way")))]
pub(super) async fn discard(
    State(app): State<App>,
    Body(of): Body<CalibrationOf>,
) -> Result<Json<CalibrationView>, Problem> {
    told(app.calibration.put_away(&of.board))
}

/// Gives the calibration under way up, or puts away one that ended.
#[utoipa::path(post, path = "/api/v1/calibration/cancel", tag = "calibration", operation_id = "cancel_calibration",
    request_body = CalibrationOf, responses(
    (status = 200, body = CalibrationView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is under way")))]
pub(super) async fn cancel(
    State(app): State<App>,
    Body(of): Body<CalibrationOf>,
) -> Result<Json<CalibrationView>, Problem> {
    told(app.calibration.put_away(&of.board))
}
