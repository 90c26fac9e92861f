//! One frame: `FE len seq sys comp id payload CRC` of version 1, or
//! `FD len incompat compat seq sys comp id24 payload CRC [signature]` of version 2.

use crc::{CRC_16_MCRF4XX, Crc, Table};
use mavlink::MavlinkVersion;

use crate::resync::Candidate;

pub(super) const MAGIC_1: u8 = 0xfe;
pub(super) const MAGIC_2: u8 = 0xfd;
const HEAD_BYTES_1: usize = 6;
const HEAD_BYTES_2: usize = 10;
const CHECK_BYTES: usize = 2;
const SIGNATURE_BYTES: usize = 13;
/// The one flag that says how to read a frame: a signature follows.
const SIGNED: u8 = 0x01;

/// The check of frames: CRC-16/MCRF4XX, by sixteen bytes at once.
static CHECK: Crc<u16, Table<16>> = Crc::<u16, Table<16>>::new(&CRC_16_MCRF4XX);

/// What stands before the payload.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Head {
    pub(super) version: MavlinkVersion,
    pub(super) system: u8,
    pub(super) component: u8,
    pub(super) message: u32,
    payload_bytes: usize,
    is_signed: bool,
}

/// A frame, and where its payload lies from its first byte on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) head: Head,
    pub(super) payload: (usize, usize),
}

impl Head {
    fn bytes(self) -> usize {
        match self.version {
            MavlinkVersion::V1 => HEAD_BYTES_1,
            MavlinkVersion::V2 => HEAD_BYTES_2,
        }
    }

    /// Length of the whole frame.
    fn frame_bytes(self) -> usize {
        let signature = if self.is_signed { SIGNATURE_BYTES } else { 0 };
        self.bytes() + self.payload_bytes + CHECK_BYTES + signature
    }
}

/// A head, or why there is none.
fn head(bytes: &[u8]) -> Result<Head, Candidate<Span>> {
    match *bytes {
        [MAGIC_1, length, _, system, component, message, ..] => Ok(Head {
            version: MavlinkVersion::V1,
            system,
            component,
            message: message.into(),
            payload_bytes: length.into(),
            is_signed: false,
        }),
        [MAGIC_2, _, incompatible, ..] if incompatible & !SIGNED != 0 => Err(Candidate::Nothing),
        [
            MAGIC_2,
            length,
            incompatible,
            _,
            _,
            system,
            component,
            low,
            middle,
            high,
            ..,
        ] => Ok(Head {
            version: MavlinkVersion::V2,
            system,
            component,
            message: u32::from_le_bytes([low, middle, high, 0]),
            payload_bytes: length.into(),
            is_signed: incompatible & SIGNED != 0,
        }),
        [] | [MAGIC_1 | MAGIC_2, ..] => Err(Candidate::NeedMore),
        _ => Err(Candidate::Nothing),
    }
}

/// Judges the bytes at the front. The check of a message that is not known
/// cannot be worked out; in step such a frame is skipped whole when the same
/// speaker goes on behind it.
pub(super) fn candidate(bytes: &[u8], in_step: bool) -> Candidate<Span> {
    let head = match head(bytes) {
        Ok(head) => head,
        Err(candidate) => return candidate,
    };
    let extra = super::extra(head.message);
    if extra.is_none() && !in_step {
        return Candidate::Nothing;
    }
    let len = head.frame_bytes();
    let payload = (head.bytes(), head.bytes() + head.payload_bytes);
    let Some((frame, behind)) = bytes.split_at_checked(len) else {
        return Candidate::NeedMore;
    };
    let sound = Candidate::Frame {
        len,
        frame: Span { head, payload },
    };
    let Some(extra) = extra else {
        return match self::head(behind) {
            Ok(next) if (next.system, next.component) == (head.system, head.component) => sound,
            Err(Candidate::NeedMore) => Candidate::NeedMore,
            _ => Candidate::Nothing,
        };
    };
    let checked = frame.get(1..payload.1).unwrap_or_default();
    let check = frame.get(payload.1..).and_then(<[u8]>::first_chunk);
    let mut check_of = CHECK.digest();
    check_of.update(checked);
    check_of.update(&[extra]);
    let expected = check_of.finalize();
    let found = u16::from_le_bytes(check.copied().unwrap_or_default());
    if expected == found {
        sound
    } else {
        Candidate::WrongCheck { expected, found }
    }
}
