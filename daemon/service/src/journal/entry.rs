//! What a journal says, one JSON object a line.

use hubplumb_core::angle::Angle;
use hubplumb_core::side::Side;
use hubplumb_core::swing::SteerSource;
use hubplumb_protocol::{Packing, Reading};
use serde::{Deserialize, Serialize};

use super::level::LevelNote;
use crate::checking::CheckWish;
use crate::config::Texts;
use crate::http::views::{CheckFigure, CheckStart};
use crate::swing::Wish;

/// Version of the lines. One that older programs would misread gets another number.
pub(super) const FORMAT: u32 = 1;

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
pub enum Entry {
    /// The first line of every file.
    Begun {
        /// Version of the lines.
        format: u32,
        /// Version of the program.
        program: String,
        /// Number of the file, from 1; what came before it may have been given up.
        file: u64,
        /// The configuration; empty where there was none.
        configuration: Texts,
    },
    /// It is another day: calibrations are trusted by their age in days.
    Day {
        /// Number of the board that is told.
        board: usize,
        /// Julian day number.
        julian: i32,
    },
    /// A board that no configuration names is read from now on.
    Found {
        /// Its number: one more than the last.
        board: usize,
        /// Its identity.
        id: String,
        /// What it is called.
        name: String,
    },
    /// A board is let go and not read any more.
    Left {
        /// Number of the board.
        board: usize,
    },
    /// Another calibration came into force, or none.
    Calibration {
        /// Number of the board in the configuration, from 0.
        board: usize,
        /// Which board it is that answers.
        identity: String,
        /// The calibration's file; none where there is none or it is unreadable.
        file: Option<String>,
    },
    /// A link reads a board in this format from now on.
    Speaks {
        /// Number of the board.
        board: usize,
        /// Name of the format.
        format: String,
        /// Width of its running numbers.
        number_bits: Option<u8>,
        /// How the link cuts what it carries.
        packing: PackingNote,
        /// Has the format a check sum? What was written before this was noted took it so.
        #[serde(default = "yes", skip_serializing_if = "is_so")]
        summed: bool,
    },
    /// One read of a line.
    Heard {
        /// Number of the board.
        board: usize,
        /// When, µs of the daemon's time.
        at_us: i64,
        /// The bytes, in hexadecimal.
        bytes: String,
        /// The readings that were whole with them.
        readings: Vec<Reading>,
        /// How many frames ended with them that were bad.
        #[serde(default, skip_serializing_if = "is_nought")]
        bad: u64,
    },
    /// A board came, went, or fell silent.
    Presence {
        /// Number of the board.
        board: usize,
        /// What it does now.
        is: Presence,
    },
    /// A task took so many readings from its queue.
    Fed {
        /// Which task.
        task: Task,
        /// How many.
        readings: usize,
    },
    /// A wish was granted or refused by the swing.
    Swing {
        /// The wish.
        wish: SwingNote,
    },
    /// A wish was granted or refused by floor, toe and run-outs.
    Level {
        /// When, µs of the daemon's time.
        at_us: i64,
        /// The wish.
        wish: LevelNote,
    },
    /// A wish was granted or refused by the checks.
    Check {
        /// When, µs of the daemon's time.
        at_us: i64,
        /// The wish.
        wish: CheckNote,
    },
    /// A swing is over.
    SwingOver {
        /// Which run.
        run: u64,
        /// Everything found, to the last bit.
        found: String,
    },
    /// The disk was too slow for so many notes.
    Missing {
        /// How many.
        notes: u64,
    },
}

/// How a link cuts what it carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PackingNote {
    /// Anywhere.
    Stream,
    /// Into pieces.
    Pieces,
    /// Into whole messages.
    Messages,
}

impl From<Packing> for PackingNote {
    fn from(packing: Packing) -> Self {
        match packing {
            Packing::Stream => Self::Stream,
            Packing::Pieces => Self::Pieces,
            Packing::Messages => Self::Messages,
        }
    }
}

impl From<PackingNote> for Packing {
    fn from(note: PackingNote) -> Self {
        match note {
            PackingNote::Stream => Self::Stream,
            PackingNote::Pieces => Self::Pieces,
            PackingNote::Messages => Self::Messages,
        }
    }
}

/// What a board does, as far as the measurements care.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Presence {
    /// Readings arrive.
    Live,
    /// It is there and gives no readings.
    Quiet,
    /// It is not there.
    Gone,
}

/// A task with a queue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Task {
    /// The steering swing.
    Swing,
    /// Run-outs.
    Level,
    /// Checks.
    Check,
}

/// A wish of the checks, as clients send it: its numbers come back to the bit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum CheckNote {
    /// Start one.
    Start(CheckStart),
    /// A figure.
    Figure(CheckFigure),
    /// End it.
    Finish,
    /// Give it up.
    Cancel,
    /// Toe-out on turns of the last swing.
    TurnsOfSwing,
}

impl From<&CheckWish> for CheckNote {
    fn from(wish: &CheckWish) -> Self {
        match wish {
            CheckWish::Start(start) => Self::Start(start.clone()),
            CheckWish::Figure(figure) => Self::Figure(figure.clone()),
            CheckWish::Finish => Self::Finish,
            CheckWish::Cancel => Self::Cancel,
            CheckWish::TurnsOfSwing => Self::TurnsOfSwing,
        }
    }
}

impl From<CheckNote> for CheckWish {
    fn from(note: CheckNote) -> Self {
        match note {
            CheckNote::Start(start) => Self::Start(start),
            CheckNote::Figure(figure) => Self::Figure(figure),
            CheckNote::Finish => Self::Finish,
            CheckNote::Cancel => Self::Cancel,
            CheckNote::TurnsOfSwing => Self::TurnsOfSwing,
        }
    }
}

/// A wish of the swing. Angles are in radians, so that they come back to the bit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SwingNote {
    /// Start, steer angles from the gyros.
    StartByGyro,
    /// Start, steer angles from turn plates.
    StartByPlates,
    /// Give it up.
    Cancel,
    /// A turn-plate reading.
    Plate {
        /// Number of the rest.
        rest: usize,
        /// Is it the left wheel's?
        left: bool,
        /// The reading, + left.
        plate_rad: f64,
    },
}

impl From<&Wish> for SwingNote {
    fn from(wish: &Wish) -> Self {
        match *wish {
            Wish::Start(SteerSource::Gyro) => Self::StartByGyro,
            Wish::Start(SteerSource::Plates) => Self::StartByPlates,
            Wish::Cancel => Self::Cancel,
            Wish::Plate { rest, side, plate } => Self::Plate {
                rest,
                left: side == Side::Left,
                plate_rad: plate.rad(),
            },
        }
    }
}

impl From<SwingNote> for Wish {
    fn from(note: SwingNote) -> Self {
        match note {
            SwingNote::StartByGyro => Self::Start(SteerSource::Gyro),
            SwingNote::StartByPlates => Self::Start(SteerSource::Plates),
            SwingNote::Cancel => Self::Cancel,
            SwingNote::Plate {
                rest,
                left,
                plate_rad,
            } => Self::Plate {
                rest,
                side: side(left),
                plate: Angle::from_rad(plate_rad),
            },
        }
    }
}

const fn yes() -> bool {
    true
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands it so")]
const fn is_so(summed: &bool) -> bool {
    *summed
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands it so")]
const fn is_nought(bad: &u64) -> bool {
    *bad == 0
}

pub(super) const fn side(left: bool) -> Side {
    if left { Side::Left } else { Side::Right }
}
