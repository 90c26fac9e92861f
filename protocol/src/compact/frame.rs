//! One frame: a payload with its check, stuffed so that it holds no zero, and a
//! zero behind it.

use crc::{CRC_16_IBM_3740, Crc, Table};

/// Ends every frame and stands nowhere else.
pub(crate) const DELIMITER: u8 = 0;
/// Longest frame with its delimiter.
pub(crate) const MOST_FRAME_BYTES: usize = 32;
/// What stuffing adds to payloads below 255 bytes.
const STUFFING_BYTES: usize = 1;
/// Longest frame without its delimiter.
pub(crate) const MOST_STUFFED_BYTES: usize = MOST_FRAME_BYTES - 1;
const CHECK_BYTES: usize = 2;
/// Longest payload, without the check.
pub(crate) const MOST_PAYLOAD_BYTES: usize = MOST_STUFFED_BYTES - STUFFING_BYTES - CHECK_BYTES;

/// CRC-16/IBM-3740, also known as CCITT-FALSE: polynomial 0x1021, begins with
/// 0xFFFF, nothing reflected, nothing inverted.
/// By sixteen bytes at once, which is most of a frame.
static CHECK: Crc<u16, Table<16>> = Crc::<u16, Table<16>>::new(&CRC_16_IBM_3740);

/// A payload whose check is right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Payload {
    bytes: [u8; MOST_STUFFED_BYTES],
    len: usize,
}

impl Payload {
    pub(crate) fn bytes(&self) -> &[u8] {
        self.bytes.get(..self.len).unwrap_or_default()
    }
}

/// Why a stretch between delimiters is no frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoFrame {
    /// It is too long, too short or stuffed as nothing can be.
    Unstuffable,
    WrongCheck {
        expected: u16,
        found: u16,
    },
}

/// Takes a stretch without delimiters for a frame.
pub(crate) fn unpack(stuffed: &[u8]) -> Result<Payload, NoFrame> {
    if stuffed.len() > MOST_STUFFED_BYTES {
        return Err(NoFrame::Unstuffable);
    }
    let mut bytes = [0; MOST_STUFFED_BYTES];
    let len = unstuff(stuffed, &mut bytes).ok_or(NoFrame::Unstuffable)?;
    let Some((payload, &[low, high])) = bytes
        .get(..len)
        .and_then(<[u8]>::split_last_chunk::<CHECK_BYTES>)
    else {
        return Err(NoFrame::Unstuffable);
    };
    let (expected, found) = (CHECK.checksum(payload), u16::from_le_bytes([low, high]));
    if expected == found {
        let len = payload.len();
        Ok(Payload { bytes, len })
    } else {
        Err(NoFrame::WrongCheck { expected, found })
    }
}

/// Takes the stuffing out (S. Cheshire and M. Baker, *Consistent Overhead Byte Stuffing*, IEEE/ACM
/// Transactions on Networking 7, 1999); gives the length, none where no stuffing gives such bytes.
/// Stretches are far shorter than 254 bytes, so that each block but the last stands for a zero.
fn unstuff(stuffed: &[u8], out: &mut [u8; MOST_STUFFED_BYTES]) -> Option<usize> {
    let mut rest = stuffed;
    let mut len = 0;
    while let [code, block @ ..] = rest {
        let (plain, next) = block.split_at_checked(usize::from(*code).checked_sub(1)?)?;
        // A zero would have ended the stretch; without it there is none to be seen here.
        for (byte, kept) in plain.iter().zip(out.get_mut(len..)?) {
            *kept = *byte;
        }
        len += plain.len();
        if !next.is_empty() {
            *out.get_mut(len)? = 0;
            len += 1;
        }
        rest = next;
    }
    Some(len)
}

/// Appends a payload as a frame. Payloads are those of this format, never longer than
/// [`MOST_PAYLOAD_BYTES`].
pub(crate) fn pack(payload: &[u8], out: &mut Vec<u8>) {
    let checked = [payload, &CHECK.checksum(payload).to_le_bytes()].concat();
    let start = out.len();
    out.resize(start + cobs::max_encoding_length(checked.len()), DELIMITER);
    let stuffed = cobs::encode(&checked, out.get_mut(start..).unwrap_or_default());
    out.truncate(start + stuffed);
    out.push(DELIMITER);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value every catalogue of CRCs gives for "123456789".
    #[test]
    fn the_check_is_the_one_that_is_named() {
        assert_eq!(CHECK.checksum(b"123456789"), 0x29b1);
    }

    /// Vectors of the npm package `cobs`, of `cobs-codec` and of `cobs2`.
    #[test]
    fn stuffing_is_the_published_one() {
        let all: Vec<u8> = (1..=0xff).collect();
        let all_stuffed = [&[0xff][..], &all[..254], &[0x02, 0xff]].concat();
        let cases: [(&[u8], &[u8]); 6] = [
            (&[0x00], &[0x01, 0x01]),
            (&[0x00, 0x00], &[0x01, 0x01, 0x01]),
            (&[0x00, 0x11, 0x00], &[0x01, 0x02, 0x11, 0x01]),
            (&[0x11, 0x22, 0x00, 0x33], &[0x03, 0x11, 0x22, 0x02, 0x33]),
            (&[0x11, 0x00, 0x00, 0x00], &[0x02, 0x11, 0x01, 0x01, 0x01]),
            (&all, &all_stuffed),
        ];
        for (plain, stuffed) in cases {
            let mut out = [0; 300];
            let len = cobs::encode(plain, &mut out);
            assert_eq!(&out[..len], stuffed, "{plain:02x?}");
            let len = cobs::decode(stuffed, &mut out)
                .expect("stuffed soundly")
                .frame_size();
            assert_eq!(&out[..len], plain, "{stuffed:02x?}");
        }
    }

    #[test]
    fn what_is_no_frame_is_told() {
        let mut frame = Vec::new();
        pack(&[1, 2, 0, 4], &mut frame);
        let stuffed = &frame[..frame.len() - 1];
        assert_eq!(unpack(stuffed).expect("sound").bytes(), [1, 2, 0, 4]);
        for stretch in [&[][..], &[1], &[1, 1], &[9, 1, 2], &[5; 40]] {
            assert_eq!(unpack(stretch), Err(NoFrame::Unstuffable), "{stretch:?}");
        }
        let mut damaged = stuffed.to_vec();
        damaged[1] ^= 4;
        assert!(matches!(unpack(&damaged), Err(NoFrame::WrongCheck { .. })));
    }
}
