//! Handlers for floor, toe and run-outs: they pass wishes on to their task.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use hubplumb_core::angle::Angle;

use super::App;
use super::problem::{Body, Problem};
use super::views::{
    BodyHeading, FloorHeights, FloorLineRest, LevellingView, ProblemView, RunOutOf, RunOutStart,
    ToeEntry,
};
use crate::levelling::{LevelWish, ToeTold};
use crate::present;
use crate::swing::WishError;

/// Grants a wish; what was found by it is on the disk when this returns.
async fn wish(app: &App, wish: LevelWish) -> Result<Json<LevellingView>, Problem> {
    let snapshot = app.level.wish(wish).await.map_err(present::level_problem)?;
    app.standing.keep().await.map_err(present::store_problem)?;
    Ok(Json(present::level_view(&snapshot)))
}

/// Starts a run-out: how the board sits is found by turning its wheel.
#[utoipa::path(post, path = "/api/v1/run-out", tag = "levelling", request_body = RunOutStart, responses(
    (status = 202, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json",
     description = "One of that wheel is running, a swing is running, or its board gives no readings"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such wheel")))]
pub(super) async fn start_run_out(
    State(app): State<App>,
    Body(start): Body<RunOutStart>,
) -> Result<(StatusCode, Json<LevellingView>), Problem> {
    let mount = present::run_out_mount(start.mount)?;
    let swings = app.swing.watch().borrow().is_running();
    if swings {
        return Err(present::swing_problem(WishError::Running));
    }
    let jacked = start.jacked;
    let view = wish(&app, LevelWish::Start { mount, jacked }).await?;
    Ok((StatusCode::ACCEPTED, view))
}

/// Gives a running run-out up.
#[utoipa::path(post, path = "/api/v1/run-out/cancel", tag = "levelling", request_body = RunOutOf, responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is running")))]
pub(super) async fn cancel_run_out(
    State(app): State<App>,
    Body(of): Body<RunOutOf>,
) -> Result<Json<LevellingView>, Problem> {
    let mount = present::run_out_mount(of.mount)?;
    wish(&app, LevelWish::Cancel(mount)).await
}

/// Ends a running run-out with the stops that are there.
#[utoipa::path(post, path = "/api/v1/run-out/finish", tag = "levelling", request_body = RunOutOf, responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "None is running")))]
pub(super) async fn finish_run_out(
    State(app): State<App>,
    Body(of): Body<RunOutOf>,
) -> Result<Json<LevellingView>, Problem> {
    let mount = present::run_out_mount(of.mount)?;
    wish(&app, LevelWish::Finish(mount)).await
}

/// Forgets a result: for a board that was taken off or moved on its wheel.
#[utoipa::path(post, path = "/api/v1/run-out/forget", tag = "levelling", request_body = RunOutOf, responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No board on that wheel")))]
pub(super) async fn forget_run_out(
    State(app): State<App>,
    Body(of): Body<RunOutOf>,
) -> Result<Json<LevellingView>, Problem> {
    let mount = present::run_out_mount(of.mount)?;
    wish(&app, LevelWish::Forget(mount)).await
}

/// Sets the floor by heights of the four pads.
#[utoipa::path(post, path = "/api/v1/floor/heights", tag = "levelling", request_body = FloorHeights, responses(
    (status = 200, body = LevellingView),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such floor")))]
pub(super) async fn floor_heights(
    State(app): State<App>,
    Body(heights): Body<FloorHeights>,
) -> Result<Json<LevellingView>, Problem> {
    wish(&app, LevelWish::Heights(present::pad_heights(&heights))).await
}

/// Takes one rest of a board on a straight-edge between two pads. After the
/// second rest the line's slope is known; with a line across and one along the
/// floor goes by them.
#[utoipa::path(post, path = "/api/v1/floor/line", tag = "levelling", request_body = FloorLineRest, responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "The board moves, or the first rest is missing"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such board, or no turn end for end")))]
pub(super) async fn floor_line(
    State(app): State<App>,
    Body(rest): Body<FloorLineRest>,
) -> Result<Json<LevellingView>, Problem> {
    wish(&app, present::line_rest(rest)).await
}

/// Goes back to the floor of the configuration.
#[utoipa::path(post, path = "/api/v1/floor/forget", tag = "levelling", responses(
    (status = 200, body = LevellingView)))]
pub(super) async fn forget_floor(State(app): State<App>) -> Result<Json<LevellingView>, Problem> {
    wish(&app, LevelWish::ForgetFloor).await
}

/// Goes on with what was found before the daemon was started, because nothing was moved since. What was
/// found anew stays; what belongs to boards that are not there yet is offered on.
#[utoipa::path(post, path = "/api/v1/levelling/go-on", tag = "levelling", responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Nothing is offered")))]
pub(super) async fn go_on_with_earlier(
    State(app): State<App>,
) -> Result<Json<LevellingView>, Problem> {
    wish(&app, LevelWish::GoOn).await
}

/// Leaves what was found before the daemon was started: something was moved since.
#[utoipa::path(post, path = "/api/v1/levelling/leave", tag = "levelling", responses(
    (status = 200, body = LevellingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Nothing is offered")))]
pub(super) async fn leave_earlier(State(app): State<App>) -> Result<Json<LevellingView>, Problem> {
    wish(&app, LevelWish::LeaveEarlier).await
}

/// Enters the measured toe of a steered wheel.
#[utoipa::path(post, path = "/api/v1/toe", tag = "levelling", request_body = ToeEntry, responses(
    (status = 200, body = LevellingView),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No steered wheel, or no such toe")))]
pub(super) async fn toe(
    State(app): State<App>,
    Body(entry): Body<ToeEntry>,
) -> Result<Json<LevellingView>, Problem> {
    let (side, toe) = present::toe_of(&entry)?;
    let told = ToeTold::measured(toe);
    wish(&app, LevelWish::Toe { side, told }).await
}

/// Declares which axis of the board on the body points forward.
#[utoipa::path(post, path = "/api/v1/body-heading", tag = "levelling", request_body = BodyHeading, responses(
    (status = 200, body = LevellingView),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such uncertainty")))]
pub(super) async fn body_heading(
    State(app): State<App>,
    Body(heading): Body<BodyHeading>,
) -> Result<Json<LevellingView>, Problem> {
    let forward: Option<(_, Angle)> = present::body_heading(&heading)?;
    wish(&app, LevelWish::Forward(forward)).await
}
