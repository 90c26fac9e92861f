//! Independent streams of randomness.

use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

use crate::car::Mount;

/// What a stream is drawn for.
///
/// The numbers are part of what a seed means: changing one changes every recording made with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// The faults a chip was made with.
    Making = 0,
    /// White noise of the accelerometer.
    AccelNoise = 1,
    /// Wandering of the accelerometer's bias.
    AccelWalk = 2,
    /// White noise of the gyro.
    GyroNoise = 3,
    /// Wandering of the gyro's bias.
    GyroWalk = 4,
    /// Noise of the thermometer.
    Thermometer = 5,
    /// Jitter of sampling and stamping.
    Timing = 6,
    /// Errors of reading a turn plate.
    Plates = 7,
    /// Faults of the wire.
    Wire = 8,
    /// Errors of reading a tape.
    Tape = 9,
    /// Faults that come and go.
    Faults = 10,
    /// Flicker of the accelerometer's bias.
    AccelFlicker = 11,
    /// Flicker of the gyro's bias.
    GyroFlicker = 12,
}

/// The stream for one mount and purpose; `None` is the car itself.
///
/// `ChaCha` keeps 2⁶⁴ streams per key apart, so one more board or one more purpose leaves every
/// other stream as it was.
pub fn stream(seed: u64, mount: Option<Mount>, purpose: Purpose) -> ChaCha12Rng {
    let place: u64 = match mount {
        None => 0,
        Some(Mount::FrontLeft) => 1,
        Some(Mount::FrontRight) => 2,
        Some(Mount::RearLeft) => 3,
        Some(Mount::RearRight) => 4,
        Some(Mount::Body) => 5,
    };
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    rng.set_stream((place << 8) | purpose as u64);
    rng
}
