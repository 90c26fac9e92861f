//! The swing for the page.

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{BodyGivenUp, BodyUse, Hint, Phase, Rest, SteerSource};

use super::{mount_view, refusal_trouble};
use crate::http::views::{
    self, BodyWatchState, BodyWatchView, RestView, RestWheelView, SwingPhase, SwingView,
    WhereaboutsView,
};
use crate::mount::Mount;
use crate::swing::{Current, SwingSnapshot};
use crate::text;
use crate::text::{Text, number};

/// The swing before any was started.
pub fn idle_swing() -> SwingView {
    SwingView {
        run: 0,
        phase: SwingPhase::Idle,
        say: text!(
            "Start the steering swing when the brake is locked and the wheels stand on turn plates."
        ),
        steer_source: views::SteerSource::Gyro,
        held_s: 0.0,
        hold_needed_s: 0.0,
        steer_deg: None,
        wheels: Vec::new(),
        rests: Vec::new(),
        body: body_view(BodyUse::None),
        trouble: None,
        notes: Vec::new(),
    }
}

/// The swing as it stands.
pub fn swing_view(snapshot: &SwingSnapshot) -> SwingView {
    let Some(current) = &snapshot.current else {
        return idle_swing();
    };
    let progress = &current.progress;
    SwingView {
        run: snapshot.run,
        phase: phase_view(current.phase),
        say: say(current),
        steer_source: match current.steer_source {
            SteerSource::Gyro => views::SteerSource::Gyro,
            SteerSource::Plates => views::SteerSource::Plates,
        },
        held_s: progress.held_us as f64 * 1e-6,
        hold_needed_s: progress.hold_needed_us as f64 * 1e-6,
        steer_deg: progress.steer.map(Angle::deg),
        wheels: progress
            .wheels
            .iter()
            .flatten()
            .map(|at| WhereaboutsView {
                mount: mount_view(Mount::steered(at.side)),
                steer_deg: at.steer.deg(),
                camber_deg: at.camber.deg(),
            })
            .collect(),
        rests: current
            .rests
            .iter()
            .enumerate()
            .map(|(index, rest)| rest_view(index, rest))
            .collect(),
        body: body_view(current.body),
        trouble: current.refusal.as_ref().map(refusal_trouble),
        notes: current
            .refused_wheels
            .iter()
            .map(|refusal| {
                let trouble = refusal_trouble(refusal);
                text!(
                    "{what} {meaning} {remedy}",
                    what = trouble.what,
                    meaning = trouble.meaning,
                    remedy = trouble.remedy
                )
            })
            .collect(),
    }
}

fn body_view(body: BodyUse) -> BodyWatchView {
    let (state, text) = match body {
        BodyUse::None => (
            BodyWatchState::None,
            text!("No board watches the body: what it may roll is counted into the ±."),
        ),
        BodyUse::Watching => (
            BodyWatchState::Watching,
            text!("A board on the body watches it roll and pitch."),
        ),
        BodyUse::GivenUp(why) => (BodyWatchState::GivenUp, given_up(why)),
    };
    BodyWatchView { state, text }
}

fn given_up(why: BodyGivenUp) -> Text {
    const REST: Text = text!("What the body may roll is counted into the ± instead.");
    match why {
        BodyGivenUp::NoHeading => text!(
            "Which way the body board points is not known. {REST} Turn both front wheels on the jack with the board in place, or say which of its axes points forward.",
            REST
        ),
        BodyGivenUp::Lost => {
            text!(
                "The body board went away. {REST} Put its cable back and swing again.",
                REST
            )
        }
        BodyGivenUp::NotStill { rest } => text!(
            "The body board was not still at rest {rest}. {REST} Keep everybody off the car and swing again.",
            rest,
            REST
        ),
        BodyGivenUp::Slipped { found, limit } => text!(
            "The body board came back leaning by {found}° (at most {limit}° is taken for springs). {REST} Fix it firmly, bounce the car to settle it, and swing again.",
            found = number(found.deg(), 2),
            limit = number(limit.deg(), 2),
            REST
        ),
        BodyGivenUp::Saturated => text!(
            "The body board was at the end of its range. {REST} Swing again without knocking the car.",
            REST
        ),
    }
}

/// Where steer angles come from, as the core names it.
pub const fn steer_source(source: views::SteerSource) -> SteerSource {
    match source {
        views::SteerSource::Gyro => SteerSource::Gyro,
        views::SteerSource::Plates => SteerSource::Plates,
    }
}

/// The step at hand, as the wire names it.
pub const fn phase_view(phase: Phase) -> SwingPhase {
    match phase {
        Phase::AwaitStraight => SwingPhase::AwaitStraight,
        Phase::HoldStraight => SwingPhase::HoldStraight,
        Phase::AwaitTurn => SwingPhase::AwaitTurn,
        Phase::Turning => SwingPhase::Turning,
        Phase::HoldStop => SwingPhase::HoldStop,
        Phase::StopTaken => SwingPhase::StopTaken,
        Phase::HoldReturn => SwingPhase::HoldReturn,
        Phase::AwaitPlates => SwingPhase::AwaitPlates,
        Phase::Done => SwingPhase::Done,
        Phase::Refused => SwingPhase::Refused,
    }
}

fn wheels(mounts: &[Mount]) -> usize {
    mounts.iter().filter(|mount| **mount != Mount::Body).count()
}

fn say(current: &Current) -> Text {
    match current.progress.hint {
        Hint::RestStraight => text!("Point the wheels straight ahead and let go."),
        Hint::HoldStill => text!("Keep still."),
        Hint::SteerAside => text!("Steer to one side, about twenty degrees, and let go."),
        Hint::KeepSteering => text!("Steer on, then let go."),
        Hint::SteerFarther => text!("That is not far enough: steer farther, then let go."),
        Hint::SteerTo(Side::Left) => {
            text!("Now steer to the left, about twenty degrees, and let go.")
        }
        Hint::SteerTo(Side::Right) => {
            text!("Now steer to the right, about twenty degrees, and let go.")
        }
        Hint::SteerOnOrBack => {
            text!("Steer back to straight ahead and let go; further stops are welcome before.")
        }
        Hint::EnterPlates => text!("Enter the turn-plate readings."),
        Hint::Finished if current.phase == Phase::Refused => text!("The swing was given up."),
        Hint::Finished if current.refused_wheels.is_empty() => {
            text!("Done: the findings are there.")
        }
        Hint::Finished if current.refused_wheels.len() == wheels(&current.mounts) => {
            text!("Over, and no wheel has a finding: see the notes.")
        }
        Hint::Finished => text!("Done, but not for every wheel: see the notes."),
    }
}

fn rest_view(index: usize, rest: &Rest) -> RestView {
    RestView {
        index,
        straight: rest.straight,
        wheels: rest
            .wheels
            .iter()
            .map(|wheel| RestWheelView {
                mount: mount_view(Mount::steered(wheel.side)),
                steer_deg: wheel.steer.map(Angle::deg),
                plate_deg: wheel.plate.map(Angle::deg),
                camber_deg: wheel.camber.deg(),
                camber_expanded_deg: Estimate::new(wheel.camber, wheel.camber_standard)
                    .expanded()
                    .deg(),
            })
            .collect(),
    }
}
