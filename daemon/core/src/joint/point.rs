//! The unknowns of a session, and how a step of the solver moves them.

use nalgebra::Matrix3;

use crate::angle::Angle;
use crate::floor::up_at;
use crate::frames::{Board, Dir, Floor, Rot, Vec3};
use crate::joint::evidence::{BodyEvidence, RunOutEvidence, SwingEvidence, WheelEvidence};
use crate::side::Side;

/// Errors of a chip that its calibration left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ChipError {
    pub(crate) offset_g: [f64; 3],
    /// Row by row, beyond the unit matrix.
    pub(crate) accel: [f64; 9],
    /// Row by row, beyond the unit matrix.
    pub(crate) gyro: [f64; 9],
    /// Local gravity over standard gravity, less one.
    pub(crate) gravity: f64,
}

impl ChipError {
    const NONE: Self = Self {
        offset_g: [0.0; 3],
        accel: [0.0; 9],
        gyro: [0.0; 9],
        gravity: 0.0,
    };

    /// What the accelerometer reads of a true specific force in the board's axes.
    pub(crate) fn read(&self, up: &Vec3<Board>) -> Vec3<Board> {
        let truth = up.to_array().map(|c| c * (1.0 + self.gravity));
        Vec3::from_array(
            [0, 1, 2].map(|row| truth[row] + along(&self.accel, row, &truth) + self.offset_g[row]),
        )
    }

    /// The true up direction behind a reading; its length is one for a board that rested.
    pub(crate) fn undone(&self, read: &Vec3<Board>) -> Vec3<Board> {
        let parts = read.to_array();
        let free = [0, 1, 2].map(|axis| parts[axis] - self.offset_g[axis]);
        let matrix = Matrix3::identity() + Matrix3::from_row_slice(&self.accel);
        // Singular only where an axis is deaf: a step that far is not taken.
        let inverse = matrix.try_inverse().unwrap_or_else(Matrix3::identity);
        let force = Vec3::from_array(free).mapped(&inverse);
        force * (1.0 / (1.0 + self.gravity))
    }

    /// What the gyro makes of a true rotation vector about a fixed axis.
    pub(crate) fn turned(&self, turn: &Vec3<Board>) -> Vec3<Board> {
        let truth = turn.to_array();
        Vec3::from_array([0, 1, 2].map(|row| truth[row] + along(&self.gyro, row, &truth)))
    }
}

pub(crate) fn along(matrix: &[f64; 9], row: usize, v: &[f64; 3]) -> f64 {
    (0..3)
        .map(|column| matrix[3 * row + column] * v[column])
        .sum()
}

/// One wheel's unknowns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct WheelPoint {
    pub(crate) side: Side,
    /// Board to floor at the first rest.
    pub(crate) attitude: Rot<Board, Floor>,
    /// Spindle, outboard, in the board's axes.
    pub(crate) spindle: Dir<Board>,
    pub(crate) tan_caster: f64,
    pub(crate) tan_sai: f64,
    /// Turn about the steering axis at each of the wheel's rests, rad, + left.
    pub(crate) steer_rad: Vec<f64>,
    pub(crate) chip: ChipError,
    /// Board from the steering axis, in the board's axes, m.
    pub(crate) lever_m: [f64; 3],
    /// Component of the up direction along the spindle, per run-out group.
    pub(crate) run_out: Vec<f64>,
}

impl WheelPoint {
    /// Steering axis, up, in the floor's axes.
    pub(crate) fn axis(&self) -> Vec3<Floor> {
        let k = Vec3::new(-self.tan_caster, -self.side.sign() * self.tan_sai, 1.0);
        k * (1.0 / k.norm())
    }
}

/// The body board's unknowns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BodyPoint {
    /// Board to body (= floor axes with the body unmoved).
    pub(crate) attitude: Rot<Board, Floor>,
    pub(crate) chip: ChipError,
    /// Roll and pitch of the body, left and right corner jacked, rad.
    pub(crate) jacked: [[f64; 2]; 2],
}

/// All unknowns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Point {
    pub(crate) floor_roll: f64,
    pub(crate) floor_pitch: f64,
    /// Unwatched body: roll in phase with the steer and pitch alike to both sides, rad at 20°.
    pub(crate) body_roll: f64,
    pub(crate) body_pitch: f64,
    /// Roll and pitch of the body at each rest, rad: all of it where a board
    /// watches, what departs from the pattern where none does.
    pub(crate) body_rests: Vec<[f64; 2]>,
    pub(crate) wheels: Vec<WheelPoint>,
    pub(crate) body: Option<BodyPoint>,
}

const BODY_MOTION_AT: Angle = Angle::from_deg(20.0);

impl Point {
    pub(crate) fn up(&self) -> Dir<Floor> {
        up_at(
            Angle::from_rad(self.floor_roll),
            Angle::from_rad(self.floor_pitch),
        )
    }

    /// Rotation of the body at a rest, in the floor's axes.
    pub(crate) fn body_turn(&self, rest: usize, steer_rad: f64) -> Rot<Floor, Floor> {
        let watched = self.body_rests.get(rest).copied().unwrap_or([0.0; 2]);
        let roll = watched[0] + self.body_roll * steer_rad.sin() / BODY_MOTION_AT.sin();
        let pitch =
            watched[1] + self.body_pitch * (1.0 - steer_rad.cos()) / (1.0 - BODY_MOTION_AT.cos());
        Rot::by_vector(&Vec3::new(roll, pitch, 0.0))
    }

    /// Board to floor of a wheel at one of its rests, the body turned by this.
    pub(crate) fn hub(
        wheel: &WheelPoint,
        place: usize,
        body: &Rot<Floor, Floor>,
    ) -> Rot<Board, Floor> {
        let turn: Rot<Floor, Floor> = Rot::by_vector(&(wheel.axis() * wheel.steer_rad[place]));
        wheel.attitude.then(&turn).then(body)
    }

    /// Rotation of the body at every rest. The body leans with the rack, which
    /// is the mean of the wheels that were seen: the inner one turns further.
    pub(crate) fn body_turns(&self, evidence: &SwingEvidence) -> Vec<Rot<Floor, Floor>> {
        (0..evidence.rests)
            .map(|rest| {
                let steers = evidence
                    .wheels
                    .iter()
                    .zip(&self.wheels)
                    .filter_map(|(wheel, at)| {
                        let place = wheel.rests.iter().position(|r| r.rest == rest)?;
                        at.steer_rad.get(place)
                    });
                let (sum, count) =
                    steers.fold((0.0, 0.0), |(sum, n), steer| (sum + steer, n + 1.0));
                self.body_turn(rest, if count > 0.0 { sum / count } else { 0.0 })
            })
            .collect()
    }
}

/// One-sigma sizes by which the solver's step is measured; zero: not an unknown.
const FREE: f64 = 1e-2;
/// Share of unwatched body motion that follows no pattern, per rest and
/// direction. Without it the pattern itself would be evidence, and it is only
/// a habit of springs.
const IRREGULAR: f64 = 0.3;
/// Local gravity differs from the standard by less than 0.3 % anywhere on earth.
const GRAVITY: f64 = 2e-3;

/// A board sits within a rim's radius of the steering axis, m.
pub(crate) const LEVER_M: f64 = 0.3;

/// Sizes of the unknowns of a chip, in the order they are moved.
pub(crate) fn chip_sizes(chip: &crate::chip::ChipFigures, gyro: bool) -> Vec<f64> {
    let settled = chip.accel_settled.map_or(0.0, |axis| axis.offset_g);
    let mut sizes = vec![chip.accel_offset_g.max(settled); 3];
    let matrix =
        |scale: f64, cross: f64| (0..9).map(move |i| if i % 4 == 0 { scale } else { cross });
    sizes.extend(matrix(chip.accel_scale, chip.accel_cross_rad));
    sizes.extend(matrix(chip.gyro_scale, chip.gyro_cross_rad).map(|s| if gyro { s } else { 0.0 }));
    sizes.push(GRAVITY);
    sizes
}

/// Whether a rest or a turn is a prior, and how large a step of one is.
pub(crate) fn sizes(evidence: &SwingEvidence) -> Vec<f64> {
    let mut sizes = vec![
        evidence.floor.roll.standard.rad(),
        evidence.floor.pitch.standard.rad(),
    ];
    let watched = evidence.body.is_some();
    let unwatched = [
        evidence.unwatched.roll.rad(),
        evidence.unwatched.pitch.rad(),
    ];
    sizes.extend(unwatched.map(|s| if watched { 0.0 } else { s }));
    let per_rest = if watched {
        [FREE; 2]
    } else {
        [irregular(evidence); 2]
    };
    sizes.extend(per_rest.repeat(evidence.rests - 1));
    for wheel in &evidence.wheels {
        sizes.extend([FREE; 7]);
        sizes.extend(vec![FREE; wheel.rests.len() - 1]);
        sizes.extend(chip_sizes(&wheel.chip, !wheel.turns.is_empty()));
        let swept = wheel.rests.iter().any(|rest| rest.per_metre_g.is_some());
        sizes.extend([if swept { LEVER_M } else { 0.0 }; 3]);
        sizes.extend(vec![FREE; wheel.run_out.len()]);
    }
    if let Some(body) = &evidence.body {
        sizes.extend([FREE; 3]);
        sizes.extend(chip_sizes(&body.chip, false));
        sizes.extend([if body.jacked.is_some() { FREE } else { 0.0 }; 4]);
    }
    sizes
}

/// One sigma of the unwatched body's motion that follows no pattern, rad.
pub(crate) fn irregular(evidence: &SwingEvidence) -> f64 {
    IRREGULAR
        * evidence
            .unwatched
            .roll
            .rad()
            .hypot(evidence.unwatched.pitch.rad())
}

/// Hands out the parts of a step in order.
pub(crate) struct Step<'a> {
    parts: std::slice::Iter<'a, f64>,
}

impl<'a> Step<'a> {
    pub(crate) fn new(parts: &'a [f64]) -> Self {
        Self {
            parts: parts.iter(),
        }
    }

    fn next(&mut self) -> f64 {
        self.parts.next().copied().unwrap_or(0.0)
    }

    fn three(&mut self) -> [f64; 3] {
        [self.next(), self.next(), self.next()]
    }

    fn chip(&mut self, chip: &mut ChipError) {
        let ChipError {
            offset_g,
            accel,
            gyro,
            gravity,
        } = chip;
        for part in offset_g
            .iter_mut()
            .chain(accel)
            .chain(gyro)
            .chain([gravity])
        {
            *part += self.next();
        }
    }
}

impl Point {
    /// The point a step away (parts in their natural units).
    pub(crate) fn moved(&self, parts: &[f64]) -> Self {
        let mut step = Step::new(parts);
        let mut to = self.clone();
        to.floor_roll += step.next();
        to.floor_pitch += step.next();
        to.body_roll += step.next();
        to.body_pitch += step.next();
        for part in to.body_rests.iter_mut().skip(1).flatten() {
            *part += step.next();
        }
        for wheel in &mut to.wheels {
            let turn: Rot<Floor, Floor> = Rot::by_vector(&Vec3::from_array(step.three()));
            wheel.attitude = wheel.attitude.then(&turn);
            let (a, b) = wheel.spindle.square_pair();
            let leant = wheel.spindle.vec() + a.vec() * step.next() + b.vec() * step.next();
            // A unit vector and a small square part never cancel.
            wheel.spindle = Dir::along(leant).unwrap_or(wheel.spindle);
            wheel.tan_caster += step.next();
            wheel.tan_sai += step.next();
            for steer in wheel.steer_rad.iter_mut().skip(1) {
                *steer += step.next();
            }
            step.chip(&mut wheel.chip);
            for part in &mut wheel.lever_m {
                *part += step.next();
            }
            for lean in &mut wheel.run_out {
                *lean += step.next();
            }
        }
        if let Some(body) = &mut to.body {
            let turn: Rot<Floor, Floor> = Rot::by_vector(&Vec3::from_array(step.three()));
            body.attitude = body.attitude.then(&turn);
            step.chip(&mut body.chip);
            for part in body.jacked.iter_mut().flatten() {
                *part += step.next();
            }
        }
        to
    }

    /// A first guess good enough for the solver to find its way.
    pub(crate) fn guess(evidence: &SwingEvidence) -> Option<Self> {
        let (roll, pitch) = (evidence.floor.roll.value, evidence.floor.pitch.value);
        let up = up_at(roll, pitch);
        let wheels = evidence
            .wheels
            .iter()
            .map(|w| wheel_guess(w, up))
            .collect::<Option<_>>()?;
        let body = match &evidence.body {
            Some(body) => Some(body_guess(body, up)?),
            None => None,
        };
        Some(Self {
            floor_roll: roll.rad(),
            floor_pitch: pitch.rad(),
            body_roll: 0.0,
            body_pitch: 0.0,
            body_rests: vec![[0.0; 2]; evidence.rests],
            wheels,
            body,
        })
    }
}

fn wheel_guess(wheel: &WheelEvidence, up: Dir<Floor>) -> Option<WheelPoint> {
    let side = wheel.side;
    let spindle = match (&wheel.declared, wheel.run_out.first()) {
        (Some(declared), _) => declared.outboard,
        (None, Some(group)) => run_out_normal(group, side)?,
        (None, None) => return None,
    };
    let up_board = Dir::along(wheel.rests.first()?.accel_g)?;
    // Straight ahead with the measured toe; the lean follows from gravity.
    let toe = wheel.toe.value;
    let outboard = side.direction(toe.sin(), toe.cos(), 0.0)?;
    let attitude = Rot::from_pairs((up_board, up), (spindle, outboard))?;
    let mut steer_rad = vec![0.0; wheel.rests.len()];
    for (place, rest) in wheel.rests.iter().enumerate().skip(1) {
        let by_turn = wheel.turns.iter().find(|t| t.to == place).map(|turn| {
            let about_up = attitude.apply(&turn.turn_rad).dot(&up.vec());
            steer_rad[turn.from] + turn.turn_rad.norm().copysign(about_up)
        });
        steer_rad[place] = match (rest.plate, by_turn) {
            (Some(plate), _) => plate.value.rad(),
            (None, Some(turned)) => turned,
            (None, None) => by_pitch(wheel, spindle, place)?.rad(),
        };
    }
    Some(WheelPoint {
        side,
        attitude,
        spindle,
        tan_caster: 0.07,
        tan_sai: 0.2,
        steer_rad,
        chip: ChipError::NONE,
        lever_m: [0.0; 3],
        run_out: vec![0.0; wheel.run_out.len()],
    })
}

/// Rough steer of a rest from the pitch of the hub alone, + left: the front
/// rises when the wheel is steered out, by about the tangent of SAI.
pub(crate) fn by_pitch(wheel: &WheelEvidence, spindle: Dir<Board>, place: usize) -> Option<Angle> {
    /// Between a wishbone's and a strut's.
    const USUAL_SAI: Angle = Angle::from_deg(11.0);
    let first = Dir::along(wheel.rests.first()?.accel_g)?;
    let forward = Dir::along(spindle.vec().cross(&first.vec()) * wheel.side.sign())?;
    let now = Dir::along(wheel.rests.get(place)?.accel_g)?;
    let outward = (forward.dot(&now) / USUAL_SAI.tan())
        .clamp(-0.6, 0.6)
        .asin();
    Some(Angle::from_rad(outward * wheel.side.sign()))
}

/// Normal of the plane through the tips of gravity; outboard by turning
/// forward, which every run-out does.
pub(crate) fn run_out_normal(group: &[RunOutEvidence], side: Side) -> Option<Dir<Board>> {
    let mean =
        group.iter().fold(Vec3::zero(), |sum, r| sum + r.accel_g) * (1.0 / group.len() as f64);
    // Area vector of the polygon through the tips, in order of the turn.
    let area = (0..group.len()).fold(Vec3::zero(), |sum, i| {
        let next = group[(i + 1) % group.len()].accel_g;
        sum + (group[i].accel_g - mean).cross(&(next - mean))
    });
    // The wheel rolls forward: about its left-pointing axis. Seen from the
    // board, gravity goes round the other way.
    Dir::along(area * -side.sign())
}

fn body_guess(body: &BodyEvidence, up: Dir<Floor>) -> Option<BodyPoint> {
    let up_board = Dir::along(body.rests.first()?.accel_g)?;
    let forward = match (&body.forward, &body.jacked) {
        (Some((forward, _)), _) => *forward,
        (None, Some(jacked)) => {
            // Left up, then right up: the up direction leans to the left of
            // the body first; the change points left.
            let left = jacked.left.accel_g - jacked.right.accel_g;
            Dir::along(left.cross(&up_board.vec()))?
        }
        (None, None) => return None,
    };
    let attitude = Rot::from_pairs((up_board, up), (forward, Dir::x_axis()))?;
    let side = 0.02;
    Some(BodyPoint {
        attitude,
        chip: ChipError::NONE,
        jacked: [[side, 0.0], [-side, 0.0]],
    })
}
