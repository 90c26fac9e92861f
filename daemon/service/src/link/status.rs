//! What is known of a link: told to the page, to the command line and to the board's task.

use std::collections::BTreeMap;

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
#[derive(Debug, Clone, PartialEq)]
pub struct LinkStatus {
    /// Its state.
    pub state: LinkState,
    /// Port by which the board is or was last reached.
    pub port: String,
    /// How the board talks, once that is known.
    pub speech: Option<Speech>,
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
