//! A block with a board in it, held against rims and carried between them by a hand.
//!
//! A hand trembles at 8 to 12 Hz whatever it does (physiological tremor; common knowledge, no
//! source), less where it presses against something. On the way it leans and turns the block
//! slowly, and goes round the car. It never puts the block on twice in quite the same way.

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;

use super::held::Place;
use super::script_error::StepProblem;
use super::timeline::Timeline;
use crate::board::normal;
use crate::car::{Mount, MovingFrame, Wheel};
use crate::jet::Jet;

/// How a hand carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hand {
    /// Seed of what it does.
    pub seed: u64,
    /// Root mean square of the tremble on the way, each axis, rad/s.
    pub tremble_radps: f64,
    /// The same while it presses the block against a rim.
    pub pressed_radps: f64,
    /// Root mean square of the slow lean on the way, forward and aside each, rad.
    pub lean_rad: f64,
    /// The same of the turn about the vertical.
    pub aside_rad: f64,
    /// How far round the front of the car it goes, m.
    pub detour_m: f64,
    /// Standard deviation of the heading from one time put on to the next, rad.
    pub seat_rad: f64,
    /// The same of its lean against the rim.
    pub seat_lean_rad: f64,
    /// Standard deviation of how level the block is held along the wheel, rad.
    pub level_rad: f64,
}

impl Default for Hand {
    /// 3 °/s on the way, a tenth of it pressed; leans of 5°, turns of 4° (judgement).
    fn default() -> Self {
        Self {
            seed: 0,
            tremble_radps: 3.0_f64.to_radians(),
            pressed_radps: 0.3_f64.to_radians(),
            lean_rad: 5.0_f64.to_radians(),
            aside_rad: 4.0_f64.to_radians(),
            detour_m: 1.0,
            seat_rad: 0.01_f64.to_radians(),
            seat_lean_rad: 0.05_f64.to_radians(),
            level_rad: 0.5_f64.to_radians(),
        }
    }
}

/// A home-made block.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Block {
    /// The heading when the second face touches less that when the first does, rad.
    pub faces_rad: f64,
    /// By how much the first and the second face lean out at the top against the board, seen from the
    /// left wheel, rad.
    pub lean_rad: [f64; 2],
}

/// What a hand does on one way beside what it means to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    /// Number of the way.
    pub(super) number: usize,
    /// Leaning that is done on purpose, forward and back once, rad.
    pub(super) lean_rad: f64,
    /// Goes round the car: to another wheel.
    pub(super) is_round: bool,
}

/// Slow waves of leaning, and waves of the tremble, about each axis.
const SLOW: usize = 3;
const FAST: usize = 5;
/// Share of a way in which the block is taken off, and put on.
const OFF: f64 = 0.2;
/// A tremble of the hand moves the block by about this, m.
const SWAY_M: f64 = 1e-4;
/// From the wheel centre out to the block, m.
const BLOCK_OUT_M: f64 = 0.13;
/// The same to a block on a straight-edge that stands beside the wheel.
const EDGE_OUT_M: f64 = 0.4;
/// A hand that takes the board begins to tremble within this time, s.
const TAKEN_S: f64 = 0.3;

struct Wave {
    hz: f64,
    phase: f64,
    size: f64,
}

impl Wave {
    fn at(&self, t_s: f64) -> Jet {
        let phase = Jet {
            value: std::f64::consts::TAU * self.hz * t_s + self.phase,
            rate: std::f64::consts::TAU * self.hz,
            accel: 0.0,
        };
        phase.sin() * self.size
    }
}

/// Waves whose sum has a root mean square of one, over a band of frequencies.
fn waves(rng: &mut impl RngExt, count: usize, band_hz: [f64; 2]) -> Vec<Wave> {
    let size = (2.0 / count as f64).sqrt();
    (0..count)
        .map(|_| Wave {
            hz: rng.random_range(band_hz[0]..band_hz[1]),
            phase: rng.random_range(0.0..std::f64::consts::TAU),
            size,
        })
        .collect()
}

fn sum(waves: &[Wave], t_s: f64) -> Jet {
    waves
        .iter()
        .fold(Jet::default(), |all, wave| all + wave.at(t_s))
}

impl Timeline {
    /// The block put on a rim as it stands now, or on a straight-edge beside it.
    pub(super) fn block_on(
        &self,
        mount: Mount,
        (wheel, to_edge): (Wheel, bool),
        turned: bool,
        way: Way,
    ) -> Result<Place, StepProblem> {
        let placement = self.placement(mount)?;
        let (state, car) = (self.state(self.end_s), self.car());
        let knuckle = car.knuckle_frame(wheel, &state);
        let hub = car.hub_frame(wheel, &state);
        let s = wheel.side().sign();
        let (normal_out, out_m) = if to_edge {
            (Vector3::y() * s, EDGE_OUT_M)
        } else {
            let normal_out = hub.to_level * car.rim_normal(wheel).as_ref();
            (normal_out, BLOCK_OUT_M)
        };
        let y = normal_out * s;
        let z = (Vector3::z() - y * y.z).normalize();
        let upright = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[y.cross(&z), y, z]));
        let hand = &self.hand;
        let mut rng = draws(hand.seed, way.number, 1);
        let (seat, level, tip) = (normal(&mut rng), normal(&mut rng), normal(&mut rng));
        // The first face touches left wheels while the block is not turned.
        let first = (s > 0.0) != turned;
        let faces = if first { 0.0 } else { self.block.faces_rad };
        let lean = self.block.lean_rad[usize::from(!first)];
        let about = |axis, angle| Rotation3::from_axis_angle(&axis, angle);
        let half_turn = if turned { std::f64::consts::PI } else { 0.0 };
        let on_level = upright
            * about(Vector3::y_axis(), level * hand.level_rad)
            * about(Vector3::z_axis(), half_turn)
            * about(Vector3::z_axis(), faces + seat * hand.seat_rad)
            * about(Vector3::x_axis(), lean + tip * hand.seat_lean_rad)
            * placement.rotation;
        let back = knuckle.to_level.inverse();
        Ok(Place::Block {
            wheel,
            rotation: back * on_level,
            offset_m: back * (normal_out * out_m),
            way,
        })
    }

    /// The block's frame with what the hand does beside what it means to; `since_s` after it was
    /// taken up, `over_s` being the way's length.
    pub(super) fn in_hand(
        &self,
        frame: MovingFrame,
        way: Way,
        (t_s, since_s, over_s): (f64, f64, f64),
    ) -> MovingFrame {
        let hand = &self.hand;
        let off = OFF * over_s;
        let away = Jet::minimum_jerk(0.0, 1.0, since_s, off)
            - Jet::minimum_jerk(0.0, 1.0, since_s - (over_s - off), off);
        let taken = if way.number == 0 {
            Jet::minimum_jerk(0.0, 1.0, since_s, TAKEN_S)
        } else {
            Jet::constant(1.0)
        };
        let mut slow = draws(hand.seed, way.number, 2);
        let mut fast = draws(hand.seed, 0, 3);
        let axes = [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()];
        let sizes = [hand.lean_rad, hand.lean_rad, hand.aside_rad];
        let detour_m = if way.is_round { hand.detour_m } else { 0.0 };
        let purpose = |index: usize| if index == 0 { way.lean_rad } else { 0.0 };
        let mut moved = frame
            .slid(&Self::forward_in(&frame), away * away * detour_m)
            .slid(
                &Vector3::z_axis(),
                sum(&waves(&mut fast, FAST, [8.0, 12.0]), t_s) * away * SWAY_M,
            );
        for (index, axis) in axes.iter().enumerate() {
            let lean = sum(&waves(&mut slow, SLOW, [0.1, 0.6]), t_s) * away * sizes[index]
                + away * purpose(index);
            // A rate of size r at 10 Hz is an angle of r / 2π 10 Hz.
            let size = (Jet::constant(hand.pressed_radps)
                + away * (hand.tremble_radps - hand.pressed_radps))
                * taken
                * (1.0 / (std::f64::consts::TAU * 10.0));
            let tremble = sum(&waves(&mut fast, FAST, [8.0, 12.0]), t_s) * size;
            moved = moved.hinged(axis, lean + tremble);
        }
        moved
    }

    /// Forward on the car, in the axes of a frame at rest or on its way between two that are level
    /// with each other: only roughly, which is what a hand does.
    fn forward_in(frame: &MovingFrame) -> Unit<Vector3<f64>> {
        let forward = frame.to_level.inverse() * Vector3::x();
        // The axis must not turn with the frame, or its own turning would be missed: the
        // nearest axis of the board does.
        let nearest = [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()]
            .into_iter()
            .max_by(|a, b| forward.dot(a).abs().total_cmp(&forward.dot(b).abs()))
            .unwrap_or_else(Vector3::x_axis);
        if forward.dot(&nearest) < 0.0 {
            -nearest
        } else {
            nearest
        }
    }
}

/// Draws for one way and purpose.
fn draws(seed: u64, way: usize, purpose: u64) -> ChaCha12Rng {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    rng.set_stream(((way as u64) << 8) | purpose);
    rng
}
