//! One sentence: its name, its fields, its sum.

use crate::bad_frame::BadReason;

/// A sentence whose sum is right, or which needs none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Sentence<'a> {
    /// What stands between `$` and the first comma: `HCXDR`.
    pub(super) address: &'a str,
    /// Behind that comma, up to the sum.
    body: &'a str,
    has_fields: bool,
}

impl<'a> Sentence<'a> {
    /// What stands between commas.
    pub(super) fn fields(&self) -> Fields<'a> {
        Fields(self.has_fields.then_some(self.body))
    }
}

/// What stands between commas, and what is left of it.
#[derive(Debug, Clone)]
pub(super) struct Fields<'a>(Option<&'a str>);

impl<'a> Iterator for Fields<'a> {
    type Item = &'a str;

    /// Fields are a few characters long: to look at each is quicker than to search.
    fn next(&mut self) -> Option<&'a str> {
        let text = self.0?;
        let comma = text.bytes().position(|byte| byte == b',');
        let (field, rest) = match comma {
            Some(comma) => (text.get(..comma)?, text.get(comma + 1..)),
            None => (text, None),
        };
        self.0 = rest;
        Some(field)
    }
}

/// Exclusive or of the characters between `$` and `*` (NMEA 0183).
pub(super) fn sum(text: &str) -> u8 {
    text.bytes().fold(0, |sum, byte| sum ^ byte)
}

/// Reads what stands behind `$`, without the line's end.
pub(super) fn read(text: &str, sum_required: bool) -> Result<Sentence<'_>, BadReason> {
    let (body, told) = match text.rsplit_once('*') {
        Some((body, told)) => (body, Some(told)),
        None if sum_required => return Err(BadReason::NoChecksum),
        // Some devices part the sum by an underscore.
        None => match text.rsplit_once('_') {
            Some((body, told)) if byte(told).is_some() => (body, Some(told)),
            _ => (text, None),
        },
    };
    if let Some(told) = told {
        let expected = sum(body);
        let found = byte(told).ok_or(BadReason::NoChecksum)?;
        if found != expected {
            return Err(BadReason::Checksum {
                expected: expected.into(),
                found: found.into(),
            });
        }
    }
    let parted = memchr::memchr(b',', body.as_bytes()).map(|comma| body.split_at(comma));
    let (address, fields) = parted.unwrap_or((body, ""));
    Ok(Sentence {
        address,
        body: fields.strip_prefix(',').unwrap_or_default(),
        has_fields: parted.is_some(),
    })
}

/// Two hexadecimal digits.
fn byte(digits: &str) -> Option<u8> {
    let digits = digits.trim_end();
    let sound = digits.len() == 2 && digits.bytes().all(|digit| digit.is_ascii_hexdigit());
    u8::from_str_radix(digits, 16).ok().filter(|_| sound)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_checked() {
        let check = |text: &str, required: bool, expected: Result<&str, BadReason>| {
            let found = read(text, required).map(|sentence| sentence.address);
            assert_eq!(found, expected, "{text}");
        };
        // As published beside go-nmea (adrianmo/go-nmea).
        check("PHTRO,10.37,P,177.62,T*65", true, Ok("PHTRO"));
        check(
            "PHTRO,10.38,P,177.62,T*65",
            true,
            Err(BadReason::Checksum {
                expected: 0x6a,
                found: 0x65,
            }),
        );
        check("PHTRO,10.37,P,177.62,T", true, Err(BadReason::NoChecksum));
        check("PHTRO,10.37,P,177.62,T", false, Ok("PHTRO"));
        check(
            "PHTRO,10.37,P,177.62,T_65",
            true,
            Err(BadReason::NoChecksum),
        );
        check("PHTRO,10.37,P,177.62,T_65", false, Ok("PHTRO"));
        check(
            "PHTRO,10.37,P,177.62,T_66",
            false,
            Err(BadReason::Checksum {
                expected: 0x65,
                found: 0x66,
            }),
        );
        check(
            "PHTRO,10.37,P,177.62,T*6",
            false,
            Err(BadReason::NoChecksum),
        );
        check(
            "PHTRO,10.37,P,177.62,T*+5",
            false,
            Err(BadReason::NoChecksum),
        );
    }
}
