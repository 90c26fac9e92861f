//! What the evidence says of a point: one whitened row for every number.

use crate::angle::Angle;
use crate::attitude::{Mirrored, dot};
use crate::chip::ChipFigures;
use crate::finding::Cause;
use crate::frames::{Board, Dir, Floor, Rot, Vec3};
use crate::joint::evidence::{BodyEvidence, RestEvidence, SwingEvidence, WheelEvidence};
use crate::joint::point::{
    BodyPoint, ChipError, LEVER_M, Point, WheelPoint, along, chip_sizes, irregular,
};

/// Nothing about a car is known better, g and rad (0.0006°); it keeps the rows of
/// a chip without error finite.
const LEAST_NOISE: f64 = 1e-5;

/// Tangents of caster and SAI lie within this of zero on anything with wheels.
const ANY_AXIS: f64 = 10.0;

/// Whitened misfits, each with the cause that it stands for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rows {
    pub(crate) values: Vec<f64>,
    pub(crate) causes: Vec<Cause>,
    /// Which noise a row is weighted by, and how well that is known, where it
    /// was taken from the scatter of a rest.
    pub(crate) scatter: Vec<Option<Scatter>>,
    /// Wheel and place of the rest that a row belongs to, where it does.
    pub(crate) rests: Vec<Option<(usize, usize)>>,
    at: Option<(usize, usize)>,
    scattered: Option<Scatter>,
}

/// An uncertainty that was estimated from so many degrees of freedom; rows of
/// the same number share it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scatter {
    pub(crate) number: usize,
    pub(crate) degrees_of_freedom: f64,
}

impl Rows {
    fn push(&mut self, cause: Cause, misfit: f64, sigma: f64) {
        self.values.push(misfit / sigma.max(LEAST_NOISE));
        self.causes.push(cause);
        self.rests.push(self.at);
        self.scatter.push(self.scattered);
    }

    /// Rows from here on are weighted by an uncertainty of so many degrees of freedom.
    fn weighted(&mut self, degrees_of_freedom: f64) {
        self.scattered = degrees_of_freedom.is_finite().then_some(Scatter {
            number: self.values.len(),
            degrees_of_freedom,
        });
    }

    fn push3(&mut self, cause: Cause, misfit: &Vec3<Board>, sigma: f64) {
        for part in misfit.to_array() {
            self.push(cause, part, sigma);
        }
    }

    /// A prior of zero; without width it is no unknown and needs no row.
    fn prior(&mut self, cause: Cause, value: f64, sigma: f64) {
        if sigma > 0.0 {
            self.push(cause, value, sigma);
        }
    }

    fn chip(&mut self, error: &ChipError, chip: &ChipFigures, gyro: bool) {
        let sizes = chip_sizes(chip, gyro);
        match &chip.accel_settled {
            None => {
                for (value, size) in error.offset_g.iter().zip(&sizes) {
                    self.prior(Cause::AccelOffset, *value, *size);
                }
            }
            Some(axis) => {
                let left = error.undone(&axis.felt_g).dot(&axis.along.vec());
                self.push(Cause::AccelOffset, left, axis.offset_g);
                let offset = Vec3::from_array(error.offset_g);
                let (a, b) = axis.along.square_pair();
                for across in [a, b] {
                    let part = offset.dot(&across.vec());
                    self.push(Cause::AccelOffset, part, chip.accel_offset_g);
                }
            }
        }
        let causes = std::iter::repeat_n(Cause::AccelScale, 9)
            .chain(std::iter::repeat_n(Cause::SteerAngle, 9))
            .chain([Cause::AccelScale]);
        let values = error
            .accel
            .iter()
            .chain(&error.gyro)
            .chain([&error.gravity]);
        for ((cause, value), size) in causes.zip(values).zip(&sizes[3..]) {
            self.prior(cause, *value, *size);
        }
    }

    /// All rows of a session at a point.
    pub(crate) fn of(evidence: &SwingEvidence, point: &Point) -> Self {
        let mut rows = Self::default();
        let floor = &evidence.floor;
        rows.prior(
            Cause::Floor,
            point.floor_roll - floor.roll.value.rad(),
            floor.roll.standard.rad(),
        );
        rows.prior(
            Cause::Floor,
            point.floor_pitch - floor.pitch.value.rad(),
            floor.pitch.standard.rad(),
        );
        if evidence.body.is_none() {
            rows.prior(
                Cause::BodyMotion,
                point.body_roll,
                evidence.unwatched.roll.rad(),
            );
            rows.prior(
                Cause::BodyMotion,
                point.body_pitch,
                evidence.unwatched.pitch.rad(),
            );
            for value in point.body_rests.iter().skip(1).flatten() {
                rows.prior(Cause::BodyMotion, *value, irregular(evidence));
            }
        }
        let up = point.up().vec();
        let bodies = point.body_turns(evidence);
        for (index, (wheel, at)) in evidence.wheels.iter().zip(&point.wheels).enumerate() {
            rows.wheel(index, wheel, at, &up, &bodies);
        }
        if let (Some(body), Some(at)) = (&evidence.body, &point.body) {
            rows.body(body, at, point);
        }
        rows
    }

    fn wheel(
        &mut self,
        index: usize,
        wheel: &WheelEvidence,
        at: &WheelPoint,
        up: &Vec3<Floor>,
        bodies: &[Rot<Floor, Floor>],
    ) {
        let hubs: Vec<Rot<Board, Floor>> = wheel
            .rests
            .iter()
            .enumerate()
            .map(|(place, rest)| Point::hub(at, place, &bodies[rest.rest]))
            .collect();
        let first = hubs.first().map(|hub| heading(hub, at));
        for (place, (rest, hub)) in wheel.rests.iter().zip(&hubs).enumerate() {
            self.at = Some((index, place));
            let mut felt = hub.inverse().apply(up);
            if let Some(per_metre) = &rest.per_metre_g {
                felt = felt
                    + Vec3::from_array([0, 1, 2].map(|row| along(per_metre, row, &at.lever_m)));
            }
            self.gravity(rest, &at.chip.read(&felt), wheel.chip.angles_only);
            if let (Some(plate), Some(first)) = (&rest.plate, first) {
                let turned = Angle::from_rad(heading(hub, at) - first).wrapped();
                self.push(
                    Cause::SteerAngle,
                    (turned - plate.value).rad(),
                    plate.standard.rad(),
                );
            }
        }
        for turn in &wheel.turns {
            let (Some(from), Some(to)) = (hubs.get(turn.from), hubs.get(turn.to)) else {
                continue;
            };
            // Board now to board then; about a fixed axis its vector is the same in both.
            let between = to.then(&from.inverse()).to_vector();
            self.at = Some((index, turn.to));
            self.push3(
                Cause::SteerAngle,
                &(at.chip.turned(&between) - turn.turn_rad),
                turn.noise_rad,
            );
        }
        self.at = None;
        // Wide enough to say nothing, narrow enough to stand where a wheel has one rest only.
        self.push(Cause::SteerAngle, at.tan_caster, ANY_AXIS);
        self.push(Cause::SteerAngle, at.tan_sai, ANY_AXIS);
        for (group, lean) in wheel.run_out.iter().zip(&at.run_out) {
            for position in group {
                self.weighted(position.degrees_of_freedom);
                let up = at.chip.undone(&position.accel_g);
                let length = if wheel.chip.angles_only {
                    up.norm()
                } else {
                    1.0
                };
                self.push(
                    Cause::RunOut,
                    at.spindle.vec().dot(&up) / length - lean,
                    position.noise_g,
                );
                // The lengths show offset and scale square to the spindle.
                if position.still && !wheel.chip.angles_only {
                    self.push(Cause::RunOut, up.norm() - 1.0, position.noise_g);
                }
            }
        }
        self.scattered = None;
        if let Some(declared) = &wheel.declared {
            // Gravity at the first rest says which way the hub's upright points.
            let up = wheel
                .rests
                .first()
                .map_or_else(Vec3::zero, |rest| rest.accel_g);
            let ahead = declared.outboard.vec().cross(&up);
            let upright = ahead.cross(&declared.outboard.vec()) * (1.0 / ahead.norm());
            let ahead = ahead * (1.0 / ahead.norm());
            self.push(
                Cause::MountHeading,
                at.spindle.vec().dot(&ahead),
                declared.heading.rad(),
            );
            self.push(
                Cause::MountTilt,
                at.spindle.vec().dot(&upright),
                declared.lean.rad(),
            );
        }
        if wheel.rests.iter().any(|rest| rest.per_metre_g.is_some()) {
            for part in at.lever_m {
                self.push(Cause::TiltNoise, part, LEVER_M);
            }
        }
        let toe = toe(&hubs, at);
        self.push(
            Cause::Toe,
            (toe - wheel.toe.value).rad(),
            wheel.toe.standard.rad(),
        );
        self.chip(&at.chip, &wheel.chip, !wheel.turns.is_empty());
    }

    fn gravity(&mut self, rest: &RestEvidence, read: &Vec3<Board>, angles_only: bool) {
        self.weighted(rest.degrees_of_freedom);
        match Dir::along(rest.accel_g) {
            Some(told) if angles_only => {
                // Only where it points was measured, not how long it is.
                let (a, b) = told.square_pair();
                for across in [a, b] {
                    let misfit = read.dot(&across.vec()) / read.norm();
                    self.push(Cause::TiltNoise, misfit, rest.noise_g);
                }
            }
            _ => self.push3(Cause::TiltNoise, &(*read - rest.accel_g), rest.noise_g),
        }
        self.scattered = None;
    }

    fn body(&mut self, body: &BodyEvidence, at: &BodyPoint, point: &Point) {
        self.at = None;
        let up = point.up().vec();
        let seen =
            |accel_g: Vec3<Board>, noise_g: f64, turn: Rot<Floor, Floor>, rows: &mut Self| {
                let to_floor = at.attitude.then(&turn);
                let read = at.chip.read(&to_floor.inverse().apply(&up));
                rows.push3(Cause::BodyMotion, &(read - accel_g), noise_g);
            };
        for rest in &body.rests {
            self.weighted(rest.degrees_of_freedom);
            let turn = point.body_turn(rest.rest, 0.0);
            seen(rest.accel_g, rest.noise_g, turn, self);
        }
        if let Some(jacked) = &body.jacked {
            for (position, [roll, pitch]) in [jacked.left, jacked.right].iter().zip(at.jacked) {
                self.weighted(position.degrees_of_freedom);
                let turn = Rot::by_vector(&Vec3::new(roll, pitch, 0.0));
                seen(position.accel_g, position.noise_g, turn, self);
            }
            self.scattered = None;
            let difference = at.jacked[0][1] - at.jacked[1][1];
            self.push(Cause::BodyMotion, difference, jacked.pitch_difference.rad());
        }
        self.scattered = None;
        if let Some((forward, standard)) = &body.forward {
            let ahead = at.attitude.apply(&forward.vec());
            self.push(
                Cause::BodyMotion,
                ahead.y().atan2(ahead.x()),
                standard.rad(),
            );
        }
        self.chip(&at.chip, &body.chip, false);
    }
}

/// Plan heading of the spindle in the floor plane, rad.
fn heading(hub: &Rot<Board, Floor>, at: &WheelPoint) -> f64 {
    let spindle = hub.apply_dir(&at.spindle).vec();
    spindle.y().atan2(spindle.x())
}

/// Toe at the first rest.
fn toe(hubs: &[Rot<Board, Floor>], at: &WheelPoint) -> Angle {
    let spindle = hubs
        .first()
        .map_or_else(Vec3::zero, |hub| hub.apply(&at.spindle.vec()));
    Angle::from_rad(spindle.x().atan2(at.side.outboard(&spindle)))
}

/// Camber at the first rest.
pub(crate) fn camber(wheel: &WheelPoint) -> Angle {
    let spindle = wheel.attitude.apply(&wheel.spindle.vec());
    let mirrored: Mirrored = [spindle.x(), wheel.side.outboard(&spindle), spindle.z()];
    Angle::from_rad(-(mirrored[2] / dot(&mirrored, &mirrored).sqrt()).asin())
}
