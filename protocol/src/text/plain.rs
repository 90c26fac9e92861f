//! Numbers of digits, read as a board prints them: fast, and to the last bit what a full parser gives.
//!
//! Digits that make a whole number below 2⁵³, divided by a power of ten that a double holds exactly,
//! give the nearest double, because the division is rounded once (W. D. Clinger, *How to Read Floating
//! Point Numbers Accurately*, PLDI 1990). Whatever is not so plain is left to the library.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// So many digits never overflow 64 bits.
const MOST_DIGITS: usize = 19;
/// Whole numbers up to here are doubles.
const MOST_WHOLE: u64 = 1 << 53;

/// A plain number at the front, and what follows it; none where it is not plain. An exponent
/// follows it, so the caller has to look at what does.
#[inline]
pub(crate) fn plain(bytes: &[u8]) -> Option<(f64, &[u8])> {
    let (negative, digits) = match bytes {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] | rest => (false, rest),
    };
    let (mantissa, fraction, rest) = short(digits).or_else(|| long(digits))?;
    let value = mantissa as f64 / POWERS.get(fraction)?;
    Some((if negative { -value } else { value }, rest))
}

/// Digits, how many of them stand behind the point, and what follows.
type Digits<'a> = (u64, usize, &'a [u8]);

/// A number of no more than eight characters, with eight there.
#[inline]
fn short(bytes: &[u8]) -> Option<Digits<'_>> {
    let (eight, behind) = bytes.split_first_chunk::<8>()?;
    let (values, others) = of_eight(u64::from_le_bytes(*eight));
    let before = others.trailing_zeros() / 8;
    if before == 8 {
        return None;
    }
    if eight.get(before as usize) != Some(&b'.') {
        let rest = bytes.get(before as usize..)?;
        return (before > 0).then(|| (together(values, before), 0, rest));
    }
    // The point is taken out: what is behind it moves up to what is before.
    let low = (1_u64 << (8 * before)) - 1;
    let moved = (values & low) | ((values >> 8) & !low);
    let others = (others & low) | ((others >> 8) & !low) | 1 << 63;
    let count = others.trailing_zeros() / 8;
    let goes_on = count == 7 && behind.first().is_some_and(u8::is_ascii_digit);
    if count == 0 || goes_on {
        return None;
    }
    let rest = bytes.get(count as usize + 1..)?;
    Some((together(moved, count), (count - before) as usize, rest))
}

/// A number of any length, as long as it is exact.
fn long(digits: &[u8]) -> Option<Digits<'_>> {
    let (whole, after_whole) = take_digits(0, digits);
    let mut count = digits.len() - after_whole.len();
    let (mantissa, rest, fraction) = match after_whole {
        [b'.', behind @ ..] => {
            let (mantissa, rest) = take_digits(whole, behind);
            let fraction = behind.len() - rest.len();
            count += fraction;
            (mantissa, rest, fraction)
        }
        rest => (whole, rest, 0),
    };
    (count > 0 && count <= MOST_DIGITS && mantissa <= MOST_WHOLE)
        .then_some((mantissa, fraction, rest))
}

/// The same of a number as JSON allows it (RFC 8259, 6): digits before the point and behind it, no
/// plus, no noughts before.
#[inline]
pub(crate) fn plain_of_json(bytes: &[u8]) -> Option<(f64, &[u8])> {
    match bytes {
        [b'0' | b'-', b'0', b'0'..=b'9', ..] | [b'0', b'0'..=b'9', ..] => return None,
        [b'0'..=b'9', ..] | [b'-', b'0'..=b'9', ..] => {}
        _ => return None,
    }
    let (number, rest) = plain(bytes)?;
    let taken = bytes.get(..bytes.len() - rest.len())?;
    (taken.last() != Some(&b'.')).then_some((number, rest))
}

/// Digits at the front, as the digits of `value` go on; and what is behind them.
#[inline]
fn take_digits(mut value: u64, mut bytes: &[u8]) -> (u64, &[u8]) {
    while let [digit @ b'0'..=b'9', rest @ ..] = bytes {
        value = value.wrapping_mul(10).wrapping_add(u64::from(digit - b'0'));
        bytes = rest;
    }
    (value, bytes)
}

/// Eight characters at once, the first one lowest: of digits their values, and a mark on each place
/// up to the first that is no digit, and on none before it. (The way is well known as SWAR, from memory.)
#[inline]
fn of_eight(characters: u64) -> (u64, u64) {
    const EACH: u64 = 0x0101_0101_0101_0101;
    // Of a digit its value is left; of anything else more than nine.
    let values = characters ^ (EACH * u64::from(b'0'));
    let others = (values.wrapping_add(EACH * 0x76) | values) & (EACH * 0x80);
    (values, others)
}

/// The number that the first `count` of eight digits make, 1 to 8: pairs first, then fours, then all.
#[inline]
fn together(values: u64, count: u32) -> u64 {
    // The digits to the end, noughts before them.
    let digits = values << (8 * (8 - count));
    let pairs = (digits.wrapping_mul(10).wrapping_add(digits >> 8)) & 0x00ff_00ff_00ff_00ff;
    let fours = (pairs * 100 + (pairs >> 16)) & 0x0000_ffff_0000_ffff;
    (fours * 10_000 + (fours >> 32)) & 0xffff_ffff
}

/// What is left behind blanks.
#[inline]
pub(crate) fn behind_blanks(mut bytes: &[u8]) -> &[u8] {
    while let [b' ', rest @ ..] = bytes {
        bytes = rest;
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]
        /// The standard library is the reference: it rounds correctly.
        #[test]
        fn every_plain_number_is_what_the_library_reads(text in "[-+]?[0-9]{0,12}(\\.[0-9]{0,12})?") {
            let Some((number, rest)) = plain(text.as_bytes()) else {
                // It is none, or long.
                prop_assert!(text.parse::<f64>().is_err() || text.len() > 16);
                return Ok(());
            };
            prop_assert!(rest.is_empty());
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(number.to_bits(), expected.to_bits());
        }

        #[test]
        fn json_numbers_are_those_that_a_json_parser_takes(text in "[-+]?[0-9]{0,4}(\\.[0-9]{0,4})?") {
            let expected: Option<f64> = serde_json::from_str(&text).ok();
            let found = plain_of_json(text.as_bytes()).filter(|(_, rest)| rest.is_empty());
            prop_assert_eq!(found.map(|(number, _)| number.to_bits()), expected.map(f64::to_bits));
        }
    }

    #[test]
    fn what_is_not_plain_is_left() {
        // Characters just beside the digits, and those whose upper bit is set.
        for text in [
            "12/4567",
            "12:45678",
            "12\u{b0}4567",
            "12.:5678",
            "12./56789",
            "12,.5678",
        ] {
            let (number, rest) = plain(text.as_bytes()).unwrap();
            assert_eq!(
                (number, rest.len() + 2 >= text.len() - 1),
                (12.0, true),
                "{text}"
            );
        }
        let behind = [b'1', b'.', b'5', 0xff, b'6', b'7', b'8', b'9'];
        assert_eq!(plain(&behind).map(|(number, _)| number), Some(1.5));
        for text in [
            "",
            "-",
            ".",
            "+.",
            "nan",
            "99999999999999999999",
            "9007199254740993",
        ] {
            assert_eq!(plain(text.as_bytes()), None, "{text}");
        }
        assert_eq!(plain(b"1.5e3"), Some((1.5, &b"e3"[..])));
        assert_eq!(plain(b"12,7"), Some((12.0, &b",7"[..])));
    }
}
