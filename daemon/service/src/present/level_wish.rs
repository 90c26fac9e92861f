//! Wishes about floor, toe and run-outs, and why they are not granted.

use axum::http::StatusCode;
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::levelling::survey::{PadHeights, SurveyError};
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;

use super::core_words::{reversal_words, survey_words};
use super::level::line_of;
use super::mount_of;
use crate::http::problem::Problem;
use crate::http::views::{
    BodyHeading, FloorHeights, FloorLineRest, HeightReads, MountView, ToeEntry,
};
use crate::levelling::{LevelError, LevelWish, Procedure};
use crate::mount::Mount;
use crate::text;
use crate::text::Text;

/// No car is driven with more toe, degrees.
const TOE_LIMIT_DEG: f64 = 10.0;
/// An uncertainty beyond this says nothing, degrees.
const STANDARD_LIMIT_DEG: f64 = 10.0;
/// A heading declared by eye, one sigma (common practice, no source).
const HEADING_BY_EYE_DEG: f64 = 5.0;
/// A heading known worse than this is not known, degrees.
const HEADING_LIMIT_DEG: f64 = 30.0;

fn wrong(
    code: &'static str,
    title: Text,
    detail: impl Into<Text>,
    remedy: impl Into<Text>,
) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        code,
        title,
        detail,
        remedy,
    )
}

/// A wheel, if it is one.
pub fn run_out_mount(view: MountView) -> Result<Mount, Problem> {
    let mount = mount_of(view);
    if mount.side().is_some() {
        Ok(mount)
    } else {
        Err(wrong(
            "not_a_wheel",
            text!("No wheel"),
            text!("A board on the body has no wheel to turn."),
            text!("Name a wheel: `front_left`, `front_right`, `rear_left` or `rear_right`."),
        ))
    }
}

/// Heights of the pads, whatever was read.
pub fn pad_heights(view: &FloorHeights) -> PadHeights {
    let sign = match view.reads {
        HeightReads::PadHeight => 1.0,
        HeightReads::WaterAbovePad => -1.0,
    };
    PadHeights {
        heights_mm: [
            view.front_left_mm,
            view.front_right_mm,
            view.rear_left_mm,
            view.rear_right_mm,
        ]
        .map(|read| sign * read),
        standard_mm: [view.standard_mm; 4],
        track_front_mm: view.track_front_mm,
        track_rear_mm: view.track_rear_mm,
        wheelbase_mm: view.wheelbase_mm,
    }
}

/// A rest of a board on a straight-edge.
pub fn line_rest(view: FloorLineRest) -> LevelWish {
    LevelWish::LineRest {
        line: line_of(view.line),
        board: view.board,
        along: BoardAxis::from(view.along),
        turned: view.turned,
    }
}

/// Side and measured toe, if it is one of a steered wheel.
pub fn toe_of(entry: &ToeEntry) -> Result<(Side, Estimate), Problem> {
    let mount = mount_of(entry.mount);
    let Some(side) = mount.side().filter(|_| mount.is_steered()) else {
        return Err(wrong(
            "not_a_steered_wheel",
            text!("No steered wheel"),
            text!(
                "Toe of `{mount}` does not enter a steering swing.",
                mount = mount.name()
            ),
            text!("Name `front_left` or `front_right`."),
        ));
    };
    if entry.toe_deg.is_nan() || entry.toe_deg.abs() > TOE_LIMIT_DEG {
        return Err(wrong(
            "angle_impossible",
            text!("No wheel has such a toe"),
            text!("{toe_deg}° was given.", toe_deg = entry.toe_deg.to_string()),
            text!("Give the toe of one wheel in degrees, plus for toe-in."),
        ));
    }
    Ok((
        side,
        Estimate::from_deg(
            entry.toe_deg,
            standard(entry.standard_deg, STANDARD_LIMIT_DEG)?,
        ),
    ))
}

/// The declared forward axis of the body board.
pub fn body_heading(view: &BodyHeading) -> Result<Option<(BoardAxis, Angle)>, Problem> {
    let Some(forward) = view.forward else {
        return Ok(None);
    };
    let standard_deg = standard(
        view.standard_deg.unwrap_or(HEADING_BY_EYE_DEG),
        HEADING_LIMIT_DEG,
    )?;
    Ok(Some((
        BoardAxis::from(forward),
        Angle::from_deg(standard_deg),
    )))
}

fn standard(given_deg: f64, limit_deg: f64) -> Result<f64, Problem> {
    if given_deg > 0.0 && given_deg <= limit_deg {
        Ok(given_deg)
    } else {
        Err(wrong(
            "uncertainty_impossible",
            text!("That is no uncertainty"),
            text!(
                "{given_deg}° was given for one sigma.",
                given_deg = given_deg.to_string()
            ),
            text!(
                "Give one sigma in degrees, above 0 and up to {limit_deg}.",
                limit_deg = limit_deg.to_string()
            ),
        ))
    }
}

/// Why a wish is not granted, for the client.
#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err hands the error over"
)]
pub fn level_problem(error: LevelError) -> Problem {
    let conflict = |code, title: Text, remedy: Text| {
        let detail = text!("Not now: {reason}.", reason = &title);
        Problem::new(StatusCode::CONFLICT, code, title, detail, remedy)
    };
    match &error {
        LevelError::NoBoard(mount) => conflict(
            "no_boards",
            text!("No board on that wheel"),
            text!(
                "Say which board is there: `Place the boards` on the page, or `mount = \"{mount}\"` in the configuration.",
                mount = mount.name()
            ),
        ),
        LevelError::NotLive(_) => conflict(
            "no_boards",
            text!("The board gives no readings"),
            text!("Look at the board's trouble and put it right; then start again."),
        ),
        LevelError::Configured(_) => conflict(
            "configured",
            text!("The configuration says where that board is"),
            text!(
                "Change it there and start the daemon again, or take the board out of the configuration to place it on the page."
            ),
        ),
        LevelError::Occupied { .. } => conflict(
            "occupied",
            text!("Another board is there"),
            text!("Say first where that one is now, or that it was taken off."),
        ),
        LevelError::InUse { by, .. } => conflict(
            "board_in_use",
            text!("A procedure uses that board"),
            give_up_words(*by),
        ),
        LevelError::Running(_) => conflict(
            "run_out_running",
            text!("That wheel is being turned already"),
            text!("Finish its run-out, or give it up with /api/v1/run-out/cancel."),
        ),
        LevelError::NotRunning(_) => conflict(
            "no_run_out",
            text!("No run-out of that wheel is running"),
            text!("Start one with /api/v1/run-out."),
        ),
        LevelError::NotStill(_) => conflict(
            "not_still",
            text!("The board does not lie still"),
            text!(
                "Lay it on the straight-edge, keep your hands off, and send the request again after a second."
            ),
        ),
        LevelError::NoFirstRest => conflict(
            "no_first_rest",
            text!("The first rest is missing"),
            text!(
                "Take the rest before the turn first (`\"turned\": false`), with the same line, board and axis."
            ),
        ),
        LevelError::NoSuchBoard(id) => wrong(
            "no_such_board",
            text!("There is no such board"),
            text!("No board is called `{id}`.", id),
            text!("Name a board by its id, as the state lists it."),
        ),
        LevelError::NotReversed(error) => wrong(
            "not_reversed",
            text!("The two rests are not a turn end for end"),
            reversal_words(error),
            text!(
                "Lay the board flat on the edge both times with the named axis along it, turn edge and board together, and begin that line again."
            ),
        ),
        LevelError::Survey(error) => survey_problem(error),
        LevelError::NothingEarlier => conflict(
            "nothing_earlier",
            text!("Nothing is offered from before the start"),
            text!(
                "It was answered already, or there was nothing. Measure floor and seats as usual."
            ),
        ),
        LevelError::Stopping => Problem::stopping(),
    }
}

/// How what uses a board is ended.
fn give_up_words(by: Procedure) -> Text {
    match by {
        Procedure::RunOut => {
            text!(
                "Finish the run-out, or give it up with /api/v1/run-out/cancel; then move the board."
            )
        }
        Procedure::Swing => {
            text!("Finish the swing, or give it up with /api/v1/swing/cancel; then move the board.")
        }
        Procedure::Check => {
            text!("Finish the check, or give it up with /api/v1/check/cancel; then move the board.")
        }
        Procedure::Calibration => {
            text!(
                "Finish the calibration, or give it up with /api/v1/calibration/cancel; then move the board."
            )
        }
    }
}

fn survey_problem(error: &SurveyError) -> Problem {
    let detail = survey_words(error);
    match error {
        SurveyError::Length { .. } => wrong(
            "length_impossible",
            text!("No car is that long or wide"),
            detail,
            text!(
                "Give track and wheelbase in millimetres, between the middles of the tyre contact patches."
            ),
        ),
        SurveyError::Height { .. } => wrong(
            "height_impossible",
            text!("That is no height"),
            detail,
            text!("Give heights in millimetres from any common zero, and one sigma above 0."),
        ),
        SurveyError::TooSteep { .. } => wrong(
            "floor_too_steep",
            text!("The floor would be too steep"),
            detail,
            text!(
                "Look for a slip in the readings; if the floor is like that, level the pads first: angles measured on such a slope are worth little, and a jacked car may roll."
            ),
        ),
        SurveyError::Lines { .. } => wrong(
            "lines_missing",
            text!("Lines are missing"),
            detail,
            text!("Survey one line across the car and one along it."),
        ),
    }
}
