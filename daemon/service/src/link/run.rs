//! The life of one link: open, find out, read, notice the end, try again.

use std::collections::BTreeMap;
use std::time::Duration;

use hubplumb_protocol::{Frame, FrameReader, Reading, WireFormat};
use tokio::io::AsyncReadExt;
use tokio::time::{Instant, sleep, timeout_at};
use tokio_util::sync::CancellationToken;

use super::backoff::Backoff;
use super::line_watch::{LineState, LineWatch};
use super::listen::{Heard, READ_BYTES, Told, listen};
use super::status::{LinkState, LinkStatus, Speech, Unreadable};
use super::timing::{CANDIDATE_BAUDS, Timing};
use super::transport::{Line, OpenError, Transport};
use crate::speech_store::RememberedSpeech;

/// What the configuration tells of a link. What it tells is never guessed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LinkSettings {
    /// Speed of the line.
    pub baud: Option<u32>,
    /// Wire format.
    pub format: Option<WireFormat>,
    /// The times it works by.
    pub timing: Timing,
}

/// Who listens to a link.
pub trait Observer: Send {
    /// One read of the line: the bytes, and the readings that were whole with
    /// them, oldest first; often none.
    fn arrived(&mut self, bytes: &[u8], readings: &[Reading]);
    /// State or counts of the link changed.
    fn status(&mut self, status: &LinkStatus);
    /// How the board talked when it was last listened to; asked before a port is opened of
    /// which no more is known. It stays a guess and is tried first.
    fn remembered(&mut self) -> Option<RememberedSpeech> {
        None
    }
}

/// Runs a link until `stop`. It never gives up: a port that comes back is used again.
pub async fn run<T: Transport, O: Observer>(
    transport: T,
    settings: LinkSettings,
    observer: O,
    stop: CancellationToken,
) {
    let mut link = Link {
        status: LinkStatus::new(transport.port()),
        known: told_speech(&settings, transport.has_speed()),
        backoff: Backoff::new(settings.timing.backoff_first, settings.timing.backoff_cap),
        transport,
        settings,
        observer,
    };
    stop.run_until_cancelled(link.forever()).await;
}

fn told_speech(settings: &LinkSettings, has_speed: bool) -> Option<Speech> {
    let format = settings.format.clone()?;
    let baud = if has_speed {
        Some(settings.baud?)
    } else {
        None
    };
    Some(Speech {
        baud,
        baud_is_guess: false,
        format,
        format_is_guess: false,
        why: None,
    })
}

/// What was remembered, where it tells all that is not told anyway.
fn remembered_speech(
    remembered: RememberedSpeech,
    settings: &LinkSettings,
    has_speed: bool,
) -> Option<Speech> {
    let baud = has_speed.then(|| settings.baud.or(remembered.baud));
    // A line that has a speed needs to know it.
    if baud == Some(None) {
        return None;
    }
    let format = settings.format.clone().or(remembered.format)?;
    let found_on = remembered.date.date();
    let why = remembered
        .why
        .map_or_else(String::new, |why| format!(": {why}"));
    Some(Speech {
        baud: baud.flatten(),
        baud_is_guess: has_speed && settings.baud.is_none(),
        format,
        format_is_guess: settings.format.is_none(),
        why: Some(format!("remembered from {found_on}{why}")),
    })
}

/// Why the reading of a line stopped.
enum Stopped {
    /// The line ended.
    Ended,
    /// What was guessed is not what arrives.
    GuessFailed,
}

struct Link<T, O> {
    transport: T,
    settings: LinkSettings,
    observer: O,
    status: LinkStatus,
    /// Told, or found by an earlier listening: a board that is plugged in again most likely talks as before.
    known: Option<Speech>,
    backoff: Backoff,
}

impl<T: Transport, O: Observer> Link<T, O> {
    async fn forever(&mut self) {
        self.publish();
        loop {
            if self.known.is_none()
                && let Some(remembered) = self.observer.remembered()
            {
                let has_speed = self.transport.has_speed();
                self.known = remembered_speech(remembered, &self.settings, has_speed);
            }
            let baud = self
                .known
                .as_ref()
                .and_then(|speech| speech.baud)
                .or(self.settings.baud);
            let opened = self
                .transport
                .open(baud.unwrap_or(CANDIDATE_BAUDS[0]))
                .await;
            self.status.port = self.transport.port();
            match opened {
                Ok(line) => {
                    self.enter(LinkState::Listening);
                    // The line is dropped at the end of this call, before the port is opened again.
                    self.live_through(line).await;
                    self.enter(LinkState::Absent {
                        wanted: self.status.port.clone(),
                    });
                }
                Err(OpenError::Absent { wanted }) => self.enter(LinkState::Absent { wanted }),
                Err(error) => self.enter(LinkState::Refused(error)),
            }
            sleep(self.backoff.wait()).await;
        }
    }

    /// Uses an open line until it ends.
    async fn live_through(&mut self, mut line: T::Line) {
        let mut last_heard = Instant::now();
        loop {
            let stopped = if let Some(speech) = self.known.clone() {
                self.read(&mut line, &speech).await
            } else {
                let told = Told {
                    has_speed: self.transport.has_speed(),
                    baud: self.settings.baud,
                    format: self.settings.format.as_ref(),
                };
                match listen(&mut line, told, self.settings.timing).await {
                    Heard::Speech(speech) => {
                        self.known = Some(speech);
                        continue;
                    }
                    Heard::Ended => Stopped::Ended,
                    Heard::Nothing => {
                        if last_heard.elapsed() >= self.settings.timing.silence {
                            self.enter(LinkState::Silent);
                        }
                        continue;
                    }
                    Heard::Noise { bauds, sample } => {
                        last_heard = Instant::now();
                        self.enter(LinkState::Unreadable(Unreadable::NoFormatFits {
                            bauds,
                            sample,
                        }));
                        continue;
                    }
                }
            };
            match stopped {
                Stopped::Ended => return,
                Stopped::GuessFailed => {
                    self.known = None;
                    self.status.speech = None;
                    last_heard = Instant::now();
                    self.enter(LinkState::Listening);
                }
            }
        }
    }

    /// Reads frames from an open line whose speed and format are known.
    async fn read(&mut self, line: &mut T::Line, speech: &Speech) -> Stopped {
        if let Some(baud) = speech.baud
            && let Err(error) = line.set_baud(baud)
        {
            tracing::debug!(baud, %error, "the port does not take this speed");
        }
        self.status.speech = Some(speech.clone());
        self.publish();
        let mut reader = FrameReader::new(&speech.format);
        let mut watch = LineWatch::opened(Instant::now(), self.settings.timing);
        let mut bad_now: BTreeMap<&'static str, u64> = BTreeMap::new();
        let mut buffer = [0; READ_BYTES];
        let packing = line.packing();
        loop {
            let deadline = watch.deadline(Instant::now());
            let until = deadline.unwrap_or_else(|| Instant::now() + Duration::from_secs(3600));
            match timeout_at(until, line.read(&mut buffer)).await {
                Err(_elapsed) => {}
                Ok(Ok(0)) => return Stopped::Ended,
                Ok(Ok(count)) => {
                    let bytes = &buffer[..count];
                    reader.push_piece(bytes, packing);
                    let good = self.take_frames(bytes, &mut reader, &mut bad_now);
                    if good > 0 {
                        self.backoff.reset();
                        bad_now.clear();
                    }
                    watch.arrived(Instant::now(), good);
                }
                Ok(Err(error)) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Ok(Err(error)) => {
                    tracing::debug!(port = self.status.port, %error, "the line ended");
                    return Stopped::Ended;
                }
            }
            match watch.state(Instant::now()) {
                LineState::Opening => {}
                LineState::Live => self.enter(LinkState::Live),
                LineState::Silent => self.enter(LinkState::Silent),
                LineState::Unreadable if speech.is_guess() => return Stopped::GuessFailed,
                LineState::Unreadable => {
                    let mostly = bad_now
                        .iter()
                        .max_by_key(|(_, count)| **count)
                        .map(|(reason, _)| *reason);
                    let (baud, format) = (speech.baud, speech.format.name());
                    self.enter(LinkState::Unreadable(Unreadable::OnlyBadFrames {
                        baud,
                        format,
                        mostly,
                    }));
                }
            }
        }
    }

    /// Takes every whole frame out of the reader; gives the number of good ones.
    fn take_frames(
        &mut self,
        bytes: &[u8],
        reader: &mut FrameReader,
        bad_now: &mut BTreeMap<&'static str, u64>,
    ) -> usize {
        let mut readings = Vec::new();
        let mut bad = false;
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => readings.push(reading),
                Frame::Bad(frame) => {
                    bad = true;
                    tracing::debug!(
                        port = self.status.port,
                        offset = frame.offset,
                        reason = frame.reason.code(),
                        "bad frame"
                    );
                    *bad_now.entry(frame.reason.code()).or_default() += 1;
                    *self
                        .status
                        .bad_frames
                        .entry(frame.reason.code())
                        .or_default() += 1;
                }
            }
        }
        self.status.good_frames += readings.len() as u64;
        self.observer.arrived(bytes, &readings);
        if bad || !readings.is_empty() {
            self.publish();
        }
        readings.len()
    }

    fn enter(&mut self, state: LinkState) {
        if self.status.state != state {
            tracing::info!(port = self.status.port, state = ?state, "link");
            self.status.state = state;
            self.publish();
        }
    }

    fn publish(&mut self) {
        self.status.about = self.transport.about();
        self.observer.status(&self.status);
    }
}
