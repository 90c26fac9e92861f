//! A board's calibration for the page.

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::{
    Edge, Face, FitError, Hint, Phase, ReversalResult, Standing, TurnEvidence,
};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::mounting::BoardAxis;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use super::calibration_trouble::{
    absent_trouble, ended_trouble, fit_trouble, old_trouble, unreadable_trouble,
};
use crate::axis::AxisName;
use crate::calibrating::{CalibrationNow, Kind, KindWish, Origin, ProcedureNow, ResultNow};
use crate::calibration_store::StoredCalibration;
use crate::http::calibration_views::{
    CalibrationKind, CalibrationPhase, CalibrationProcedureView, CalibrationResultView,
    CalibrationSource, CalibrationStart, CalibrationState, CalibrationView, EdgeView, SettledView,
};
use crate::text;
use crate::text::{Text, number, signed};

/// More warming during the poses than this is worth a word, °C.
const WARMING_C: f64 = 3.0;

/// Does the daemon hold a calibration?
pub const fn is_calibrated(now: &CalibrationNow) -> bool {
    matches!(now.origin, Origin::Configured { .. } | Origin::Stored(_))
}

/// A board's calibration for the page.
pub fn calibration_view(now: &CalibrationNow) -> CalibrationView {
    let bare = CalibrationView {
        state: CalibrationState::Valid,
        source: None,
        say: Text::empty(),
        trouble: None,
        date: None,
        age_days: None,
        temperature_c: None,
        poses: None,
        residual_mg: None,
        offset_standard_mg: mg(now.figures.accel_offset_g),
        settled: None,
        procedure: now.procedure.as_ref().map(procedure_view),
    };
    match &now.origin {
        Origin::Absent => CalibrationView {
            state: CalibrationState::Absent,
            say: text!("Not calibrated."),
            trouble: Some(absent_trouble()),
            ..bare
        },
        Origin::Unreadable(error) => CalibrationView {
            state: CalibrationState::Unreadable,
            say: text!("Not calibrated: its file cannot be read."),
            trouble: Some(unreadable_trouble(error)),
            ..bare
        },
        Origin::Configured { hides } => CalibrationView {
            source: Some(CalibrationSource::Configured),
            say: match hides {
                None => text!("Calibrated by the numbers in the configuration."),
                Some(date) => text!(
                    "Calibrated by the numbers in the configuration; the calibration kept on {date} is not used.",
                    date = date.date().to_string()
                ),
            },
            ..bare
        },
        Origin::Stored(stored) => stored_view(stored, now, bare),
    }
}

fn stored_view(
    stored: &StoredCalibration,
    now: &CalibrationNow,
    bare: CalibrationView,
) -> CalibrationView {
    let age_days = whole_days(now.ages.poses_days);
    let (state, word, trouble) = match now.standing {
        Some(Standing::Old(reason)) => (
            CalibrationState::Old,
            text!("Calibration old"),
            Some(old_trouble(&reason)),
        ),
        _ => (CalibrationState::Valid, text!("Calibrated"), None),
    };
    let at = stored.kept.temperature_c.map_or(Text::empty(), |then_c| {
        text!(" at {then_c} °C", then_c = number(then_c, 0))
    });
    let ago = match age_days {
        ..=0 => text!("today"),
        1 => text!("yesterday"),
        days => text!("{days} days ago", days),
    };
    // The names of sockets begin so, see `link::PortTree`.
    let of_socket = if stored.board.starts_with("path-") {
        text!(
            " It is kept for the USB socket, because the adapter has no serial number: leave the board at it."
        )
    } else {
        Text::empty()
    };
    CalibrationView {
        state,
        source: Some(CalibrationSource::Stored),
        say: text!(
            "{word}: done {ago}{at}.{of_socket}",
            word,
            ago,
            at,
            of_socket
        ),
        trouble,
        date: written(stored.date),
        age_days: Some(age_days),
        temperature_c: stored.kept.temperature_c,
        poses: Some(stored.poses),
        residual_mg: Some(mg(stored.residual_rms_g)),
        settled: now.figures.accel_settled.map(|settled| SettledView {
            axis: AxisName::from(BoardAxis::nearest(&settled.along)),
            offset_standard_mg: mg(settled.offset_g),
            date: stored.settled_date.and_then(written),
        }),
        ..bare
    }
}

fn procedure_view(now: &ProcedureNow) -> CalibrationProcedureView {
    let (kind, axes) = match now.kind {
        Kind::Poses => (CalibrationKind::Poses, None),
        Kind::Reversal { sensing, about } => (CalibrationKind::Reversal, Some((sensing, about))),
    };
    let trouble = match (&now.ended, &now.trouble) {
        (Some(ended), _) => Some(ended_trouble(ended)),
        (None, Some(error)) => Some(fit_trouble(error)),
        (None, None) => None,
    };
    CalibrationProcedureView {
        run: now.run,
        kind,
        phase: match now.phase {
            Phase::Lay => CalibrationPhase::Lay,
            Phase::Hold => CalibrationPhase::Hold,
            Phase::Taken => CalibrationPhase::Taken,
            Phase::Solved => CalibrationPhase::Solved,
            Phase::Ended => CalibrationPhase::Ended,
        },
        say: say(now),
        held_s: now.hold.held_us as f64 * 1e-6,
        hold_needed_s: now.hold.needed_us as f64 * 1e-6,
        taken: now.taken,
        to_go: now.to_go,
        missing_faces: now
            .missing_faces
            .iter()
            .copied()
            .map(AxisName::from)
            .collect(),
        missing_edges: now.missing_edges.iter().copied().map(edge_view).collect(),
        can_solve: now.can_solve,
        sensing: axes.map(|axes| AxisName::from(axes.0)),
        about: axes.map(|axes| AxisName::from(axes.1)),
        worst_pose: match &now.trouble {
            Some(FitError::PosesDisagree { worst, .. }) => Some(*worst),
            _ => None,
        },
        trouble,
        result: now.result.as_ref().map(result_view),
    }
}

fn say(now: &ProcedureNow) -> Text {
    match now.hint {
        Hint::LayFace(face) => text!("Lay the board down with {face}.", face = face_words(face)),
        Hint::LayEdge(edge) => {
            let (first, second) = edge_words(edge);
            text!(
                "Lean the board on something steady, so that arrows {first} and {second} both slant halfway.",
                first,
                second
            )
        }
        Hint::LayAnyOtherWay => {
            text!("Lean the board in another slanting way, one that it has not lain in.")
        }
        Hint::HoldStill => text!("Hands off: it is being measured."),
        Hint::TakeBack(pose) => text!(
            "Pose {pose} does not fit the others. Take it back and lay the board that way again.",
            pose = pose + 1
        ),
        Hint::StandFirst => match now.kind {
            Kind::Reversal { sensing, about } => text!(
                "Stand the board on a steady table with {about}, {sensing} level, and let go.",
                about = points(about, text!("up")),
                sensing = arrow(sensing)
            ),
            Kind::Poses => text!("Lay the board down and let go."),
        },
        Hint::TurnOver => match now.kind {
            Kind::Reversal { about, .. } => text!(
                "Turn the board by half a turn about {about}, set it down on the same place and let go.",
                about = arrow(about)
            ),
            Kind::Poses => text!("Turn the board over."),
        },
        Hint::Finished if now.phase == Phase::Solved => {
            text!("Done. Keep the result or discard it.")
        }
        Hint::Finished => text!("It ended without a result."),
    }
}

fn result_view(result: &ResultNow) -> CalibrationResultView {
    match result {
        ResultNow::Poses {
            quality,
            offset_g,
            figures,
            warmth,
            by_prior,
        } => {
            let camber_expanded_deg = expanded_deg(figures.accel_offset_g);
            let mut notes = Vec::new();
            if quality.degrees_of_freedom == 0 {
                notes.push(
                    text!("The poses are just enough: a bad one would not show. More of them check each other.")
                        .to_owned(),
                );
            }
            if *by_prior {
                notes.push(
                    text!("How square the axes stand to each other is taken from data sheets. Poses on edges would measure it.")
                        .to_owned(),
                );
            }
            if quality.widened > 1.0 {
                notes.push(text!("The poses scatter more than their noise explains; the figures are widened {widened} times.", widened = number(quality.widened, 1)));
            }
            if let Some(warmth) = warmth.filter(|warmth| warmth.span_c > WARMING_C) {
                notes.push(text!("The chip changed by {span_c} °C during the poses. Once it is as warm as in use, calibrate again.", span_c = number(warmth.span_c, 0)));
            }
            CalibrationResultView {
                say: text!(
                    "The offset is known to ± {accel_offset_g} mg (one sigma). In camber that leaves ± {camber_expanded_deg}°, 95 times in 100.",
                    accel_offset_g = number(mg(figures.accel_offset_g), 2),
                    camber_expanded_deg = number(camber_expanded_deg, 2)
                ),
                offset_mg: offset_g.iter().copied().map(mg).collect(),
                offset_standard_mg: mg(figures.accel_offset_g),
                camber_expanded_deg,
                residual_mg: Some(mg(quality.residual_rms_g)),
                worst_pose: quality.worst.map(|worst| worst.pose),
                worst_mg: quality.worst.map(|worst| mg(worst.left_out_g)),
                temperature_c: warmth.map(|warmth| warmth.mean_c),
                temperature_span_c: warmth.map(|warmth| warmth.span_c),
                is_gain: true,
                notes: notes.into_iter().collect(),
            }
        }
        ResultNow::Reversal(result) => reversal_view(result),
    }
}

fn reversal_view(result: &ReversalResult) -> CalibrationResultView {
    let found_mg = mg(result.reversal.offset_g);
    let standard_mg = mg(result.settled.offset_g);
    let axis = arrow(BoardAxis::nearest(&result.settled.along));
    let mut notes = Vec::new();
    if result.seen == TurnEvidence::MotionOnly {
        notes.push(
            text!("Nothing showed that it was half a turn. Keep this only if you are sure of it.")
                .to_owned(),
        );
    }
    if result.is_more_than_was_left() {
        notes.push(
            text!("That is more than the calibration in force can have left: the offset has moved, or the chip sits askew in its case. What is taken out holds for a board that stands as it did here.")
                .to_owned(),
        );
    }
    let is_gain = result.is_gain();
    if !is_gain {
        notes.push(text!("The calibration in force knows this offset to ± {before_g} mg already; keeping this one gains nothing.", before_g = number(mg(result.before_g), 2)));
    }
    CalibrationResultView {
        say: text!(
            "An offset of {found_mg} mg was left along {axis}; without it, ± {standard_mg} mg remain (one sigma).",
            found_mg = signed(found_mg, 2),
            axis,
            standard_mg = number(standard_mg, 2)
        ),
        offset_mg: vec![found_mg],
        offset_standard_mg: standard_mg,
        camber_expanded_deg: expanded_deg(result.settled.offset_g),
        residual_mg: None,
        worst_pose: None,
        worst_mg: None,
        temperature_c: result.temperature_c,
        temperature_span_c: None,
        is_gain,
        notes: notes.into_iter().collect(),
    }
}

/// What a client asks for.
pub fn kind_wish(start: &CalibrationStart) -> KindWish {
    match start.kind {
        CalibrationKind::Poses => KindWish::Poses,
        CalibrationKind::Reversal => KindWish::Reversal {
            sensing: start.sensing.map(BoardAxis::from),
            about: start.about.map(BoardAxis::from),
        },
    }
}

fn mg(g: f64) -> f64 {
    g * 1e3
}

/// A turn of a vector of one gravity, in rad, is its change across in g.
fn expanded_deg(offset_g: f64) -> f64 {
    Estimate::new(Angle::ZERO, Angle::from_rad(offset_g))
        .expanded()
        .deg()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a date of a computer is within some thousand years"
)]
fn whole_days(days: f64) -> i64 {
    days.floor() as i64
}

fn written(date: OffsetDateTime) -> Option<String> {
    date.format(&Rfc3339).ok()
}

/// `arrow X`, whichever way it points.
pub(super) const fn arrow(axis: BoardAxis) -> Text {
    match axis {
        BoardAxis::XPlus | BoardAxis::XMinus => text!("arrow X"),
        BoardAxis::YPlus | BoardAxis::YMinus => text!("arrow Y"),
        BoardAxis::ZPlus | BoardAxis::ZMinus => text!("arrow Z"),
    }
}

fn points(axis: BoardAxis, up: Text) -> Text {
    let way = match axis {
        BoardAxis::XPlus | BoardAxis::YPlus | BoardAxis::ZPlus => up,
        BoardAxis::XMinus | BoardAxis::YMinus | BoardAxis::ZMinus => text!("down"),
    };
    text!("{axis} {way}", axis = arrow(axis), way)
}

/// How a face is named: by the arrow that stands upright.
pub(super) fn face_words(face: Face) -> Text {
    match face {
        Face::PlusX => text!("arrow X up"),
        Face::MinusX => text!("arrow X down"),
        Face::PlusY => text!("arrow Y up"),
        Face::MinusY => text!("arrow Y down"),
        Face::PlusZ => text!("arrow Z up (flat, chip on top)"),
        Face::MinusZ => text!("arrow Z down (flat, chip below)"),
    }
}

const fn edge_words(edge: Edge) -> (&'static str, &'static str) {
    match edge {
        Edge::XY => ("X", "Y"),
        Edge::XZ => ("X", "Z"),
        Edge::YZ => ("Y", "Z"),
    }
}

const fn edge_view(edge: Edge) -> EdgeView {
    match edge {
        Edge::XY => EdgeView::Xy,
        Edge::XZ => EdgeView::Xz,
        Edge::YZ => EdgeView::Yz,
    }
}
