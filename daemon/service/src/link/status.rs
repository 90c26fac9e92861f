//! What is known of a link: told to the page, to the command line and to the board's task.

use std::collections::BTreeMap;
use std::sync::Arc;

use hubplumb_protocol::{Packing, WireFormat};

use super::transport::{About, OpenError};

/// How a board talks, and whether that was told or found out.
#[derive(Debug, Clone, PartialEq)]
pub struct Speech {
    /// Speed of the line; none where a line has none.
    pub baud: Option<u32>,
    /// True when the speed was found by listening.
    pub baud_is_guess: bool,
    /// Wire format.
    pub format: WireFormat,
    /// True when the format was found by listening.
    pub format_is_guess: bool,
    /// What speaks for the format, where it is a guess.
    pub why: Option<String>,
}

impl Speech {
    /// Is any of it a guess?
    pub fn is_guess(&self) -> bool {
        self.baud_is_guess || self.format_is_guess
    }
}

/// State of a link.
#[derive(Debug, Clone, PartialEq)]
pub enum LinkState {
    /// The port is open; what arrives is being listened to.
    Listening,
    /// Good frames arrive.
    Live,
    /// The port is open and nothing arrives.
    Silent,
    /// Bytes arrive and make no good frames.
    Unreadable(Unreadable),
    /// The port is not there, or went away.
    Absent {
        /// Port or identity that is waited for.
        wanted: String,
    },
    /// The port is there and may not be opened.
    Refused(OpenError),
}

/// Evidence that a line cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub enum Unreadable {
    /// Format and speed are known, and only bad frames arrive.
    OnlyBadFrames {
        /// Speed the line was read at, where it has one.
        baud: Option<u32>,
        /// Format it was read in.
        format: &'static str,
        /// Most frequent reason for which frames were bad; none when not even a whole frame was seen.
        mostly: Option<&'static str>,
    },
    /// Every speed was listened to, bytes arrived, and no format explains them.
    NoFormatFits {
        /// Speeds that were tried; none where the line has no speed.
        bauds: Vec<u32>,
        /// First bytes that arrived, as evidence.
        sample: Vec<u8>,
    },
}

/// Everything known of a link.
///
/// It is told with every read of the line, so following it by `clone_from` allocates nothing while
/// counts alone move.
#[derive(Debug, PartialEq)]
pub struct LinkStatus {
    /// Its state.
    pub state: LinkState,
    /// Port by which the board is or was last reached.
    pub port: String,
    /// How the board talks, once that is known.
    pub speech: Option<Arc<Speech>>,
    /// Times that its line was opened since the start of the daemon.
    pub openings: u64,
    /// Bytes that were read since the start of the daemon in a known format.
    pub bytes: u64,
    /// Good frames since the start of the daemon.
    pub good_frames: u64,
    /// Bad frames since the start of the daemon, by the code of their reason.
    pub bad_frames: BTreeMap<&'static str, u64>,
    /// What the board says of itself.
    pub about: About,
    /// How its line cuts what it carries.
    pub packing: Packing,
}

impl LinkStatus {
    /// A link of which nothing is known yet.
    pub fn new(port: String) -> Self {
        Self {
            state: LinkState::Listening,
            port,
            speech: None,
            openings: 0,
            bytes: 0,
            good_frames: 0,
            bad_frames: BTreeMap::new(),
            about: About::default(),
            packing: Packing::Stream,
        }
    }
}

impl Clone for LinkStatus {
    fn clone(&self) -> Self {
        Self {
            state: self.state.clone(),
            port: self.port.clone(),
            speech: self.speech.clone(),
            openings: self.openings,
            bytes: self.bytes,
            good_frames: self.good_frames,
            bad_frames: self.bad_frames.clone(),
            about: self.about.clone(),
            packing: self.packing,
        }
    }

    fn clone_from(&mut self, now: &Self) {
        self.state.clone_from(&now.state);
        self.port.clone_from(&now.port);
        if !is_same(self.speech.as_ref(), now.speech.as_ref()) {
            self.speech.clone_from(&now.speech);
        }
        self.openings = now.openings;
        self.bytes = now.bytes;
        self.good_frames = now.good_frames;
        if self.bad_frames.keys().eq(now.bad_frames.keys()) {
            for (kept, count) in self.bad_frames.values_mut().zip(now.bad_frames.values()) {
                *kept = *count;
            }
        } else {
            self.bad_frames.clone_from(&now.bad_frames);
        }
        if self.about != now.about {
            self.about.clone_from(&now.about);
        }
        self.packing = now.packing;
    }
}

/// The very same one, not only one that says the same.
fn is_same(one: Option<&Arc<Speech>>, other: Option<&Arc<Speech>>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => Arc::ptr_eq(one, other),
        (None, None) => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_says_the_same_in_everything() {
        let mut before = LinkStatus::new("a".to_owned());
        let mut now = LinkStatus {
            state: LinkState::Live,
            port: "another port".to_owned(),
            speech: Some(Arc::new(Speech {
                baud: Some(9600),
                baud_is_guess: true,
                format: WireFormat::Compact,
                format_is_guess: false,
                why: None,
            })),
            openings: 2,
            bytes: 3,
            good_frames: 4,
            bad_frames: BTreeMap::from([("late", 5)]),
            about: About {
                battery_percent: Some(6),
                ..About::default()
            },
            packing: Packing::Pieces,
        };
        before.clone_from(&now);
        assert_eq!(before, now);
        now.bad_frames.insert("late", 6);
        now.bytes += 1;
        let followed = allocation_counter::measure(|| before.clone_from(&now));
        assert_eq!((&before, followed.count_total), (&now, 0));
        now.bad_frames.insert("overrun", 1);
        now.speech = None;
        before.clone_from(&now);
        assert_eq!(before, now);
    }
}
