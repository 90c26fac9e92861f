//! What a board's link reports, on its way to what is measured.

use std::sync::Arc;

use hubplumb_core::frames::Vec3;
use hubplumb_core::live::Rejected;
use hubplumb_core::reading::{Missing, RawSample, Sample};
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;
use time::{Date, OffsetDateTime};
use tokio::time::Instant;

use super::{Board, Heard};
use crate::calibration_store::{CalibrationStore, StoreError, StoredCalibration, to_text};
use crate::checking::CheckInlet;
use crate::clock::DaemonClock;
use crate::journal::{Entry, Journal, Presence};
use crate::levelling::{LevelInlet, LevelInput};
use crate::link::{LinkState, LinkStatus, Observer, Target, Ways};
use crate::mount::Mount;
use crate::placing::TapInlet;
use crate::recording::recorder::{RecordInlet, role_of};
use crate::speech_store::{RememberedSpeech, SpeechMemory, SpeechStore};
use crate::swing::{SwingInlet, SwingInput, SwingPlace};
use crate::traces::{Mark, Pen, Trace, Traces};

/// The date is looked up so often, µs: ages of calibrations count in days.
const DATED_US: i64 = 1_000_000;

/// The ways from a board to what is measured with it.
#[derive(Debug, Clone, Default)]
pub struct Inlets {
    /// To the swing.
    pub swing: Arc<SwingInlet>,
    /// To the run-outs.
    pub level: Arc<LevelInlet>,
    /// To the checks.
    pub check: Arc<CheckInlet>,
    /// To whoever draws every angle.
    pub traces: Arc<Traces>,
    /// To whoever waits for a board to be tapped.
    pub tap: Arc<TapInlet>,
}

/// Takes readings into a board and on to what is measured. What happens here
/// depends on nothing but what is given: the same goes in, the same comes out.
#[derive(Debug)]
pub struct Intake {
    board: Arc<Board>,
    inlets: Inlets,
    record: Option<Arc<RecordInlet>>,
    presence: Presence,
}

impl Intake {
    /// The way into `board`.
    pub fn new(board: Arc<Board>, inlets: Inlets, record: Option<Arc<RecordInlet>>) -> Self {
        Self {
            board,
            inlets,
            record,
            presence: Presence::Gone,
        }
    }

    /// Hands a reading to the recorder before anybody judges what it means.
    fn record(&self, mount: Option<Mount>, raw: &RawSample, ingested: &Result<Sample, Rejected>) {
        // A reading without a time of its own, or with numbers that may not be its own, has no place
        // in a recording.
        if matches!(
            ingested,
            Err(Rejected::NotFinite
                | Rejected::TimeNotForward { .. }
                | Rejected::Aside
                | Rejected::Garbled)
        ) {
            return;
        }
        if let (Some(record), Some(role)) = (&self.record, mount.and_then(role_of)) {
            record.offer(role, *raw);
        }
    }

    fn mount(&self) -> Option<Mount> {
        self.board.facts().mount
    }

    fn offer(&self, mount: Option<Mount>, heard: Heard) {
        self.inlets.check.offer(&self.board, heard);
        if let Some(mount) = mount {
            if let Some(place) = SwingPlace::of(mount) {
                self.inlets.swing.offer(SwingInput { place, heard });
            }
            self.inlets.level.offer(LevelInput { mount, heard });
        }
    }

    /// Is its trace drawn?
    fn is_drawn(&self) -> bool {
        self.inlets.traces.is_wanted()
    }

    fn hand_on(&self, nth: u64, mark: Mark) {
        let board = self.board.clone();
        self.inlets.traces.hand_on(Trace { board, nth, mark });
    }

    /// Readings that arrived together at `now`, oldest first.
    pub fn take(&self, now: HostTime, readings: &[Reading]) {
        // Of one read all is of one place.
        let mount = self.mount();
        let drawn = mount.filter(|_| self.is_drawn());
        let mut guard = self.board.lock();
        let inner = &mut *guard;
        if drawn.is_none() {
            inner.pen = Pen::default();
        }
        inner.heard_at = Some(now);
        inner.meter.count(now, readings.len());
        let mut times = std::mem::take(&mut inner.times);
        inner.stamper.stamp(readings, now, &mut times);
        if inner.stamper.began_anew() {
            inner.pipeline.begin_anew();
        }
        let is_torn = inner.stamper.is_torn(now);
        for (reading, &at) in readings.iter().zip(&times) {
            if let Some(now_c) = reading.temperature_c {
                inner.temperature_c = Some(now_c);
                inner.calibration.warmed(now_c, &mut inner.pipeline);
            }
            if is_torn {
                *inner.unused.entry("torn").or_default() += 1;
                inner.pipeline.tear(at);
                if let Some(mount) = drawn {
                    inner.trace(mount, at, |nth, mark| self.hand_on(nth, mark));
                }
                self.offer(mount, Heard::Torn);
                continue;
            }
            let Some(accel_g) = inner.felt(reading) else {
                *inner.unused.entry("no_acceleration").or_default() += 1;
                continue;
            };
            let raw = RawSample {
                at,
                accel_g,
                rate_radps: reading.rate_radps.map(Vec3::from_array),
                temperature_c: reading.temperature_c,
            };
            // Before anybody judges it: a tap may well go to the end of the range.
            self.inlets.tap.offer(self.board.number(), &raw);
            let ingested = inner.pipeline.ingest(&raw);
            if !matches!(ingested, Err(Rejected::Aside | Rejected::Garbled)) {
                inner.calibration.observe(&raw);
            }
            self.record(mount, &raw, &ingested);
            let is_new = !matches!(
                ingested,
                Err(Rejected::NotFinite | Rejected::TimeNotForward { .. })
            );
            if let Some(mount) = drawn.filter(|_| is_new) {
                inner.trace(mount, at, |nth, mark| self.hand_on(nth, mark));
            }
            match ingested {
                Ok(sample) => self.offer(mount, Heard::Sample(sample)),
                Err(rejected) => {
                    *inner.unused.entry(code(&rejected)).or_default() += 1;
                    match rejected {
                        Rejected::Saturated { .. } => self.offer(mount, Heard::Saturated),
                        Rejected::Stuck { .. } => self.offer(mount, Heard::Stuck),
                        Rejected::Garbled => self.offer(mount, Heard::Garbled),
                        Rejected::NotFinite | Rejected::Aside | Rejected::TimeNotForward { .. } => {
                        }
                    }
                }
            }
        }
        inner.times = times;
    }

    /// So many frames that ended by `now` could not be read.
    pub fn refuse(&self, now: HostTime, bad: u64) {
        let mut inner = self.board.lock();
        // More than a few say no more.
        for _ in 0..bad.min(8) {
            inner.pipeline.refused(now);
        }
    }

    /// A format whose running numbers are so wide is spoken from now on, with or without a check sum.
    pub fn speaks(&self, number_bits: Option<u8>, summed: bool) {
        let mut inner = self.board.lock();
        inner.stamper.numbers_wrap_at(number_bits);
        inner.pipeline.summed(summed);
    }

    /// It is this day now.
    pub fn dated(&self, today: Date) {
        self.board
            .calibration(|held, pipeline| held.dated(today, pipeline));
    }

    /// The link is in this state now.
    pub fn shows(&mut self, status: &LinkStatus) {
        self.board.lock().status.clone_from(status);
        let presence = presence(&status.state);
        let breaks = match presence {
            Presence::Live => None,
            Presence::Quiet => Some(Missing::Stale),
            Presence::Gone => Some(Missing::Absent),
        };
        if let Some(why) = breaks.filter(|_| self.is_drawn() && self.mount().is_some()) {
            let mut inner = self.board.lock();
            inner.pen.lift(why, |nth, mark| self.hand_on(nth, mark));
        }
        if self.presence != Presence::Gone && presence == Presence::Gone {
            self.board.calibration(|held, _| held.lost());
            self.offer(self.mount(), Heard::Lost);
        }
        self.presence = presence;
    }

    /// This calibration is in force from now on.
    pub fn calibrated(
        &self,
        identity: &str,
        loaded: Result<Option<StoredCalibration>, StoreError>,
    ) {
        self.board
            .calibration(|held, pipeline| held.found(identity, loaded, pipeline));
    }
}

/// What a board does in a state of its link.
pub fn presence(state: &LinkState) -> Presence {
    match state {
        LinkState::Live => Presence::Live,
        LinkState::Listening | LinkState::Silent | LinkState::Unreadable(_) => Presence::Quiet,
        LinkState::Absent { .. } | LinkState::Refused(_) => Presence::Gone,
    }
}

/// Watches one link: what it reports goes into the journal and into the board.
#[derive(Debug)]
pub struct BoardKeeper {
    intake: Intake,
    /// Number of the board among those of the daemon.
    number: usize,
    clock: DaemonClock,
    journal: Journal,
    kept: Kept,
    memory: SpeechMemory,
    today: Option<Date>,
    dated_at: Option<HostTime>,
    number_bits: Option<u8>,
    format: Option<&'static str>,
}

/// Where the calibrations are, and which board it is that answers.
#[derive(Debug, Clone)]
pub struct Kept {
    /// The store.
    pub store: CalibrationStore,
    /// How its port is found.
    pub target: Target,
    /// Where it is looked up.
    pub ways: Ways,
}

impl Kept {
    /// The name the board's calibration is kept under: what the adapter says of itself,
    /// where it says anything, so that a calibration stays with the board and not with
    /// the number that the kernel gave its port.
    fn identity(&self) -> String {
        self.ways.identity(&self.target)
    }
}

impl BoardKeeper {
    /// A keeper of a board.
    pub fn new(intake: Intake, clock: DaemonClock, journal: Journal, kept: Kept) -> Self {
        let keeper = Self {
            number: intake.board.number(),
            intake,
            clock,
            journal,
            memory: SpeechMemory::new(SpeechStore::beside(&kept.store)),
            kept,
            today: None,
            dated_at: None,
            number_bits: None,
            format: None,
        };
        keeper.look_up_calibration(true);
        keeper
    }

    /// Loads the calibration of the board that answers now, if it is another one. The
    /// files are of a few kilobytes and read once per plugging in.
    fn look_up_calibration(&self, first: bool) {
        let identity = self.kept.identity();
        let is_another = || {
            self.intake
                .board
                .calibration(|held, _| held.board() != identity.as_str())
        };
        if !(first || is_another()) {
            return;
        }
        let loaded = self.kept.store.load(&identity);
        if let Err(error) = &loaded {
            tracing::warn!(%error, "a kept calibration cannot be used");
        }
        let mut turn = self.journal.turn();
        turn.note(|| Entry::Calibration {
            board: self.number,
            identity: identity.clone(),
            file: loaded
                .as_ref()
                .ok()
                .and_then(Option::as_ref)
                .and_then(|stored| to_text(stored).ok()),
        });
        self.intake.calibrated(&identity, loaded);
    }
}

impl Observer for BoardKeeper {
    fn arrived(&mut self, bytes: &[u8], readings: &[Reading], bad: u64) {
        let read_at = Instant::now();
        let mut turn = self.journal.turn();
        let now = self.clock.now();
        if self
            .dated_at
            .is_none_or(|then| now.since_us(then) >= DATED_US)
        {
            self.dated_at = Some(now);
            let today = OffsetDateTime::now_utc().date();
            if self.today != Some(today) {
                self.today = Some(today);
                turn.note(|| Entry::Day {
                    board: self.number,
                    julian: today.to_julian_day(),
                });
                self.intake.dated(today);
            }
        }
        turn.note(|| Entry::Heard {
            board: self.number,
            at_us: now.us(),
            bytes: hex(bytes),
            readings: readings.to_vec(),
            bad,
        });
        self.intake.refuse(now, bad);
        if !readings.is_empty() {
            self.intake.take(now, readings);
            self.intake.board.arrived(read_at);
        }
    }

    fn remembered(&mut self) -> Option<RememberedSpeech> {
        self.memory.recall(&self.kept.identity())
    }

    fn status(&mut self, status: &LinkStatus) {
        self.memory.status(status, || self.kept.identity());
        let now = presence(&status.state);
        if self.intake.presence == Presence::Gone && now != Presence::Gone {
            self.look_up_calibration(false);
        }
        let mut turn = self.journal.turn();
        if let Some(speech) = &status.speech
            && self.format != Some(speech.format.name())
        {
            self.format = Some(speech.format.name());
            self.number_bits = speech.format.sequence_bits();
            turn.note(|| Entry::Speaks {
                board: self.number,
                format: speech.format.name().to_owned(),
                number_bits: self.number_bits,
                packing: status.packing.into(),
                summed: speech.format.has_check_sum(),
            });
            self.intake
                .speaks(self.number_bits, speech.format.has_check_sum());
        }
        if self.intake.presence != now {
            turn.note(|| Entry::Presence {
                board: self.number,
                is: now,
            });
        }
        self.intake.shows(status);
    }
}

/// The status of a board that does this, where nothing more is known.
pub fn status_of(port: &str, presence: Presence) -> LinkStatus {
    let mut status = LinkStatus::new(port.to_owned());
    status.state = match presence {
        Presence::Live => LinkState::Live,
        Presence::Quiet => LinkState::Silent,
        Presence::Gone => LinkState::Absent {
            wanted: port.to_owned(),
        },
    };
    status
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        // A string takes every text.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

fn code(rejected: &Rejected) -> &'static str {
    match rejected {
        Rejected::NotFinite => "not_finite",
        Rejected::Saturated { .. } => "saturated",
        Rejected::Stuck { .. } => "stuck",
        Rejected::Aside => "leap",
        Rejected::Garbled => "garbled",
        Rejected::TimeNotForward { .. } => "time_not_forward",
    }
}
