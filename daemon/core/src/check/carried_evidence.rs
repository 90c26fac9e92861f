//! What carrying leaves as plain numbers: the rests, and what the passes showed
//! with their sensitivities. Readings are not kept; they are a hundred times as many.

use nalgebra::{Matrix3, Vector3};

use crate::angle::Angle;
use crate::carried::carry::Carry;
use crate::carried::path::Swept;
use crate::carried::rest::RestSeen;
use crate::carried::{CarriedSetup, Place};
use crate::check::evidence::PlainFloor;
use crate::chip::ChipFigures;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Dir, Vec3};
use crate::time::HostTime;

/// A board that was carried from rim to rim.
#[derive(Debug, Clone, PartialEq)]
pub struct CarriedEvidence {
    /// Where the block rested first.
    pub start: Place,
    /// Half width that was asked for, rad.
    pub wanted_rad: f64,
    /// What of the board points to the car's left while the block is not turned.
    pub to_left: [f64; 3],
    /// What the chip was trusted for.
    pub chip: PlainCarriedChip,
    /// One sigma of the heading each time the block is put on, rad.
    pub seat_rad: f64,
    /// One sigma of its lean each time, rad.
    pub seat_lean_rad: f64,
    /// Heading of the second face less that of the first, and its sigma, rad.
    pub faces_rad: [f64; 2],
    /// One sigma of the board's lean in the block, rad.
    pub lean_rad: f64,
    /// One sigma of how far the faces are from parallel from top to bottom, rad.
    pub faces_lean_rad: f64,
    /// The floor.
    pub floor: PlainFloor,
    /// One sigma of a reading's time against its neighbours, s.
    pub stamp_s: f64,
    /// The rests.
    pub rests: Vec<PlainCarriedRest>,
    /// The passes that count.
    pub passes: Vec<PlainPass>,
}

/// What a chip does to a carried heading, one sigma each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainCarriedChip {
    /// Noise density of the gyro, (rad/s)/√Hz.
    pub gyro_noise_radps_rthz: f64,
    /// Drift of its offset within a minute, rad/s.
    pub gyro_drift_radps: f64,
    /// Its scale, ratio.
    pub gyro_scale: f64,
    /// Its axes, rad.
    pub gyro_cross_rad: f64,
    /// Its offset per degree, (rad/s)/°C.
    pub gyro_tempco_radps_per_c: f64,
    /// What one g does to it, rad/s.
    pub gyro_per_g_radps: f64,
    /// Offset of the accelerometer along the board's left, g.
    pub accel_offset_g: f64,
}

/// One rest of the block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainCarriedRest {
    /// Begin, µs.
    pub from_us: i64,
    /// End, µs.
    pub to_us: i64,
    /// Where.
    pub place: Place,
    /// Whether the block was turned end for end.
    pub turned: bool,
    /// Mean force, g.
    pub force_g: [f64; 3],
    /// Mean rate, rad/s.
    pub rate_radps: [f64; 3],
    /// Variance of that by noise, per axis, (rad/s)².
    pub rate_variance: f64,
    /// Standard uncertainty of the force by noise, g.
    pub force_standard_g: f64,
}

/// One pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainPass {
    /// Number of the rest before.
    pub before: usize,
    /// Number of the rest after.
    pub after: usize,
    /// Heading after less before, rad.
    pub heading_rad: f64,
    /// Offset of the gyro that was taken off, rad/s.
    pub bias_radps: [f64; 3],
    /// What leaning faces do, rad per rad.
    pub by_lean: [f64; 2],
    /// What a slope by roll and by pitch does, rad per rad.
    pub by_slope: [f64; 2],
    /// What the Earth does that the rests do not take out, s.
    pub by_earth_s: [f64; 3],
    /// Length of the way, s.
    pub seconds: f64,
    /// What the gyro's offset does, s.
    pub by_bias_s: [f64; 3],
    /// What its matrix does, rad, column by column.
    pub by_matrix_rad: [[f64; 3]; 3],
    /// What force on it does, g·s, column by column.
    pub by_force_gs: [[f64; 3]; 3],
    /// What the times of the readings do, (rad/s)².
    pub by_stamp: f64,
}

impl CarriedEvidence {
    pub(super) fn of(setup: &CarriedSetup, rests: &[RestSeen], carries: &[Carry]) -> Self {
        let chip = &setup.chip;
        Self {
            start: setup.start,
            wanted_rad: setup.wanted.rad(),
            to_left: setup.to_left.vec().to_array(),
            chip: PlainCarriedChip {
                gyro_noise_radps_rthz: chip.gyro_noise_radps_rthz,
                gyro_drift_radps: chip.gyro_drift_radps,
                gyro_scale: chip.gyro_scale,
                gyro_cross_rad: chip.gyro_cross_rad,
                gyro_tempco_radps_per_c: chip.gyro_tempco_radps_per_c,
                gyro_per_g_radps: setup.gyro_per_g_radps,
                accel_offset_g: chip.accel_offset_along_g(&setup.to_left),
            },
            seat_rad: setup.seat.rad(),
            seat_lean_rad: setup.seat_lean.rad(),
            faces_rad: [setup.faces.value.rad(), setup.faces.standard.rad()],
            lean_rad: setup.lean.rad(),
            faces_lean_rad: setup.faces_lean.rad(),
            floor: PlainFloor::of(&setup.floor),
            stamp_s: setup.stamp_s,
            rests: rests.iter().map(PlainCarriedRest::of).collect(),
            passes: carries.iter().map(PlainPass::of).collect(),
        }
    }

    /// As the solver takes it; none where a number is none, or contradicts another.
    pub(super) fn lifted(&self) -> Option<(CarriedSetup, Vec<RestSeen>, Vec<Carry>)> {
        let estimate = |[value, standard]: [f64; 2]| {
            Estimate::new(Angle::from_rad(value), Angle::from_rad(standard))
        };
        let chip = &self.chip;
        let floor = FloorSlope {
            roll: estimate(self.floor.roll_rad),
            pitch: estimate(self.floor.pitch_rad),
        };
        let setup = CarriedSetup {
            chip: ChipFigures {
                gyro_noise_radps_rthz: chip.gyro_noise_radps_rthz,
                gyro_drift_radps: chip.gyro_drift_radps,
                gyro_scale: chip.gyro_scale,
                gyro_cross_rad: chip.gyro_cross_rad,
                gyro_tempco_radps_per_c: chip.gyro_tempco_radps_per_c,
                accel_offset_g: chip.accel_offset_g,
                ..ChipFigures::IDEAL
            },
            to_left: Dir::along(Vec3::from_array(self.to_left))?,
            start: self.start,
            wanted: Angle::from_rad(self.wanted_rad),
            seat: Angle::from_rad(self.seat_rad),
            seat_lean: Angle::from_rad(self.seat_lean_rad),
            faces: estimate(self.faces_rad),
            lean: Angle::from_rad(self.lean_rad),
            faces_lean: Angle::from_rad(self.faces_lean_rad),
            gyro_per_g_radps: chip.gyro_per_g_radps,
            floor,
            stamp_s: self.stamp_s,
            hold_us: 0,
        };
        let rests: Vec<RestSeen> = self.rests.iter().map(PlainCarriedRest::lifted).collect();
        let known = |number: usize| number < rests.len();
        if !self
            .passes
            .iter()
            .all(|p| known(p.before) && known(p.after))
        {
            return None;
        }
        let carries = self.passes.iter().map(PlainPass::lifted).collect();
        Some((setup, rests, carries))
    }
}

impl PlainCarriedRest {
    fn of(rest: &RestSeen) -> Self {
        Self {
            from_us: rest.from.us(),
            to_us: rest.to.us(),
            place: rest.place,
            turned: rest.turned,
            force_g: rest.force_g.into(),
            rate_radps: rest.rate_radps.into(),
            rate_variance: rest.rate_variance,
            force_standard_g: rest.force_standard_g,
        }
    }

    fn lifted(&self) -> RestSeen {
        RestSeen {
            from: HostTime::from_us(self.from_us),
            to: HostTime::from_us(self.to_us),
            place: self.place,
            turned: self.turned,
            force_g: Vector3::from(self.force_g),
            rate_radps: Vector3::from(self.rate_radps),
            rate_variance: self.rate_variance,
            force_standard_g: self.force_standard_g,
        }
    }
}

impl PlainPass {
    fn of(carry: &Carry) -> Self {
        let swept = &carry.swept;
        Self {
            before: carry.before,
            after: carry.after,
            heading_rad: carry.heading_rad,
            bias_radps: carry.bias_radps.into(),
            by_lean: carry.by_lean,
            by_slope: carry.by_slope,
            by_earth_s: carry.by_earth.into(),
            seconds: swept.seconds,
            by_bias_s: swept.by_bias.into(),
            by_matrix_rad: swept.by_matrix.into(),
            by_force_gs: swept.by_force.into(),
            by_stamp: swept.by_stamp,
        }
    }

    fn lifted(&self) -> Carry {
        Carry {
            before: self.before,
            after: self.after,
            heading_rad: self.heading_rad,
            bias_radps: Vector3::from(self.bias_radps),
            by_lean: self.by_lean,
            by_slope: self.by_slope,
            by_earth: Vector3::from(self.by_earth_s),
            swept: Swept {
                seconds: self.seconds,
                by_bias: Vector3::from(self.by_bias_s),
                by_matrix: Matrix3::from(self.by_matrix_rad),
                by_force: Matrix3::from(self.by_force_gs),
                by_stamp: self.by_stamp,
            },
        }
    }
}
