//! Boards with errors of known size, in plain arrays: nothing of the core is in them.

use hubplumb_core::calibrate::Pose;
use hubplumb_core::frames::Vec3;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, StandardNormal};

pub(crate) const FACES: [[f64; 3]; 6] = [
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
];

pub(crate) const EDGES: [[f64; 3]; 6] = [
    [1.0, 1.0, 0.0],
    [1.0, 0.0, -1.0],
    [0.0, -1.0, 1.0],
    [-1.0, 1.0, 0.0],
    [-1.0, 0.0, -1.0],
    [0.0, -1.0, -1.0],
];

/// Faces and edges: the twelve poses of a careful calibration.
pub(crate) fn twelve() -> Vec<[f64; 3]> {
    [FACES, EDGES].concat()
}

pub(crate) struct Dice(ChaCha12Rng);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(ChaCha12Rng::seed_from_u64(seed))
    }

    pub(crate) fn normal(&mut self, sigma: f64) -> f64 {
        let one: f64 = StandardNormal.sample(&mut self.0);
        sigma * one
    }

    pub(crate) fn triple(&mut self, sigma: f64) -> [f64; 3] {
        [self.normal(sigma), self.normal(sigma), self.normal(sigma)]
    }
}

/// `true = matrix · (read − offset)`, the matrix symmetric.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MadeBoard {
    pub(crate) offset_g: [f64; 3],
    pub(crate) scale: [f64; 3],
    /// XY, XZ, YZ.
    pub(crate) cross: [f64; 3],
}

impl MadeBoard {
    pub(crate) fn random(dice: &mut Dice, offset_g: f64, scale: f64, cross: f64) -> Self {
        Self {
            offset_g: dice.triple(offset_g),
            scale: dice.triple(scale),
            cross: dice.triple(cross),
        }
    }

    /// The nine numbers in the order of the core's parameters.
    pub(crate) fn numbers(&self) -> [f64; 9] {
        let [ox, oy, oz] = self.offset_g;
        let [sx, sy, sz] = self.scale;
        let [xy, xz, yz] = self.cross;
        [ox, oy, oz, sx, sy, sz, xy, xz, yz]
    }

    /// What the board reads of a specific force.
    pub(crate) fn read(&self, force_g: [f64; 3]) -> [f64; 3] {
        let [xy, xz, yz] = self.cross;
        let [a, b, c] = self.scale.map(|s| 1.0 + s);
        // Adjugate over determinant of the symmetric matrix.
        let adjugate = [
            [b * c - yz * yz, xz * yz - xy * c, xy * yz - xz * b],
            [xz * yz - xy * c, a * c - xz * xz, xy * xz - a * yz],
            [xy * yz - xz * b, xy * xz - a * yz, a * b - xy * xy],
        ];
        let determinant = a * adjugate[0][0] + xy * adjugate[0][1] + xz * adjugate[0][2];
        std::array::from_fn(|i| {
            let turned: f64 = (0..3).map(|j| adjugate[i][j] * force_g[j]).sum();
            turned / determinant + self.offset_g[i]
        })
    }

    /// Poses with up along `ups`, each laid askew by about `askew_rad`.
    pub(crate) fn poses(
        &self,
        dice: &mut Dice,
        ups: &[[f64; 3]],
        askew_rad: f64,
        noise_g: f64,
    ) -> Vec<Pose> {
        ups.iter()
            .map(|up| {
                let tilt = dice.triple(askew_rad);
                let noise = dice.triple(noise_g);
                let long = length(*up);
                let up: [f64; 3] = std::array::from_fn(|i| up[i] / long + tilt[i]);
                let long = length(up);
                let read = self.read(up.map(|c| c / long));
                pose(std::array::from_fn(|i| read[i] + noise[i]), noise_g)
            })
            .collect()
    }
}

pub(crate) fn length(v: [f64; 3]) -> f64 {
    v.iter().map(|c| c * c).sum::<f64>().sqrt()
}

/// A pose of five seconds without gyro and thermometer.
pub(crate) fn pose(accel_g: [f64; 3], noise_g: f64) -> Pose {
    Pose {
        accel_g: Vec3::from_array(accel_g),
        noise_g,
        rate_radps: None,
        seconds: 5.0,
        temperature_c: None,
    }
}
