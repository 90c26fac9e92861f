//! What the core refuses, in words of the person's language. The core tells its
//! refusals to programmers; a person is told here, with the same evidence.

use hubplumb_core::calibrate::{FitError, NoSuchPose, NotReversed};
use hubplumb_core::calibration::CalibrationError;
use hubplumb_core::check::{FigureError, StartError};
use hubplumb_core::levelling::survey::SurveyError;

use crate::text;
use crate::text::{Text, number, plain};

/// A sentence.
pub(super) fn survey_words(error: &SurveyError) -> Text {
    match *error {
        SurveyError::Length { found_mm } => text!(
            "{found} mm is no track and no wheelbase.",
            found = plain(found_mm)
        ),
        SurveyError::Height { found_mm } => text!(
            "{found} mm is no height and no uncertainty of one.",
            found = plain(found_mm)
        ),
        SurveyError::TooSteep { found, limit } => text!(
            "The floor would fall by {found}°; {limit}° is the limit.",
            found = number(found.deg(), 1),
            limit = number(limit.deg(), 0)
        ),
        SurveyError::Lines { across, along } => text!(
            "Slopes across and along the car are needed; across there are {across}, along {along}.",
            across,
            along
        ),
    }
}

/// A sentence.
pub(super) fn reversal_words(error: &NotReversed) -> Text {
    match *error {
        NotReversed::NotSquare { between_deg } => text!(
            "The axis of the turn is {between}° from the axis that is measured, not 90°.",
            between = number(between_deg, 0)
        ),
        NotReversed::NotOneGravity { pose, found_g } => text!(
            "Rest {rest} reads {found} g and not near 1 g.",
            rest = pose + 1,
            found = number(found_g, 2)
        ),
        NotReversed::NotKept { found_g, limit_g } => text!(
            "Along the axis of the turn the two rests differ by {found} mg; {limit} mg is the most.",
            found = number(found_g.abs() * 1e3, 1),
            limit = number(limit_g * 1e3, 1)
        ),
        NotReversed::NotMirrored { found_g, limit_g } => text!(
            "Square to the turn the two rests add up to {found} mg; {limit} mg is the most.",
            found = number(found_g.abs() * 1e3, 1),
            limit = number(limit_g * 1e3, 1)
        ),
        NotReversed::OffsetTooLarge { found_g, limit_g } => text!(
            "The two rests would mean an offset of {found} mg; no chip has more than {limit} mg.",
            found = number(found_g.abs() * 1e3, 0),
            limit = number(limit_g * 1e3, 0)
        ),
    }
}

fn part_words(part: &'static str) -> Text {
    match part {
        "accelerometer offset" => text!("offset of the accelerometer"),
        "accelerometer matrix" => text!("scale of the accelerometer"),
        "gyro offset" => text!("offset of the gyro"),
        "gyro matrix" => text!("scale of the gyro"),
        other => Text::verbatim(other),
    }
}

/// A sentence.
pub(super) fn calibration_words(error: &CalibrationError) -> Text {
    match *error {
        CalibrationError::NotFinite { part } => text!(
            "In the {part} is something that is no number.",
            part = part_words(part)
        ),
        CalibrationError::NotNearUnit {
            part,
            row,
            column,
            found,
            limit,
        } => text!(
            "Row {row}, column {column} of the {part} is {found}; no chip's is farther than {limit} from what it should be.",
            row = row + 1,
            column = column + 1,
            part = part_words(part),
            found = plain(found),
            limit = plain(limit)
        ),
        CalibrationError::OffsetTooLarge { part, found, limit } => text!(
            "The {part} is {found}; no chip has more than {limit}.",
            part = part_words(part),
            found = plain(found),
            limit = plain(limit)
        ),
    }
}

/// A sentence for what no pose can mend.
pub(super) fn no_solution_words(error: &FitError) -> Text {
    match error {
        FitError::NotANumber { pose } => text!(
            "Pose {pose} holds something that is no number.",
            pose = pose + 1
        ),
        FitError::NotConverged { rounds } => {
            text!("No solution was found in {rounds} rounds.", rounds)
        }
        FitError::NoChip(error) => calibration_words(error),
        other => Text::verbatim(format!("{other}.")),
    }
}

/// A sentence. Poses are counted from 0, as the request counts them.
pub(super) fn no_such_pose_words(error: NoSuchPose) -> Text {
    text!(
        "Pose {pose} was named, and {taken} are taken.",
        pose = error.pose,
        taken = error.taken
    )
}

/// What a check's number is one of, after "is no".
fn kind_words(what: &'static str) -> Text {
    match what {
        "uncertainty" => text!("uncertainty"),
        "step" => text!("step"),
        "uncertainty of a height" => text!("uncertainty of a height"),
        "angle of a steering wheel" => text!("angle of a steering wheel"),
        "ride height" => text!("ride height"),
        "toe" => text!("toe"),
        "turn-plate reading" => text!("turn-plate reading"),
        "reading of a stop" => text!("reading of a stop"),
        other => Text::verbatim(other),
    }
}

/// A sentence.
pub(super) fn start_words(error: &StartError) -> Text {
    match *error {
        StartError::Hold {
            hold_us,
            least_us,
            most_us,
        } => text!(
            "Rests of {hold} s were asked for; {least} to {most} s can be had.",
            hold = seconds(hold_us),
            least = seconds(least_us),
            most = seconds(most_us)
        ),
        StartError::Repetitions { found, most } => text!(
            "{found} repetitions were asked for; 1 to {most} can be had.",
            found,
            most
        ),
        StartError::Wheels { found, least } => text!(
            "{found} steered wheels give readings; {least} are needed.",
            found,
            least
        ),
        StartError::Number { what, found } => impossible(what, found),
        StartError::Carried(ref refusal) => super::carried::start_words(refusal),
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "times of a person's work, told to a tenth of a second"
)]
fn seconds(time_us: i64) -> text::Number {
    number(time_us as f64 / 1e6, 1)
}

fn impossible(what: &'static str, found: f64) -> Text {
    text!(
        "{found} is no {what}.",
        found = plain(found),
        what = kind_words(what)
    )
}

/// A sentence.
pub(super) fn figure_words(error: &FigureError) -> Text {
    match *error {
        FigureError::NotWanted => text!("No such figure is wanted now."),
        FigureError::Impossible { what, found } => impossible(what, found),
        FigureError::NoStep => text!("There is no height to step on from."),
        FigureError::Over => text!("The check is over."),
    }
}
