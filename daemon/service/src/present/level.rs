//! Floor, toe and run-outs for the page.

use hubplumb_core::levelling::survey::Line;
use hubplumb_core::levelling::{Hint, OutboardBy, Phase, RunOutResult};
use hubplumb_core::side::Side;

use super::run_out::run_out_trouble;
use super::sense::{floor_pitch_words, floor_roll_words};
use super::{mount_view, side_words};
use crate::axis::AxisName;
use crate::http::views::{
    BodyHeadingView, EarlierView, FloorByView, FloorView, LevellingView, LineName, LineView,
    OutboardByView, RunOutPhase, RunOutResultView, RunOutView, SitsBy, ToeView,
};
use crate::levelling::{Earlier, Floor, FloorBy, LevelSnapshot, RunOut, RunOutNow};
use crate::mount::Mount;
use crate::text;
use crate::text::Text;

/// Everything as it stands.
pub fn level_view(snapshot: &LevelSnapshot) -> LevellingView {
    let body_of = |mount| {
        snapshot
            .result(mount)
            .is_some_and(|result| result.body.is_some())
    };
    LevellingView {
        floor: floor_view(&snapshot.floor),
        toes: Side::BOTH
            .iter()
            .map(|side| {
                let toe = snapshot.toe_of(*side);
                ToeView {
                    mount: mount_view(Mount::steered(*side)),
                    toe_deg: toe.estimate.value.deg(),
                    expanded_deg: toe.estimate.expanded().deg(),
                    entered: toe.entered,
                }
            })
            .collect(),
        body: BodyHeadingView {
            jacked_left: body_of(Mount::FrontLeft),
            jacked_right: body_of(Mount::FrontRight),
            by_jackings: snapshot.jackings().is_some(),
            forward: snapshot.forward.map(|(axis, _)| AxisName::from(axis)),
            forward_standard_deg: snapshot.forward.map(|(_, standard)| standard.deg()),
        },
        run_outs: snapshot
            .run_outs
            .iter()
            .map(|(mount, run_out)| run_out_view(*mount, run_out))
            .collect(),
        earlier: snapshot.earlier.as_ref().map(earlier_view),
    }
}

fn earlier_view(earlier: &Earlier) -> EarlierView {
    let standing = &earlier.standing;
    let floor = standing
        .has_floor()
        .then(|| text!("the slope of the floor"));
    let wheels = standing.mounts().map(|mount| {
        let wheel = mount.words();
        text!("how the {wheel} board sits", wheel)
    });
    let body = standing
        .has_forward()
        .then(|| text!("which way the board on the body points"));
    EarlierView {
        at: earlier.at.clone(),
        what: floor.into_iter().chain(wheels).chain(body).collect(),
    }
}

fn floor_view(floor: &Floor) -> FloorView {
    let (roll, pitch) = (floor.slope.roll, floor.slope.pitch);
    FloorView {
        roll_deg: roll.value.deg(),
        roll_expanded_deg: roll.expanded().deg(),
        roll_sense: floor_roll_words(roll.value),
        pitch_deg: pitch.value.deg(),
        pitch_expanded_deg: pitch.expanded().deg(),
        pitch_sense: floor_pitch_words(pitch.value),
        by: match floor.by {
            FloorBy::Configuration => FloorByView::Configuration,
            FloorBy::Heights => FloorByView::Heights,
            FloorBy::Lines => FloorByView::Lines,
        },
        twist_mm: floor.twist_mm,
        lines: floor
            .lines
            .iter()
            .map(|(line, slope)| LineView {
                line: line_name(*line),
                slope_deg: slope.value.deg(),
                expanded_deg: slope.expanded().deg(),
            })
            .collect(),
        half: floor.half.map(line_name),
    }
}

fn run_out_view(mount: Mount, run_out: &RunOut) -> RunOutView {
    let current = run_out.current.as_ref();
    let progress = current.map(|current| current.progress);
    RunOutView {
        mount: mount_view(mount),
        sits_by: match (&run_out.result, run_out.declared) {
            (Some(_), _) => SitsBy::RunOut,
            (None, true) => SitsBy::Declared,
            (None, false) => SitsBy::Unknown,
        },
        run: run_out.run,
        phase: current.map_or(RunOutPhase::Idle, |current| phase_view(current.phase)),
        say: say(mount, run_out),
        jacked: current.is_none_or(|current| current.jacked),
        held_s: progress.map_or(0.0, |progress| progress.held_us as f64 * 1e-6),
        hold_needed_s: progress.map_or(0.0, |progress| progress.hold_needed_us as f64 * 1e-6),
        stops: progress.map_or(0, |progress| progress.stops),
        arc_deg: progress.map_or(0.0, |progress| progress.arc.deg()),
        would_do: progress.is_some_and(|progress| progress.hint == Hint::TurnOnOrFinish),
        trouble: current
            .and_then(|current| current.refusal.as_ref())
            .map(|refusal| run_out_trouble(mount, refusal)),
        result: run_out.result.as_deref().map(result_view),
    }
}

fn say(mount: Mount, run_out: &RunOut) -> Text {
    let wheel = mount.words();
    let Some(current) = &run_out.current else {
        return if let (false, Some(side)) = (run_out.declared, mount.side()) {
            text!(
                "How the {wheel} board sits is not known: turn the {side} wheel on its bearing.",
                wheel,
                side = side_words(side)
            )
        } else {
            text!("The {wheel} board is taken to sit as declared.", wheel)
        };
    };
    let RunOutNow {
        phase,
        progress,
        jacked,
        ..
    } = current;
    let on = if *jacked {
        text!("Turn the wheel on by about a quarter, the way it rolls forward, and let go.")
    } else {
        text!("Roll the car forward by about a quarter turn of the wheel, and hold it.")
    };
    match progress.hint {
        Hint::LetRest => text!("Let the wheel come to rest."),
        Hint::HoldStill => text!("Keep still."),
        Hint::TurnOn => on.clone(),
        Hint::KeepTurning => text!("Turn on, then let it rest."),
        Hint::TurnOnOrFinish => text!("{on} Or finish with what is there.", on),
        Hint::Finished if *phase == Phase::Refused => text!("The run-out gave no result."),
        Hint::Finished => text!("Done: how the {wheel} board sits is found.", wheel),
    }
}

fn result_view(result: &RunOutResult) -> RunOutResultView {
    let spread = result.last_up().and_then(|up| result.axis.about(up));
    let expanded =
        |pick: fn(&hubplumb_core::levelling::AxisSpread) -> hubplumb_core::angle::Angle| {
            spread.as_ref().map_or(0.0, |spread| {
                hubplumb_core::estimate::Estimate::new(
                    hubplumb_core::angle::Angle::ZERO,
                    pick(spread),
                )
                .expanded()
                .deg()
            })
        };
    RunOutResultView {
        outboard: result.axis.outboard.vec().to_array(),
        lean_expanded_deg: expanded(|spread| spread.lean),
        heading_expanded_deg: expanded(|spread| spread.heading),
        outboard_by: match result.outboard_by {
            OutboardBy::DeclaredFace => OutboardByView::DeclaredFace,
            OutboardBy::AwayFromCar => OutboardByView::AwayFromCar,
            OutboardBy::ForwardRolling => OutboardByView::ForwardRolling,
        },
        arc_deg: result.arc.deg(),
        stops: result.stops,
        spins: result.spins,
        off_cone_deg: result.wobble_watched.then(|| result.off_cone.deg()),
        lean_there_deg: result.lean_there.deg(),
        off_declared_deg: result.off_declared.map(hubplumb_core::angle::Angle::deg),
        body_seen: result.body.is_some(),
        at_us: result.at.us(),
    }
}

const fn phase_view(phase: Phase) -> RunOutPhase {
    match phase {
        Phase::AwaitStill => RunOutPhase::AwaitStill,
        Phase::Hold => RunOutPhase::Hold,
        Phase::Taken => RunOutPhase::Taken,
        Phase::Turning => RunOutPhase::Turning,
        Phase::Done => RunOutPhase::Done,
        Phase::Refused => RunOutPhase::Refused,
    }
}

const fn line_name(line: Line) -> LineName {
    match line {
        Line::Front => LineName::Front,
        Line::Rear => LineName::Rear,
        Line::Left => LineName::Left,
        Line::Right => LineName::Right,
    }
}

/// The line that the wire names.
pub(super) const fn line_of(name: LineName) -> Line {
    match name {
        LineName::Front => Line::Front,
        LineName::Rear => Line::Rear,
        LineName::Left => Line::Left,
        LineName::Right => Line::Right,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_go_over_the_wire_and_back() {
        for line in Line::ALL {
            assert_eq!(line_of(line_name(line)), line);
        }
    }
}
