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
use crate::text;
use crate::text::Text;

/// Rest, side and angle of a plate reading, if it is one of a steered wheel.
pub fn plate_reading(reading: &PlateReading) -> Result<(usize, Side, Angle), Problem> {
    let mount = mount_of(reading.mount);
    match mount.side().filter(|_| mount.is_steered()) {
        Some(side) => Ok((reading.rest, side, Angle::from_deg(reading.plate_deg))),
        None => Err(Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "not_a_steered_wheel",
            text!("No steered wheel"),
            text!(
                "`{mount}` is not steered and stands on no turn plate.",
                mount = mount.name()
            ),
            text!(
                "Name `{frontleft}` or `{frontright}`.",
                frontleft = Mount::FrontLeft.name(),
                frontright = Mount::FrontRight.name()
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
    let conflict = |code, title: Text, remedy: Text| {
        let detail = text!("Not now: {reason}.", reason = &title);
        Problem::new(StatusCode::CONFLICT, code, title, detail, remedy)
    };
    match error {
        WishError::Running => conflict(
            "swing_running",
            text!("A swing is running"),
            text!("Finish it, or give it up with /api/v1/swing/cancel."),
        ),
        WishError::NotRunning => conflict(
            "no_swing",
            text!("No swing is running"),
            text!("Start one with /api/v1/swing."),
        ),
        WishError::RunOutRunning => conflict(
            "run_out_running",
            text!("A wheel is being turned on its bearing"),
            text!("Finish its run-out, or give it up with /api/v1/run-out/cancel."),
        ),
        WishError::NoWheels => conflict(
            "no_boards",
            text!("No board on a steered wheel"),
            text!(
                "Give a board `mount = \"front_left\"` or `\"front_right\"` in the configuration, and say how it sits (mounting), or turn its wheel on the bearing to have that found."
            ),
        ),
        WishError::NoneLive => conflict(
            "no_boards",
            text!("No board gives readings"),
            text!("Look at the boards' troubles and put them right; then start again."),
        ),
        WishError::Start(_) => conflict(
            "swing_not_started",
            text!("The swing does not start"),
            text!("Correct the [swing] part of the configuration."),
        ),
        WishError::Plate(error) => plate_problem(error),
        WishError::Stopping => Problem::stopping(),
    }
}

fn plate_problem(error: PlateError) -> Problem {
    let conflict = |code, title, detail: Text, remedy: Text| {
        Problem::new(StatusCode::CONFLICT, code, title, detail, remedy)
    };
    let wrong = |code, title, detail: Text, remedy: Text| {
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
            text!("No plate readings are wanted"),
            text!("Steer angles come from the gyros in this swing."),
            text!("Start a swing with `\"steer_source\": \"plates\"`."),
        ),
        PlateError::Over => conflict(
            "no_swing",
            text!("No swing is running"),
            text!("The swing is over."),
            text!("Start one with /api/v1/swing."),
        ),
        PlateError::NoSuchRest { rest, taken } => wrong(
            "no_such_rest",
            text!("There is no such rest"),
            text!("Rest {rest} was named, and {taken} are taken.", rest, taken),
            text!("Name a rest that the swing lists, counting from 0."),
        ),
        PlateError::NoSuchWheel { side } => wrong(
            "no_such_wheel",
            text!("That wheel takes no part"),
            text!(
                "The {side} wheel takes no part in this swing.",
                side = side_words(side)
            ),
            text!("Name a wheel that the rests list."),
        ),
        PlateError::TooFar { given_deg } => wrong(
            "angle_impossible",
            text!("No wheel steers so far"),
            text!("{given_deg}° was given.", given_deg = given_deg.to_string()),
            text!("Read the plate again: degrees, plus to the left."),
        ),
    }
}
