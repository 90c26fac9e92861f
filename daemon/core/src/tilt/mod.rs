//! The direction of gravity while the hub moves.
//!
//! At rest the mean of half a second of accelerometer readings is the better
//! figure and is what is shown; see [`crate::live`]. In motion the gyro carries
//! the direction on and the accelerometer pulls it back slowly.
//!
//! The filter is VQF, six axes, with the defaults of its publication (D. Laidig
//! and T. Seel, "VQF: Highly accurate IMU orientation estimation with bias
//! estimation and magnetic disturbance rejection", Information Fusion 91, 2023),
//! by the crate `vqf-rs`. How it was chosen: `docs/TILT.md`. What is added here:
//!
//! - readings of any rate are brought onto cells of 10 ms, and the
//!   part of a cell that is not full yet is turned on with the gyro, so that
//!   the value is as new as the newest reading;
//! - rest is what [`crate::stillness`] says, not what VQF does: that takes a slow
//!   steady turn for a rest and learns it as gyro offset, and slow turns are
//!   what a person at an adjuster makes. And VQF looks for no more than 2 °/s,
//!   where a cheap gyro reads up to 20 °/s lying still (MPU-6050 data sheet).
//!   So the rate of the last rest is taken out before, and VQF keeps the part
//!   that watches the offset in motion;
//! - a standard uncertainty.
//!
//! The step response: a turn that the gyro sees is followed at once. What the
//! accelerometer alone sees (its own error, a push) comes in through a second
//! order low-pass with a time constant of 3 s and no gyro to back it.

mod cells;
#[cfg(test)]
mod tests;

use std::fmt;

use vqf_rs::{Params, Quaternion, VQF};

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir, Rot, Vec3};
use crate::reading::{Motion, Sample};
use crate::stillness::StillnessDetector;
use crate::time::HostTime;

use cells::{CELL_S, Cells, Stretch};

/// Readings further apart than this leave a turn that nobody saw.
pub const GAP_US: i64 = 300_000;
/// Time after a start before the filter is asked, µs: its low-pass must have
/// seen its own time constant once.
pub const READY_US: i64 = 3_000_000;
/// Time constant of the accelerometer's pull, s: the default of VQF.
const MEMORY_S: f64 = 3.0;
/// How well a rest gives the gyro's offset, rad/s (0.01 °/s): half a second of
/// the noisiest chip's readings, and its drift until the next rest.
const REST_SIGMA_RADPS: f64 = 0.000_175;
/// The rest rate moved so far that the filter starts anew, rad/s (1 °/s).
const ZERO_MOVED_RADPS: f64 = 0.017;
/// VQF judges rest by accelerations in m/s².
const STANDARD_GRAVITY: f64 = 9.806_65;
/// Error of the direction per horizontal acceleration (root mean square over
/// the memory), rad/g. Set by judgement, no source; checked on open recordings
/// and the simulated car, see `docs/TILT.md`.
const BY_SHAKING_RAD_PER_G: f64 = 0.03;

/// The direction of gravity at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    /// Against gravity, in the board's axes.
    pub up: Dir<Board>,
    /// Standard uncertainty per axis, by motion alone: what the accelerometer's
    /// offset and matrix leave comes on top.
    pub standard: Angle,
}

/// Why the filter cannot go on and must be started anew at the next rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lost {
    /// So many µs without a reading.
    Gap(i64),
    /// A reading without gyro.
    NoRate,
}

/// The library's filter with its defaults, but for rest; the library leaves out how to copy one.
struct Vqf(VQF);

impl Vqf {
    fn new() -> Self {
        let params = Params {
            rest_bias_est_enabled: false,
            mag_dist_rejection_enabled: false,
            ..Params::default()
        };
        Self(VQF::new(CELL_S, None, None, Some(params)))
    }
}

impl Clone for Vqf {
    fn clone(&self) -> Self {
        let mut copy = Self::new();
        *copy.0.state_mut() = *self.0.state();
        copy
    }
}

impl fmt::Debug for Vqf {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Quaternion(w, x, y, z) = self.0.quat_6d();
        out.debug_tuple("Vqf").field(&[w, x, y, z]).finish()
    }
}

/// Follows the direction of gravity through motion.
#[derive(Debug, Clone)]
pub struct TiltFilter {
    vqf: Vqf,
    zero_radps: Vec3<Board>,
    cells: Cells,
    memory: Memory,
    started: Option<HostTime>,
}

/// What the last seconds did to the direction; axes of the filter's own level
/// frame (third axis up, heading free).
#[derive(Debug, Clone, Copy, Default)]
struct Memory {
    /// Turn, rad, fading.
    turned_rad: [f64; 3],
    /// Mean square of the horizontal acceleration, g².
    shaken_g2: f64,
}

impl TiltFilter {
    /// A filter for a board that rests now and reads `zero_radps` doing so.
    pub fn starting(zero_radps: Vec3<Board>) -> Self {
        let mut filter = Self {
            vqf: Vqf::new(),
            zero_radps,
            cells: Cells::new(),
            memory: Memory::default(),
            started: None,
        };
        filter.rests(zero_radps);
        filter
    }

    /// The board rests and its gyro reads `zero_radps`.
    pub fn rests(&mut self, zero_radps: Vec3<Board>) {
        self.zero_radps = zero_radps;
        self.vqf
            .0
            .set_bias_estimate([0.0; 3], Some(REST_SIGMA_RADPS));
    }

    /// Takes one reading; times must go forward.
    pub fn observe(&mut self, sample: &Sample) -> Result<(), Lost> {
        let rate = sample.rate_radps.ok_or(Lost::NoRate)? - self.zero_radps;
        if let Some(newest) = self.cells.newest() {
            let gap_us = sample.at.since_us(newest);
            if gap_us > GAP_US {
                return Err(Lost::Gap(gap_us));
            }
        }
        self.started.get_or_insert(sample.at);
        let Self {
            vqf, cells, memory, ..
        } = self;
        cells.take(sample, rate, |cell| step(&mut vqf.0, memory, cell));
        Ok(())
    }

    /// The direction as of the newest reading; none before [`READY_US`] have
    /// passed since the start.
    pub fn tilt(&self, chip: &ChipFigures) -> Option<Tilt> {
        let newest = self.cells.newest()?;
        if newest.since_us(self.started?) < READY_US {
            return None;
        }
        let Quaternion(w, x, y, z) = self.vqf.0.quat_6d();
        let up = Vec3::from_array(Quaternion(w, -x, -y, -z).rotate([0.0, 0.0, 1.0]));
        let open = self.cells.open();
        let (bias, bias_sigma) = self.vqf.0.bias_estimate();
        let since_cell = open.turned_rad - Vec3::from_array(bias) * (open.length_us as f64 * 1e-6);
        // The board turns one way, what it sees turns the other.
        let up = Rot::by_vector(&-since_cell).apply(&up);
        Some(Tilt {
            up: Dir::along(up)?,
            standard: self.memory.standard(bias_sigma, chip),
        })
    }
}

/// Starts a [`TiltFilter`] at a rest, tells it of each rest and gives it up when it is lost.
#[derive(Debug, Clone, Default)]
pub struct TiltFollower {
    filter: Option<TiltFilter>,
}

impl TiltFollower {
    /// Nothing to follow yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a reading that `stillness` has just taken.
    pub fn observe(&mut self, sample: &Sample, stillness: &StillnessDetector) {
        if let Some(filter) = &mut self.filter
            && filter.observe(sample).is_err()
        {
            self.filter = None;
        }
        let (Motion::Still, Some(zero)) = (stillness.motion(), stillness.rest_rate()) else {
            return;
        };
        match &mut self.filter {
            Some(filter) if (filter.zero_radps - zero).norm() < ZERO_MOVED_RADPS => {
                filter.rests(zero);
            }
            _ => {
                let mut filter = TiltFilter::starting(zero);
                let all_taken = stillness
                    .window()
                    .all(|sample| filter.observe(sample).is_ok());
                self.filter = all_taken.then_some(filter);
            }
        }
    }

    /// A turn may have gone unseen: wait for the next rest.
    pub fn lose(&mut self) {
        self.filter = None;
    }

    /// The direction as of the newest reading, see [`TiltFilter::tilt`].
    pub fn tilt(&self, chip: &ChipFigures) -> Option<Tilt> {
        self.filter.as_ref()?.tilt(chip)
    }
}

fn step(vqf: &mut VQF, memory: &mut Memory, cell: &Stretch) {
    let rate = (cell.turned_rad * (1.0 / CELL_S)).to_array();
    let force = (cell.force_gs * (STANDARD_GRAVITY / CELL_S)).to_array();
    vqf.update(rate, force, None);
    let level = vqf.quat_6d();
    let bias = vqf.bias_estimate().0;
    let turned = cell.turned_rad - Vec3::from_array(bias) * CELL_S;
    memory.take(
        level.rotate(turned.to_array()),
        level.rotate((cell.force_gs * (1.0 / CELL_S)).to_array()),
    );
}

impl Memory {
    /// A cell's turn, rad, and specific force, g, in level axes.
    fn take(&mut self, turned_rad: [f64; 3], force_g: [f64; 3]) {
        let new = CELL_S / MEMORY_S;
        for (sum, turn) in self.turned_rad.iter_mut().zip(turned_rad) {
            *sum += turn - *sum * new;
        }
        let horizontal = force_g[0] * force_g[0] + force_g[1] * force_g[1];
        self.shaken_g2 += (horizontal - self.shaken_g2) * new;
    }

    /// Standard uncertainty per axis: what a wrong gyro offset, scale and cross
    /// axis turn the direction by before the accelerometer pulls it back, and
    /// what accelerations pull it wrong by.
    fn standard(&self, bias_sigma_radps: f64, chip: &ChipFigures) -> Angle {
        let [x, y, z] = self.turned_rad;
        let level = x.hypot(y);
        let by_bias = bias_sigma_radps * MEMORY_S;
        // A wrong scale turns further about the same axis: about the vertical that is no tilt.
        let by_scale = chip.gyro_scale * level;
        let by_cross = chip.gyro_cross_rad * level.hypot(z);
        let by_noise = chip.gyro_noise_radps_rthz * (MEMORY_S / 2.0).sqrt();
        let by_shaking = BY_SHAKING_RAD_PER_G * self.shaken_g2.sqrt();
        Angle::from_rad(
            by_bias
                .hypot(by_scale)
                .hypot(by_cross)
                .hypot(by_noise)
                .hypot(by_shaking),
        )
    }
}
