//! Why a wish about a check is not granted.

use axum::http::StatusCode;
use hubplumb_core::check::{FigureError, StartError};

use super::core_words::{figure_words, start_words};
use crate::checking::CheckError;
use crate::http::problem::Problem;
use crate::text;
use crate::text::Text;

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
    let conflict = |code, title: Text, remedy: Text| {
        let detail = text!("Not now: {reason}.", reason = &title);
        Problem::new(StatusCode::CONFLICT, code, title, detail, remedy)
    };
    let wrong = |code, title, remedy: Text| {
        Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            code,
            title,
            refused_words(&error),
            remedy,
        )
    };
    match &error {
        CheckError::Running => conflict(
            "check_running",
            text!("A check is running"),
            text!("Finish it, or give it up with /api/v1/check/cancel."),
        ),
        CheckError::NotRunning => conflict(
            "no_check",
            text!("No check is running"),
            text!("Start one with /api/v1/check."),
        ),
        CheckError::SwingRunning => conflict(
            "swing_running",
            text!("A swing is running"),
            text!("Finish it, or give it up with /api/v1/swing/cancel."),
        ),
        CheckError::RunOutRunning => conflict(
            "run_out_running",
            text!("A wheel is being turned on its bearing"),
            text!("Finish its run-out, or give it up with /api/v1/run-out/cancel."),
        ),
        CheckError::NotAWheel => wrong(
            "not_a_wheel",
            text!("No wheel"),
            text!("Name a wheel: `front_left`, `front_right`, `rear_left` or `rear_right`."),
        ),
        CheckError::NotSteered(_) => wrong(
            "not_a_steered_wheel",
            text!("No steered wheel"),
            text!("Name `front_left` or `front_right`."),
        ),
        CheckError::NoBoard(mount) => conflict(
            "no_boards",
            text!("No board on that wheel"),
            text!(
                "Give a board `mount = \"{mount}\"` in the configuration, and start the daemon with it.",
                mount = mount.name()
            ),
        ),
        CheckError::NoSuchBoard(_) => wrong(
            "no_such_board",
            text!("There is no such board"),
            text!("Name a board by its id, as the state lists it."),
        ),
        CheckError::NotLive(_) => conflict(
            "no_boards",
            text!("The board gives no readings"),
            text!("Look at the board's trouble and put it right; then start again."),
        ),
        CheckError::NotSeated(_) => conflict(
            "not_seated",
            text!("How the board sits is not known"),
            text!(
                "Turn the wheel on its bearing (the line Wheel run-out), or declare its face in the configuration (mounting)."
            ),
        ),
        CheckError::NoOutboard(_) => wrong(
            "no_outboard",
            text!("Which way the board faces is not known"),
            text!(
                "Name the axis of the board that faces away from the car in the first take: `\"outboard\": \"+z\"`."
            ),
        ),
        CheckError::NoSwing => conflict(
            "no_swing",
            text!("There is no swing to take it from"),
            text!(
                "Drive a steering swing with a board on both front wheels, or start `toe_out_on_turns`."
            ),
        ),
        CheckError::SwingGivesNone(_) => conflict(
            "swing_gives_none",
            text!("The swing does not tell"),
            text!(
                "Swing again with a stop near 20° of the inner wheel to each side, or start `toe_out_on_turns`."
            ),
        ),
        CheckError::Start(StartError::Wheels { .. }) => conflict(
            "no_boards",
            text!("Boards on steered wheels are missing"),
            text!(
                "Have a board with a gyro live on both front hubs, or type turn-plate readings with `\"by\": \"plates\"`."
            ),
        ),
        CheckError::Start(_) => wrong(
            "check_not_started",
            text!("The check does not start so"),
            text!("Correct the number named; what is left out has a usual value."),
        ),
        CheckError::Figure(FigureError::NotWanted | FigureError::Over) => conflict(
            "figure_not_wanted",
            text!("That figure is not wanted"),
            text!("Type what `wants` of the check names, when it names it."),
        ),
        CheckError::Figure(_) => wrong(
            "figure_impossible",
            text!("That figure cannot be"),
            text!(
                "Read it again: degrees plus to the left (and on the side the page names), heights in mm."
            ),
        ),
        CheckError::Stopping => Problem::stopping(),
    }
}

/// What about the wish cannot be.
fn refused_words(error: &CheckError) -> Text {
    match error {
        CheckError::NotAWheel => text!("A board on the body has no wheel to check."),
        CheckError::NotSteered(mount) => {
            text!("The wheel `{mount}` is not steered.", mount = mount.name())
        }
        CheckError::NoSuchBoard(id) => text!("No board is called `{id}`.", id),
        CheckError::NoOutboard(id) => text!(
            "Which axis of the board `{id}` faces away from the car is not known.",
            id
        ),
        CheckError::Start(error) => start_words(error),
        CheckError::Figure(error) => figure_words(error),
        other => Text::verbatim(format!("{other}.")),
    }
}
