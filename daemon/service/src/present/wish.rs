//! Wishes of clients, and why they are not granted.

use axum::http::StatusCode;
use hubplumb_core::angle::Angle;
use hubplumb_core::side::Side;
use hubplumb_core::swing::PlateError;

use super::{mount_of, side_words};
use crate::http::problem::Problem;
use crate::http::views::PlateReading;
use crate::mount::Mount;
use crate::swing::WishError;

/// Rest, side and angle of a plate reading, if it is one of a steered wheel.
pub fn plate_reading(reading: &PlateReading) -> Result<(usize, Side, Angle), Problem> {
    let mount = mount_of(reading.mount);
    match mount.side().filter(|_| mount.is_steered()) {
        Some(side) => Ok((reading.rest, side, Angle::from_deg(reading.plate_deg))),
        None => Err(Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not_a_steered_wheel",
            "No steered wheel",
            format!(
                "`{}` is not steered and stands on no turn plate.",
                mount.name()
            ),
            format!(
                "Name `{}` or `{}`.",
                Mount::FrontLeft.name(),
                Mount::FrontRight.name()
            ),
        )),
    }
}

/// Why a wish is not granted, for the client.
#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err hands the error over"
)]
pub fn swing_problem(error: WishError) -> Problem {
    let detail = format!("Not now: {error}.");
    let conflict = |code, title, remedy: &str| {
        Problem::new(StatusCode::CONFLICT, code, title, detail.clone(), remedy)
    };
    match error {
        WishError::Running => conflict(
            "swing_running",
            "A swing is running",
            "Finish it, or give it up with /api/v1/swing/cancel.",
        ),
        WishError::NotRunning => conflict(
            "no_swing",
            "No swing is running",
            "Start one with /api/v1/swing.",
        ),
        WishError::RunOutRunning => conflict(
            "run_out_running",
            "A wheel is being turned on its bearing",
            "Finish its run-out, or give it up with /api/v1/run-out/cancel.",
        ),
        WishError::NoWheels => conflict(
            "no_boards",
            "No board on a steered wheel",
            "Give a board `mount = \"front_left\"` or `\"front_right\"` in the configuration, and say how it sits (mounting), or turn its wheel on the bearing to have that found.",
        ),
        WishError::NoneLive => conflict(
            "no_boards",
            "No board gives readings",
            "Look at the boards' troubles and put them right; then start again.",
        ),
        WishError::Start(_) => conflict(
            "swing_not_started",
            "The swing does not start",
            "Correct the [swing] part of the configuration.",
        ),
        WishError::Plate(error) => plate_problem(error),
        WishError::Stopping => Problem::stopping(),
    }
}

fn plate_problem(error: PlateError) -> Problem {
    let conflict = |code, title, detail: &str, remedy: &str| {
        Problem::new(StatusCode::CONFLICT, code, title, detail, remedy)
    };
    let wrong = |code, title, detail: String, remedy: &str| {
        Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            code,
            title,
            detail,
            remedy,
        )
    };
    match error {
        PlateError::NotAsked => conflict(
            "plates_not_asked",
            "No plate readings are wanted",
            "Steer angles come from the gyros in this swing.",
            "Start a swing with `\"steer_source\": \"plates\"`.",
        ),
        PlateError::Over => conflict(
            "no_swing",
            "No swing is running",
            "The swing is over.",
            "Start one with /api/v1/swing.",
        ),
        PlateError::NoSuchRest { rest, taken } => wrong(
            "no_such_rest",
            "There is no such rest",
            format!("Rest {rest} was named, and {taken} are taken."),
            "Name a rest that the swing lists, counting from 0.",
        ),
        PlateError::NoSuchWheel { side } => wrong(
            "no_such_wheel",
            "That wheel takes no part",
            format!(
                "The {} wheel takes no part in this swing.",
                side_words(side)
            ),
            "Name a wheel that the rests list.",
        ),
        PlateError::TooFar { given_deg } => wrong(
            "angle_impossible",
            "No wheel steers so far",
            format!("{given_deg}° was given."),
            "Read the plate again: degrees, plus to the left.",
        ),
    }
}
