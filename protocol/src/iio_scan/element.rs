//! One channel of a record, as sysfs describes it.

use thiserror::Error;

/// One enabled channel of a buffer, as its files in sysfs say it.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanElement {
    /// Name of the channel without `_en`, `_index`, `_type`: `in_accel_x`, `in_timestamp`.
    pub channel: String,
    /// Its place among the channels: what `_index` holds.
    pub index: u32,
    /// What `_type` holds: `le:s16/16>>0`.
    pub kind: String,
    /// What one count is, in the unit of the channel (m/s², rad/s, m°C): `_scale`; 1 where there is none.
    pub scale: f64,
    /// Counts to be added before the scale: `_offset`; 0 where there is none.
    pub offset: f64,
}

/// Why records of these channels cannot be read.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ScanError {
    /// The type of a channel is none that the kernel documents.
    #[error("`{kind}` of {channel} is no type of a scan element")]
    Kind {
        /// The channel.
        channel: String,
        /// What its type says.
        kind: String,
    },
    /// A scale or an offset that leaves no number.
    #[error("{channel} has scale {scale} and offset {offset}, which leave nothing to measure")]
    Scale {
        /// The channel.
        channel: String,
        /// Its scale.
        scale: f64,
        /// Its offset.
        offset: f64,
    },
    /// Two channels at one place.
    #[error("{first} and {second} both have index {index}")]
    SameIndex {
        /// The place.
        index: u32,
        /// One channel.
        first: String,
        /// The other.
        second: String,
    },
    /// Not three axes of anything.
    #[error("neither acceleration nor rate is enabled in all three axes")]
    NothingUsable,
    /// Longer than any record of a motion sensor.
    #[error("a record of {found} bytes is too long, {limit} at most")]
    TooLong {
        /// Bytes of a record.
        found: usize,
        /// Most there may be.
        limit: usize,
    },
}

/// How the count of a channel is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Storage {
    pub(super) big_endian: bool,
    pub(super) signed: bool,
    /// Bits that count, from 1 to `8 * bytes`.
    bits: u32,
    /// 1, 2, 4 or 8.
    pub(super) bytes: usize,
    /// Counts of this kind side by side under one name.
    repeat: usize,
    shift: u32,
}

/// Numbers under one name at most: a matrix of three by three has nine.
const MOST_REPEATED: usize = 16;

impl Storage {
    /// Reads `[be|le]:[s|u]bits/storagebits[Xrepeat][>>shift]`.
    pub(super) fn parse(kind: &str) -> Option<Self> {
        let (endian, rest) = kind.trim().split_once(':')?;
        let big_endian = match endian {
            "be" => true,
            "le" => false,
            _ => return None,
        };
        let signed = match rest.get(..1)? {
            "s" => true,
            "u" => false,
            _ => return None,
        };
        let (bits, rest) = rest.get(1..)?.split_once('/')?;
        let (stored, shift) = rest.split_once(">>").unwrap_or((rest, "0"));
        let (stored, repeat) = stored.split_once('X').unwrap_or((stored, "1"));
        let bytes = match stored.parse::<u32>().ok()? {
            8 => 1,
            16 => 2,
            32 => 4,
            64 => 8,
            _ => return None,
        };
        let storage = Self {
            big_endian,
            signed,
            bits: bits.parse().ok()?,
            bytes,
            repeat: repeat.parse().ok()?,
            shift: shift.parse().ok()?,
        };
        let held = u32::try_from(8 * bytes).ok()?;
        let fits = storage.bits >= 1
            && storage.shift < held
            && storage.bits <= held - storage.shift
            && (1..=MOST_REPEATED).contains(&storage.repeat);
        fits.then_some(storage)
    }

    /// Bytes it takes in a record, which are also what it is aligned to.
    pub(super) fn len(self) -> usize {
        self.bytes * self.repeat
    }

    /// Is it one number?
    pub(super) fn is_single(self) -> bool {
        self.repeat == 1
    }

    /// The count in `stored`, which has [`bytes`](Self::bytes) bytes.
    #[expect(
        clippy::cast_possible_wrap,
        reason = "the sign bit has been moved to the top just for this"
    )]
    pub(super) fn count(self, stored: &[u8]) -> f64 {
        let add = |word: u64, byte: &u8| (word << 8) | u64::from(*byte);
        let word = if self.big_endian {
            stored.iter().fold(0, add)
        } else {
            stored.iter().rev().fold(0, add)
        };
        let unused = 64 - self.bits;
        let top = (word >> self.shift) << unused;
        if self.signed {
            ((top as i64) >> unused) as f64
        } else {
            (top >> unused) as f64
        }
    }

    /// Appends a count, saturated to what the bits hold.
    pub(super) fn put(self, count: f64, record: &mut [u8]) {
        let limit = 2f64.powi(i32::try_from(self.bits).unwrap_or(64) - i32::from(self.signed));
        let least = if self.signed { -limit } else { 0.0 };
        let count = count.round().clamp(least, limit - 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped above; a cast saturates besides"
        )]
        let bits = if self.signed {
            count as i64 as u64
        } else {
            count as u64
        };
        let kept = u64::MAX >> (64 - self.bits);
        let word = ((bits & kept) << self.shift).to_le_bytes();
        let stored = word.iter().take(self.bytes);
        if self.big_endian {
            for (byte, value) in record.iter_mut().zip(stored.rev()) {
                *byte = *value;
            }
        } else {
            for (byte, value) in record.iter_mut().zip(stored) {
                *byte = *value;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn counts(kind: &str, stored: &[u8], expected: f64) {
        let storage = Storage::parse(kind).unwrap_or_else(|| panic!("{kind}"));
        assert_eq!(storage.count(stored), expected, "{kind} of {stored:02x?}");
        let mut put = vec![0; stored.len()];
        storage.put(expected, &mut put);
        assert_eq!(storage.count(&put), expected, "{kind} put as {put:02x?}");
    }

    /// Worked out by hand from the grammar in sysfs-bus-iio.
    #[test]
    fn counts_are_taken_out_of_their_bits() {
        counts("le:s16/16>>0", &[0x00, 0x40], 16_384.0);
        counts("be:s16/16>>0", &[0x40, 0x00], 16_384.0);
        counts("le:s16/16", &[0xff, 0xff], -1.0);
        // The example of the kernel's page: 12 bits, left-justified.
        counts("le:s12/16>>4", &[0xf0, 0xff], -1.0);
        counts("le:s12/16>>4", &[0x1f, 0x00], 1.0);
        counts("le:u12/16>>4", &[0xf0, 0xff], 4095.0);
        counts("be:s20/32>>12", &[0x80, 0x00, 0x0f, 0xff], -524_288.0);
        counts("be:s24/32>>8", &[0x00, 0x00, 0x02, 0xaa], 2.0);
        counts("le:u8/8", &[0xfe], 254.0);
        counts("le:s64/64>>0", &[1, 0, 0, 0, 0, 0, 0, 0], 1.0);
    }

    #[test]
    fn types_that_are_none_are_refused() {
        for kind in [
            "",
            "le",
            "le:",
            "me:s16/16",
            "le:x16/16",
            "le:s16",
            "le:s0/16",
            "le:s17/16",
            "le:s16/24",
            "le:s16/16>>1",
            "le:s12/16>>16",
            "le:s16/16X0",
            "le:s16/16X99",
            "le:s16/16>>x",
        ] {
            assert_eq!(Storage::parse(kind), None, "{kind}");
        }
        assert_eq!(Storage::parse("le:s32/32X4>>0").map(Storage::len), Some(16));
    }

    #[test]
    fn what_the_bits_cannot_hold_saturates() {
        let storage = Storage::parse("le:s16/16>>0").unwrap();
        let mut put = [0; 2];
        storage.put(1e9, &mut put);
        assert_eq!(put, [0xff, 0x7f]);
        storage.put(-1e9, &mut put);
        assert_eq!(put, [0x00, 0x80]);
    }
}
