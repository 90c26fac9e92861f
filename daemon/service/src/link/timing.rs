//! The times a link works by, each with its reason.

use std::time::Duration;

/// The times a link works by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Timing {
    /// First wait before a port is tried again.
    pub backoff_first: Duration,
    /// Longest wait before a port is tried again: a cable that is put back is seen within this, and
    /// half a second later there is a value. Together they stay below two seconds.
    pub backoff_cap: Duration,
    /// Without a byte for this long the board is silent. The slowest boards send
    /// five readings a second, so this is fifteen of them.
    pub silence: Duration,
    /// A connection that has been silent for this long is given up and made anew,
    /// where its end may never be told to us. Twice the silence, so that a board
    /// that pauses is told to be silent first.
    pub redial: Duration,
    /// With bad frames only for this long, format or speed is wrong. A burst of
    /// noise is shorter; a person at the page should not wait longer.
    pub unreadable: Duration,
    /// How long one speed is listened to. Ten frames of a board that sends ten a
    /// second, with a margin for the frame that was cut by the start.
    pub listen_window: Duration,
}

impl Default for Timing {
    fn default() -> Self {
        Self {
            backoff_first: Duration::from_millis(200),
            backoff_cap: Duration::from_secs(1),
            silence: Duration::from_secs(3),
            redial: Duration::from_secs(6),
            unreadable: Duration::from_secs(3),
            listen_window: Duration::from_millis(1200),
        }
    }
}

/// Speeds that are listened to when none is configured, the most common first
/// (common practice, no source): 115200 of self-written firmware and 9600 of
/// the 0x55 boards as delivered.
pub const CANDIDATE_BAUDS: [u32; 7] = [115_200, 9600, 57_600, 230_400, 460_800, 921_600, 38_400];
