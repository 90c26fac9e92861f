//! Finding out speed and format of an unknown board by listening alone.
//!
//! Nothing is written, not even a question of a format that has to be asked: a command meant for one board may change another's
//! settings for good. One open line is tuned through the candidate speeds.

use std::collections::BTreeMap;

use hubplumb_protocol::detect::{Confidence, Detector};
use hubplumb_protocol::{Frame, FrameReader, Packing, WireFormat};
use tokio::io::AsyncReadExt;
use tokio::time::{Instant, timeout_at};

use super::status::Speech;
use super::timing::{CANDIDATE_BAUDS, Timing};
use super::transport::Line;

/// Bytes taken from a line at once: a few frames of any board, so that a
/// flooded line still gives way to other tasks, and every datagram that
/// fits an Ethernet frame (1472 bytes) whole.
pub(super) const READ_BYTES: usize = 2048;

/// Bytes kept as evidence when nothing explains them.
const SAMPLE_BYTES: usize = 24;

/// Good frames after which a known format at an unknown speed is believed. By
/// chance alone a frame passes its checksum or its column count now and then.
const FRAMES_TO_BELIEVE: u64 = 5;

/// What listening through all speeds came to.
#[derive(Debug)]
pub(super) enum Heard {
    /// A board that talks like this.
    Speech(Speech),
    /// Not a byte.
    Nothing,
    /// Bytes that nothing explains.
    Noise {
        /// Speeds that were tried.
        bauds: Vec<u32>,
        /// First bytes.
        sample: Vec<u8>,
    },
    /// The line ended.
    Ended,
}

/// One way of judging the bytes of one speed.
enum Ear {
    Detector(Box<Detector>),
    Reader {
        reader: Box<FrameReader>,
        format: WireFormat,
        good: u64,
        bad: BTreeMap<&'static str, u64>,
    },
}

struct Verdict {
    format: WireFormat,
    why: Option<String>,
    good: u64,
    sure: bool,
}

impl Ear {
    fn new(format: Option<&WireFormat>) -> Self {
        match format {
            None => Self::Detector(Box::new(Detector::new())),
            Some(format) => Self::Reader {
                reader: Box::new(FrameReader::new(format)),
                format: format.clone(),
                good: 0,
                bad: BTreeMap::new(),
            },
        }
    }

    fn hear(&mut self, bytes: &[u8], packing: Packing) {
        match self {
            Self::Detector(detector) => detector.observe_piece(bytes, packing),
            Self::Reader {
                reader, good, bad, ..
            } => {
                reader.push_piece(bytes, packing);
                while let Some(frame) = reader.next() {
                    match frame {
                        Frame::Reading(_) => *good += 1,
                        Frame::Bad(frame) => *bad.entry(frame.reason.code()).or_default() += 1,
                    }
                }
            }
        }
    }

    fn verdict(&self) -> Option<Verdict> {
        match self {
            Self::Detector(detector) => detector.verdict().map(|guess| Verdict {
                sure: guess.confidence == Confidence::Strong,
                good: guess.good,
                format: guess.format,
                why: Some(guess.why),
            }),
            Self::Reader {
                format, good, bad, ..
            } => {
                let bad: u64 = bad.values().sum();
                (*good > bad).then(|| Verdict {
                    format: format.clone(),
                    why: None,
                    good: *good,
                    sure: *good >= FRAMES_TO_BELIEVE,
                })
            }
        }
    }
}

/// What is told and so never guessed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Told<'a> {
    /// Does the line have a speed at all?
    pub(super) has_speed: bool,
    pub(super) baud: Option<u32>,
    pub(super) format: Option<&'a WireFormat>,
}

/// Listens through every speed that may be, once.
pub(super) async fn listen<L: Line>(line: &mut L, told: Told<'_>, timing: Timing) -> Heard {
    let bauds: Vec<Option<u32>> = match told {
        Told {
            has_speed: false, ..
        } => vec![None],
        Told {
            baud: Some(baud), ..
        } => vec![Some(baud)],
        Told { .. } => CANDIDATE_BAUDS.map(Some).to_vec(),
    };
    let packing = line.packing();
    let mut best: Option<(Option<u32>, Verdict)> = None;
    let mut sample = Vec::new();
    let mut tuned = false;
    for &baud in &bauds {
        if let Some(baud) = baud
            && let Err(error) = line.set_baud(baud)
        {
            tracing::debug!(baud, %error, "the port does not take this speed");
            continue;
        }
        tuned = true;
        let mut ear = Ear::new(told.format);
        let until = Instant::now() + timing.listen_window;
        let mut buffer = [0; READ_BYTES];
        loop {
            match timeout_at(until, line.read(&mut buffer)).await {
                Err(_elapsed) => break,
                Ok(Ok(0)) => return Heard::Ended,
                Ok(Ok(count)) => {
                    let bytes = &buffer[..count];
                    sample.extend(bytes.iter().take(SAMPLE_BYTES.saturating_sub(sample.len())));
                    ear.hear(bytes, packing);
                    if ear.verdict().is_some_and(|verdict| verdict.sure) || Instant::now() >= until
                    {
                        break;
                    }
                }
                Ok(Err(error)) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Ok(Err(_)) => return Heard::Ended,
            }
        }
        match ear.verdict() {
            Some(verdict) if verdict.sure => return Heard::Speech(speech(told, baud, verdict)),
            Some(verdict)
                if best
                    .as_ref()
                    .is_none_or(|(_, best)| verdict.good > best.good) =>
            {
                best = Some((baud, verdict));
            }
            _ => {}
        }
    }
    match best {
        Some((baud, verdict)) => Heard::Speech(speech(told, baud, verdict)),
        // A line that takes no speed at all is a dead one; saying so keeps the caller from trying it at once again.
        None if !tuned => Heard::Ended,
        None if sample.is_empty() => Heard::Nothing,
        None => Heard::Noise {
            bauds: bauds.into_iter().flatten().collect(),
            sample,
        },
    }
}

fn speech(told: Told<'_>, baud: Option<u32>, verdict: Verdict) -> Speech {
    Speech {
        baud,
        baud_is_guess: told.baud.is_none() && baud.is_some(),
        format: verdict.format,
        format_is_guess: told.format.is_none(),
        why: verdict.why,
    }
}
