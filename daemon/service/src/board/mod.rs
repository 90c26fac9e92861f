//! One board: from the readings of its link to calibrated samples, and what
//! the page is told of it.

mod arrivals;
mod keeper;
mod meter;
mod seat;
mod stamp;

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::Pose;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::live::{BoardPipeline, LiveWheel, WheelSetup};
use hubplumb_core::mounting::{BoardAxis, Stands};
use hubplumb_core::reading::{Live, Missing, Motion, Sample, felt_at};
use hubplumb_core::stillness::WINDOW_US;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;
use tokio::sync::watch;
use tokio::time::Instant;

pub use arrivals::Arrivals;
pub use keeper::{BoardKeeper, Inlets, Intake, Kept, presence, status_of};
pub use meter::RateMeter;
pub use seat::{Seat, SeatError, Sits};
pub use stamp::{Stamper, TimeSource};

use crate::calibrating::{CalibrationNow, HeldCalibration};
use crate::config::BoardConfig;
use crate::link::{LinkState, LinkStatus};
use crate::mount::Mount;
use crate::traces::{Mark, Pen};

/// What is heard from a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heard {
    /// A calibrated reading.
    Sample(Sample),
    /// A reading at the end of the range.
    Saturated,
    /// A reading of a chip of which an axis hangs.
    Stuck,
    /// A reading of which nobody knows whose it is or when it was taken.
    Torn,
    /// A reading of a line on which numbers change.
    Garbled,
    /// It is gone.
    Lost,
}

/// What is said of a board. Identity and origin stay; the rest changes when somebody
/// straps it elsewhere or calls it otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardFacts {
    /// Stable identity.
    pub id: String,
    /// Does the configuration name it? Then what that says is in force.
    pub configured: bool,
    /// Was it taken in by hand? Then it can be let go.
    pub taken_in: bool,
    /// Name for a person.
    pub name: String,
    /// Where it is strapped, if that is known.
    pub mount: Option<Mount>,
    /// How it sits on a wheel, if it does and enough was said for that.
    pub wheel: Option<WheelSetup>,
    /// What was said of how it sits, by the printed axes.
    pub sits: Option<Sits>,
}

impl BoardFacts {
    /// Axis that points roughly away from the car, where no more was said.
    pub const fn away(&self) -> Option<BoardAxis> {
        match self.sits {
            Some(Sits::Away(axis)) => Some(axis),
            _ => None,
        }
    }
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
    /// What the times of its readings go by; none before the first.
    pub time_source: Option<TimeSource>,
    /// Readings that could not be used, by the code of the reason.
    pub unused: BTreeMap<&'static str, u64>,
    /// When readings last arrived.
    pub heard_at: Option<HostTime>,
    /// The angles of the wheel it is on.
    pub live: LiveWheel,
    /// The printed axis that points up, while it rests.
    pub up_now: Option<BoardAxis>,
    /// Its calibration.
    pub calibration: CalibrationNow,
}

/// A board, shared by the task that reads it and the one that shows it. The
/// lock is held for the length of one read or one look, never across a wait.
#[derive(Debug)]
pub struct Board {
    number: usize,
    facts: watch::Sender<Arc<BoardFacts>>,
    inner: Mutex<Inner>,
}

/// The boards of a daemon: one that is found later comes last, one that is let go leaves.
pub type Boards = watch::Receiver<Vec<Arc<Board>>>;

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
    heard_at: Option<HostTime>,
    /// Of the readings of the read at hand; kept, so that a read allocates nothing.
    times: Vec<HostTime>,
    arrivals: Arrivals,
    /// Draws its trace, while somebody listens.
    pen: Pen,
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
        let angles = reading
            .attitude_rad
            .map(|[roll, pitch, _]| [roll, pitch])
            .or(reading.tilt_rad);
        match (reading.accel_g, angles) {
            (Some(accel_g), _) => {
                self.tells = Some(Tells::Force);
                Some(Vec3::from_array(accel_g))
            }
            (None, Some([roll, pitch])) if self.tells != Some(Tells::Force) => {
                self.tells = Some(Tells::Angles);
                Some(felt_at(Angle::from_rad(roll), Angle::from_rad(pitch)))
            }
            _ => None,
        }
    }

    /// Draws what a board on `mount` shows at a reading.
    fn trace(&mut self, mount: Mount, at: HostTime, put: impl FnMut(u64, Mark)) {
        let (lean, pitch) = if mount.side().is_some() {
            let live = self.pipeline.live(at);
            (live.camber, live.hub_pitch)
        } else {
            let lean = self.pipeline.lean(at);
            (lean.roll, lean.pitch)
        };
        let found = match (lean, pitch) {
            (Live::Known { value: lean, .. }, Live::Known { value: pitch, .. }) => {
                Ok((lean, pitch))
            }
            (Live::Missing(why), _) | (_, Live::Missing(why)) => Err(why),
        };
        self.pen.draw(at, found, put);
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
    pub fn new(number: usize, config: &BoardConfig, floor: FloorSlope) -> Self {
        Self::of(number, true, config, floor)
    }

    /// A board that was found, of which nothing is said but this.
    pub fn found(number: usize, config: &BoardConfig, floor: FloorSlope) -> Self {
        Self::of(number, false, config, floor)
    }

    fn of(number: usize, configured: bool, config: &BoardConfig, floor: FloorSlope) -> Self {
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
            number,
            facts: watch::Sender::new(Arc::new(BoardFacts {
                id: config.id.clone(),
                configured,
                taken_in: false,
                name: config.name.clone(),
                mount: config.mount,
                wheel,
                sits: wheel
                    .map(|wheel| Sits::Face {
                        outboard: BoardAxis::nearest(&wheel.mounting.spindle(wheel.side)),
                        up: BoardAxis::nearest(&wheel.mounting.up()),
                    })
                    .or(config.away.map(Sits::Away)),
            })),
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
                heard_at: None,
                times: Vec::new(),
                arrivals: Arrivals::default(),
                pen: Pen::default(),
            }),
        }
    }

    /// Its number among all that this daemon ever read; a journal knows it by that.
    pub fn number(&self) -> usize {
        self.number
    }

    /// What is said of it now.
    pub fn facts(&self) -> Arc<BoardFacts> {
        self.facts.borrow().clone()
    }

    /// Somebody took it in by hand.
    pub fn was_taken_in(&self) {
        self.facts
            .send_modify(|facts| Arc::make_mut(facts).taken_in = true);
    }

    /// Somebody calls it so from now on.
    pub fn call(&self, name: &str) {
        self.facts.send_modify(|facts| {
            name.clone_into(&mut Arc::make_mut(facts).name);
        });
    }

    /// Somebody says where it is strapped and how it sits. What it feels goes by that when
    /// its wheel is [settled](Self::settle_wheel).
    pub fn seat(&self, seat: &Seat, floor: FloorSlope) {
        let chip = self.chip();
        let wheel =
            seat.mount()
                .and_then(Mount::side)
                .zip(seat.mounting())
                .map(|(side, mounting)| WheelSetup {
                    side,
                    chip,
                    mounting,
                    floor,
                });
        self.facts.send_modify(|facts| {
            let facts = Arc::make_mut(facts);
            facts.mount = seat.mount();
            facts.wheel = wheel;
            facts.sits = seat.sits();
        });
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
            time_source: inner.stamper.source(),
            unused: inner.unused.clone(),
            heard_at: inner.heard_at,
            live,
            up_now: inner
                .pipeline
                .still_mean(now)
                .and_then(|(felt_g, _)| Dir::along(felt_g))
                .map(|up| BoardAxis::nearest(&up)),
            calibration: inner.calibration.look(&inner.pipeline),
        }
    }

    /// The reads since this was last asked.
    pub fn take_arrivals(&self) -> Arrivals {
        std::mem::take(&mut self.lock().arrivals)
    }

    /// Readings that are in it by now came with a read of the line at this moment.
    pub fn arrived(&self, at: Instant) {
        self.lock().arrivals.note(at);
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

    /// This direction of a board on the body points forward; none: nobody knows which.
    pub fn settle_forward(&self, forward: Option<Dir<hubplumb_core::frames::Board>>) {
        self.lock().pipeline.set_forward(forward);
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
        let wheel = self.facts().wheel?;
        Some((
            BoardAxis::nearest(&wheel.mounting.spindle(wheel.side)),
            BoardAxis::nearest(&wheel.mounting.forward()),
        ))
    }

    /// How it stands on a wheel, resting as it does at `now`, if that axis points outboard;
    /// none while it moves or says nothing.
    pub fn stands(&self, outboard: BoardAxis, now: HostTime) -> Option<Stands> {
        let (felt_g, _) = self.lock().pipeline.still_mean(now)?;
        Stands::with(outboard, &felt_g)
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
