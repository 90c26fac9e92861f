//! Codes and tokens: made by chance, kept hashed, compared in a time that tells nothing.

use std::fmt::{self, Write as _};

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use subtle::ConstantTimeEq as _;

use super::PairingFault;

/// Digits of a code: with five tries, one guesser in twenty million gets in.
const DIGITS: usize = 8;
/// All codes there are.
const CODES: u32 = 100_000_000;
/// The largest multiple of [`CODES`] that a `u32` holds: above it some codes would come more often.
const EVEN: u32 = u32::MAX / CODES * CODES;
/// Bytes of a token.
const TOKEN_BYTES: usize = 32;

/// SHA-256 of a secret: the only form in which one is kept.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(super) struct Hashed([u8; 32]);

impl Hashed {
    fn of(kind: &str, secret: &str) -> Self {
        let mut hash = Sha256::new();
        // No code is ever taken for a token.
        hash.update(kind);
        hash.update([0]);
        hash.update(secret);
        Self(hash.finalize().into())
    }

    /// Is it the same? Takes the same time whatever is different.
    pub(super) fn is(&self, other: &Self) -> bool {
        self.0.ct_eq(&other.0).into()
    }
}

impl fmt::Debug for Hashed {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("Hashed(…)")
    }
}

impl From<Hashed> for String {
    fn from(hashed: Hashed) -> Self {
        hex(&hashed.0)
    }
}

impl TryFrom<String> for Hashed {
    type Error = String;

    fn try_from(written: String) -> Result<Self, String> {
        bytes(&written)
            .map(Self)
            .ok_or_else(|| "64 hexadecimal digits are wanted".to_owned())
    }
}

/// A code from the terminal.
#[derive(Clone, PartialEq, Eq)]
pub struct Code(String);

impl Code {
    /// A new one.
    pub(super) fn made() -> Result<Self, PairingFault> {
        loop {
            let drawn =
                getrandom::u32().map_err(|error| PairingFault::NoChance(error.to_string()))?;
            if drawn < EVEN {
                return Ok(Self(format!("{:08}", drawn % CODES)));
            }
        }
    }

    /// What somebody typed, however they parted it; none where it is no code.
    pub(super) fn typed(typed: &str) -> Option<Self> {
        let digits: String = typed
            .chars()
            .filter(|letter| !matches!(letter, ' ' | '-' | '\u{a0}'))
            .collect();
        (digits.len() == DIGITS && digits.bytes().all(|digit| digit.is_ascii_digit()))
            .then_some(Self(digits))
    }

    pub(super) fn hashed(&self) -> Hashed {
        Hashed::of("code", &self.0)
    }

    /// As it stands in an address.
    pub fn bare(&self) -> &str {
        &self.0
    }

    /// As a person reads it.
    pub fn parted(&self) -> String {
        let (first, last) = self.0.split_at(DIGITS / 2);
        format!("{first} {last}")
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("Code(…)")
    }
}

/// What a paired device shows with every command.
#[derive(Clone)]
pub struct Token(String);

impl Token {
    /// A new one.
    pub(super) fn made() -> Result<Self, PairingFault> {
        let mut drawn = [0; TOKEN_BYTES];
        getrandom::fill(&mut drawn).map_err(|error| PairingFault::NoChance(error.to_string()))?;
        Ok(Self(hex(&drawn)))
    }

    /// What is kept of a token that was shown; none where it is no token.
    pub(super) fn shown(token: &str) -> Option<Hashed> {
        bytes::<TOKEN_BYTES>(token).map(|_| Hashed::of("token", token))
    }

    pub(super) fn hashed(&self) -> Hashed {
        Hashed::of("token", &self.0)
    }

    /// As it is sent.
    pub fn told(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("Token(…)")
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // A string takes every text.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Lower-case hexadecimal digits, and as many as are wanted.
fn bytes<const N: usize>(hex: &str) -> Option<[u8; N]> {
    let digit = |letter: u8| match letter {
        b'0'..=b'9' => Some(letter - b'0'),
        b'a'..=b'f' => Some(letter - b'a' + 10),
        _ => None,
    };
    let mut read = [0; N];
    let (pairs, rest) = hex.as_bytes().as_chunks::<2>();
    if pairs.len() != N || !rest.is_empty() {
        return None;
    }
    for (byte, [high, low]) in read.iter_mut().zip(pairs) {
        *byte = digit(*high)? << 4 | digit(*low)?;
    }
    Some(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_read_however_it_is_parted() {
        for typed in ["12345678", "1234 5678", " 1234-5678 ", "1234\u{a0}5678"] {
            assert_eq!(Code::typed(typed).unwrap().bare(), "12345678", "{typed}");
        }
        for typed in [
            "",
            "1234567",
            "123456789",
            "1234567x",
            "１２３４５６７８",
            "-1234567",
        ] {
            assert_eq!(Code::typed(typed), None, "{typed}");
        }
        let code = Code::made().unwrap();
        assert_eq!(Code::typed(&code.parted()), Some(code));
    }

    #[test]
    fn secrets_are_never_the_same_and_never_printed() {
        let (one, other) = (Token::made().unwrap(), Token::made().unwrap());
        assert_ne!(one.told(), other.told());
        assert!(!one.hashed().is(&other.hashed()));
        assert!(Token::shown(one.told()).unwrap().is(&one.hashed()));
        let code = Code::made().unwrap();
        let printed = format!("{one:?} {code:?} {:?}", one.hashed());
        assert!(
            !printed.contains(one.told()) && !printed.contains(code.bare()),
            "{printed}"
        );
    }

    #[test]
    fn what_is_no_token_is_not_looked_up() {
        let token = Token::made().unwrap();
        for shown in [
            "",
            "00",
            &token
                .told()
                .to_uppercase()
                .replace(|letter: char| letter.is_ascii_digit(), "A"),
            &format!("{}0", token.told()),
        ] {
            assert!(Token::shown(shown).is_none(), "{shown}");
        }
    }

    #[test]
    fn a_hash_is_written_and_read_back() {
        let hashed = Token::made().unwrap().hashed();
        let written = String::from(hashed);
        assert!(Hashed::try_from(written.clone()).unwrap().is(&hashed));
        assert!(Hashed::try_from(written[1..].to_owned()).is_err());
    }
}
