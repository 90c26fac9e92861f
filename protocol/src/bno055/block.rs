//! The registers from 0x00 to 0x3D.
//!
//! The chip's own angles (0x1A to 0x1F) and its gravity (0x2E to 0x33) are in
//! the block and left alone: the signs of the angles hang on a setting, both
//! follow with a delay, and a board that has them has acceleration as well.

use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};

use super::{COUNT, FIRST};

/// What the first registers hold: names of the chip and of its accelerometer,
/// magnetometer and gyro.
pub(super) const NAMES: [u8; 4] = [0xa0, 0xfb, 0x32, 0x0f];

/// Registers by their address.
const ACCEL: u8 = 0x08;
const RATE: u8 = 0x14;
const TEMPERATURE: u8 = 0x34;
const UNITS: u8 = 0x3b;
const MODE: u8 = 0x3d;

/// Bits of the register of units.
const ACCEL_IN_MG: u8 = 0x01;
const RATE_IN_RADIANS: u8 = 0x02;
const TEMPERATURE_IN_F: u8 = 0x10;

/// The highest mode, which fuses all nine axes.
const LAST_MODE: u8 = 0x0c;
/// A mode that fuses: what the simulated board is in.
const FUSING_SIX_AXES: u8 = 0x08;

/// The data of one answer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block<'a>(pub(super) &'a [u8]);

impl Block<'_> {
    fn byte(self, register: u8) -> u8 {
        let at = usize::from(register);
        self.0.get(at).copied().unwrap_or_default()
    }

    fn word(self, register: u8) -> i16 {
        i16::from_le_bytes([self.byte(register), self.byte(register + 1)])
    }

    fn triple(self, register: u8) -> [i16; 3] {
        [0, 2, 4].map(|offset| self.word(register + offset))
    }

    /// Does it end as a block does, with a mode? Every byte with which an answer
    /// begins is none.
    pub(super) fn is_whole(self) -> bool {
        self.byte(MODE) <= LAST_MODE
    }

    /// What it says; none while the chip is being configured, when all is zero.
    pub(super) fn reading(self) -> Option<Reading> {
        let units = self.byte(UNITS);
        let accel = self.triple(ACCEL);
        let rate = self.triple(RATE);
        // A sensor that a mode leaves off reads zero in all axes for good; no
        // accelerometer at rest does.
        if accel == [0; 3] {
            return None;
        }
        let lsb_g = if units & ACCEL_IN_MG == 0 {
            0.01 / STANDARD_GRAVITY_MPS2
        } else {
            0.001
        };
        let lsb_radps = if units & RATE_IN_RADIANS == 0 {
            (1.0_f64 / 16.0).to_radians()
        } else {
            1.0 / 900.0
        };
        let temperature = f64::from(i8::from_le_bytes([self.byte(TEMPERATURE)]));
        let temperature_c = if units & TEMPERATURE_IN_F == 0 {
            temperature
        } else {
            // Counts of two °F.
            (2.0 * temperature - 32.0) / 1.8
        };
        Some(Reading {
            accel_g: Some(accel.map(|count| f64::from(count) * lsb_g)),
            rate_radps: self
                .has_gyro()
                .then(|| rate.map(|count| f64::from(count) * lsb_radps)),
            temperature_c: Some(temperature_c),
            ..Reading::default()
        })
    }

    /// Is the gyro on? It is off in the modes of the accelerometer or the
    /// compass alone or together (1, 2, 4) and in those that fuse both (9, 10).
    fn has_gyro(self) -> bool {
        !matches!(self.byte(MODE), 1 | 2 | 4 | 9 | 10)
    }
}

/// Appends the answer of a chip with this reading, in the units it wakes up with.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    let mut data = [0_u8; COUNT as usize];
    let mut put = |register: u8, bytes: &[u8]| {
        let at = usize::from(register);
        for (stored, byte) in data.iter_mut().skip(at).zip(bytes) {
            *stored = *byte;
        }
    };
    let mut triple = |register: u8, values: Option<[f64; 3]>, lsb: f64| {
        for (offset, value) in [0, 2, 4].into_iter().zip(values.unwrap_or_default()) {
            put(register + offset, &saturated(value / lsb).to_le_bytes());
        }
    };
    triple(ACCEL, reading.accel_g, 0.01 / STANDARD_GRAVITY_MPS2);
    triple(RATE, reading.rate_radps, (1.0_f64 / 16.0).to_radians());
    let [low, _] = saturated(reading.temperature_c.unwrap_or_default()).to_le_bytes();
    put(TEMPERATURE, &[low]);
    put(FIRST, &NAMES);
    put(UNITS, &[0x80]);
    let mode = if reading.rate_radps.is_some() {
        FUSING_SIX_AXES
    } else {
        1
    };
    put(MODE, &[mode]);
    out.extend_from_slice(&[0xbb, COUNT]);
    out.extend_from_slice(&data);
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "saturating is what a sixteen-bit register does"
)]
fn saturated(count: f64) -> i16 {
    count.round() as i16
}
