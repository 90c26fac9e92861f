//! What a seed draws.

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha12Rng;

/// A stream of draws, the same for the same seed.
#[derive(Debug)]
pub(super) struct Draws(ChaCha12Rng);

impl Draws {
    pub(super) fn new(seed: u64) -> Self {
        Self(ChaCha12Rng::seed_from_u64(seed))
    }

    /// All values alike.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    /// Standard normal (Box and Muller).
    pub(super) fn normal(&mut self) -> f64 {
        let (a, b): (f64, f64) = (self.0.random(), self.0.random());
        (-2.0 * (1.0 - a).ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }

    /// Any rotation, all alike.
    pub(super) fn quaternion(&mut self) -> [f64; 4] {
        loop {
            let q = [0; 4].map(|_| self.between(-1.0, 1.0));
            let square: f64 = q.iter().map(|c| c * c).sum();
            if (0.01..1.0).contains(&square) {
                return q.map(|c| c / square.sqrt());
            }
        }
    }
}
