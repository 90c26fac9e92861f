//! One board: from the readings of its link to calibrated samples, and what
//! the page is told of it.

mod meter;
mod stamp;

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::Pose;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::live::{BoardPipeline, LiveWheel, Rejected, WheelSetup};
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::reading::{Live, Missing, Motion, RawSample, Sample, felt_at};
use hubplumb_core::stillness::WINDOW_US;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;

pub use meter::RateMeter;
pub use stamp::Stamper;

use crate::calibrating::{CalibrationNow, HeldCalibration};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::BoardConfig;
use crate::levelling::{LevelInlet, LevelInput};
use crate::link::{LinkState, LinkStatus, Observer, Target, Ways};
use crate::mount::Mount;
use crate::recording::recorder::{RecordInlet, role_of};
use crate::speech_store::{RememberedSpeech, SpeechMemory, SpeechStore};
use crate::swing::{SwingInlet, SwingInput, SwingPlace};

/// What is heard from a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heard {
    /// A calibrated reading.
    Sample(Sample),
    /// A reading at the end of the range.
    Saturated,
    /// It is gone.
    Lost,
}

/// What does not change while the daemon runs.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardFacts {
    /// Stable identity.
    pub id: String,
    /// Name for a person.
    pub name: String,
    /// Where it is strapped, if that is known.
    pub mount: Option<Mount>,
    /// How it was said to sit on a wheel, if it does and that was said.
    pub wheel: Option<WheelSetup>,
    /// Axis that points roughly away from the car, where no more was said.
    pub away: Option<BoardAxis>,
}

/// What is known of a board at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardNow {
    /// Its link.
    pub status: LinkStatus,
    /// Readings per second.
    pub rate_hz: Option<f64>,
    /// Chip temperature, °C.
    pub temperature_c: Option<f64>,
    /// Rate of its clock against ours.
    pub clock_ppm: Option<f64>,
    /// Readings that could not be used, by the code of the reason.
    pub unused: BTreeMap<&'static str, u64>,
    /// The angles of the wheel it is on.
    pub live: LiveWheel,
    /// Its calibration.
    pub calibration: CalibrationNow,
}

/// A board, shared by the task that reads it and the one that shows it. The
/// lock is held for the length of one read or one look, never across a wait.
#[derive(Debug)]
pub struct Board {
    facts: BoardFacts,
    inner: Mutex<Inner>,
}

#[derive(Debug)]
struct Inner {
    pipeline: BoardPipeline,
    calibration: HeldCalibration,
    stamper: Stamper,
    meter: RateMeter,
    status: LinkStatus,
    temperature_c: Option<f64>,
    unused: BTreeMap<&'static str, u64>,
    /// What its readings say of gravity: all of it, or where it points only.
    tells: Option<Tells>,
}

/// What a board's readings say of gravity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tells {
    Force,
    Angles,
}

impl Inner {
    /// What the board felt. Its own idea of its attitude is taken only from a board
    /// that has never said more.
    fn felt(&mut self, reading: &Reading) -> Option<Vec3<hubplumb_core::frames::Board>> {
        match (reading.accel_g, reading.attitude_rad) {
            (Some(accel_g), _) => {
                self.tells = Some(Tells::Force);
                Some(Vec3::from_array(accel_g))
            }
            (None, Some([roll, pitch, _])) if self.tells != Some(Tells::Force) => {
                self.tells = Some(Tells::Angles);
                Some(felt_at(Angle::from_rad(roll), Angle::from_rad(pitch)))
            }
            _ => None,
        }
    }

    /// The figures as they are now, for what the board tells.
    fn figures(&mut self) -> ChipFigures {
        self.calibration.trust_now(&mut self.pipeline);
        let chip = self.pipeline.chip();
        ChipFigures {
            angles_only: chip.angles_only || self.tells == Some(Tells::Angles),
            ..chip
        }
    }
}

impl Board {
    /// A board as the configuration describes it.
    pub fn new(config: &BoardConfig, floor: hubplumb_core::floor::FloorSlope) -> Self {
        let wheel =
            config
                .mount
                .and_then(Mount::side)
                .zip(config.mounting)
                .map(|(side, mounting)| WheelSetup {
                    side,
                    chip: config.chip,
                    mounting,
                    floor,
                });
        Self {
            facts: BoardFacts {
                id: config.id.clone(),
                name: config.name.clone(),
                mount: config.mount,
                wheel,
                away: config.away,
            },
            inner: Mutex::new(Inner {
                pipeline: BoardPipeline::new(config.calibration, config.chip, wheel),
                calibration: HeldCalibration::new(
                    config.id.clone(),
                    config.chip,
                    config.calibration.is_done(),
                ),
                stamper: Stamper::default(),
                meter: RateMeter::default(),
                status: LinkStatus::new(config.id.clone()),
                temperature_c: None,
                unused: BTreeMap::new(),
                tells: None,
            }),
        }
    }

    /// What does not change.
    pub fn facts(&self) -> &BoardFacts {
        &self.facts
    }

    /// What is known at `now`.
    pub fn look(&self, now: HostTime) -> BoardNow {
        let inner = self.lock();
        let live = match inner.status.state {
            LinkState::Absent { .. } | LinkState::Refused(_) => LiveWheel {
                camber: Live::Missing(Missing::Absent),
                hub_pitch: Live::Missing(Missing::Absent),
                motion: Motion::Unknown,
            },
            _ => inner.pipeline.live(now),
        };
        let is_live = inner.status.state == LinkState::Live;
        BoardNow {
            status: inner.status.clone(),
            rate_hz: if is_live {
                inner.meter.rate_hz(now)
            } else {
                None
            },
            temperature_c: if is_live { inner.temperature_c } else { None },
            clock_ppm: inner.stamper.ppm(),
            unused: inner.unused.clone(),
            live,
            calibration: inner.calibration.look(&inner.pipeline),
        }
    }

    /// Are readings arriving?
    pub fn is_live(&self) -> bool {
        self.lock().status.state == LinkState::Live
    }

    /// The wheel it is on, with the figures of its calibration as they are now.
    pub fn wheel(&self) -> Option<WheelSetup> {
        let mut inner = self.lock();
        let chip = inner.figures();
        let wheel = inner.pipeline.wheel()?;
        Some(WheelSetup { chip, ..*wheel })
    }

    /// What its chip can be trusted for now.
    pub fn chip(&self) -> ChipFigures {
        self.lock().figures()
    }

    /// The calibration in force.
    pub fn calibration_in_force(&self) -> Calibration {
        self.lock().pipeline.calibration()
    }

    /// The wheel was turned, or the floor surveyed: goes by this from now on.
    pub fn settle_wheel(&self, wheel: Option<WheelSetup>) {
        self.lock().pipeline.set_wheel(wheel);
    }

    /// Mean of a board that lies still at `now`, over the last half second.
    pub fn pose(&self, now: HostTime) -> Option<Pose> {
        let inner = self.lock();
        let (accel_g, noise) = inner.pipeline.still_mean(now)?;
        Some(Pose {
            accel_g,
            noise_g: noise.rad(),
            rate_radps: None,
            seconds: WINDOW_US as f64 * 1e-6,
            temperature_c: inner.temperature_c,
        })
    }

    /// The printed axes along the spindle and forward, as it is strapped on: turned
    /// about the second, top and bottom change places, which gravity shows.
    pub fn mounted_axes(&self) -> Option<(BoardAxis, BoardAxis)> {
        let wheel = self.facts.wheel.as_ref()?;
        Some((
            BoardAxis::nearest(&wheel.mounting.spindle(wheel.side)),
            BoardAxis::nearest(&wheel.mounting.forward()),
        ))
    }

    /// Does something with its calibration.
    pub fn calibration<T>(
        &self,
        act: impl FnOnce(&mut HeldCalibration, &mut BoardPipeline) -> T,
    ) -> T {
        let mut inner = self.lock();
        let Inner {
            calibration,
            pipeline,
            ..
        } = &mut *inner;
        act(calibration, pipeline)
    }

    fn lock(&self) -> MutexGuard<'_, Inner> {
        // What a panicking holder left behind is counters and a filter; the next reading puts them right.
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The ways from a board to what is measured with it.
#[derive(Debug, Clone, Default)]
pub struct Inlets {
    /// To the swing.
    pub swing: Arc<SwingInlet>,
    /// To the run-outs.
    pub level: Arc<LevelInlet>,
}

/// Takes what the link reports into a board and on to what is measured.
#[derive(Debug)]
pub struct BoardKeeper {
    board: Arc<Board>,
    clock: DaemonClock,
    inlets: Inlets,
    record: Option<Arc<RecordInlet>>,
    kept: Kept,
    memory: SpeechMemory,
    was_there: bool,
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
    /// A keeper of `board`.
    pub fn new(board: Arc<Board>, clock: DaemonClock, inlets: Inlets, kept: Kept) -> Self {
        let keeper = Self {
            board,
            clock,
            inlets,
            record: None,
            memory: SpeechMemory::new(SpeechStore::beside(&kept.store)),
            kept,
            was_there: false,
        };
        keeper.look_up_calibration(true);
        keeper
    }

    /// Loads the calibration of the board that answers now, if it is another one. The
    /// files are of a few kilobytes and read once per plugging in.
    fn look_up_calibration(&self, first: bool) {
        let identity = self.kept.identity();
        if first
            || self
                .board
                .calibration(|held, _| held.board() != identity.as_str())
        {
            let loaded = self.kept.store.load(&identity);
            if let Err(error) = &loaded {
                tracing::warn!(%error, "a kept calibration cannot be used");
            }
            self.board
                .calibration(|held, pipeline| held.found(&identity, loaded, pipeline));
        }
    }

    /// The same keeper, which hands readings to a recorder as well.
    #[must_use]
    pub fn recorded(mut self, record: Option<Arc<RecordInlet>>) -> Self {
        self.record = record;
        self
    }

    /// Hands a reading to the recorder before anybody judges what it means.
    fn record(&self, raw: &RawSample, ingested: &Result<Sample, Rejected>) {
        // A reading without a time of its own has no place in a recording.
        if matches!(
            ingested,
            Err(Rejected::NotFinite | Rejected::TimeNotForward { .. })
        ) {
            return;
        }
        if let (Some(record), Some(role)) = (&self.record, self.board.facts.mount.and_then(role_of))
        {
            record.offer(role, *raw);
        }
    }

    fn offer(&self, heard: Heard) {
        if let Some(mount) = self.board.facts.mount {
            if let Some(place) = SwingPlace::of(mount) {
                self.inlets.swing.offer(SwingInput { place, heard });
            }
            self.inlets.level.offer(LevelInput { mount, heard });
        }
    }
}

impl Observer for BoardKeeper {
    fn arrived(&mut self, _: &[u8], readings: &[Reading]) {
        if readings.is_empty() {
            return;
        }
        let now = self.clock.now();
        let mut guard = self.board.lock();
        let inner = &mut *guard;
        inner.meter.count(now, readings.len());
        let times = inner.stamper.stamp(readings, now);
        for (reading, at) in readings.iter().zip(times) {
            if let Some(now_c) = reading.temperature_c {
                inner.temperature_c = Some(now_c);
                inner.calibration.warmed(now_c, &mut inner.pipeline);
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
            inner.calibration.observe(&raw);
            let ingested = inner.pipeline.ingest(&raw);
            self.record(&raw, &ingested);
            match ingested {
                Ok(sample) => self.offer(Heard::Sample(sample)),
                Err(rejected) => {
                    *inner.unused.entry(code(&rejected)).or_default() += 1;
                    if matches!(rejected, Rejected::Saturated { .. }) {
                        self.offer(Heard::Saturated);
                    }
                }
            }
        }
    }

    fn remembered(&mut self) -> Option<RememberedSpeech> {
        self.memory.recall(&self.kept.identity())
    }

    fn status(&mut self, status: &LinkStatus) {
        self.memory.status(status, || self.kept.identity());
        self.board.lock().status.clone_from(status);
        let is_there = !matches!(
            status.state,
            LinkState::Absent { .. } | LinkState::Refused(_)
        );
        if is_there && !self.was_there {
            self.look_up_calibration(false);
        }
        if self.was_there && !is_there {
            self.board.calibration(|held, _| held.lost());
            self.offer(Heard::Lost);
        }
        self.was_there = is_there;
    }
}

fn code(rejected: &Rejected) -> &'static str {
    match rejected {
        Rejected::NotFinite => "not_finite",
        Rejected::Saturated { .. } => "saturated",
        Rejected::TimeNotForward { .. } => "time_not_forward",
    }
}
