//! What a check found.

use crate::angle::Angle;
use crate::carried::CarriedCause;
use crate::check::bar::BarTurn;
use crate::check::evidence::PlainTurn;
use crate::estimate::Estimate;
use crate::finding::coverage_95;
use crate::gum::Uncertainty;
use crate::side::Side;

/// What a finding is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Camber of a wheel against the floor, + top out.
    Camber,
    /// How far a hub rocks about the car's length, hands at the top and bottom: peak to peak.
    PlayTopBottom,
    /// How far a hub rocks about the vertical, hands in front and behind: peak to peak.
    PlayFrontRear,
    /// Steer of a wheel (or of the steering wheel) at the left lock, never negative.
    LockLeft,
    /// The same at the right lock.
    LockRight,
    /// Half of left lock less right lock, means of both wheels, or of the steering
    /// wheel: + where there is more lock to the left.
    OffCentre,
    /// Left wheel at the left lock less right wheel at the right lock: the inner wheels.
    InnerLocksDiffer,
    /// Right wheel at the left lock less left wheel at the right lock: the outer wheels.
    OuterLocksDiffer,
    /// Steer of the outer wheel when the inner one stands at 20°, turn to this side.
    OuterAtInner20(Side),
    /// Steer of the inner wheel when the outer one stands at 20°, turn to this side.
    InnerAtOuter20(Side),
    /// Inner less outer when the inner wheel stands at 20°, turn to this side.
    TurnOut(Side),
    /// Camber at the ride height.
    CamberAtRideHeight,
    /// Change of camber per mm of ride height there, + more top out as the body rises.
    CamberSlope,
    /// Half the second derivative of camber by ride height.
    CamberBend,
    /// Change of toe per mm of ride height there, + toe-in as the body rises.
    ToeSlope,
    /// Half the second derivative of toe by ride height.
    ToeBend,
    /// Total toe of an axle by a carried board, + toe-in.
    CarriedTotalToe {
        /// Is it the front axle?
        front: bool,
    },
    /// Toe of a wheel by a carried board, against a straight edge or the thrust line, + toe-in.
    CarriedToe {
        /// Is it a front wheel?
        front: bool,
    },
}

/// What the number of a finding counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// An angle.
    Angle,
    /// An angle per mm.
    AnglePerMm,
    /// An angle per mm².
    AnglePerMm2,
}

impl Quantity {
    /// What its number counts.
    pub const fn unit(self) -> Unit {
        match self {
            Self::CamberSlope | Self::ToeSlope => Unit::AnglePerMm,
            Self::CamberBend | Self::ToeBend => Unit::AnglePerMm2,
            _ => Unit::Angle,
        }
    }
}

/// What an uncertainty comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckCause {
    /// Noise of the accelerometer at the stops.
    TiltNoise,
    /// Its offset.
    AccelOffset,
    /// Its scale and squareness.
    AccelScale,
    /// How the board sits on the hub, as declared.
    Seat,
    /// The same, as turns of the wheel showed it.
    RunOut,
    /// How the board sits on the bar and the bar's feet at the rim.
    BarSeat,
    /// How far the two faces of the bar are from parallel.
    BarFaces,
    /// How truly bar and rim come together each time.
    Reseat,
    /// How truly the rim runs.
    Rim,
    /// Slope of the floor.
    Floor,
    /// Scatter of the repetitions beyond what else explains.
    Scatter,
    /// Noise and drift of the gyro.
    GyroNoise,
    /// Scale and squareness of the gyro.
    GyroScale,
    /// How closely straight ahead was found again.
    Straight,
    /// How the angles run between and beyond the stops.
    Interpolation,
    /// Figures that were typed.
    Typed,
    /// Heights that were typed.
    Height,
    /// What a carried board's heading is uncertain by.
    Carried(CarriedCause),
}

/// One cause's share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The cause.
    pub cause: CheckCause,
    /// Its standard uncertainty in the finding.
    pub standard: Angle,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A number, how far to trust it, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckFinding {
    /// Of what.
    pub quantity: Quantity,
    /// Of which wheel; none: of the car, or of the steering wheel.
    pub side: Option<Side>,
    /// Value and standard uncertainty, in [`Quantity::unit`].
    pub estimate: Estimate,
    /// Effective degrees of freedom of the standard uncertainty.
    pub degrees_of_freedom: f64,
    /// Causes by falling share.
    pub shares: Vec<Share>,
}

impl CheckFinding {
    /// From independent contributions, rad.
    pub(super) fn of(
        quantity: Quantity,
        side: Option<Side>,
        value_rad: f64,
        parts: &[(CheckCause, Uncertainty)],
    ) -> Self {
        let all: Vec<Uncertainty> = parts.iter().map(|(_, u)| *u).collect();
        let combined = Uncertainty::combined(&all);
        let variance = combined.standard.powi(2);
        let mut shares: Vec<Share> = parts
            .iter()
            .filter(|(_, u)| u.standard > 0.0)
            .map(|(cause, u)| Share {
                cause: *cause,
                standard: Angle::from_rad(u.standard),
                share: u.standard.powi(2) / variance,
            })
            .collect();
        shares.sort_by(|a, b| b.share.total_cmp(&a.share));
        Self {
            quantity,
            side,
            estimate: Estimate::new(
                Angle::from_rad(value_rad),
                Angle::from_rad(combined.standard),
            ),
            degrees_of_freedom: combined.degrees_of_freedom,
            shares,
        }
    }

    /// Half width of the 95 % interval.
    pub fn expanded(&self) -> Angle {
        self.estimate.standard * coverage_95(self.degrees_of_freedom)
    }

    /// The cause with the largest share.
    pub fn largest(&self) -> Option<Share> {
        self.shares.first().copied()
    }
}

/// What else is worth saying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Note {
    /// The wheel was rocked and no movement above this was seen.
    NoPlayAbove(Angle),
    /// So many whole rocks were counted.
    Rocks(usize),
    /// The bar was turned so between two takes.
    Turned(BarTurn),
    /// Offset of the board along its outboard axis and error of the bar's seat
    /// together, as far as the turns showed them.
    TakenOut(Angle),
    /// The wheels came back to so far from where they began.
    Return(Angle),
    /// Locks of a side that was gone to more than once lie within this.
    Repeat {
        /// Which side.
        side: Side,
        /// Largest less smallest.
        spread: Angle,
    },
    /// The inner or outer locks of left and right differ by more than their uncertainty.
    LocksDisagree,
    /// One wheel alone does not tell what is off centre.
    OneWheelOnly,
    /// To this side there was no stop that would do.
    NoTurnTo(Side),
    /// Too few heights for a curve: a straight line it is.
    LineOnly,
    /// So many passes of a carried board count.
    Passes(usize),
    /// The board leans so in its block; it is taken out.
    BoardLeans(Angle),
    /// The rims' run-out is in the toe, and not in its uncertainty.
    RimsRunOut,
    /// The block was never turned end for end.
    NeverTurned,
    /// The passes scatter more than was foretold: the interval is wider by so much.
    PassesScatter(f64),
    /// The interval is wider than was asked for.
    WiderThanAsked(Angle),
}

/// A pair of steer angles on one turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnPair {
    /// To which side the wheels were steered.
    pub turn: Side,
    /// Steer of the inner wheel, positive.
    pub inner: Estimate,
    /// Steer of the outer wheel, positive.
    pub outer: Estimate,
}

impl TurnPair {
    pub(super) fn of(turn: &PlainTurn) -> Self {
        let estimate = |[value, standard]: [f64; 2]| {
            Estimate::new(Angle::from_rad(value), Angle::from_rad(standard))
        };
        Self {
            turn: turn.turn,
            inner: estimate(turn.inner_rad),
            outer: estimate(turn.outer_rad),
        }
    }
}

/// A measured point and how far it lies off the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Ride height, mm.
    pub height_mm: f64,
    /// The angle there.
    pub value: Angle,
    /// One sigma of the point against the other points.
    pub standard: Angle,
    /// The point less the curve.
    pub residual: Angle,
}

/// An angle against ride height: `c₀ + c₁ h + c₂ h²`, h in mm from the reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Camber or toe.
    pub of: Quantity,
    /// The reference, mm.
    pub reference_mm: f64,
    /// The points.
    pub points: Vec<CurvePoint>,
    /// Coefficients of the straight line, rad and rad/mm.
    pub line: [f64; 2],
    /// Covariance of those.
    pub line_covariance: [[f64; 2]; 2],
    /// Coefficients of the quadratic, rad, rad/mm, rad/mm²; none with too few heights.
    pub quadratic: Option<[f64; 3]>,
    /// Covariance of those.
    pub quadratic_covariance: Option<[[f64; 3]; 3]>,
}

/// All that a check found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CheckResult {
    /// Findings, the main one first.
    pub findings: Vec<CheckFinding>,
    /// What else is worth saying.
    pub notes: Vec<Note>,
    /// Pairs of steer angles, for toe-out on turns.
    pub pairs: Vec<TurnPair>,
    /// Angles against ride height.
    pub curves: Vec<Curve>,
}
