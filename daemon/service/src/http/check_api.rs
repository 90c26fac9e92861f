//! Handlers for the guided checks: they pass wishes on to their task.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;

use super::App;
use super::problem::{Body, Problem};
use super::views::{CheckFigure, CheckStart, CheckView, ProblemView};
use crate::checking::CheckWish;
use crate::present;

async fn wish(app: &App, wish: CheckWish) -> Result<Json<CheckView>, Problem> {
    let snapshot = app.check.wish(wish).await.map_err(present::check_problem)?;
    Ok(Json(present::check_view(&snapshot)))
}

/// Starts a check.
#[utoipa::path(post, path = "/api/v1/check", tag = "check", request_body = CheckStart, responses(
    (status = 202, body = CheckView),
    (status = 409, body = ProblemView, content_type = "application/problem+json",
     description = "Another procedure is running, or a board that is needed gives no readings"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "It cannot be started so")))]
pub(super) async fn start_check(
    State(app): State<App>,
    Body(start): Body<CheckStart>,
) -> Result<(StatusCode, Json<CheckView>), Problem> {
    let view = wish(&app, CheckWish::Start(start)).await?;
    Ok((StatusCode::ACCEPTED, view))
}

/// Types a figure that the running check waits for.
#[utoipa::path(post, path = "/api/v1/check/figure", tag = "check", request_body = CheckFigure, responses(
    (status = 200, body = CheckView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is wanted"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such figure")))]
pub(super) async fn check_figure(
    State(app): State<App>,
    Body(figure): Body<CheckFigure>,
) -> Result<Json<CheckView>, Problem> {
    wish(&app, CheckWish::Figure(figure)).await
}

/// Ends the running check with what is there.
#[utoipa::path(post, path = "/api/v1/check/finish", tag = "check", responses(
    (status = 200, body = CheckView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is running")))]
pub(super) async fn finish_check(State(app): State<App>) -> Result<Json<CheckView>, Problem> {
    wish(&app, CheckWish::Finish).await
}

/// Gives the running check up.
#[utoipa::path(post, path = "/api/v1/check/cancel", tag = "check", responses(
    (status = 200, body = CheckView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is running")))]
pub(super) async fn cancel_check(State(app): State<App>) -> Result<Json<CheckView>, Problem> {
    wish(&app, CheckWish::Cancel).await
}

/// Works toe-out on turns out of the last steering swing, so that nobody has to steer twice.
#[utoipa::path(post, path = "/api/v1/check/turns-of-swing", tag = "check", responses(
    (status = 200, body = CheckView, description = "The result is the last of `checked`"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No swing of both wheels has ended, or another procedure is running")))]
pub(super) async fn turns_of_swing(State(app): State<App>) -> Result<Json<CheckView>, Problem> {
    wish(&app, CheckWish::TurnsOfSwing).await
}
