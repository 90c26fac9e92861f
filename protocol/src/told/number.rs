//! How a number is stored.

use serde::Deserialize;

/// How a number is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum NumberKind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
}

impl NumberKind {
    /// Bytes it takes.
    pub(crate) fn len(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
        }
    }

    /// The number whose bits, high byte first, are the low ones of `word`.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_possible_wrap,
        reason = "the bits above those of the number are none of its"
    )]
    pub(crate) fn of_word(self, word: u32) -> f64 {
        match self {
            Self::I8 => f64::from(word as u8 as i8),
            Self::U8 => f64::from(word as u8),
            Self::I16 => f64::from(word as u16 as i16),
            Self::U16 => f64::from(word as u16),
            Self::I32 => f64::from(word as i32),
            Self::U32 => f64::from(word),
            Self::F32 => f64::from(f32::from_bits(word)),
        }
    }

    /// The number in its bytes.
    #[inline]
    pub(crate) fn stored(self, bytes: &[u8], little_endian: bool) -> f64 {
        let word = Self::word_of(bytes);
        let word = match self.len() {
            _ if !little_endian => word,
            2 => word.swap_bytes() >> 16,
            4 => word.swap_bytes(),
            _ => word,
        };
        self.of_word(word)
    }

    /// The bits of a number, rounded to a whole one and saturated where it is none of `f32`.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "saturating is what the wire does"
    )]
    pub(crate) fn word(self, number: f64) -> u32 {
        let whole = number.round();
        match self {
            Self::I8 => u32::from(whole as i8 as u8),
            Self::U8 => u32::from(whole as u8),
            Self::I16 => u32::from(whole as i16 as u16),
            Self::U16 => u32::from(whole as u16),
            Self::I32 => whole as i32 as u32,
            Self::U32 => whole as u32,
            Self::F32 => (number as f32).to_bits(),
        }
    }

    /// The bits of a marker, which may be meant without a sign: 55555 in an i16.
    pub(crate) fn marker_word(self, marker: f64) -> u32 {
        let word = self.word(marker);
        match self {
            _ if self.of_word(word) == marker => word,
            Self::I8 => Self::U8.word(marker),
            Self::I16 => Self::U16.word(marker),
            Self::I32 => Self::U32.word(marker),
            Self::U8 | Self::U16 | Self::U32 | Self::F32 => word,
        }
    }

    /// The bits in a few bytes, high byte first.
    #[inline]
    pub(crate) fn word_of(bytes: &[u8]) -> u32 {
        match *bytes {
            [a] => u32::from(a),
            [a, b] => u32::from(u16::from_be_bytes([a, b])),
            [a, b, c, d] => u32::from_be_bytes([a, b, c, d]),
            // No kind has so many.
            _ => 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_go_to_their_bits_and_back() {
        let check = |kind: NumberKind, number: f64, word: u32| {
            assert_eq!(kind.word(number), word, "{kind:?} {number}");
            assert_eq!(kind.of_word(word), number, "{kind:?} {word:#x}");
        };
        check(NumberKind::I8, -2.0, 0xfe);
        check(NumberKind::U8, 254.0, 0xfe);
        check(NumberKind::I16, -2.0, 0xfffe);
        check(NumberKind::U16, 65_534.0, 0xfffe);
        check(NumberKind::I32, -2.0, 0xffff_fffe);
        check(NumberKind::U32, 4_294_967_294.0, 0xffff_fffe);
        // 1.0 and −2.5 in IEEE 754 binary32.
        check(NumberKind::F32, 1.0, 0x3f80_0000);
        check(NumberKind::F32, -2.5, 0xc020_0000);
        assert_eq!(NumberKind::I16.word(1e9), 0x7fff);
        assert_eq!(NumberKind::U16.word(-1.0), 0);
        assert_eq!(NumberKind::I16.marker_word(55_555.0), 0xd903);
        assert_eq!(NumberKind::I16.marker_word(-1.0), 0xffff);
    }
}
