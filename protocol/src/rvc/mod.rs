//! The 19-byte frames of `BNO08x` chips that were told to speak for robot vacuum
//! cleaners (UART-RVC), `AA AA index yaw pitch roll ax ay az r r r sum`.
//!
//! Layout, scales and sum: BNO080 datasheet 1000-3927, p. 21.

use crate::frame_reader::{Decode, Step};
use crate::reading::Reading;
use crate::resync::{Candidate, Next, Resync};

const HEAD: u8 = 0xaa;
const FRAME_BYTES: usize = 19;
/// Two of head and one of sum are left out.
const BODY_BYTES: usize = FRAME_BYTES - 3;
/// Three bytes that are reserved, or tell of motion intent on newer firmware.
const RESERVED: [u8; 3] = [0; 3];

/// Width of the running number.
pub(crate) const SEQUENCE_BITS: u8 = 8;

const COUNTS_PER_DEG: f64 = 100.0;
const COUNTS_PER_G: f64 = 1000.0;

type Body = [u8; BODY_BYTES];

fn sum(body: &Body) -> u8 {
    body.iter().fold(0, |sum, &byte| sum.wrapping_add(byte))
}

fn candidate(bytes: &[u8], _in_step: bool) -> Candidate<Body> {
    if bytes.iter().take(2).any(|&byte| byte != HEAD) {
        return Candidate::Nothing;
    }
    let Some([_, _, body @ .., found]) = bytes.first_chunk::<FRAME_BYTES>() else {
        return Candidate::NeedMore;
    };
    let expected = sum(body);
    if expected == *found {
        Candidate::Frame {
            len: FRAME_BYTES,
            frame: *body,
        }
    } else {
        Candidate::WrongCheck {
            expected: expected.into(),
            found: (*found).into(),
        }
    }
}

fn reading(body: Body) -> Reading {
    let [
        index,
        y0,
        y1,
        p0,
        p1,
        r0,
        r1,
        ax0,
        ax1,
        ay0,
        ay1,
        az0,
        az1,
        _,
        _,
        _,
    ] = body;
    let value = |bytes: [u8; 2]| f64::from(i16::from_le_bytes(bytes));
    let angle_rad = |bytes| (value(bytes) / COUNTS_PER_DEG).to_radians();
    Reading {
        sequence: Some(index.into()),
        accel_g: Some([[ax0, ax1], [ay0, ay1], [az0, az1]].map(|word| value(word) / COUNTS_PER_G)),
        attitude_rad: Some([[r0, r1], [p0, p1], [y0, y1]].map(angle_rad)),
        ..Reading::default()
    }
}

/// Appends the frame of one reading; what it does not hold is sent as zero.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the conversion saturates, as a sensor at the end of its range does"
    )]
    let word = |counts: f64| (counts.round() as i16).to_le_bytes();
    let [roll, pitch, yaw] = reading.attitude_rad.unwrap_or_default();
    let angles = [yaw, pitch, roll].map(|angle| word(angle.to_degrees() * COUNTS_PER_DEG));
    let accel = reading
        .accel_g
        .unwrap_or_default()
        .map(|accel_g| word(accel_g * COUNTS_PER_G));
    let [index, ..] = reading.sequence.unwrap_or_default().to_le_bytes();
    let start = out.len();
    out.extend([HEAD, HEAD, index]);
    out.extend(angles.into_iter().chain(accel).flatten());
    out.extend(RESERVED);
    let body = out.get(start + 2..).unwrap_or_default();
    let sum = body.iter().fold(0_u8, |sum, &byte| sum.wrapping_add(byte));
    out.push(sum);
}

/// Frames of a stream.
#[derive(Debug, Default)]
pub(crate) struct RvcStream {
    resync: Resync,
}

impl Decode for RvcStream {
    fn lost_place(&mut self) {
        self.resync.lost_place();
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        match self.resync.next(unread, candidate) {
            Next::Frame { len, frame } => Step::reading(len, Some(reading(frame))),
            Next::Step(step) => step,
        }
    }
}
