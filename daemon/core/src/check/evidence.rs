//! What a finished check leaves: plain numbers from which its findings can be
//! worked out again, see [`super::solve`]. Angles are in radians, times in µs.

use crate::check::SeatBy;
use crate::check::bar::BarTurn;
pub use crate::check::carried_evidence::{
    CarriedEvidence, PlainCarriedChip, PlainCarriedRest, PlainPass,
};
use crate::check::play::Grip;
use crate::chip::ChipFigures;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir, Floor};
use crate::rest::RestMeasure;
use crate::side::Side;

/// The evidence of one finished check.
#[derive(Debug, Clone, PartialEq)]
pub enum Evidence {
    /// See [`HubEvidence`].
    CamberOnHub(HubEvidence),
    /// See [`BarEvidence`].
    CamberOnBar(BarEvidence),
    /// See [`PlayEvidence`].
    Play(PlayEvidence),
    /// See [`CentringEvidence`].
    Centring(CentringEvidence),
    /// See [`TurnsEvidence`].
    TurnOut(TurnsEvidence),
    /// See [`HeightsEvidence`].
    Heights(HeightsEvidence),
    /// See [`CarriedEvidence`].
    CarriedToe(CarriedEvidence),
}

/// The mean over a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainRest {
    /// First reading counted, µs.
    pub from_us: i64,
    /// Last reading counted, µs.
    pub to_us: i64,
    /// Readings counted.
    pub count: usize,
    /// Mean specific force in the board's axes, g.
    pub accel_g: [f64; 3],
    /// Its noise about each square axis, one sigma, rad.
    pub noise_rad: f64,
    /// Degrees of freedom of that.
    pub degrees_of_freedom: f64,
}

impl PlainRest {
    pub(super) fn of(rest: &RestMeasure) -> Self {
        Self {
            from_us: rest.from.us(),
            to_us: rest.to.us(),
            count: rest.count,
            accel_g: rest.accel_g.to_array(),
            noise_rad: rest.direction_noise.rad(),
            degrees_of_freedom: rest.degrees_of_freedom,
        }
    }

    /// Against gravity, in the board's axes.
    pub(super) fn up(&self) -> Option<Dir<Board>> {
        Dir::along(crate::frames::Vec3::from_array(self.accel_g))
    }
}

/// What the accelerometer's direction may be wrong by, one sigma.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainAccel {
    /// Offset along the axis that camber hangs on, g.
    pub offset_g: f64,
    /// Scale, ratio.
    pub scale: f64,
    /// Squareness, rad.
    pub cross_rad: f64,
}

impl PlainAccel {
    pub(super) fn of(chip: &ChipFigures, along: &Dir<Board>) -> Self {
        Self {
            offset_g: chip.accel_offset_along_g(along),
            scale: chip.accel_scale,
            cross_rad: chip.accel_cross_rad,
        }
    }
}

/// The floor's slope: value and one sigma, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainFloor {
    /// + left side higher.
    pub roll_rad: [f64; 2],
    /// + front lower.
    pub pitch_rad: [f64; 2],
}

impl PlainFloor {
    pub(super) fn of(floor: &FloorSlope) -> Self {
        let plain = |e: &crate::estimate::Estimate| [e.value.rad(), e.standard.rad()];
        Self {
            roll_rad: plain(&floor.roll),
            pitch_rad: plain(&floor.pitch),
        }
    }

    pub(super) fn up(&self) -> Dir<Floor> {
        let angle = crate::angle::Angle::from_rad;
        crate::floor::up_at(angle(self.roll_rad[0]), angle(self.pitch_rad[0]))
    }
}

/// Camber by the board on a hub.
#[derive(Debug, Clone, PartialEq)]
pub struct HubEvidence {
    /// Which side of the car.
    pub side: Side,
    /// Spindle, outboard, in the board's axes.
    pub spindle: [f64; 3],
    /// How it is known.
    pub seat_by: SeatBy,
    /// One sigma of its lean, rad.
    pub seat_rad: f64,
    /// The floor.
    pub floor: PlainFloor,
    /// The accelerometer.
    pub accel: PlainAccel,
    /// The stops.
    pub stops: Vec<PlainRest>,
}

/// One take of a bar across the rim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarTake {
    /// What the board read.
    pub rest: PlainRest,
    /// Does its outboard axis face away from the car, as in the first take?
    pub faces_out: bool,
    /// Is the end of the bar up that was up in the first take?
    pub same_end_up: bool,
    /// How bar and board were turned since the take before; none at the first.
    pub turn: Option<BarTurn>,
}

/// Camber by a board on a bar across the rim.
#[derive(Debug, Clone, PartialEq)]
pub struct BarEvidence {
    /// Which side of the car.
    pub side: Side,
    /// The axis of the board that faced away from the car at first, in its axes.
    pub outboard: [f64; 3],
    /// The floor.
    pub floor: PlainFloor,
    /// The accelerometer.
    pub accel: PlainAccel,
    /// One sigma of board on bar and of the bar's feet, alike in all takes, rad.
    pub seat_rad: f64,
    /// One sigma of how far the faces of the bar are from parallel, rad.
    pub faces_rad: f64,
    /// One sigma of how truly the bar sits at the rim, anew each time, rad.
    pub reseat_rad: f64,
    /// One sigma of the rim against the spindle, rad.
    pub rim_rad: f64,
    /// The takes.
    pub takes: Vec<BarTake>,
}

/// A turning point of a rocked hub.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurningPoint {
    /// When, µs.
    pub at_us: i64,
    /// Angle there, rad, from any zero.
    pub angle_rad: f64,
}

/// A wheel rocked by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayEvidence {
    /// Which side of the car.
    pub side: Side,
    /// Where the hands were.
    pub grip: Grip,
    /// Turning points beyond the noise.
    pub points: Vec<TurningPoint>,
    /// Largest less smallest angle of the whole rocking, rad, drift taken out.
    pub range_rad: f64,
    /// How long it was rocked, s.
    pub seconds: f64,
    /// Scatter of the readings meanwhile over their scatter at rest.
    pub shaken_ratio: f64,
    /// Noise density of the gyro, (rad/s)/√Hz.
    pub gyro_noise_radps_rthz: f64,
    /// One sigma of the gyro's scale, ratio.
    pub gyro_scale: f64,
    /// Noise of the angle by the scatter of the rates at rest, over half a second, rad.
    pub rest_noise_rad: f64,
}

/// Where steer angles of a check come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnedBy {
    /// The boards' gyros.
    Gyro,
    /// Turn plates, typed.
    Plates,
    /// The steering wheel, typed.
    SteeringWheel,
}

/// One position of the steering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainSteer {
    /// None: straight ahead. Else to which side.
    pub turned: Option<Side>,
    /// Steer of left and right wheel, + left, with one sigma of noise, rad. With
    /// [`TurnedBy::SteeringWheel`] the first is the steering wheel.
    pub steer_rad: [Option<[f64; 2]>; 2],
}

/// The steering from lock to lock.
#[derive(Debug, Clone, PartialEq)]
pub struct CentringEvidence {
    /// Where the angles come from.
    pub by: TurnedBy,
    /// The positions in order; the first and the last are straight ahead.
    pub positions: Vec<PlainSteer>,
    /// One sigma of each gyro's scale (zero for typed figures), left and right.
    pub scale: [f64; 2],
}

/// One stop of a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainTurn {
    /// To which side the wheels were steered.
    pub turn: Side,
    /// Steer of the inner wheel, positive, with one sigma, rad.
    pub inner_rad: [f64; 2],
    /// Steer of the outer wheel, positive, with one sigma, rad.
    pub outer_rad: [f64; 2],
}

/// Toe-out on turns.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnsEvidence {
    /// Where the angles come from.
    pub by: TurnedBy,
    /// The stops.
    pub turns: Vec<PlainTurn>,
    /// One sigma of each gyro's scale (zero for typed figures), left and right.
    pub scale: [f64; 2],
    /// One sigma of straight ahead, left and right, rad: alike in all stops.
    pub straight_rad: [f64; 2],
    /// How far the wheels came back from where they began, mean, rad.
    pub return_rad: f64,
}

/// A stop at a ride height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightStop {
    /// Ride height, mm.
    pub height_mm: f64,
    /// What the board read.
    pub rest: PlainRest,
    /// Toe that was typed, + in, with one sigma, rad.
    pub toe_typed_rad: Option<[f64; 2]>,
    /// Toe since the stop before by the gyro, + in, with one sigma, rad.
    pub toe_moved_rad: Option<[f64; 2]>,
}

/// Camber and toe against ride height.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightsEvidence {
    /// The wheel: its seat, floor and accelerometer; its stops are empty.
    pub wheel: HubEvidence,
    /// Where slopes are asked, mm.
    pub ride_height_mm: f64,
    /// One sigma of a height, mm.
    pub height_standard_mm: f64,
    /// The stops.
    pub stops: Vec<HeightStop>,
}
