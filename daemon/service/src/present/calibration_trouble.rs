//! Why there is no calibration, or an old one: what happened, what it means, what to do.

use crate::text::Text;
use axum::http::StatusCode;
use hubplumb_core::calibrate::{Ended, FitError, NotReversed, OldReason};

use super::calibration::face_words;
use super::trouble;
use crate::calibrating::DeskError;
use crate::calibration_store::StoreError;
use crate::http::problem::Problem;
use crate::http::views::TroubleView;

pub(super) fn absent_trouble() -> TroubleView {
    trouble(
        "not_calibrated",
        "This board was never calibrated.",
        "A chip out of the bag is off by up to 80 mg, which is some degrees of camber; every ± is wide for it.",
        "Calibrate it on a table: lay it down in twelve ways, six at least. It takes two minutes.",
    )
}

pub(super) fn unreadable_trouble(error: &StoreError) -> TroubleView {
    trouble(
        "calibration_unreadable",
        error.to_string(),
        error.meaning(),
        error.remedy(),
    )
}

pub(super) fn old_trouble(reason: &OldReason) -> TroubleView {
    match *reason {
        OldReason::Age { days, limit_days } => trouble(
            "calibration_too_long_ago",
            format!(
                "The calibration was done {days:.0} days ago; after {limit_days:.0} it is old."
            ),
            "Offsets wander with time. The calibration is used, and the ± is wider for it.",
            "Calibrate the board again, or settle its outboard axis by turning it end for end.",
        ),
        OldReason::Temperature {
            now_c,
            then_c,
            limit_c,
        } => trouble(
            "calibration_temperature",
            format!(
                "The chip is at {now_c:.0} °C and was calibrated at {then_c:.0} °C; {limit_c:.0} °C apart is too far."
            ),
            "Offsets move with temperature. The calibration is used, and the ± is wider for it.",
            "Let the board come to the temperature of the garage, or calibrate it again at this one.",
        ),
        OldReason::DateAhead { days } => trouble(
            "calibration_date_ahead",
            format!("The calibration is dated {days:.0} days from now."),
            "The clock of this machine is wrong, or was wrong then: how old the calibration is, nobody knows.",
            "Set the clock, and calibrate the board again if it was wrong then.",
        ),
    }
}

pub(super) fn fit_trouble(error: &FitError) -> TroubleView {
    match error {
        FitError::TooFewPoses { found, needed } => trouble(
            "too_few_poses",
            format!("{found} poses are taken, and {needed} are the least."),
            "So few do not hold offset and scale of three axes.",
            "Lay the board down in more ways.",
        ),
        FitError::FacesMissing { missing } => {
            let words: Vec<_> = missing.iter().map(|face| face_words(*face)).collect();
            trouble(
                "faces_missing",
                format!(
                    "The board was never laid with {}.",
                    words.join(", nor with ")
                ),
                "The axis that was not turned over keeps its offset hidden.",
                "Lay it down these ways too.",
            )
        }
        FitError::PosesDisagree {
            scatter_g,
            limit_g,
            worst,
            worst_g,
        } => trouble(
            "poses_disagree",
            format!(
                "The poses contradict each other by {:.1} mg (at most {:.1} mg is taken for noise); pose {} most, by {:.1} mg.",
                scatter_g * 1e3,
                limit_g * 1e3,
                worst + 1,
                worst_g.abs() * 1e3
            ),
            "At that pose the board was not at rest, or its cable pulled on it.",
            "Take that pose back, then lay the board that way again on a steady table with its cable loose.",
        ),
        FitError::IllConditioned { .. } => trouble(
            "poses_one_sided",
            "The poses lie too much to one side.",
            "Some of the nine numbers would be a guess.",
            "Lay the board on the faces that are still missing.",
        ),
        FitError::NotOneGravity { pose, found_g } => trouble(
            "not_one_gravity",
            format!("Pose {} reads {found_g:.2} g and not near 1 g.", pose + 1),
            "It was no rest, or the board's readings are in another unit than it says.",
            "Take that pose back; if every pose is so, correct the unit in the board's header.",
        ),
        FitError::NotANumber { .. } | FitError::NotConverged { .. } | FitError::NoChip(_) => {
            trouble(
                "no_solution",
                format!("The poses have no calibration in them: {error}."),
                "No chip can be off in such a way.",
                "Begin again; if it stays so, the board is broken or sends wrong units.",
            )
        }
    }
}

pub(super) fn ended_trouble(ended: &Ended) -> TroubleView {
    let again =
        "Start again: first rest, half a turn about the axis named, second rest on the same place.";
    match ended {
        Ended::Cancelled => trouble(
            "cancelled",
            "The calibration was given up.",
            "The one before stays in force.",
            "Start it again when the board is at hand.",
        ),
        Ended::BoardLost => trouble(
            "board_lost",
            "The board went away during the calibration.",
            "Without power its chip cools down, so the poses do not belong together; the calibration before stays in force.",
            "Put its cable back, let it warm up and start again.",
        ),
        Ended::NotTurned { off } => trouble(
            "not_turned",
            format!(
                "The gyro felt a turn {:.0}° from the half turn that was asked for.",
                off.deg()
            ),
            "Offset and lean of the table can be told apart only by half a turn.",
            again,
        ),
        Ended::NotReversed(NotReversed::OffsetTooLarge { found_g, limit_g }) => trouble(
            "not_turned",
            format!(
                "The two rests would mean an offset of {:.0} mg; no chip has more than {:.0} mg.",
                found_g * 1e3,
                limit_g * 1e3
            ),
            "The board was not turned by half a turn, or not set down on the same place.",
            again,
        ),
        Ended::NotReversed(error) => trouble(
            "not_reversed",
            format!("The two rests are no reversal: {error}."),
            "The board was turned another way than was asked for.",
            again,
        ),
        Ended::NoChip(error) => trouble(
            "no_solution",
            format!("With this the calibration could not be: {error}."),
            "No chip is off so far.",
            "Calibrate the board by poses.",
        ),
    }
}

/// Why a wish is not granted, for the client.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with its sentences for every refusal"
)]
pub fn desk_problem(error: &DeskError) -> Problem {
    let detail = format!("Not now: {error}.");
    let conflict = |code, title, remedy: &str| {
        Problem::new(StatusCode::CONFLICT, code, title, detail.clone(), remedy)
    };
    let wrong = |code, title, detail: String, remedy: String| {
        Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            code,
            title,
            detail,
            remedy,
        )
    };
    match error {
        DeskError::NoBoard { board } => Problem::new(
            StatusCode::NOT_FOUND,
            "no_such_board",
            "There is no such board",
            format!("No board is called `{board}`."),
            "Name a board by the `id` that /api/v1/state lists.",
        ),
        DeskError::NotLive => conflict(
            "board_not_live",
            "The board gives no readings",
            "Look at its trouble and put it right; then start again.",
        ),
        DeskError::SwingRunning => conflict(
            "swing_running",
            "A swing is running",
            "Finish the swing or give it up first.",
        ),
        DeskError::Running => conflict(
            "calibration_running",
            "This board is being calibrated",
            "Finish it and keep or discard its result, or give it up.",
        ),
        DeskError::NotRunning => conflict(
            "no_calibration",
            "This board is not being calibrated",
            "Start a calibration with /api/v1/calibration/start.",
        ),
        DeskError::NoPoses => conflict(
            "no_poses",
            "A reversal has no poses",
            "Finish it or give it up.",
        ),
        DeskError::NoResult => conflict(
            "no_result",
            "There is no result yet",
            "Go on until it is solved, or solve the poses taken so far.",
        ),
        DeskError::Configured => conflict(
            "calibration_configured",
            "The configuration gives this board's calibration",
            "Its numbers would win over any result: take `calibration` out of this board's part of the configuration and start the daemon again.",
        ),
        DeskError::NotCalibrated => conflict(
            "not_calibrated",
            "There is nothing yet to improve",
            "Calibrate the board by poses first; turning it end for end settles one axis on top of that.",
        ),
        DeskError::NoAxes => conflict(
            "no_axes",
            "The axes of the turn are not known",
            "Name `sensing` (outboard on the wheel) and `about` (forward on the wheel), or give the board a mounting in the configuration.",
        ),
        DeskError::Axes(error) => wrong(
            "axes_not_square",
            "The axes do not go together",
            format!("{error}."),
            "Name two different arrows for `sensing` and `about`.".to_owned(),
        ),
        DeskError::NoSuchPose(error) => wrong(
            "no_such_pose",
            "There is no such pose",
            format!("{error}."),
            "Name a pose that is taken, counting from 0, or none for the last one.".to_owned(),
        ),
        DeskError::Fit(error) => {
            let told = fit_trouble(error);
            wrong(
                "poses_not_solved",
                "The poses have no calibration in them",
                format!("{} {}", told.what, told.meaning),
                told.remedy.to_string(),
            )
        }
        DeskError::Ended(ended) => {
            let told = ended_trouble(ended);
            Problem::new(
                StatusCode::CONFLICT,
                "no_result",
                "It ended without a result",
                format!("{} {}", told.what, told.meaning),
                told.remedy,
            )
        }
        DeskError::Store(error) => Problem::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "not_kept",
            "The calibration is not kept",
            format!("{error} {}", error.meaning()),
            error.remedy(),
        ),
        DeskError::Stopping => Problem::stopping(),
    }
}

#[cfg(test)]
mod tests {
    use hubplumb_core::angle::Angle;
    use hubplumb_core::calibrate::Face;
    use hubplumb_core::calibration::CalibrationError;

    use super::*;

    #[track_caller]
    fn check(told: &TroubleView, code: &str, parts: &[&str]) {
        assert_eq!(told.code, code, "{told:?}");
        let all = format!("{} {} {}", told.what, told.meaning, told.remedy);
        for part in parts {
            assert!(all.contains(part), "`{part}` is missing in {all}");
        }
        for part in [&told.what, &told.meaning, &told.remedy] {
            assert!(part.ends_with("."), "a whole sentence: {part}");
            assert!(!part.ends_with(".."), "{part}");
        }
    }

    #[test]
    fn what_is_wrong_with_poses_is_told_with_evidence_and_remedy() {
        let check = |error: FitError, code: &str, parts: &[&str]| {
            check(&fit_trouble(&error), code, parts);
        };
        let few = FitError::TooFewPoses {
            found: 4,
            needed: 6,
        };
        check(few, "too_few_poses", &["4 poses", "more ways"]);
        let faces = FitError::FacesMissing {
            missing: vec![Face::PlusX, Face::MinusZ],
        };
        check(
            faces,
            "faces_missing",
            &["arrow X up, nor with arrow Z down"],
        );
        let disagree = FitError::PosesDisagree {
            scatter_g: 0.0083,
            limit_g: 0.003,
            worst: 8,
            worst_g: -0.021,
        };
        let parts = ["8.3 mg", "3.0 mg", "pose 9", "21.0 mg", "cable"];
        check(disagree, "poses_disagree", &parts);
        let long = FitError::NotOneGravity {
            pose: 0,
            found_g: 9.81,
        };
        check(long, "not_one_gravity", &["Pose 1 reads 9.81 g", "unit"]);
        let sided = FitError::IllConditioned {
            condition: 30.0,
            limit: 12.0,
        };
        check(sided, "poses_one_sided", &["still missing"]);
        check(FitError::NotConverged { rounds: 20 }, "no_solution", &[]);
    }

    #[test]
    fn why_a_calibration_ended_is_told_with_evidence_and_remedy() {
        let check = |ended: Ended, code: &str, parts: &[&str]| {
            check(&ended_trouble(&ended), code, parts);
        };
        check(Ended::Cancelled, "cancelled", &["stays in force"]);
        check(Ended::BoardLost, "board_lost", &["cable"]);
        let off = Angle::from_deg(90.0);
        check(
            Ended::NotTurned { off },
            "not_turned",
            &["90°", "half a turn"],
        );
        let large = NotReversed::OffsetTooLarge {
            found_g: 0.99,
            limit_g: 0.1,
        };
        check(large.into(), "not_turned", &["990 mg", "100 mg"]);
        let kept = NotReversed::NotKept {
            found_g: 0.3,
            limit_g: 0.05,
        };
        check(kept.into(), "not_reversed", &["0.3 g"]);
        let part = "gyro offset";
        let no_chip = CalibrationError::NotFinite { part };
        check(no_chip.into(), "no_solution", &["by poses"]);
    }

    #[test]
    fn an_old_calibration_says_why_it_is_old() {
        let check = |reason: OldReason, code: &str, parts: &[&str]| {
            check(&old_trouble(&reason), code, parts);
        };
        let age = OldReason::Age {
            days: 400.4,
            limit_days: 183.0,
        };
        check(age, "calibration_too_long_ago", &["400 days", "183"]);
        let heat = OldReason::Temperature {
            now_c: 8.0,
            then_c: 23.6,
            limit_c: 10.0,
        };
        let parts = ["8 °C", "24 °C", "10 °C"];
        check(heat, "calibration_temperature", &parts);
        let ahead = OldReason::DateAhead { days: 3.0 };
        check(
            ahead,
            "calibration_date_ahead",
            &["3 days from now", "clock"],
        );
    }
}
