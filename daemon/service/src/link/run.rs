//! The life of one link: open, find out, read, notice the end, try again.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_protocol::{Frame, FrameReader, Packing, Reading, WireFormat};
use tokio::io::AsyncReadExt;
use tokio::time::{Instant, sleep, timeout_at};
use tokio_util::sync::CancellationToken;

use super::asking::Asking;
use super::backoff::Backoff;
use super::late::Newest;
use super::line_watch::{LineState, LineWatch};
use super::listen::{Heard, READ_BYTES, Told, listen};
use super::status::{LinkState, LinkStatus, Speech, Unreadable};
use super::timing::{CANDIDATE_BAUDS, Timing};
use super::transport::{Line, OpenError, Transport};
use crate::speech_store::RememberedSpeech;

#[cfg(test)]
mod allocations;

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
    /// One read of the line: the bytes, the readings that were whole with them,
    /// oldest first, often none, and how many frames came to an end that were bad.
    fn arrived(&mut self, bytes: &[u8], readings: &[Reading], bad: u64);
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
        readings: Vec::new(),
    };
    stop.run_until_cancelled(link.forever()).await;
}

/// After such a pause no datagram is one that another overtook: a number that is behind is that of a
/// board that began anew.
const NONE_OVERTAKES: Duration = Duration::from_millis(500);

/// Under this name a question that nobody answered is counted among the bad frames.
const NO_ANSWER: &str = "no_answer";

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
    /// Nothing has arrived for so long that the line has to be opened anew.
    Silent,
    /// What was guessed is not what arrives.
    GuessFailed,
}

struct Link<T, O> {
    transport: T,
    settings: LinkSettings,
    observer: O,
    status: LinkStatus,
    /// Those of the read at hand; kept, so that a read allocates nothing.
    readings: Vec<Reading>,
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
                    self.status.openings += 1;
                    self.status.packing = line.packing();
                    if let Some(format) = self.transport.format() {
                        self.known = Some(Speech {
                            baud: None,
                            baud_is_guess: false,
                            format,
                            format_is_guess: false,
                            why: None,
                        });
                    }
                    // A connection that was made anew because of silence is silent until it says something.
                    if self.status.state != LinkState::Silent {
                        self.enter(LinkState::Listening);
                    }
                    // The line is dropped at the end of this call, before the port is opened again.
                    if !self.live_through(line).await {
                        self.not_open(self.transport.ended());
                    }
                }
                Err(error) => self.not_open(error),
            }
            sleep(self.backoff.wait()).await;
        }
    }

    fn not_open(&mut self, error: OpenError) {
        self.enter(match error {
            OpenError::Absent { wanted } => LinkState::Absent { wanted },
            error => LinkState::Refused(error),
        });
    }

    /// Uses an open line until it ends, or has been silent for too long: true then.
    async fn live_through(&mut self, mut line: T::Line) -> bool {
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
                        self.count_left_out(&mut line);
                        let silent_for = last_heard.elapsed();
                        if line.silence_is_the_end() && silent_for >= self.settings.timing.redial {
                            return true;
                        }
                        if silent_for >= self.settings.timing.silence {
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
                Stopped::Ended => return false,
                Stopped::Silent => return true,
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
        self.status.speech = Some(Arc::new(speech.clone()));
        self.publish();
        let mut reader = FrameReader::new(&speech.format);
        let mut watch = LineWatch::opened(Instant::now(), self.settings.timing);
        let mut bad_now: BTreeMap<&'static str, u64> = BTreeMap::new();
        let mut buffer = [0; READ_BYTES];
        let packing = line.packing();
        let mut newest = (packing == Packing::Messages).then(Newest::default);
        let mut last_heard = Instant::now();
        // A format that was found by listening belongs to a board that talks.
        let mut asking = (speech.format.question())
            .filter(|_| !speech.format_is_guess)
            .map(|question| Asking::new(question, Instant::now()));
        loop {
            if let Some(turn) = &mut asking
                && let Err(error) = self.take_turn(line, turn).await
            {
                tracing::debug!(port = self.status.port, %error, "the question did not go out");
                if error.kind() != std::io::ErrorKind::Unsupported {
                    return Stopped::Ended;
                }
                asking = None;
            }
            let redial = last_heard + self.settings.timing.redial;
            let redial = line.silence_is_the_end().then_some(redial);
            let deadline = watch.deadline(Instant::now());
            let until = [deadline, redial, asking.as_ref().map(Asking::wake)]
                .into_iter()
                .flatten()
                .min()
                .unwrap_or_else(|| Instant::now() + Duration::from_secs(3600));
            match timeout_at(until, line.read(&mut buffer)).await {
                Err(_elapsed) => {}
                Ok(Ok(0)) => return Stopped::Ended,
                Ok(Ok(count)) => {
                    let bytes = &buffer[..count];
                    reader.push_piece(bytes, packing);
                    if let Some(newest) = &mut newest
                        && last_heard.elapsed() >= NONE_OVERTAKES
                    {
                        *newest = Newest::default();
                    }
                    last_heard = Instant::now();
                    let good = self.take_frames(
                        bytes,
                        &mut reader,
                        &mut bad_now,
                        newest.as_mut(),
                        asking.as_mut(),
                    );
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
            self.count_left_out(line);
            match watch.state(Instant::now()) {
                LineState::Silent if redial.is_some_and(|at| at <= Instant::now()) => {
                    self.enter(LinkState::Silent);
                    return Stopped::Silent;
                }
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

    /// Asks the board if it is time to, and counts a question that stayed without an answer.
    async fn take_turn(&mut self, line: &mut T::Line, asking: &mut Asking) -> std::io::Result<()> {
        let now = Instant::now();
        if asking.is_given_up(now) {
            *self.status.bad_frames.entry(NO_ANSWER).or_default() += 1;
            self.publish();
        }
        if let Some(question) = asking.due(now) {
            line.ask(question).await?;
            asking.asked(Instant::now());
        }
        Ok(())
    }

    /// Takes every whole frame out of the reader; gives the number of good ones.
    fn take_frames(
        &mut self,
        bytes: &[u8],
        reader: &mut FrameReader,
        bad_now: &mut BTreeMap<&'static str, u64>,
        mut newest: Option<&mut Newest>,
        mut asking: Option<&mut Asking>,
    ) -> usize {
        let mut readings = std::mem::take(&mut self.readings);
        readings.clear();
        let mut late = 0;
        let mut bad = 0;
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => {
                    if let Some(asking) = &mut asking {
                        asking.answered(Instant::now());
                    }
                    if newest
                        .as_mut()
                        .is_some_and(|newest| newest.overtook(&reading))
                    {
                        late += 1;
                    } else {
                        readings.push(reading);
                    }
                }
                Frame::Bad(frame) => {
                    bad += 1;
                    if let Some(asking) = &mut asking
                        && frame.reason.is_answer()
                    {
                        asking.declined(&frame.reason, Instant::now());
                    }
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
        self.status.bytes += bytes.len() as u64;
        self.status.good_frames += readings.len() as u64;
        self.observer.arrived(bytes, &readings, bad);
        if late > 0 {
            *self.status.bad_frames.entry("late").or_default() += late;
        }
        let good = readings.len();
        self.readings = readings;
        if bad > 0 || late > 0 || good > 0 {
            self.publish();
        }
        good
    }

    /// Counts what the line did not give us.
    fn count_left_out(&mut self, line: &mut T::Line) {
        let left_out = line.left_out();
        if left_out.is_empty() {
            return;
        }
        for (reason, count) in left_out {
            *self.status.bad_frames.entry(reason).or_default() += count;
        }
        self.publish();
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
