//! Steps of a script, in the units people write them in.

use serde::Deserialize;

use crate::car::{Mount, Wheel};

/// A wheel rolling by a little although its brake is locked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Which wheel.
    pub wheel: Wheel,
    /// By how much it rolls forward, degrees.
    pub by_deg: f64,
}

/// How hands rock a wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rocked {
    /// Held at the top and the bottom.
    TopBottom,
    /// Held at the front and the rear.
    FrontRear,
}

/// One thing the operator (or fate) does.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Everything rests.
    Rest {
        /// For how long, s.
        for_s: f64,
        /// A name for the truth file, e.g. `straight`.
        label: Option<String>,
    },
    /// The front axle is steered to a plan-view angle (mean of both wheels).
    SteerTo {
        /// The angle, degrees, + left.
        to_deg: f64,
        /// Within how many seconds.
        over_s: f64,
        /// A brake that slips in the middle of it.
        slip: Option<Slip>,
    },
    /// The front axle is steered to one side and the other without a pause, and back.
    Sweep {
        /// Furthest angle, degrees; negative begins to the right.
        amplitude_deg: f64,
        /// Time from one side to the other, s.
        over_s: f64,
        /// How many times from side to side.
        times: u32,
    },
    /// A jacked wheel is turned by hand.
    Spin {
        /// Which wheel.
        wheel: Wheel,
        /// By how much, degrees, + as in rolling forward.
        by_deg: f64,
        /// Within how many seconds.
        over_s: f64,
    },
    /// The car is pushed.
    RollForward {
        /// How far, m; negative is back.
        distance_m: f64,
        /// Within how many seconds.
        over_s: f64,
    },
    /// A corner is jacked up or let down.
    Jack {
        /// Which corner.
        wheel: Wheel,
        /// Up or down.
        up: bool,
        /// Within how many seconds.
        over_s: f64,
    },
    /// Somebody hits a wheel; nothing moves for good.
    Knock {
        /// Which wheel.
        wheel: Wheel,
        /// Largest acceleration, g.
        peak_g: f64,
    },
    /// Somebody taps a board with a finger; nothing moves for good.
    Tap {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// Largest acceleration, g.
        peak_g: f64,
    },
    /// A door is slammed: every board on the car feels it alike.
    Slam {
        /// Largest acceleration, g.
        peak_g: f64,
    },
    /// The engine starts to idle or stops.
    Idle {
        /// Runs from now on?
        on: bool,
    },
    /// The brake is locked (pedal prop) or freed.
    Brake {
        /// Locked from now on?
        locked: bool,
    },
    /// A locked brake slips while nothing else moves.
    BrakeSlip {
        /// The wheel and by how much.
        slip: Slip,
        /// Within how many seconds.
        over_s: f64,
    },
    /// A board turns on its strap, within 0.2 s.
    BoardSlip {
        /// Which board.
        mount: Mount,
        /// Turn about the board's own x, y, z, degrees (a rotation vector).
        by_deg: [f64; 3],
    },
    /// A hand turns a board, as when it is calibrated on a bench.
    TurnBoard {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// Turn about the board's own x, y, z, degrees (a rotation vector).
        by_deg: [f64; 3],
        /// Within how many seconds.
        over_s: f64,
    },
    /// A hand lays a board down in another way, by the shortest turn.
    LayBoard {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// What points up then, in the board's own axes; any length.
        up: [f64; 3],
        /// Within how many seconds.
        over_s: f64,
    },
    /// A hand straps a board on again, exactly as it was.
    StrapBoard {
        /// Which board.
        mount: Mount,
        /// Within how many seconds.
        over_s: f64,
    },
    /// An adjuster is turned, or shims are added to it.
    Adjust {
        /// At which wheel.
        wheel: Wheel,
        /// Its name in the scenario.
        adjuster: String,
        /// By how much: turns of a tie rod, mm of a shim, degrees of an eccentric or of a strut.
        by: f64,
        /// Where the thick side of a contact shim goes, degrees: 0 top, + towards the front.
        clock_deg: Option<f64>,
        /// Within how many seconds.
        over_s: f64,
    },
    /// What is damaged at a corner is replaced by what was made for it.
    Mend {
        /// At which wheel.
        wheel: Wheel,
        /// Within how many seconds.
        over_s: f64,
    },
    /// The car is bounced, front and rear: what was adjusted shows in full.
    Bounce {
        /// Within how many seconds.
        over_s: f64,
    },
    /// The body is brought to another ride height.
    SetHeight {
        /// At which corners.
        wheels: Vec<Wheel>,
        /// Over that of the car as made, mm.
        to_mm: f64,
        /// Within how many seconds.
        over_s: f64,
    },
    /// Hands rock a jacked wheel and hold it a while at either end of its play.
    Rock {
        /// Which wheel.
        wheel: Wheel,
        /// How it is held.
        about: Rocked,
        /// How many times to both ends.
        cycles: u32,
        /// How long it is held at each end, s.
        hold_s: f64,
        /// From end to end, s.
        over_s: f64,
    },
    /// The steering wheel is turned to the left lock, the right lock and back to straight ahead.
    LockToLock {
        /// Rest at each lock, s.
        rest_s: f64,
        /// From straight ahead to a lock, s; twice that from lock to lock.
        over_s: f64,
    },
    /// A hand holds a board on a straight bar upright across a rim.
    HoldBar {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// Across the rim of which wheel.
        wheel: Wheel,
        /// The bar is turned end for end.
        reversed: bool,
        /// Within how many seconds.
        over_s: f64,
    },
    /// A hand carries a board in a block to a rim and holds it there.
    CarryBlock {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// Against the rim of which wheel.
        wheel: Wheel,
        /// Not the rim, but a straight-edge beside it that stands along the car.
        to_edge: bool,
        /// The block is turned end for end.
        turned: bool,
        /// By how much the hand leans it on the way beside what hands do, degrees.
        lean_deg: f64,
        /// A blow half way, g; none is 0.
        bump_g: f64,
        /// Within how many seconds.
        over_s: f64,
    },
    /// A board is strapped to the hub of another wheel, as it was on its own.
    MoveBoard {
        /// Which board, by the mount it is usually on.
        mount: Mount,
        /// To which wheel.
        wheel: Wheel,
        /// Within how many seconds.
        over_s: f64,
    },
}

/// Steps one after the other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Script {
    /// The steps.
    pub steps: Vec<Step>,
}

impl Script {
    /// A script of the given steps.
    pub fn new(steps: Vec<Step>) -> Self {
        Self { steps }
    }

    /// The classic swing: straight, one stop to the left, one to the right, straight again.
    ///
    /// Angles in degrees, + left; `rest_s` at every stop, `move_s` from straight to a stop and
    /// twice that from stop to stop.
    pub fn swing(left_deg: f64, right_deg: f64, rest_s: f64, move_s: f64) -> Self {
        let rest = |label: &str| Step::Rest {
            for_s: rest_s,
            label: Some(label.to_owned()),
        };
        let steer = |to_deg, over_s| Step::SteerTo {
            to_deg,
            over_s,
            slip: None,
        };
        Self::new(vec![
            rest("straight"),
            steer(left_deg, move_s),
            rest("stop_left"),
            steer(right_deg, 2.0 * move_s),
            rest("stop_right"),
            steer(0.0, move_s),
            rest("straight"),
        ])
    }

    /// Everything rests for a while.
    pub fn rest(for_s: f64) -> Self {
        Self::new(vec![Step::Rest { for_s, label: None }])
    }
}
