//! One frame: `55 TT d0..d7 SUM`.
//!
//! Layout, scales and sum: `BWT901CL` datasheet v20-0707 §6.1, the HWT905 manual
//! on docs.wit-motion.com, and `doc/protocol.md` of
//! `ElettraSciComp/witmotion_IMU_QT`. The datasheet's printed sums for 0x50 and
//! 0x54 hold the wrong type byte; here the sum is over the bytes that are sent.

use crate::resync::Candidate;

/// First byte of every frame.
pub(crate) const HEAD: u8 = 0x55;
/// Length of every frame.
pub(crate) const FRAME_BYTES: usize = 11;

const COUNTS: f64 = 32_768.0;
const ACCEL_RANGE_G: f64 = 16.0;
const RATE_RANGE_DPS: f64 = 2000.0;
const ANGLE_RANGE_DEG: f64 = 180.0;

/// What a frame holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    Time,
    Accel,
    Rate,
    Angle,
    Magnetic,
    Quaternion,
}

impl Kind {
    pub(crate) const fn byte(self) -> u8 {
        match self {
            Self::Time => 0x50,
            Self::Accel => 0x51,
            Self::Rate => 0x52,
            Self::Angle => 0x53,
            Self::Magnetic => 0x54,
            Self::Quaternion => 0x59,
        }
    }

    pub(crate) fn of(byte: u8) -> Option<Self> {
        [
            Self::Time,
            Self::Accel,
            Self::Rate,
            Self::Angle,
            Self::Magnetic,
            Self::Quaternion,
        ]
        .into_iter()
        .find(|kind| kind.byte() == byte)
    }
}

/// Types the boards send, known here or not: ports, pressure, position and more.
pub(crate) fn is_type_byte(byte: u8) -> bool {
    (0x50..=0x5f).contains(&byte)
}

/// A frame whose sum is right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RawFrame {
    pub(crate) kind: u8,
    pub(crate) data: [u8; 8],
}

/// Judges the bytes at the front of `bytes`.
pub(crate) fn candidate(bytes: &[u8], _in_step: bool) -> Candidate<RawFrame> {
    if bytes.first().is_some_and(|&head| head != HEAD)
        || bytes.get(1).is_some_and(|&kind| !is_type_byte(kind))
    {
        return Candidate::Nothing;
    }
    let Some(frame) = bytes.first_chunk::<FRAME_BYTES>() else {
        return Candidate::NeedMore;
    };
    let [head, kind, data @ .., found] = *frame;
    let expected = sum(head, kind, data);
    if expected == found {
        Candidate::Frame {
            len: FRAME_BYTES,
            frame: RawFrame { kind, data },
        }
    } else {
        Candidate::WrongCheck {
            expected: expected.into(),
            found: found.into(),
        }
    }
}

fn sum(head: u8, kind: u8, data: [u8; 8]) -> u8 {
    data.iter()
        .fold(head.wrapping_add(kind), |sum, &byte| sum.wrapping_add(byte))
}

/// Four words as a frame of this kind.
pub(crate) fn encode(kind: Kind, data: [u8; 8], out: &mut Vec<u8>) {
    out.extend_from_slice(&[HEAD, kind.byte()]);
    out.extend_from_slice(&data);
    out.push(sum(HEAD, kind.byte(), data));
}

/// The four signed words of a frame, low byte first.
pub(crate) fn words(data: [u8; 8]) -> [i16; 4] {
    let [a, b, c, d, e, f, g, h] = data;
    [[a, b], [c, d], [e, f], [g, h]].map(i16::from_le_bytes)
}

pub(crate) fn bytes_of([a, b, c, d]: [i16; 4]) -> [u8; 8] {
    let ([a, b], [c, d], [e, f], [g, h]) = (
        a.to_le_bytes(),
        b.to_le_bytes(),
        c.to_le_bytes(),
        d.to_le_bytes(),
    );
    [a, b, c, d, e, f, g, h]
}

/// A value at its scale, held at the ends of the word's range as a saturated sensor does. What is
/// no number is sent as zero, for the wire has no word for it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the conversion saturates, which is what is wanted"
)]
pub(crate) fn word(value: f64) -> i16 {
    value.round() as i16
}

pub(crate) fn accel_g(count: i16) -> f64 {
    f64::from(count) / COUNTS * ACCEL_RANGE_G
}

pub(crate) fn accel_word(accel_g: f64) -> i16 {
    word(accel_g / ACCEL_RANGE_G * COUNTS)
}

pub(crate) fn rate_radps(count: i16) -> f64 {
    (f64::from(count) / COUNTS * RATE_RANGE_DPS).to_radians()
}

pub(crate) fn rate_word(rate_radps: f64) -> i16 {
    word(rate_radps.to_degrees() / RATE_RANGE_DPS * COUNTS)
}

pub(crate) fn angle_rad(count: i16) -> f64 {
    (f64::from(count) / COUNTS * ANGLE_RANGE_DEG).to_radians()
}

pub(crate) fn angle_word(angle_rad: f64) -> i16 {
    word(angle_rad.to_degrees() / ANGLE_RANGE_DEG * COUNTS)
}

pub(crate) fn quaternion_part(count: i16) -> f64 {
    f64::from(count) / COUNTS
}

/// Scale of the temperature in the frame of acceleration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum TemperatureScale {
    /// Hundredths of a degree.
    #[default]
    Hundredths,
    /// That of the motion chip on older boards: counts / 340 + 36.53 (MPU-6050, PS-MPU-6000A r3.4).
    SixAxis,
}

const SIX_AXIS_COUNTS_PER_K: f64 = 340.0;
const SIX_AXIS_ZERO_C: f64 = 36.53;

impl TemperatureScale {
    pub(crate) fn temperature_c(self, count: i16) -> f64 {
        match self {
            Self::Hundredths => f64::from(count) / 100.0,
            Self::SixAxis => f64::from(count) / SIX_AXIS_COUNTS_PER_K + SIX_AXIS_ZERO_C,
        }
    }

    pub(crate) fn word(self, temperature_c: f64) -> i16 {
        word(match self {
            Self::Hundredths => temperature_c * 100.0,
            Self::SixAxis => (temperature_c - SIX_AXIS_ZERO_C) * SIX_AXIS_COUNTS_PER_K,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_saturate() {
        let cases = [
            (accel_word(17.0), i16::MAX),
            (accel_word(-17.0), i16::MIN),
            (accel_word(1.0), 2048),
            (rate_word(f64::INFINITY), i16::MAX),
            (angle_word(f64::NAN), 0),
        ];
        for (word, expected) in cases {
            assert_eq!(word, expected);
        }
    }

    #[test]
    fn a_candidate_is_judged_by_what_is_there() {
        let mut frame = Vec::new();
        encode(Kind::Accel, [1, 2, 3, 4, 5, 6, 7, 8], &mut frame);
        let judge = |bytes: &[u8]| candidate(bytes, false);
        for end in 0..FRAME_BYTES {
            assert_eq!(judge(&frame[..end]), Candidate::NeedMore, "{end} bytes");
        }
        assert!(matches!(
            judge(&frame),
            Candidate::Frame {
                frame: RawFrame { kind: 0x51, .. },
                ..
            }
        ));
        assert_eq!(judge(&[0x54]), Candidate::Nothing);
        assert_eq!(judge(&[HEAD, 0x61]), Candidate::Nothing);
        frame[4] ^= 1;
        assert!(matches!(judge(&frame), Candidate::WrongCheck { .. }));
    }
}
