//! The guided checks for the page: the step at hand and what to do in it.

use hubplumb_core::angle::Angle;
use hubplumb_core::check::{BarTurn, Grip, Hint, Kind, Phase, Position, Stop, Wanted};
use hubplumb_core::side::Side;

use super::carried;
use super::check_finding::result_view;
use super::check_trouble::check_trouble;
use super::{mount_view, side_words};
use crate::checking::{CheckNow, CheckSnapshot};
use crate::http::views::{
    CheckKindView, CheckPhaseView, CheckResultView, CheckStopView, CheckView, CheckWants,
    CheckWantsWhat, SteeringPosition,
};
use crate::text;
use crate::text::Text;

/// The check that runs, or ran last.
pub fn check_view(snapshot: &CheckSnapshot) -> CheckView {
    let Some(current) = &snapshot.current else {
        return CheckView {
            run: snapshot.run,
            say: text!("No check is running."),
            ..CheckView::default()
        };
    };
    let progress = &current.progress;
    CheckView {
        run: snapshot.run,
        kind: Some(kind_view(current.kind)),
        mount: current.mount.map(mount_view),
        phase: phase_view(current.phase),
        say: say(current),
        cautions: cautions(current),
        held_s: progress.held_us as f64 * 1e-6,
        hold_needed_s: progress.hold_needed_us as f64 * 1e-6,
        taken: progress.taken,
        wanted: progress.wanted,
        steer_deg: progress.steer.map(Angle::deg),
        can_finish: progress.can_finish,
        wants: wants(current),
        carried: progress
            .carried
            .as_ref()
            .map(|now| carried::carried_view(now, progress.hint)),
        stops: current.stops.iter().map(stop_view).collect(),
        trouble: current
            .refusal
            .as_ref()
            .map(|refusal| check_trouble(current, refusal)),
    }
}

/// What the checks found, newest last.
pub fn check_results(snapshot: &CheckSnapshot) -> Vec<CheckResultView> {
    let found = snapshot.found.iter();
    found.map(|found| result_view(found)).collect()
}

/// The check as the wire names it.
pub(super) const fn kind_view(kind: Kind) -> CheckKindView {
    match kind {
        Kind::CamberOnHub => CheckKindView::CamberOnHub,
        Kind::CamberOnBar => CheckKindView::CamberOnBar,
        Kind::Play => CheckKindView::Play,
        Kind::Centring => CheckKindView::Centring,
        Kind::TurnOut => CheckKindView::ToeOutOnTurns,
        Kind::Heights => CheckKindView::HeightSweep,
        Kind::CarriedToe => CheckKindView::CarriedToe,
    }
}

const fn phase_view(phase: Phase) -> CheckPhaseView {
    match phase {
        Phase::AwaitStill => CheckPhaseView::AwaitStill,
        Phase::Hold => CheckPhaseView::Hold,
        Phase::Taken => CheckPhaseView::Taken,
        Phase::Moving => CheckPhaseView::Moving,
        Phase::Rock => CheckPhaseView::Rock,
        Phase::AwaitFigure => CheckPhaseView::AwaitFigure,
        Phase::Done => CheckPhaseView::Done,
        Phase::Refused => CheckPhaseView::Refused,
    }
}

fn stop_view(stop: &Stop) -> CheckStopView {
    CheckStopView {
        camber_deg: stop.camber.map(Angle::deg),
        steer_left_deg: stop.steer_left.map(Angle::deg),
        steer_right_deg: stop.steer_right.map(Angle::deg),
        steering_wheel_deg: stop.steering_wheel.map(Angle::deg),
        height_mm: stop.height_mm,
        toe_deg: stop.toe.map(Angle::deg),
    }
}

fn wants(current: &CheckNow) -> Option<CheckWants> {
    let position = |position| {
        Some(match position {
            Position::Straight => SteeringPosition::Straight,
            Position::Turned(Side::Left) => SteeringPosition::Left,
            Position::Turned(Side::Right) => SteeringPosition::Right,
        })
    };
    let (what, position, may_step) = match current.progress.hint {
        Hint::Type(Wanted::Plates(at)) => (CheckWantsWhat::Plates, position(at), false),
        Hint::Type(Wanted::SteeringWheel(at)) => {
            (CheckWantsWhat::SteeringWheel, position(at), false)
        }
        Hint::SetHeight | Hint::Type(Wanted::Height) => {
            (CheckWantsWhat::Height, None, current.may_step)
        }
        _ => return None,
    };
    Some(CheckWants {
        what,
        position,
        may_step,
    })
}

fn say(current: &CheckNow) -> Text {
    let hint = current.progress.hint;
    if let (Some(now), true) = (
        &current.progress.carried,
        !matches!(hint, Hint::HoldStill | Hint::Finished),
    ) {
        return carried::hint_words(hint, now);
    }
    let wheel = current
        .mount
        .map_or(Text::empty(), crate::mount::Mount::words);
    match current.progress.hint {
        Hint::LetRest => text!("Let the wheel come to rest, and stand away from the car."),
        Hint::HoldStill => text!("Keep still."),
        Hint::BounceForNext => text!("Taken. Bounce the car, then let it rest again."),
        Hint::HoldBar => text!("Hold the bar upright across the {wheel} rim, both feet on the flange, and keep it still.", wheel),
        Hint::SetBarUpright => {
            text!("Set the bar upright across the rim, with the board's named axis facing away from the car.")
                .to_owned()
        }
        Hint::TurnBar(turn) => text!("Taken. {turn} and hold them there again.", turn = turn_words(turn)),
        Hint::Rock(grip) => text!("Rock the {wheel} wheel to and fro about once a second, hands {grip}.", wheel, grip = grip_words(grip)),
        Hint::PointStraight => text!("Point the wheels straight ahead and let go."),
        Hint::SteerToLock(side) => {
            text!("Steer to the {side} lock and hold it there.", side = side_words(side))
        }
        Hint::SteerToStop(side) => text!("Steer to the {side} until the inner wheel stands at about 20°, and hold it there.", side = side_words(side)),
        Hint::SteerOnOrBack => {
            text!("Further stops if you like; to end, point the wheels straight ahead and let go.")
                .to_owned()
        }
        Hint::SteerBack => text!("Steer back to straight ahead and let go."),
        Hint::KeepSteering => text!("Steer on."),
        Hint::Type(Wanted::Plates(at)) => text!("{position} and type the readings of both turn plates.", position = position_words(at, current.kind)),
        Hint::Type(Wanted::SteeringWheel(at)) => text!("{position} and type the angle of the steering wheel.", position = position_words(at, current.kind)),
        Hint::Type(Wanted::Height) | Hint::SetHeight => {
            let next = text!("Set the next ride height, settle the car, and type the height.");
            if current.progress.can_finish {
                Text::sentences([next, text!("Or finish with what is there.")])
            } else {
                next
            }
        }
        Hint::Finished if current.phase == Phase::Refused => {
            text!("The check gave no result.")
        }
        // A carried board's are told above.
        Hint::HoldBlock(_) | Hint::CarryBlock(_) | Hint::TurnBlock | Hint::SetBlock => Text::empty(),
        Hint::Finished => text!("Done: the result is below."),
    }
}

fn turn_words(turn: Option<BarTurn>) -> Text {
    match turn {
        Some(BarTurn::OtherFace) => {
            text!(
                "Turn bar and board about the bar's length: the other face to the rim, the same end up,"
            )
        }
        Some(BarTurn::OtherEnd) => {
            text!("Swap the ends of the bar: the other end up, the same face to the rim,")
        }
        Some(BarTurn::Both) => {
            text!("Turn the bar over: the other end up and the other face to the rim,")
        }
        None => text!("Turn bar and board by half a turn, end for end or face for face,"),
    }
}

const fn grip_words(grip: Grip) -> Text {
    match grip {
        Grip::TopBottom => text!("at the top and the bottom"),
        Grip::FrontRear => text!("in front and behind"),
    }
}

fn position_words(at: Position, kind: Kind) -> Text {
    match (at, kind) {
        (Position::Straight, _) => text!("Point the wheels straight ahead"),
        (Position::Turned(side), Kind::Centring) => {
            text!("Steer to the {side} lock", side = side_words(side))
        }
        (Position::Turned(side), _) => text!(
            "Steer to the {side} until the inner wheel stands at about 20°",
            side = side_words(side)
        ),
    }
}

const JACKED: Text = text!(
    "Lift only at the maker's points, on hard level ground, and put a stand under before you touch the wheel. Never reach or lie under a car that stands on a jack alone."
);
const CHOCKED: Text = text!("Chock the wheels that stay on the ground and set the parking brake.");
const ROCKED: Text = text!(
    "Rock with your hands only and not hard enough to move the car on its stand; watch that it does not shift."
);
const JOINTS: Text = text!(
    "What moves is for a licensed workshop to judge where the law says so; limits and torques are the maker's."
);
const FINGERS: Text = text!(
    "Keep fingers, feet and cables clear of the wheels and the linkage while somebody steers."
);
const POWERED: Text = text!(
    "If the engine has to run for the steering: parking brake set, gear in neutral or park, wheels chocked, fumes out of the room. Do not press against a lock for longer than a rest takes."
);
const SQUEEZE: Text = text!(
    "Change the height by weight or at springs and jacks as the maker allows; keep hands and feet from under the car and out of the wheel arch while it comes down."
);
const HELD: Text = text!("The car stands on its wheels, parking brake set and wheels chocked.");

const CARRIED: Text = text!(
    "The way from rim to rim goes round the car, never under it; see that nothing lies on it to stumble over, and that the board's cable is long enough."
);
const STEERING_FIXED: Text = text!(
    "The steering wheel stands straight ahead and is held by a holder; nobody sits in the car."
);

fn cautions(current: &CheckNow) -> Vec<Text> {
    if !current.is_running() {
        return Vec::new();
    }
    let texts: &[Text] = match current.kind {
        Kind::CamberOnHub | Kind::CamberOnBar => &[HELD],
        Kind::Play => &[JACKED, CHOCKED, ROCKED, JOINTS],
        Kind::Centring | Kind::TurnOut => &[CHOCKED, FINGERS, POWERED],
        Kind::Heights => &[CHOCKED, JACKED, SQUEEZE],
        Kind::CarriedToe => &[HELD, STEERING_FIXED, CARRIED],
    };
    texts.to_vec()
}
