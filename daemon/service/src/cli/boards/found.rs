//! What was found, and how it is told.

use crate::text::Text;
use hubplumb_protocol::WireFormat;
use serde::Serialize;

use super::known::{Known, bluetooth_left_out};
use crate::config::BoardConfig;
use crate::http::views::TroubleView;
use crate::link::ble::{BleRefusal, RadioTrouble};
use crate::link::{FoundPort, Holder, LinkSettings, OpenError, Target, Timing, foreseen};
use crate::present::{grabber_trouble, open_trouble, radio_trouble};
use crate::speech_store::{RememberedSpeech, SpeechStore};

/// A board, or what may be one.
#[derive(Debug, Clone)]
pub(in crate::cli) struct FoundBoard {
    /// On which way it was found: `serial`, `configured` …
    pub(super) way: &'static str,
    /// Name that stays.
    pub(super) id: String,
    /// How it is reached.
    pub(in crate::cli) target: Target,
    /// Where it is now, for a person.
    pub(in crate::cli) place: String,
    /// What it calls itself.
    pub(super) product: Option<String>,
    /// What stands in the way of using it.
    pub(in crate::cli) refused: Option<OpenError>,
    /// Its name in the configuration, with what is told there of its speech.
    pub(in crate::cli) configured: Option<(String, LinkSettings)>,
    /// What was found out about it before.
    pub(super) remembered: Option<RememberedSpeech>,
    /// Why nothing can be recalled, if there was something.
    pub(super) forgotten: Option<String>,
    /// What listening came to.
    pub(super) heard: Option<HeardView>,
    /// What its way tells of it.
    pub(super) known: Option<Known>,
    /// It may be anybody's, or no board at all: not listened to unless a configuration names it.
    pub(super) stranger: bool,
    pub(in crate::cli) port: Option<FoundPort>,
}

impl FoundBoard {
    /// Something on a way, of which no more is known. A way that is added begins with this.
    pub(super) fn new(way: &'static str, id: String, target: Target, place: String) -> Self {
        Self {
            way,
            id,
            target,
            place,
            product: None,
            refused: None,
            configured: None,
            remembered: None,
            forgotten: None,
            heard: None,
            known: None,
            stranger: false,
            port: None,
        }
    }

    /// A serial port, and what stands in the way of opening it.
    pub(super) fn of_port(port: FoundPort, refused: Option<OpenError>) -> Self {
        let place = port.node.to_string_lossy().into_owned();
        let target = Target::Identity(port.id.clone());
        Self {
            product: port.product.clone(),
            refused,
            port: Some(port.clone()),
            ..Self::new("serial", port.id, target, place)
        }
    }

    /// A board that a configuration names. Of a way without files nothing is seen
    /// from here; whether it answers, listening tells.
    pub(super) fn of_config(config: &BoardConfig, radio: Option<&RadioTrouble>) -> Self {
        let (id, target) = (config.id.clone(), config.target.clone());
        let refused = if let Target::Path(path) = &target {
            foreseen(path)
        } else if let Target::Identity(wanted) | Target::Iio(wanted) = &target {
            let wanted = wanted.clone();
            Some(OpenError::Absent { wanted })
        } else if let Target::Bluetooth(address) = &target {
            Some(OpenError::Ble(match radio {
                Some(trouble) => BleRefusal::Radio(trouble.clone()),
                None => BleRefusal::NotSeen {
                    wanted: address.to_string(),
                },
            }))
        } else {
            None
        };
        let place = target.to_string();
        Self {
            refused,
            ..Self::new("configured", id, target, place)
        }
    }

    fn is_known_as(&self, target: &Target) -> bool {
        self.known.as_ref().is_some_and(|known| known.is(target))
    }

    fn is(&self, config: &BoardConfig) -> bool {
        let named = config.target.to_string();
        let by_port = self.port.as_ref().is_some_and(|port| {
            let real = |path: &str| std::fs::canonicalize(path).ok();
            port.answers_to(&named)
                || real(&named).is_some_and(|path| real(&self.place) == Some(path))
        });
        by_port || self.is_known_as(&config.target) || self.target == config.target
    }

    /// How the board is to be listened to.
    pub(in crate::cli) fn settings(&self) -> LinkSettings {
        self.configured
            .as_ref()
            .map(|(_, settings)| settings.clone())
            .unwrap_or_default()
    }
}

/// Everything that was found.
#[derive(Debug, Default)]
pub(in crate::cli) struct Found {
    pub(in crate::cli) boards: Vec<FoundBoard>,
    /// Was Bluetooth looked at?
    pub(super) bluetooth: Looked,
}

/// What came of looking on Bluetooth.
#[derive(Debug, Default)]
pub(super) enum Looked {
    /// It was not looked at.
    #[default]
    LeftOut,
    /// Whatever is in reach was seen.
    Seen,
    /// Nothing can be seen.
    Trouble(RadioTrouble),
}

impl Found {
    /// Takes in what one way found.
    pub(super) fn add(&mut self, boards: Vec<FoundBoard>) {
        self.boards.extend(boards);
    }

    /// Gives boards the names of the configuration; of one found twice the first is kept.
    pub(super) fn name(&mut self, configured: &[BoardConfig]) {
        for config in configured {
            let mut first = true;
            self.boards.retain_mut(|board| {
                if !board.is(config) {
                    return true;
                }
                if !first && board.known.is_some() {
                    // Another of the same name is another board.
                    return true;
                }
                let settings = LinkSettings {
                    baud: config.baud,
                    format: config.format.clone(),
                    timing: Timing::default(),
                };
                if board.known.is_some() {
                    // What is remembered of it goes by the name that is written.
                    board.id = config.target.to_string();
                    board.target = config.target.clone();
                }
                board.stranger = false;
                board.configured = Some((config.name.clone(), settings));
                std::mem::replace(&mut first, false)
            });
        }
    }

    /// Recalls what was found out before.
    pub(super) fn recall(&mut self, store: &SpeechStore) {
        for board in &mut self.boards {
            match store.load(&board.id) {
                Ok(remembered) => board.remembered = remembered,
                Err(error) => board.forgotten = Some(error.to_string()),
            }
        }
    }
}

/// A program that has a port open.
#[derive(Debug, Clone, Serialize)]
pub(super) struct HolderView {
    pid: u32,
    command: String,
}

/// How a board talked when it was last listened to.
#[derive(Debug, Clone, Serialize)]
pub(super) struct RememberedView {
    found_on: String,
    pub(super) speech: SpeechView,
}

/// How a board talks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct SpeechView {
    pub(super) baud: Option<u32>,
    pub(super) baud_is_guess: bool,
    pub(super) format: Option<&'static str>,
    pub(super) columns: Option<String>,
    pub(super) format_is_guess: bool,
    pub(super) why: Option<String>,
}

/// Columns, where they are fixed.
pub(super) fn columns(format: &WireFormat) -> Option<String> {
    format.columns().map(ToString::to_string)
}

/// What listening came to.
#[derive(Debug, Clone, Serialize)]
pub(super) struct HeardView {
    /// Do readings arrive?
    pub(super) live: bool,
    pub(super) readings: u64,
    pub(super) bad_frames: u64,
    pub(super) speech: Option<SpeechView>,
    #[serde(skip)]
    pub(super) trouble: Option<TroubleView>,
}

/// One board as it is told.
#[derive(Debug, Serialize)]
pub(super) struct BoardFoundView {
    pub(super) way: &'static str,
    /// What to write into a configuration.
    pub(super) id: String,
    pub(super) place: String,
    pub(super) product: Option<String>,
    pub(super) configured_as: Option<String>,
    /// What its way tells of it.
    #[serde(flatten)]
    pub(super) known: Option<Known>,
    pub(super) held_by: Option<HolderView>,
    pub(super) remembered: Option<RememberedView>,
    pub(super) heard: Option<HeardView>,
    pub(super) troubles: Vec<TroubleView>,
}

/// Everything as it is told.
#[derive(Debug, Serialize)]
pub(super) struct FoundView {
    pub(super) boards: Vec<BoardFoundView>,
    /// What is wrong with a way, and with no board in particular.
    pub(super) troubles: Vec<TroubleView>,
    /// What may become a trouble.
    pub(super) notes: Vec<TroubleView>,
}

impl FoundView {
    pub(super) fn new(found: &Found, grabbers: &[Holder]) -> Self {
        // Told at a board of the configuration, it need not be told again.
        let is_told = found
            .boards
            .iter()
            .any(|board| matches!(board.refused, Some(OpenError::Ble(BleRefusal::Radio(_)))));
        let troubles = match &found.bluetooth {
            Looked::Trouble(radio) if !is_told => vec![radio_trouble(radio)],
            _ => Vec::new(),
        };
        let left_out = matches!(found.bluetooth, Looked::LeftOut).then(bluetooth_left_out);
        let grabbing = grabbers.iter().map(grabber_trouble);
        Self {
            boards: found.boards.iter().map(board).collect(),
            troubles,
            notes: left_out.into_iter().chain(grabbing).collect(),
        }
    }

    /// Is anything wrong with any board?
    pub(super) fn has_trouble(&self) -> bool {
        let of_boards = self.boards.iter().flat_map(|board| &board.troubles);
        of_boards.chain(&self.troubles).next().is_some()
    }
}

fn board(found: &FoundBoard) -> BoardFoundView {
    let held_by = match &found.refused {
        Some(OpenError::Busy {
            holder: Some(holder),
            ..
        }) => Some(HolderView {
            pid: holder.pid,
            command: holder.command.clone(),
        }),
        _ => None,
    };
    let refused = found.refused.as_ref().map(open_trouble);
    let forgotten = found.forgotten.as_ref().map(|why| TroubleView {
        code: "memory_unreadable".to_owned(),
        what: Text::from(format!("{why}.")),
        meaning: Text::from("The board works; finding out how it talks takes some seconds longer."),
        remedy: Text::from(
            "Nothing has to be done; the daemon writes a new file when it has listened.",
        ),
    });
    let heard = found.heard.as_ref().and_then(|heard| heard.trouble.clone());
    BoardFoundView {
        way: found.way,
        id: found.id.clone(),
        place: found.place.clone(),
        product: found.product.clone(),
        known: found.known.clone(),
        configured_as: found.configured.as_ref().map(|(name, _)| name.clone()),
        held_by,
        remembered: found.remembered.as_ref().map(remembered),
        heard: found.heard.clone(),
        troubles: refused.into_iter().chain(forgotten).chain(heard).collect(),
    }
}

fn remembered(remembered: &RememberedSpeech) -> RememberedView {
    RememberedView {
        found_on: remembered.date.date().to_string(),
        speech: SpeechView {
            baud: remembered.baud,
            baud_is_guess: remembered.baud.is_some(),
            format: remembered.format.as_ref().map(WireFormat::name),
            columns: remembered.format.as_ref().and_then(columns),
            format_is_guess: remembered.format.is_some(),
            why: remembered.why.clone(),
        },
    }
}

impl RememberedView {
    /// The day.
    pub(super) fn found_on(&self) -> &str {
        &self.found_on
    }
}
