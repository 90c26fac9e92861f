//! What may be a frame.
//!
//! Two bytes of head are all a frame has to be known by. So the first one is
//! believed only when another head follows it, and none whose pitch is beyond a
//! right angle, where the boards never go. In step a frame is believed at once,
//! unless a head stands inside it or may begin with its last byte, as it does when bytes were lost: then what
//! follows decides again.

use crate::ahrs55::{HEAD, accel_g, angle_rad, rate_radps};
use crate::reading::Reading;
use crate::resync::Candidate;

pub(super) const FRAME_BYTES: usize = 20;
const HEAD_BYTES: usize = 2;
pub(super) const VALUES_HEAD: [u8; HEAD_BYTES] = [HEAD, 0x61];
const REGISTERS_HEAD: [u8; HEAD_BYTES] = [HEAD, 0x71];

/// A right angle, and two counts of rounding.
const MOST_PITCH_COUNTS: u16 = 16_384 + 2;

/// Register of the temperature, in hundredths of a degree (from memory), and
/// what a chip at work may have, °C: the range the datasheets name.
const TEMPERATURE_REGISTER: u16 = 0x40;
const COUNTS_PER_K: f64 = 100.0;
const CHIP_TEMPERATURES_C: std::ops::RangeInclusive<f64> = -40.0..=85.0;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Frame {
    Values(Reading),
    Registers { temperature_c: Option<f64> },
}

/// Could these bytes begin a frame? None when there are too few to say.
fn is_head(bytes: &[u8]) -> Option<bool> {
    match bytes {
        [] | [HEAD] => None,
        [first, second, ..] => Some([VALUES_HEAD, REGISTERS_HEAD].contains(&[*first, *second])),
        [_] => Some(false),
    }
}

/// The frame at the front, by its head and its values alone.
pub(super) fn plausible(bytes: &[u8]) -> Option<Frame> {
    let ([first, second, body @ ..], _) = bytes.split_first_chunk::<FRAME_BYTES>()?;
    match [*first, *second] {
        VALUES_HEAD => values(body),
        REGISTERS_HEAD => Some(registers(body)),
        _ => None,
    }
}

fn values(body: &[u8; FRAME_BYTES - HEAD_BYTES]) -> Option<Frame> {
    let mut words = body
        .chunks_exact(2)
        .map(|word| word.try_into().map_or(0, i16::from_le_bytes));
    let mut three = || -> Option<[i16; 3]> { Some([words.next()?, words.next()?, words.next()?]) };
    let (accel, rate, angle) = (three()?, three()?, three()?);
    let [_, pitch, _] = angle;
    (pitch.unsigned_abs() <= MOST_PITCH_COUNTS).then(|| {
        Frame::Values(Reading {
            accel_g: Some(accel.map(accel_g)),
            rate_radps: Some(rate.map(rate_radps)),
            attitude_rad: Some(angle.map(angle_rad)),
            ..Reading::default()
        })
    })
}

/// An answer names its first register and holds eight.
fn registers(body: &[u8; FRAME_BYTES - HEAD_BYTES]) -> Frame {
    let mut words = body.chunks_exact(2);
    let word = |bytes: &[u8]| bytes.try_into().map_or(0, u16::from_le_bytes);
    let first = words.next().map_or(0, word);
    let counts = TEMPERATURE_REGISTER
        .checked_sub(first)
        .and_then(|index| words.nth(index.into()));
    let temperature_c = counts
        .map(|bytes| f64::from(word(bytes).cast_signed()) / COUNTS_PER_K)
        .filter(|temperature_c| CHIP_TEMPERATURES_C.contains(temperature_c));
    Frame::Registers { temperature_c }
}

/// Judges the bytes at the front.
pub(super) fn candidate(bytes: &[u8], in_step: bool) -> Candidate<Frame> {
    match is_head(bytes) {
        None => return Candidate::NeedMore,
        Some(false) => return Candidate::Nothing,
        Some(true) => {}
    }
    if bytes.len() < FRAME_BYTES {
        return Candidate::NeedMore;
    }
    let Some(frame) = plausible(bytes) else {
        return Candidate::Nothing;
    };
    let sound = Candidate::Frame {
        len: FRAME_BYTES,
        frame,
    };
    let (inside, behind) = bytes.split_at_checked(FRAME_BYTES).unwrap_or((bytes, &[]));
    let mut places = inside.windows(HEAD_BYTES).skip(1);
    let may_hold_head =
        inside.ends_with(&[HEAD]) || places.any(|place| is_head(place) == Some(true));
    if in_step && !may_hold_head {
        return sound;
    }
    match is_head(behind) {
        None => Candidate::NeedMore,
        Some(true) => sound,
        Some(false) => Candidate::Nothing,
    }
}
