//! Handlers for finding boards, saying where they are, and practising.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;

use super::App;
use super::problem::{Body, Problem};
use super::setup_views::{
    BluetoothLook, BluetoothView, BoardIn, BoardName, BoardOf, BoardSeat, NamingView, PlacedView,
    PracticeView, PractisedView,
};
use super::views::ProblemView;
use crate::placing::NamingWish;
use crate::present;

fn placed(app: &App, id: &str) -> Result<Json<PlacedView>, Problem> {
    let board = app.placer.named(id).map_err(present::place_problem)?;
    Ok(Json(present::placed_view(&board.facts())))
}

/// Says where a board is strapped and, if given, how it sits. In force at once; what was
/// found of how it sat before is forgotten.
#[utoipa::path(post, path = "/api/v1/setup/seat", tag = "setup", operation_id = "seat_board", request_body = BoardSeat, responses(
    (status = 200, body = PlacedView),
    (status = 409, body = ProblemView, content_type = "application/problem+json",
     description = "Another board is there, a procedure uses it, the configuration says where it is, or it moves"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such board, or it cannot sit so"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It holds until the daemon ends: it could not be kept")))]
pub(super) async fn seat(
    State(app): State<App>,
    Body(said): Body<BoardSeat>,
) -> Result<Json<PlacedView>, Problem> {
    let (mount, sits) = present::said_seat(&said)?;
    let done = app.placer.seat(&said.board, mount, sits).await;
    done.map_err(present::place_problem)?;
    placed(&app, &said.board)
}

/// Calls a board so from now on.
#[utoipa::path(post, path = "/api/v1/setup/name", tag = "setup", operation_id = "name_board", request_body = BoardName, responses(
    (status = 200, body = PlacedView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "The configuration names it"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such board, or no such name"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It holds until the daemon ends: it could not be kept")))]
pub(super) async fn name(
    State(app): State<App>,
    Body(named): Body<BoardName>,
) -> Result<Json<PlacedView>, Problem> {
    let done = app.placer.call(&named.board, &named.name).await;
    done.map_err(present::place_problem)?;
    placed(&app, &named.board)
}

/// Looks at Bluetooth for some seconds; the state tells who is seen.
#[utoipa::path(post, path = "/api/v1/setup/bluetooth", tag = "setup", operation_id = "look_at_bluetooth", request_body = BluetoothLook, responses(
    (status = 202, body = BluetoothView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "It is being looked at"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such time")))]
pub(super) async fn bluetooth(
    State(app): State<App>,
    Body(look): Body<BluetoothLook>,
) -> Result<(StatusCode, Json<BluetoothView>), Problem> {
    let length = present::look_length(&look)?;
    let done = app.finder.look(length).await;
    done.map_err(present::place_problem)?;
    let view = present::bluetooth_view(&app.finder.seen().borrow(), &app.placer.boards());
    Ok((StatusCode::ACCEPTED, Json(view)))
}

/// Takes in a board on Bluetooth or on the network. It is read from now on, and again after a start.
#[utoipa::path(post, path = "/api/v1/setup/take-in", tag = "setup", operation_id = "take_board_in", request_body = BoardIn, responses(
    (status = 201, body = PlacedView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "It is read already, or there are too many"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No way to a board, or no such format"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It holds until the daemon ends: it could not be kept")))]
pub(super) async fn take_in(
    State(app): State<App>,
    Body(board): Body<BoardIn>,
) -> Result<(StatusCode, Json<PlacedView>), Problem> {
    let wish = present::take_in(&board)?;
    let id = wish.target.to_string();
    let done = app.finder.take_in(wish).await;
    done.map_err(present::place_problem)?;
    Ok((StatusCode::CREATED, placed(&app, &id)?))
}

/// Lets a board go that was taken in.
#[utoipa::path(post, path = "/api/v1/setup/let-go", tag = "setup", operation_id = "let_board_go", request_body = BoardOf, responses(
    (status = 204, description = "It is not read any more"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "It was not taken in, or a procedure uses it"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "No such board"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It holds until the daemon ends: it could not be kept")))]
pub(super) async fn let_go(
    State(app): State<App>,
    Body(of): Body<BoardOf>,
) -> Result<StatusCode, Problem> {
    let done = app.finder.let_go(&of.board).await;
    done.map_err(present::place_problem)?;
    Ok(StatusCode::NO_CONTENT)
}

async fn naming(app: &App, wish: NamingWish) -> Result<Json<NamingView>, Problem> {
    let now = app.naming.wish(wish).await;
    let now = now.map_err(present::place_problem)?;
    Ok(Json(present::naming_view(&now, &app.placer.boards())))
}

/// Begins to name the mounts by tapping their boards, the front left hub first.
#[utoipa::path(post, path = "/api/v1/setup/naming", tag = "setup", operation_id = "start_naming", responses(
    (status = 202, body = NamingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No board gives readings")))]
pub(super) async fn start_naming(
    State(app): State<App>,
) -> Result<(StatusCode, Json<NamingView>), Problem> {
    Ok((StatusCode::ACCEPTED, naming(&app, NamingWish::Start).await?))
}

/// There is no board on the mount at hand.
#[utoipa::path(post, path = "/api/v1/setup/naming/skip", tag = "setup", operation_id = "skip_mount", responses(
    (status = 200, body = NamingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No naming runs"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "It holds until the daemon ends: it could not be kept")))]
pub(super) async fn skip_mount(State(app): State<App>) -> Result<Json<NamingView>, Problem> {
    naming(&app, NamingWish::Skip).await
}

/// Ends the naming; what was named stays.
#[utoipa::path(post, path = "/api/v1/setup/naming/end", tag = "setup", operation_id = "end_naming", responses(
    (status = 200, body = NamingView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "No naming runs")))]
pub(super) async fn end_naming(State(app): State<App>) -> Result<Json<NamingView>, Problem> {
    naming(&app, NamingWish::End).await
}

/// Starts a practice with a simulated car, under `practice/` of this address.
#[utoipa::path(post, path = "/api/v1/practice", tag = "practice", operation_id = "start_practice", responses(
    (status = 201, body = PractisedView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Somebody practises already"),
    (status = 500, body = ProblemView, content_type = "application/problem+json", description = "The simulated car does not start")))]
pub(super) async fn start_practice(
    State(app): State<App>,
) -> Result<(StatusCode, Json<PractisedView>), Problem> {
    let started = app.practice.start().await;
    started.map_err(|fault| present::practice_problem(&fault))?;
    let view = PractisedView {
        practice: PracticeView::Running,
        address: Some("practice/".to_owned()),
    };
    Ok((StatusCode::CREATED, Json(view)))
}

/// Ends the practice; everything in it is gone.
#[utoipa::path(post, path = "/api/v1/practice/end", tag = "practice", operation_id = "end_practice", responses(
    (status = 200, body = PractisedView),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Nobody practises")))]
pub(super) async fn end_practice(State(app): State<App>) -> Result<Json<PractisedView>, Problem> {
    let ended = app.practice.end();
    ended.map_err(|fault| present::practice_problem(&fault))?;
    Ok(Json(PractisedView {
        practice: PracticeView::Off,
        address: None,
    }))
}
