//! What each cause does to each figure.

use super::cause::{Cause, Pivot};
use super::clue::{Clue, Kind};
use crate::side::Side;

/// The effect of one unit of a fault on a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Share {
    /// Per unit.
    pub(super) factor: f64,
    /// Standard uncertainty of the factor: how unlike cars are in it.
    pub(super) spread: f64,
}

impl Share {
    const NONE: Self = Self::exactly(0.0);

    const fn exactly(factor: f64) -> Self {
        Self {
            factor,
            spread: 0.0,
        }
    }

    const fn about(factor: f64, spread: f64) -> Self {
        Self { factor, spread }
    }

    fn minus(self, other: Self) -> Self {
        Self {
            factor: self.factor - other.factor,
            spread: self.spread.hypot(other.spread),
        }
    }
}

/// One thing that moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Mode {
    /// The wheel tilted against the steering axis.
    Tilt(Side),
    /// Steering axis and wheel tilted together, the top out.
    TopOut(Side),
    /// The same, the top in.
    TopIn(Side),
    /// Both wheels' lower pivots to one side of the car.
    Sideways,
    /// A lower pivot to the rear.
    Rearward(Side),
    /// One wheel's steering arm.
    Arm(Side),
    /// The rear axle's direction.
    RearDirection,
    /// The steering's middle.
    Middle,
}

/// What moved, and whether only the named way belongs to the cause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Signature {
    /// What moved one way alone.
    pub(super) one_way: Option<Mode>,
    /// What moved either way.
    pub(super) either_way: [Option<Mode>; 2],
}

impl Signature {
    /// All that moved.
    pub(super) fn modes(self) -> impl Iterator<Item = Mode> {
        let [first, second] = self.either_way;
        [self.one_way, first, second].into_iter().flatten()
    }

    /// How many faults at once it takes.
    pub(super) fn faults(self) -> usize {
        self.modes().count()
    }
}

/// The signature of a cause; none for those that can do anything.
pub(super) fn signature(cause: Cause) -> Option<Signature> {
    let either = |mode| Signature {
        one_way: None,
        either_way: [Some(mode), None],
    };
    let one = |mode| Signature {
        one_way: Some(mode),
        either_way: [None; 2],
    };
    Some(match cause {
        Cause::WornJoint | Cause::RideHeight => return None,
        Cause::Knuckle(side) => either(Mode::Tilt(side)),
        Cause::PivotMoved(Pivot::AxleBeam, side) => either(Mode::TopOut(side)),
        Cause::PivotMoved(pivot, side) => one(moved(pivot, side)),
        Cause::PivotAndKnuckle(Pivot::AxleBeam, side) => Signature {
            one_way: None,
            either_way: [Some(Mode::TopOut(side)), Some(Mode::Tilt(side))],
        },
        Cause::PivotAndKnuckle(pivot, side) => Signature {
            one_way: Some(moved(pivot, side)),
            either_way: [Some(Mode::Tilt(side)), None],
        },
        Cause::CradleShifted => either(Mode::Sideways),
        Cause::LowerPivotRearward(side) => one(Mode::Rearward(side)),
        Cause::SteeringArm(side) => either(Mode::Arm(side)),
        Cause::RearAxle => either(Mode::RearDirection),
        Cause::SteeringOffCentre => either(Mode::Middle),
    })
}

const fn moved(pivot: Pivot, side: Side) -> Mode {
    match pivot {
        Pivot::UpperArm | Pivot::TowerIn => Mode::TopIn(side),
        Pivot::LowerArm | Pivot::TowerOut | Pivot::AxleBeam => Mode::TopOut(side),
    }
}

impl Mode {
    /// What a unit of it does to a figure.
    pub(super) fn on(self, clue: Clue) -> Share {
        match clue {
            Clue::Wheel(kind, side) => self.on_wheel(kind, side),
            Clue::Across(kind) => self
                .on_wheel(kind, Side::Left)
                .minus(self.on_wheel(kind, Side::Right)),
            Clue::Setback => match self {
                // The caster lost and the way back are in the ratio of the axis's
                // length to the track, some 0.2 to 0.5; from memory of usual cars.
                Self::Rearward(side) => Share::about(-0.35 * side.sign(), 0.2),
                _ => Share::NONE,
            },
            Clue::Thrust => Share::exactly(f64::from(self == Self::RearDirection)),
            Clue::Centring => Share::exactly(f64::from(self == Self::Middle)),
        }
    }

    fn on_wheel(self, kind: Kind, wheel: Side) -> Share {
        match self {
            // A bent knuckle: SAI stays, camber and included angle change alike (derived).
            Self::Tilt(side) if side == wheel => match kind {
                Kind::Camber | Kind::IncludedAngle => Share::exactly(1.0),
                _ => Share::NONE,
            },
            // A moved pivot: SAI goes against camber, their sum stays (derived). It may
            // well have gone fore and aft too.
            Self::TopOut(side) if side == wheel => top(kind, 1.0),
            Self::TopIn(side) if side == wheel => top(kind, -1.0),
            // Lower pivots gone to the right: the left top leans out, the right one in.
            Self::Sideways => top(kind, wheel.sign()),
            Self::Rearward(side) if side == wheel => match kind {
                Kind::Caster => Share::exactly(-1.0),
                _ => Share::NONE,
            },
            Self::Arm(side) if side == wheel => match kind {
                Kind::TurningOut => Share::exactly(1.0),
                _ => Share::NONE,
            },
            _ => Share::NONE,
        }
    }
}

/// Steering axis and wheel tilted together by a unit, + the top out.
const fn top(kind: Kind, out: f64) -> Share {
    match kind {
        Kind::Camber => Share::exactly(out),
        Kind::Sai => Share::exactly(-out),
        Kind::Caster => Share::about(0.0, 0.3),
        Kind::IncludedAngle | Kind::TurningOut => Share::NONE,
    }
}
