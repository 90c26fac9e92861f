//! Why a wish about a check is not granted.

use axum::http::StatusCode;
use hubplumb_core::check::{FigureError, StartError};

use crate::checking::CheckError;
use crate::http::problem::Problem;

/// Why a wish is not granted, for the client.
#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err hands the error over"
)]
#[expect(
    clippy::too_many_lines,
    reason = "one arm with three sentences for every refusal"
)]
pub fn check_problem(error: CheckError) -> Problem {
    let detail = format!("Not now: {error}.");
    let conflict = |code, title, remedy: &str| {
        Problem::new(StatusCode::CONFLICT, code, title, detail.clone(), remedy)
    };
    let wrong = |code, title, remedy: &str| {
        Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            code,
            title,
            format!("It cannot be: {error}."),
            remedy,
        )
    };
    match &error {
        CheckError::Running => conflict(
            "check_running",
            "A check is running",
            "Finish it, or give it up with /api/v1/check/cancel.",
        ),
        CheckError::NotRunning => conflict(
            "no_check",
            "No check is running",
            "Start one with /api/v1/check.",
        ),
        CheckError::SwingRunning => conflict(
            "swing_running",
            "A swing is running",
            "Finish it, or give it up with /api/v1/swing/cancel.",
        ),
        CheckError::RunOutRunning => conflict(
            "run_out_running",
            "A wheel is being turned on its bearing",
            "Finish its run-out, or give it up with /api/v1/run-out/cancel.",
        ),
        CheckError::NotAWheel => wrong(
            "not_a_wheel",
            "No wheel",
            "Name a wheel: `front_left`, `front_right`, `rear_left` or `rear_right`.",
        ),
        CheckError::NotSteered(_) => wrong(
            "not_a_steered_wheel",
            "No steered wheel",
            "Name `front_left` or `front_right`.",
        ),
        CheckError::NoBoard(mount) => conflict(
            "no_boards",
            "No board on that wheel",
            &format!(
                "Give a board `mount = \"{}\"` in the configuration, and start the daemon with it.",
                mount.name()
            ),
        ),
        CheckError::NoSuchBoard(_) => wrong(
            "no_such_board",
            "There is no such board",
            "Name a board by its id, as the state lists it.",
        ),
        CheckError::NotLive(_) => conflict(
            "no_boards",
            "The board gives no readings",
            "Look at the board's trouble and put it right; then start again.",
        ),
        CheckError::NotSeated(_) => conflict(
            "not_seated",
            "How the board sits is not known",
            "Turn the wheel on its bearing (the line Wheel run-out), or declare its face in the configuration (mounting).",
        ),
        CheckError::NoOutboard(_) => wrong(
            "no_outboard",
            "Which way the board faces is not known",
            "Name the axis of the board that faces away from the car in the first take: `\"outboard\": \"+z\"`.",
        ),
        CheckError::NoSwing => conflict(
            "no_swing",
            "There is no swing to take it from",
            "Drive a steering swing with a board on both front wheels, or start `toe_out_on_turns`.",
        ),
        CheckError::SwingGivesNone(_) => conflict(
            "swing_gives_none",
            "The swing does not tell",
            "Swing again with a stop near 20° of the inner wheel to each side, or start `toe_out_on_turns`.",
        ),
        CheckError::Start(StartError::Wheels { .. }) => conflict(
            "no_boards",
            "Boards on steered wheels are missing",
            "Have a board with a gyro live on both front hubs, or type turn-plate readings with `\"by\": \"plates\"`.",
        ),
        CheckError::Start(_) => wrong(
            "check_not_started",
            "The check does not start so",
            "Correct the number named; what is left out has a usual value.",
        ),
        CheckError::Figure(FigureError::NotWanted | FigureError::Over) => conflict(
            "figure_not_wanted",
            "That figure is not wanted",
            "Type what `wants` of the check names, when it names it.",
        ),
        CheckError::Figure(_) => wrong(
            "figure_impossible",
            "That figure cannot be",
            "Read it again: degrees plus to the left (and on the side the page names), heights in mm.",
        ),
        CheckError::Stopping => Problem::stopping(),
    }
}
