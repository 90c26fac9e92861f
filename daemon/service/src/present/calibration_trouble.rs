//! Why there is no calibration, or an old one: what happened, what it means, what to do.

use axum::http::StatusCode;
use hubplumb_core::calibrate::{Ended, FitError, NotReversed, OldReason};

use super::calibration::face_words;
use super::core_words::{calibration_words, no_solution_words, no_such_pose_words, reversal_words};
use super::trouble;
use crate::calibrating::DeskError;
use crate::calibration_store::StoreError;
use crate::http::problem::Problem;
use crate::http::views::TroubleView;
use crate::text;
use crate::text::{Text, number};

pub(super) fn absent_trouble() -> TroubleView {
    trouble(
        "not_calibrated",
        text!("This board was never calibrated."),
        text!(
            "A chip out of the bag is off by up to 80 mg, which is some degrees of camber; every ± is wide for it."
        ),
        text!(
            "Calibrate it on a table: lay it down in twelve ways, six at least. It takes two minutes."
        ),
    )
}

pub(super) fn unreadable_trouble(error: &StoreError) -> TroubleView {
    trouble(
        "calibration_unreadable",
        error.what(),
        error.meaning(),
        error.remedy(),
    )
}

pub(super) fn old_trouble(reason: &OldReason) -> TroubleView {
    match *reason {
        OldReason::Age { days, limit_days } => trouble(
            "calibration_too_long_ago",
            text!(
                "The calibration was done {days} days ago; after {limit_days} it is old.",
                days = number(days, 0),
                limit_days = number(limit_days, 0)
            ),
            text!("Offsets wander with time. The calibration is used, and the ± is wider for it."),
            text!(
                "Calibrate the board again, or settle its outboard axis by turning it end for end."
            ),
        ),
        OldReason::Temperature {
            now_c,
            then_c,
            limit_c,
        } => trouble(
            "calibration_temperature",
            text!(
                "The chip is at {now_c} °C and was calibrated at {then_c} °C; {limit_c} °C apart is too far.",
                now_c = number(now_c, 0),
                then_c = number(then_c, 0),
                limit_c = number(limit_c, 0)
            ),
            text!(
                "Offsets move with temperature. The calibration is used, and the ± is wider for it."
            ),
            text!(
                "Let the board come to the temperature of the garage, or calibrate it again at this one."
            ),
        ),
        OldReason::DateAhead { days } => trouble(
            "calibration_date_ahead",
            text!(
                "The calibration is dated {days} days from now.",
                days = number(days, 0)
            ),
            text!(
                "The clock of this machine is wrong, or was wrong then: how old the calibration is, nobody knows."
            ),
            text!("Set the clock, and calibrate the board again if it was wrong then."),
        ),
    }
}

pub(super) fn fit_trouble(error: &FitError) -> TroubleView {
    match error {
        FitError::TooFewPoses { found, needed } => trouble(
            "too_few_poses",
            text!(
                "{found} poses are taken, and {needed} are the least.",
                found,
                needed
            ),
            text!("So few do not hold offset and scale of three axes."),
            text!("Lay the board down in more ways."),
        ),
        FitError::FacesMissing { missing } => {
            let faces = missing
                .iter()
                .map(|face| face_words(*face))
                .reduce(|before, face| text!("{before}, nor with {face}", before, face))
                .unwrap_or_default();
            trouble(
                "faces_missing",
                text!("The board was never laid with {faces}.", faces),
                text!("The axis that was not turned over keeps its offset hidden."),
                text!("Lay it down these ways too."),
            )
        }
        FitError::PosesDisagree {
            scatter_g,
            limit_g,
            worst,
            worst_g,
        } => trouble(
            "poses_disagree",
            text!(
                "The poses contradict each other by {e3} mg (at most {e32} mg is taken for noise); pose {worst} most, by {e33} mg.",
                e3 = number(scatter_g * 1e3, 1),
                e32 = number(limit_g * 1e3, 1),
                worst = worst + 1,
                e33 = number(worst_g.abs() * 1e3, 1)
            ),
            text!("At that pose the board was not at rest, or its cable pulled on it."),
            text!(
                "Take that pose back, then lay the board that way again on a steady table with its cable loose."
            ),
        ),
        FitError::IllConditioned { .. } => trouble(
            "poses_one_sided",
            text!("The poses lie too much to one side."),
            text!("Some of the nine numbers would be a guess."),
            text!("Lay the board on the faces that are still missing."),
        ),
        FitError::NotOneGravity { pose, found_g } => trouble(
            "not_one_gravity",
            text!(
                "Pose {pose} reads {found_g} g and not near 1 g.",
                pose = pose + 1,
                found_g = number(*found_g, 2)
            ),
            text!("It was no rest, or the board's readings are in another unit than it says."),
            text!(
                "Take that pose back; if every pose is so, correct the unit in the board's header."
            ),
        ),
        FitError::NotANumber { .. } | FitError::NotConverged { .. } | FitError::NoChip(_) => {
            trouble(
                "no_solution",
                no_solution_words(error),
                text!("No chip can be off in such a way."),
                text!("Begin again; if it stays so, the board is broken or sends wrong units."),
            )
        }
    }
}

pub(super) fn ended_trouble(ended: &Ended) -> TroubleView {
    let again = text!(
        "Start again: first rest, half a turn about the axis named, second rest on the same place."
    );
    match ended {
        Ended::Cancelled => trouble(
            "cancelled",
            text!("The calibration was given up."),
            text!("The one before stays in force."),
            text!("Start it again when the board is at hand."),
        ),
        Ended::BoardLost => trouble(
            "board_lost",
            text!("The board went away during the calibration."),
            text!(
                "Without power its chip cools down, so the poses do not belong together; the calibration before stays in force."
            ),
            text!("Put its cable back, let it warm up and start again."),
        ),
        Ended::NotTurned { off } => trouble(
            "not_turned",
            text!(
                "The gyro felt a turn {off}° from the half turn that was asked for.",
                off = number(off.deg(), 0)
            ),
            text!("Offset and lean of the table can be told apart only by half a turn."),
            again,
        ),
        Ended::NotReversed(NotReversed::OffsetTooLarge { found_g, limit_g }) => trouble(
            "not_turned",
            text!(
                "The two rests would mean an offset of {e3} mg; no chip has more than {e32} mg.",
                e3 = number(found_g * 1e3, 0),
                e32 = number(limit_g * 1e3, 0)
            ),
            text!("The board was not turned by half a turn, or not set down on the same place."),
            again,
        ),
        Ended::NotReversed(error) => trouble(
            "not_reversed",
            reversal_words(error),
            text!("The board was turned another way than was asked for."),
            again,
        ),
        Ended::NoChip(error) => trouble(
            "no_solution",
            calibration_words(error),
            text!("No chip is off so far."),
            text!("Calibrate the board by poses."),
        ),
    }
}

/// Why a wish is not granted, for the client.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with its sentences for every refusal"
)]
pub fn desk_problem(error: &DeskError) -> Problem {
    let conflict = |code, title: Text, remedy: Text| {
        let detail = text!("Not now: {reason}.", reason = &title);
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
        DeskError::NoBoard { board } => Problem::new(
            StatusCode::NOT_FOUND,
            "no_such_board",
            text!("There is no such board"),
            text!("No board is called `{board}`.", board),
            text!("Name a board by the `id` that /api/v1/state lists."),
        ),
        DeskError::NotLive => conflict(
            "board_not_live",
            text!("The board gives no readings"),
            text!("Look at its trouble and put it right; then start again."),
        ),
        DeskError::SwingRunning => conflict(
            "swing_running",
            text!("A swing is running"),
            text!("Finish the swing or give it up first."),
        ),
        DeskError::Running => conflict(
            "calibration_running",
            text!("This board is being calibrated"),
            text!("Finish it and keep or discard its result, or give it up."),
        ),
        DeskError::NotRunning => conflict(
            "no_calibration",
            text!("This board is not being calibrated"),
            text!("Start a calibration with /api/v1/calibration/start."),
        ),
        DeskError::NoPoses => conflict(
            "no_poses",
            text!("A reversal has no poses"),
            text!("Finish it or give it up."),
        ),
        DeskError::NoResult => conflict(
            "no_result",
            text!("There is no result yet"),
            text!("Go on until it is solved, or solve the poses taken so far."),
        ),
        DeskError::Configured => conflict(
            "calibration_configured",
            text!("The configuration gives this board's calibration"),
            text!(
                "Its numbers would win over any result: take `calibration` out of this board's part of the configuration and start the daemon again."
            ),
        ),
        DeskError::NotCalibrated => conflict(
            "not_calibrated",
            text!("There is nothing yet to improve"),
            text!(
                "Calibrate the board by poses first; turning it end for end settles one axis on top of that."
            ),
        ),
        DeskError::NoAxes => conflict(
            "no_axes",
            text!("The axes of the turn are not known"),
            text!(
                "Name `sensing` (outboard on the wheel) and `about` (forward on the wheel), or give the board a mounting in the configuration."
            ),
        ),
        DeskError::Axes(error) => wrong(
            "axes_not_square",
            text!("The axes do not go together"),
            reversal_words(error),
            text!("Name two different arrows for `sensing` and `about`."),
        ),
        DeskError::NoSuchPose(error) => wrong(
            "no_such_pose",
            text!("There is no such pose"),
            no_such_pose_words(*error),
            text!("Name a pose that is taken, counting from 0, or none for the last one."),
        ),
        DeskError::Fit(error) => {
            let told = fit_trouble(error);
            wrong(
                "poses_not_solved",
                text!("The poses have no calibration in them"),
                text!("{what} {meaning}", what = told.what, meaning = told.meaning),
                told.remedy,
            )
        }
        DeskError::Ended(ended) => {
            let told = ended_trouble(ended);
            Problem::new(
                StatusCode::CONFLICT,
                "no_result",
                text!("It ended without a result"),
                text!("{what} {meaning}", what = told.what, meaning = told.meaning),
                told.remedy,
            )
        }
        DeskError::Store(error) => Problem::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "not_kept",
            text!("The calibration is not kept"),
            text!(
                "{what} {meaning}",
                what = error.what(),
                meaning = error.meaning()
            ),
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
        check(kept.into(), "not_reversed", &["300.0 mg"]);
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
