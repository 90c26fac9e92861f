//! Which devices are paired, and the code that is offered. Pure: times come in from outside.

use serde::{Deserialize, Serialize};

use super::secret::{Code, Hashed, Token};
use super::{CODE_MINUTES, PairingFault};

/// Wrong guesses that a code bears.
pub const TRIES: u8 = 5;
/// Most paired devices: a garage has a handful, and each that was given away ought to be revoked.
pub const MOST_DEVICES: usize = 32;
/// Longest name of a device, letters.
const LONGEST_NAME: usize = 40;
/// The format that is written. A change that older programs would misread gets another number.
const FORMAT: u32 = 1;
const CODE_LIFE_S: i64 = CODE_MINUTES * 60;
pub(super) const DAY_S: i64 = 86_400;

/// A paired device.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Its number, never given again.
    pub id: u32,
    /// What it is called.
    pub name: String,
    /// The address it was paired from; none where it was let in at the machine itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    token: Hashed,
    /// When it was paired, seconds since 1970.
    pub paired_at: i64,
    /// When it commanded last, days since 1970.
    pub seen_day: i64,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Offer {
    code: Hashed,
    until: i64,
    tries_left: u8,
}

/// All that is kept.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Book {
    format: u32,
    next_id: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    offer: Option<Offer>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    device: Vec<Device>,
}

impl Default for Book {
    fn default() -> Self {
        Self {
            format: FORMAT,
            next_id: 1,
            offer: None,
            device: Vec::new(),
        }
    }
}

impl Book {
    /// Is it of the format that this program writes?
    pub(super) const fn is_current(&self) -> bool {
        self.format == FORMAT
    }

    /// Offers a code in place of the one before.
    pub(super) fn offer(&mut self, code: &Code, now_s: i64) {
        self.offer = Some(Offer {
            code: code.hashed(),
            until: now_s + CODE_LIFE_S,
            tries_left: TRIES,
        });
    }

    /// Exchanges the code that is offered for a device; gives its number and name.
    pub(super) fn pair(
        &mut self,
        code: &Code,
        name: &str,
        from: Option<&str>,
        token: &Token,
        now_s: i64,
    ) -> Result<(u32, String), PairingFault> {
        self.has_room()?;
        let Some(offer) = &mut self.offer else {
            return Err(PairingFault::NoCode);
        };
        // Until when, and no later: a clock that was set back does not make a code live longer.
        if now_s >= offer.until || offer.until - now_s > CODE_LIFE_S {
            self.offer = None;
            return Err(PairingFault::NoCode);
        }
        if !offer.code.is(&code.hashed()) {
            offer.tries_left = offer.tries_left.saturating_sub(1);
            let left = offer.tries_left;
            if left == 0 {
                self.offer = None;
            }
            return Err(PairingFault::WrongCode { left });
        }
        self.offer = None;
        self.add(name, from, token, now_s)
    }

    /// Pairs a device.
    pub(super) fn add(
        &mut self,
        name: &str,
        from: Option<&str>,
        token: &Token,
        now_s: i64,
    ) -> Result<(u32, String), PairingFault> {
        self.has_room()?;
        let id = self.next_id;
        self.next_id += 1;
        let name = named(name).unwrap_or_else(|| format!("device {id}"));
        self.device.push(Device {
            id,
            name: name.clone(),
            from: from.map(str::to_owned),
            token: token.hashed(),
            paired_at: now_s,
            seen_day: now_s / DAY_S,
        });
        Ok((id, name))
    }

    /// The device that this is the token of. Looks at every one, wherever it is found.
    pub(super) fn known(&self, token: &Hashed) -> Option<&Device> {
        self.device.iter().fold(None, |found, device| {
            if device.token.is(token) {
                Some(device)
            } else {
                found
            }
        })
    }

    /// Notes that a device commanded on this day.
    pub(super) fn seen(&mut self, id: u32, day: i64) {
        if let Some(device) = self.device.iter_mut().find(|device| device.id == id) {
            device.seen_day = day;
        }
    }

    /// Takes a device's right away; false where there is no such device.
    pub(super) fn revoke(&mut self, id: u32) -> bool {
        let before = self.device.len();
        self.device.retain(|device| device.id != id);
        self.device.len() < before
    }

    /// All devices.
    pub(super) fn into_devices(self) -> Vec<Device> {
        self.device
    }

    fn has_room(&self) -> Result<(), PairingFault> {
        if self.device.len() < MOST_DEVICES {
            Ok(())
        } else {
            Err(PairingFault::Full)
        }
    }
}

/// A name as it may be printed on a terminal; none where nothing is left of it.
fn named(given: &str) -> Option<String> {
    let name: String = given
        .chars()
        .filter(|letter| !letter.is_control())
        .take(LONGEST_NAME)
        .collect();
    let name = name.trim();
    (!name.is_empty()).then(|| name.to_owned())
}
