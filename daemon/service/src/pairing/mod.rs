//! Who may press buttons: devices that were paired once by a code from the terminal.
//!
//! Whoever gets to the page may look. A command needs a token, which a device gets in exchange
//! for a code that is shown where the daemon runs: short-lived, good once, and given up after a
//! few wrong guesses. Tokens and codes are kept as SHA-256 alone. [`Book`] is pure and knows the
//! rules; [`PairingDesk`] keeps it in a file, which `hubplumb pairing` opens as well, so that
//! a device that is revoked there is refused by the running daemon at once.

mod book;
mod fault;
mod kept;
mod secret;
#[cfg(test)]
mod tests;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use serde::Deserialize;
use time::OffsetDateTime;
use tokio::sync::Mutex;
use tokio::time::Instant;

pub use book::{Device, MOST_DEVICES, TRIES};
pub use fault::PairingFault;
pub use secret::{Code, Token};

use kept::Kept;
use secret::Hashed;

/// Least time between two guesses of a code, from whomever: nobody types one faster.
pub const BETWEEN_GUESSES: Duration = Duration::from_secs(1);

/// How long a code is good, minutes: long enough to walk to the tablet and put gloves off.
pub const CODE_MINUTES: i64 = 10;

/// Who may command.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "snake_case")]
pub enum Commands {
    /// Devices that were paired.
    #[default]
    Paired,
    /// Whoever gets to the page.
    Open,
}

/// A device that was just paired.
#[derive(Debug)]
pub struct Paired {
    /// Its number.
    pub id: u32,
    /// What it is called.
    pub name: String,
    /// What it shows from now on; told this once and kept nowhere.
    pub token: Token,
}

/// Way to the paired devices.
#[derive(Debug, Clone)]
pub struct PairingDesk(Arc<Desk>);

#[derive(Debug)]
struct Desk {
    commands: Commands,
    kept: Kept,
    next_guess: Mutex<Instant>,
}

impl PairingDesk {
    /// Devices kept in a folder; without one they are forgotten when the daemon ends.
    pub fn at(commands: Commands, folder: Option<PathBuf>) -> Self {
        Self(Arc::new(Desk {
            commands,
            kept: folder.map_or_else(Kept::in_memory, Kept::in_folder),
            next_guess: Mutex::new(Instant::now()),
        }))
    }

    /// Who may command.
    pub fn commands(&self) -> Commands {
        self.0.commands
    }

    /// Makes a code; one that was made before is good no longer.
    pub fn offer(&self) -> Result<Code, PairingFault> {
        let code = Code::made()?;
        self.0.kept.change(|book| book.offer(&code, now()))?;
        Ok(code)
    }

    /// Pairs without a code: for whoever may write the file anyhow.
    pub fn let_in(&self, name: &str) -> Result<Paired, PairingFault> {
        let token = Token::made()?;
        let added = self
            .0
            .kept
            .change(|book| book.add(name, None, &token, now()))?;
        let (id, name) = added?;
        Ok(Paired { id, name, token })
    }

    /// All devices, in the order they were paired.
    pub fn devices(&self) -> Result<Vec<Device>, PairingFault> {
        Ok(self.0.kept.read()?.into_devices())
    }

    /// Takes a device's right away; false where there is no such device.
    pub fn revoke(&self, id: u32) -> Result<bool, PairingFault> {
        self.0.kept.change(|book| book.revoke(id))
    }

    /// Exchanges a code for a token.
    pub async fn pair(
        &self,
        typed: String,
        name: String,
        from: Option<String>,
    ) -> Result<Paired, PairingFault> {
        let code = Code::typed(&typed).ok_or(PairingFault::NoCodeTyped)?;
        let mut next = self.0.next_guess.lock().await;
        let at = Instant::now();
        if at < *next {
            return Err(PairingFault::TooSoon);
        }
        *next = at + BETWEEN_GUESSES;
        // One guess at a time, also while the file is written.
        let paired = self.clone().in_the_file(move |desk| {
            let token = Token::made()?;
            let (id, name) = desk
                .kept
                .change(|book| book.pair(&code, &name, from.as_deref(), &token, now()))??;
            Ok(Paired { id, name, token })
        });
        paired.await
    }

    /// The device that a token belongs to.
    pub async fn device(&self, token: &str) -> Result<Option<Device>, PairingFault> {
        let Some(hashed) = Token::shown(token) else {
            return Ok(None);
        };
        self.clone()
            .in_the_file(move |desk| desk.device(&hashed))
            .await
    }

    /// All devices, for whoever may not wait for a disk.
    pub async fn listed(&self) -> Result<Vec<Device>, PairingFault> {
        self.clone()
            .in_the_file(|desk| Ok(desk.kept.read()?.into_devices()))
            .await
    }

    /// Takes a device's right away, its own or that of another; false where there is no such device.
    pub async fn leave(&self, id: u32) -> Result<bool, PairingFault> {
        self.clone()
            .in_the_file(move |desk| desk.kept.change(|book| book.revoke(id)))
            .await
    }

    /// Does something that may wait for a disk.
    async fn in_the_file<T: Send + 'static>(
        self,
        work: impl FnOnce(&Desk) -> Result<T, PairingFault> + Send + 'static,
    ) -> Result<T, PairingFault> {
        tokio::task::spawn_blocking(move || work(&self.0))
            .await
            .map_err(|_| PairingFault::Ended)?
    }
}

impl Desk {
    fn device(&self, hashed: &Hashed) -> Result<Option<Device>, PairingFault> {
        let day = now() / book::DAY_S;
        let Some(device) = self.kept.read()?.known(hashed).cloned() else {
            return Ok(None);
        };
        if device.seen_day != day {
            // Written once a day at most; a disk that is full keeps nobody from pressing buttons.
            let id = device.id;
            if let Err(fault) = self.kept.change(|book| book.seen(id, day)) {
                tracing::warn!(%fault, "when a device was last seen is not written down");
            }
        }
        Ok(Some(device))
    }
}

/// Seconds since 1970, UTC.
fn now() -> i64 {
    OffsetDateTime::now_utc().unix_timestamp()
}
