//! One frame: `FA FF MID LEN data CS`, or `FA FF MID FF LEN16 data CS`.

use crate::resync::Candidate;

const PREAMBLE: u8 = 0xfa;
/// The device that is the only one on its line.
const ONLY_DEVICE: u8 = 0xff;
const EXTENDED: u8 = 0xff;
/// Most data a frame has by the protocol (2048 bytes, from memory).
const MOST_DATA_BYTES: usize = 2048;
const PLAIN_HEAD_BYTES: usize = 4;
const EXTENDED_HEAD_BYTES: usize = 6;
const LONGEST_PLAIN: usize = 254;

/// The message that carries readings.
pub(super) const MTDATA2: u8 = 0x36;

/// A sound frame: its message, and where its data lie from its first byte on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) kind: u8,
    pub(super) data: (usize, usize),
}

/// Judges the bytes at the front.
pub(super) fn candidate(bytes: &[u8], _in_step: bool) -> Candidate<Span> {
    let heads = [PREAMBLE, ONLY_DEVICE];
    if bytes.iter().zip(heads).any(|(&found, head)| found != head) {
        return Candidate::Nothing;
    }
    let (start, data_bytes, kind) = match *bytes {
        [_, _, kind, EXTENDED, high, low, ..] => {
            let length = u16::from_be_bytes([high, low]);
            (EXTENDED_HEAD_BYTES, usize::from(length), kind)
        }
        [_, _, _, EXTENDED, ..] => return Candidate::NeedMore,
        [_, _, kind, length, ..] => (PLAIN_HEAD_BYTES, usize::from(length), kind),
        _ => return Candidate::NeedMore,
    };
    if data_bytes > MOST_DATA_BYTES {
        return Candidate::Nothing;
    }
    let end = start + data_bytes;
    let Some(frame) = bytes.get(..=end) else {
        return Candidate::NeedMore;
    };
    let summed = frame.iter().skip(1);
    let sum = summed.fold(0_u8, |sum, &byte| sum.wrapping_add(byte));
    if sum == 0 {
        let data = (start, end);
        Candidate::Frame {
            len: end + 1,
            frame: Span { kind, data },
        }
    } else {
        let found = frame.last().copied().unwrap_or_default();
        Candidate::WrongCheck {
            expected: found.wrapping_sub(sum).into(),
            found: found.into(),
        }
    }
}

/// Appends data as a frame; more than a frame holds is cut off.
pub(super) fn encode(kind: u8, data: &[u8], out: &mut Vec<u8>) {
    let data = data.get(..MOST_DATA_BYTES).unwrap_or(data);
    let start = out.len();
    out.extend([PREAMBLE, ONLY_DEVICE, kind]);
    let [high, low] = u16::try_from(data.len()).unwrap_or(u16::MAX).to_be_bytes();
    if data.len() > LONGEST_PLAIN {
        out.extend([EXTENDED, high, low]);
    } else {
        out.push(low);
    }
    out.extend(data);
    let summed = out.iter().skip(start + 1);
    let sum = summed.fold(0_u8, |sum, &byte| sum.wrapping_add(byte));
    out.push(sum.wrapping_neg());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_one_and_of_two_bytes_are_read() {
        for length in [0, 1, 254, 255, 2048] {
            let mut frame = Vec::new();
            encode(0x36, &vec![7; length], &mut frame);
            let Candidate::Frame { len, frame: span } = candidate(&frame, false) else {
                panic!("{length}")
            };
            assert_eq!(len, frame.len(), "{length}");
            assert_eq!(span.data.1 - span.data.0, length);
            for end in 0..frame.len() {
                assert_eq!(candidate(&frame[..end], false), Candidate::NeedMore);
            }
            frame[1 + length] ^= 1;
            assert!(!matches!(candidate(&frame, false), Candidate::Frame { .. }));
        }
        let too_long = [0xfa, 0xff, 0x36, 0xff, 0x08, 0x01];
        assert_eq!(candidate(&too_long, false), Candidate::Nothing);
    }
}
