//! What a payload holds.

use crate::bad_frame::BadReason;
use crate::reading::Reading;

use super::frame::MOST_PAYLOAD_BYTES;

/// The version that is written here, in the upper half of the first byte.
pub(crate) const VERSION: u8 = 1;

pub(super) const ACCEL: u8 = 1 << 0;
pub(super) const RATE: u8 = 1 << 1;
pub(super) const ATTITUDE: u8 = 1 << 2;
pub(super) const TEMPERATURE: u8 = 1 << 3;

pub(super) const COUNTS: f64 = 32_768.0;
/// Full scale of the acceleration words, g, by the lower half of the scale byte.
pub(super) const ACCEL_RANGES_G: [f64; 5] = [2.0, 4.0, 8.0, 16.0, 32.0];
/// In its place: the acceleration is three `f32` in g.
pub(super) const ACCEL_AS_FLOAT: u8 = 15;
/// Full scale of the rate words, °/s, by the upper half of the scale byte.
pub(super) const RATE_RANGES_DPS: [f64; 6] = [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0];
pub(super) const ATTITUDE_RANGE_DEG: f64 = 180.0;
pub(super) const TEMPERATURE_COUNTS_PER_K: f64 = 100.0;

const HEADER_BYTES: usize = 8;
const WORDS_BYTES: usize = 6;
const FLOATS_BYTES: usize = 12;
const TEMPERATURE_BYTES: usize = 2;

/// A payload read, its clock as it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Contents {
    pub(super) time_us: u32,
    /// Everything but the time.
    pub(super) reading: Reading,
}

/// Fields of a payload, taken from its front.
struct Fields<'a>(&'a [u8]);

impl Fields<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (field, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*field)
    }

    fn words(&mut self, scale: f64) -> Option<[f64; 3]> {
        let [a, b, c, d, e, f] = self.take::<WORDS_BYTES>()?;
        let words = [[a, b], [c, d], [e, f]].map(i16::from_le_bytes);
        Some(words.map(|word| f64::from(word) / COUNTS * scale))
    }

    fn floats(&mut self) -> Option<[f64; 3]> {
        let [a, b, c, d, e, f, g, h, i, j, k, l] = self.take::<FLOATS_BYTES>()?;
        let floats = [[a, b, c, d], [e, f, g, h], [i, j, k, l]].map(f32::from_le_bytes);
        Some(floats.map(f64::from))
    }
}

/// Is it the beginning and the length of a payload of this version? Cheap, and asked of stretches
/// that are most likely none.
pub(super) fn is_plausible(payload: &[u8]) -> bool {
    let [head, scales, ..] = payload else {
        return false;
    };
    head >> 4 == VERSION && length(*head, *scales) == Some(payload.len())
}

/// Length of a payload by its first two bytes; none where they contradict this version.
fn length(head: u8, scales: u8) -> Option<usize> {
    let holds = |flag: u8| head & flag != 0;
    let accel_bytes = match (holds(ACCEL), scales & 0x0f) {
        (false, 0) => 0,
        (true, ACCEL_AS_FLOAT) => FLOATS_BYTES,
        (true, range) if usize::from(range) < ACCEL_RANGES_G.len() => WORDS_BYTES,
        _ => return None,
    };
    let rate_bytes = match (holds(RATE), scales >> 4) {
        (false, 0) => 0,
        (true, range) if usize::from(range) < RATE_RANGES_DPS.len() => WORDS_BYTES,
        _ => return None,
    };
    let attitude_bytes = if holds(ATTITUDE) { WORDS_BYTES } else { 0 };
    let temperature_bytes = if holds(TEMPERATURE) {
        TEMPERATURE_BYTES
    } else {
        0
    };
    let length = HEADER_BYTES + accel_bytes + rate_bytes + attitude_bytes + temperature_bytes;
    (length <= MOST_PAYLOAD_BYTES).then_some(length)
}

/// Reads a payload whose check was right.
pub(super) fn read(payload: &[u8]) -> Result<Contents, BadReason> {
    let &[head, scales, ..] = payload else {
        return Err(BadReason::NothingUsable);
    };
    let version = head >> 4;
    if version != VERSION {
        return Err(BadReason::UnknownVersion { version });
    }
    if length(head, scales) != Some(payload.len()) {
        return Err(BadReason::UnknownType { kind: head });
    }
    let mut fields = Fields(payload);
    read_fields(&mut fields).ok_or(BadReason::UnknownType { kind: head })
}

fn read_fields(fields: &mut Fields<'_>) -> Option<Contents> {
    let [head, scales] = fields.take()?;
    let holds = |flag: u8| head & flag != 0;
    let sequence = u16::from_le_bytes(fields.take()?);
    let time_us = u32::from_le_bytes(fields.take()?);
    let mut reading = Reading {
        sequence: Some(sequence.into()),
        ..Reading::default()
    };
    if holds(ACCEL) {
        let accel_g = match ACCEL_RANGES_G.get(usize::from(scales & 0x0f)) {
            Some(range_g) => fields.words(*range_g)?,
            None => fields.floats()?,
        };
        reading.accel_g = accel_g
            .iter()
            .all(|value| value.is_finite())
            .then_some(accel_g);
    }
    if holds(RATE) {
        let range_dps = RATE_RANGES_DPS.get(usize::from(scales >> 4))?;
        reading.rate_radps = Some(fields.words(range_dps.to_radians())?);
    }
    if holds(ATTITUDE) {
        reading.attitude_rad = Some(fields.words(ATTITUDE_RANGE_DEG.to_radians())?);
    }
    if holds(TEMPERATURE) {
        let counts = i16::from_le_bytes(fields.take()?);
        reading.temperature_c = Some(f64::from(counts) / TEMPERATURE_COUNTS_PER_K);
    }
    Some(Contents { time_us, reading })
}
