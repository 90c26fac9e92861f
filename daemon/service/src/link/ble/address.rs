//! By what a Bluetooth board is known.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;
use uuid::Uuid;

/// By what a Bluetooth board is known: its address or its name, and where it
/// matters the characteristic it notifies by. Written `AA:BB:CC:DD:EE:FF` or
/// `NAME`, each with `/UUID` behind it where the characteristic is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BleAddress {
    /// Which board.
    pub board: BleBoard,
    /// The characteristic it notifies by, where that is told.
    pub characteristic: Option<Uuid>,
}

/// Which board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BleBoard {
    /// The one with this address.
    Address([u8; 6]),
    /// The one with this name.
    Name(String),
}

/// What names no Bluetooth board.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadBleAddress {
    /// Neither name nor address is written.
    #[error("nothing says which Bluetooth board")]
    Empty,
    /// What is written behind the last `/` is no UUID.
    #[error("`{0}` is no UUID of a characteristic")]
    Characteristic(String),
}

impl BleAddress {
    /// Is it this one?
    pub fn is(&self, address: [u8; 6], name: Option<&str>) -> bool {
        match &self.board {
            BleBoard::Address(wanted) => *wanted == address,
            BleBoard::Name(wanted) => name == Some(wanted),
        }
    }
}

impl FromStr for BleAddress {
    type Err = BadBleAddress;

    fn from_str(written: &str) -> Result<Self, BadBleAddress> {
        let (board, characteristic) = match written.rsplit_once('/') {
            Some((board, uuid)) => {
                let uuid = characteristic(uuid)
                    .ok_or_else(|| BadBleAddress::Characteristic(uuid.to_owned()))?;
                (board, Some(uuid))
            }
            None => (written, None),
        };
        if board.trim().is_empty() {
            return Err(BadBleAddress::Empty);
        }
        let board =
            octets(board).map_or_else(|| BleBoard::Name(board.to_owned()), BleBoard::Address);
        Ok(Self {
            board,
            characteristic,
        })
    }
}

impl fmt::Display for BleAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.board.fmt(f)?;
        match &self.characteristic {
            Some(uuid) => write!(f, "/{uuid}"),
            None => Ok(()),
        }
    }
}

impl fmt::Display for BleBoard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Address(octets) => f.write_str(&written(*octets)),
            Self::Name(name) => f.write_str(name),
        }
    }
}

/// An address as it is written.
pub(super) fn written(octets: [u8; 6]) -> String {
    octets.map(|octet| format!("{octet:02X}")).join(":")
}

fn octets(text: &str) -> Option<[u8; 6]> {
    let parts: Vec<u8> = text
        .split(':')
        .map(|part| {
            let is_octet = part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_hexdigit());
            is_octet
                .then(|| u8::from_str_radix(part, 16).ok())
                .flatten()
        })
        .collect::<Option<_>>()?;
    parts.try_into().ok()
}

/// A characteristic as a person writes it: a UUID, or four digits of the standard's list.
pub fn characteristic(written: &str) -> Option<Uuid> {
    short(written).or_else(|| Uuid::parse_str(written).ok())
}

/// A UUID of the standard's own list, as `2A19` (Bluetooth Core Specification,
/// Vol 3 Part B 2.5.1: xxxxxxxx-0000-1000-8000-00805F9B34FB; from memory).
fn short(text: &str) -> Option<Uuid> {
    (text.len() == 4 && text.bytes().all(|byte| byte.is_ascii_hexdigit()))
        .then(|| u16::from_str_radix(text, 16).ok())
        .flatten()
        .map(sig)
}

/// The UUID of a 16-bit number of the standard's list.
pub(super) const fn sig(number: u16) -> Uuid {
    Uuid::from_u128(((number as u128) << 96) | 0x0000_0000_0000_1000_8000_0080_5f9b_34fb)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_means_the_same_when_it_is_printed() {
        for (text, printed) in [
            ("C0:FF:EE:00:12:34", "C0:FF:EE:00:12:34"),
            ("c0:ff:ee:00:12:34", "C0:FF:EE:00:12:34"),
            ("left hub", "left hub"),
            ("a:b", "a:b"),
            (
                "left hub/6e400003-b5a3-f393-e0a9-e50e24dcca9e",
                "left hub/6e400003-b5a3-f393-e0a9-e50e24dcca9e",
            ),
            (
                "C0:FF:EE:00:12:34/FFE1",
                "C0:FF:EE:00:12:34/0000ffe1-0000-1000-8000-00805f9b34fb",
            ),
        ] {
            let address: BleAddress = text.parse().unwrap();
            assert_eq!(address.to_string(), printed);
            assert_eq!(printed.parse(), Ok(address));
        }
        for text in ["", " ", "/FFE1", "hub/", "hub/what", "hub/+FE1"] {
            assert!(text.parse::<BleAddress>().is_err(), "{text}");
        }
    }

    #[test]
    fn a_board_is_known_by_its_address_or_by_its_name() {
        let octets = [0xc0, 0xff, 0xee, 0, 0x12, 0x34];
        let by = |text: &str| text.parse::<BleAddress>().unwrap();
        assert!(by("C0:FF:EE:00:12:34").is(octets, None));
        assert!(!by("C0:FF:EE:00:12:35").is(octets, Some("hub")));
        assert!(by("hub").is(octets, Some("hub")));
        assert!(!by("hub").is(octets, None));
    }
}
