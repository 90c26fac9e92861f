//! One board's way from a reading to what a person sees now.
//!
//! While the hub rests, the mean of half a second is shown: nothing is better.
//! While it moves, the [tilt filter](crate::tilt) is, with its larger
//! uncertainty. A board without gyro, or one that has not rested for a few
//! seconds since readings were lost, has only the mean.

use thiserror::Error;

use crate::angle::Angle;
use crate::attitude::Stance;
use crate::calibration::Calibration;
use crate::chip::ChipFigures;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir, Vec3};
use crate::garbled::{GarbleWatch, Judged};
use crate::mounting::Mounting;
use crate::reading::{Live, Missing, Motion, RawSample, Sample};
use crate::side::Side;
use crate::stillness::StillnessDetector;
use crate::stuck::StuckWatch;
use crate::tilt::TiltFollower;
use crate::time::HostTime;

mod lean;
mod odds;

pub use lean::LiveLean;

use lean::BodyBoard;
use odds::{Odds, Told};

/// A value older than this is not live any more.
const STALE_US: i64 = 1_000_000;
/// Share of the full scale beyond which a reading is taken for saturated.
const FULL_SCALE: f64 = 0.99;
/// A figure in motion with a larger standard uncertainty than this helps nobody.
const WORST_IN_MOTION: Angle = Angle::from_deg(1.0);

/// Everything known about the board on one wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelSetup {
    /// Which side of the car.
    pub side: Side,
    /// The chip's figures as they are after the calibration, if there is one.
    pub chip: ChipFigures,
    /// How the board sits.
    pub mounting: Mounting,
    /// The floor under the car.
    pub floor: FloorSlope,
}

/// Why a reading was not used.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Rejected {
    /// A component is not a number.
    #[error("a component of the reading is not finite")]
    NotFinite,
    /// A component is at the end of the chip's range.
    #[error("a component reads {found}, the chip ends at {limit}")]
    Saturated {
        /// Magnitude found (g or rad/s).
        found: f64,
        /// Full scale (g or rad/s).
        limit: f64,
    },
    /// An axis says the same number again and again.
    #[error("axis {axis} of the chip hangs")]
    Stuck {
        /// 0 to 2 of the accelerometer, 3 to 5 of the gyro.
        axis: usize,
    },
    /// It leaps from the one before, and the next one tells why.
    #[error("the reading leaps from the one before")]
    Aside,
    /// Numbers change on the line.
    #[error("numbers change on the line")]
    Garbled,
    /// Time did not move forward.
    #[error("the reading is from {at_us} µs, not after the last one at {last_us} µs")]
    TimeNotForward {
        /// Time of the reading, µs.
        at_us: i64,
        /// Time of the reading before, µs.
        last_us: i64,
    },
}

/// Live angles of a wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveWheel {
    /// Camber against the floor, taking the wheel to point straight ahead.
    pub camber: Live<Estimate>,
    /// Hub pitch against the floor, front up.
    pub hub_pitch: Live<Estimate>,
    /// Does the hub rest?
    pub motion: Motion,
}

/// Calibrates, judges and shows the readings of one board.
#[derive(Debug, Clone)]
pub struct BoardPipeline {
    calibration: Calibration,
    chip: ChipFigures,
    wheel: Option<WheelSetup>,
    body: BodyBoard,
    stillness: StillnessDetector,
    tilt: TiltFollower,
    last_at: Option<HostTime>,
    /// The newest reading that was used.
    used_at: Option<HostTime>,
    stuck: StuckWatch,
    /// Where the line has no check sum.
    garble: Option<GarbleWatch>,
    odds: Odds,
    /// An axis of the accelerometer repeats itself, and the gyro saw it turn.
    doubted: bool,
    /// When a reading was last not fit to be used, and why.
    unfit: Option<(HostTime, Missing)>,
}

impl BoardPipeline {
    /// A pipeline; `wheel` is none for a board that nobody has placed yet.
    pub fn new(calibration: Calibration, chip: ChipFigures, wheel: Option<WheelSetup>) -> Self {
        Self {
            calibration,
            chip,
            wheel,
            body: BodyBoard::default(),
            stillness: StillnessDetector::new(),
            tilt: TiltFollower::new(),
            last_at: None,
            used_at: None,
            stuck: StuckWatch::default(),
            garble: None,
            odds: Odds::default(),
            doubted: false,
            unfit: None,
        }
    }

    /// Goes by another calibration from the next reading on. Readings of the old
    /// one do not count with those of the new.
    pub fn recalibrate(&mut self, calibration: Calibration) {
        self.calibration = calibration;
        self.stillness = StillnessDetector::new();
        self.body.rest_anew();
    }

    /// Goes by other figures: the calibration is older, or the chip warmer.
    pub const fn trust(&mut self, chip: ChipFigures) {
        self.chip = chip;
        if let Some(wheel) = &mut self.wheel {
            wheel.chip = chip;
        }
    }

    /// The wheel this board is on, with the figures as they are now.
    pub const fn wheel(&self) -> Option<&WheelSetup> {
        self.wheel.as_ref()
    }

    /// The calibration in force.
    pub const fn calibration(&self) -> Calibration {
        self.calibration
    }

    /// The figures as they are now.
    pub const fn chip(&self) -> ChipFigures {
        self.chip
    }

    /// The board sits otherwise from now on, or the floor is another.
    pub fn set_wheel(&mut self, wheel: Option<WheelSetup>) {
        self.wheel = wheel;
    }

    /// This direction of a board on the body points forward; none: nobody knows which does.
    pub fn set_forward(&mut self, forward: Option<Dir<Board>>) {
        self.body.forward = forward;
    }

    /// Mean specific force of a board that lies still, g, with the noise of
    /// its direction; none while it moves or says nothing.
    pub fn still_mean(&self, now: HostTime) -> Option<(Vec3<Board>, Angle)> {
        let fresh = self.used_at.is_some_and(|at| now.since_us(at) <= STALE_US);
        let still = self.stillness.motion() == Motion::Still;
        self.stillness.window_mean().filter(|_| fresh && still)
    }

    /// Takes a reading; gives it back calibrated, or says why it is not used.
    pub fn ingest(&mut self, raw: &RawSample) -> Result<Sample, Rejected> {
        if !raw.accel_g.is_finite() || raw.rate_radps.is_some_and(|rate| !rate.is_finite()) {
            return Err(Rejected::NotFinite);
        }
        if let Some(last) = self.last_at
            && raw.at <= last
        {
            return Err(Rejected::TimeNotForward {
                at_us: raw.at.us(),
                last_us: last.us(),
            });
        }
        self.last_at = Some(raw.at);
        match self.garble.as_mut().map(|watch| watch.observe(raw)) {
            Some(Judged::Aside) => return Err(Rejected::Aside),
            Some(Judged::Garbled) => {
                self.leave(raw.at, Missing::Garbled);
                return Err(Rejected::Garbled);
            }
            Some(Judged::Sound) | None => {}
        }
        let checks = [
            (raw.accel_g.max_abs(), self.chip.accel_range_g),
            (
                raw.rate_radps.map_or(0.0, |rate| rate.max_abs()),
                self.chip.gyro_range_radps,
            ),
        ];
        for (found, limit) in checks {
            if found >= FULL_SCALE * limit {
                self.unfit = Some((raw.at, Missing::Saturated));
                // How far it turned while it could not be read is unknown.
                self.tilt.lose();
                return Err(Rejected::Saturated { found, limit });
            }
        }
        let rests = self.stillness.motion() == Motion::Still;
        // Readings that were calculated, of a chip without noise, say the same for good reason.
        if self.chip.accel_noise_g_rthz > 0.0
            && let Some(axis) = self.stuck.observe(raw, rests)
        {
            self.leave(raw.at, Missing::Stuck);
            return Err(Rejected::Stuck { axis });
        }
        if self.doubted {
            if let Some(axis) = self.stuck.repeats(raw.at) {
                self.leave(raw.at, Missing::Stuck);
                return Err(Rejected::Stuck { axis });
            }
            self.doubted = false;
            self.odds = Odds::default();
        }
        let sample = self.calibration.apply(raw);
        self.stillness.observe(&sample);
        self.tilt.observe(&sample, &self.stillness);
        self.used_at = Some(sample.at);
        let told = self
            .odds
            .observe(sample.at, &self.stillness, &self.tilt, &self.chip);
        if told == Told::AtOdds {
            self.doubted = self.stuck.repeats(raw.at).is_some();
            if !self.doubted && self.odds.are_known() {
                self.tilt.lose();
            }
        }
        if self.wheel.is_none() {
            self.body.observe(&self.stillness);
        }
        Ok(sample)
    }

    /// A reading that is not used, because readings of two boards come mixed or their times are
    /// worth nothing.
    pub fn tear(&mut self, at: HostTime) {
        self.last_at = self.last_at.max(Some(at));
        self.leave(at, Missing::Torn);
    }

    /// Its line has a check sum, or none: then readings that leap are not believed at once.
    pub fn summed(&mut self, summed: bool) {
        if summed {
            self.garble = None;
        } else if self.garble.is_none() {
            self.garble = Some(GarbleWatch::default());
        }
    }

    /// Something arrived by `at` that could not be read.
    pub fn refused(&mut self, at: HostTime) {
        if let Some(watch) = &mut self.garble {
            watch.refused(at);
        }
    }

    /// The board began anew: it may be set otherwise. Without a pause before it, it may be another
    /// board on its line, whose readings must not count with those of this one.
    pub fn begin_anew(&mut self) {
        self.stuck.forget();
        self.stillness.lose();
        self.tilt.lose();
    }

    /// What came before says nothing of what comes after.
    fn leave(&mut self, at: HostTime, why: Missing) {
        self.unfit = Some((at, why));
        self.stillness.lose();
        self.tilt.lose();
    }

    /// What to show: specific force or its direction, and the standard
    /// uncertainty of the latter per axis, or why there is nothing.
    fn gravity(&self, motion: Motion) -> Result<(Vec3<Board>, Angle), Missing> {
        let mean = self.stillness.window_mean().ok_or(Missing::Settling)?;
        if self.odds.are_known() {
            return Err(if self.stillness.gravity_rests() {
                Missing::AtOdds
            } else {
                Missing::Moving
            });
        }
        if motion == Motion::Moving
            && let Some(tilt) = self.tilt.tilt(&self.chip)
        {
            return if tilt.standard > WORST_IN_MOTION {
                Err(Missing::Moving)
            } else {
                Ok((tilt.up.vec(), tilt.standard))
            };
        }
        if self.stillness.is_rough() {
            return Err(Missing::Moving);
        }
        if motion == Motion::Still && self.stillness.rest_rate().is_some() {
            return Ok(mean);
        }
        // The mean is of half a second, and the board is where its newest readings are. At rest
        // only a gyro tells that these are the same.
        let lag = self.stillness.window_lag();
        let standard = Angle::from_rad(mean.1.rad().hypot(lag.rad()));
        if standard > WORST_IN_MOTION {
            return Err(Missing::Moving);
        }
        Ok((mean.0, standard))
    }

    /// The direction against gravity as it is shown at `now`, and its standard
    /// uncertainty per axis by noise and motion; or why there is none.
    fn shown(&self, now: HostTime) -> Result<(Vec3<Board>, Angle), (Missing, Motion)> {
        let unknown = |reason| (reason, Motion::Unknown);
        let at = self.last_at.ok_or(unknown(Missing::Settling))?;
        if now.since_us(at) > STALE_US {
            return Err(unknown(Missing::Stale));
        }
        if let Some((then, why)) = self.unfit
            && now.since_us(then) < STALE_US / 2
        {
            return Err(unknown(why));
        }
        // Readings may arrive and none of them be fit to be used.
        if self.used_at.is_none_or(|at| now.since_us(at) > STALE_US) {
            return Err(unknown(Missing::Stale));
        }
        let motion = self.stillness.motion();
        self.gravity(motion).map_err(|reason| match reason {
            // Too few readings to show are too few to judge.
            Missing::Settling => unknown(reason),
            _ => (reason, motion),
        })
    }

    /// What a person is shown at `now`.
    pub fn live(&self, now: HostTime) -> LiveWheel {
        let missing = |(reason, motion)| LiveWheel {
            camber: Live::Missing(reason),
            hub_pitch: Live::Missing(reason),
            motion,
        };
        let shown = self.shown(now);
        let Some(wheel) = &self.wheel else {
            // What is wrong with the readings comes first.
            return missing(match shown {
                Err((
                    reason @ (Missing::Stale
                    | Missing::Saturated
                    | Missing::Stuck
                    | Missing::Torn
                    | Missing::Garbled
                    | Missing::AtOdds),
                    _,
                )) => (reason, Motion::Unknown),
                _ if self.last_at.is_none() => (Missing::Settling, Motion::Unknown),
                _ => (Missing::Unmounted, Motion::Unknown),
            });
        };
        let (up, noise) = match shown {
            Ok(found) => found,
            Err(why) => return missing(why),
        };
        let (Some(stance), Some(at)) = (Stance::of(wheel, &up), self.used_at) else {
            return missing((Missing::Saturated, Motion::Unknown));
        };
        LiveWheel {
            camber: Live::Known {
                value: Estimate::new(stance.camber, wheel.camber_standard(noise)),
                at,
            },
            hub_pitch: Live::Known {
                value: Estimate::new(stance.hub_pitch, wheel.pitch_standard(noise)),
                at,
            },
            motion: self.stillness.motion(),
        }
    }

    /// How the body leans at `now`, by a board on it.
    pub fn lean(&self, now: HostTime) -> LiveLean {
        let found = self
            .shown(now)
            .map_err(|(reason, _)| reason)
            .and_then(|(up, noise)| self.body.lean(up, noise));
        match (found, self.used_at) {
            (Ok((roll, pitch)), Some(at)) => LiveLean {
                roll: Live::Known { value: roll, at },
                pitch: Live::Known { value: pitch, at },
            },
            (Err(reason), _) => LiveLean::missing(reason),
            (Ok(_), None) => LiveLean::missing(Missing::Settling),
        }
    }
}

impl WheelSetup {
    /// Standard uncertainty of a camber, `noise` being that of gravity's direction.
    pub(crate) fn camber_standard(&self, noise: Angle) -> Angle {
        let trust = self.mounting.trust().camber;
        let floor = self.floor.roll.standard;
        self.spread(trust, floor, self.mounting.spindle(self.side), noise)
    }

    fn pitch_standard(&self, noise: Angle) -> Angle {
        let trust = self.mounting.trust().pitch;
        let floor = self.floor.pitch.standard;
        self.spread(trust, floor, self.mounting.forward(), noise)
    }

    fn spread(&self, trust: Angle, floor: Angle, along: Dir<Board>, noise: Angle) -> Angle {
        let parts = [
            trust.rad(),
            floor.rad(),
            self.chip.accel_offset_along_g(&along),
            // A gyro-less board that leans along its scale error: half of sin 2x at worst.
            0.5 * self.chip.accel_scale,
            noise.rad(),
            self.chip.accel_cross_rad,
        ];
        Angle::from_rad(parts.iter().map(|u| u * u).sum::<f64>().sqrt())
    }
}

#[cfg(test)]
mod tests;
