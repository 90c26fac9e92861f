//! How far a hub rocks when the wheel is shaken by hand: at the top and the
//! bottom about the car's length, in front and behind about the vertical.
//!
//! The gyro is integrated about that axis over a rocking of chosen length
//! between two rests, which give its offset. Turning points beyond the noise
//! make rocks; their middle (median) size is the play, with what the hub gives
//! way by itself. Where nothing goes beyond the noise that is an answer too, as
//! long as the readings show that somebody shook.

mod solve;

pub(super) use solve::solve;

use crate::angle::Angle;
use crate::check::evidence::{Evidence, PlayEvidence, TurningPoint};
use crate::check::refusal::{CheckRefusal, StartError};
use crate::check::running::{Procedure, Step, hold};
use crate::check::step::{Hint, Phase, Progress, Stop};
use crate::check::still::{Seen, StillStop, StillWatch};
use crate::frames::{Board, Dir, Vec3};
use crate::live::WheelSetup;
use crate::reading::Sample;
use crate::side::Side;
use crate::time::HostTime;

/// Rest before and after: it gives the gyro's offset.
const REST_US: i64 = 2_000_000;
/// Longest rocking.
const MOST_ROCK_US: i64 = 60_000_000;
/// Longest time without a rest, before and after.
const REST_LIMIT_S: i64 = 120;
/// A spindle that leans by so much more afterwards was not only rocked.
const BACK_WITHIN: Angle = Angle::from_deg(1.0);
/// Turning points kept: rocks of a fifth of a second for the longest rocking.
const MOST_POINTS: usize = 600;

/// Where the hands are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    /// At the top and the bottom of the wheel.
    TopBottom,
    /// In front and behind.
    FrontRear,
}

/// What a check of play needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaySetup {
    /// The wheel.
    pub wheel: WheelSetup,
    /// Where the hands are.
    pub grip: Grip,
    /// How long it is rocked, µs.
    pub rock_us: i64,
}

#[derive(Debug, Clone)]
pub(super) struct Play {
    setup: PlaySetup,
    watch: StillWatch,
    /// Readings of the rest before: what scatters there is noise.
    quiet: Vec<Sample>,
    before: Option<StillStop>,
    /// Since when it is to be rocked.
    rocking: Option<HostTime>,
    trail: Vec<Sample>,
}

impl Play {
    pub(super) fn start(setup: &PlaySetup) -> Result<Self, StartError> {
        hold(setup.rock_us)?;
        if setup.rock_us > MOST_ROCK_US {
            return Err(StartError::Hold {
                hold_us: setup.rock_us,
                least_us: 500_000,
                most_us: MOST_ROCK_US,
            });
        }
        Ok(Self {
            watch: StillWatch::new(setup.wheel.chip, REST_US),
            setup: *setup,
            quiet: Vec::new(),
            before: None,
            rocking: None,
            trail: Vec::new(),
        })
    }

    /// Is the time of rocking over, so that rest is waited for?
    fn rocked(&self) -> bool {
        match (self.rocking, self.trail.last()) {
            (Some(since), Some(last)) => last.at.since_us(since) >= self.setup.rock_us,
            _ => false,
        }
    }

    fn first_rest(&mut self, stop: StillStop) -> Step {
        if stop.measure.rate_radps.is_none() {
            return Step::Refuse(CheckRefusal::NoGyro);
        }
        self.watch.keep(&stop);
        let counted = stop.measure.from..=stop.measure.to;
        self.quiet.retain(|s| counted.contains(&s.at));
        self.before = Some(stop);
        self.rocking = self.quiet.last().map(|s| s.at);
        self.trail.clear();
        Step::Go
    }

    fn evidence(
        &self,
        before: &StillStop,
        after: &StillStop,
    ) -> Result<PlayEvidence, CheckRefusal> {
        let wheel = &self.setup.wheel;
        let up: Dir<Board> = Dir::along(before.measure.accel_g).ok_or(CheckRefusal::NoCamber)?;
        let then = Dir::along(after.measure.accel_g).ok_or(CheckRefusal::NoCamber)?;
        let spindle = wheel.mounting.spindle(wheel.side);
        let found = Angle::from_rad((spindle.dot(&then).asin() - spindle.dot(&up).asin()).abs());
        if found > BACK_WITHIN {
            return Err(CheckRefusal::NotBack {
                found,
                limit: BACK_WITHIN,
            });
        }
        let axis = match self.setup.grip {
            Grip::FrontRear => up,
            Grip::TopBottom => wheel
                .mounting
                .levelled(wheel.side, up)
                .ok_or(CheckRefusal::NoCamber)?
                .forward(),
        };
        let (Some(a), Some(b)) = (before.measure.rate_radps, after.measure.rate_radps) else {
            return Err(CheckRefusal::NoGyro);
        };
        let span_s = after.measure.from.since_s(before.measure.to).max(1e-3);
        let angles = integrated(
            &self.trail,
            |at| {
                let share = at.since_s(before.measure.to) / span_s;
                a + (b - a) * share.clamp(0.0, 1.0)
            },
            &axis,
        )?;
        let rest_noise_rad = solve::rest_noise_rad(&self.quiet, &axis);
        let density = self.setup.wheel.chip.gyro_noise_radps_rthz;
        let floor = solve::floor_rad(rest_noise_rad, density);
        let highest = angles.iter().map(|p| p.angle_rad).fold(f64::MIN, f64::max);
        let lowest = angles.iter().map(|p| p.angle_rad).fold(f64::MAX, f64::min);
        Ok(PlayEvidence {
            side: wheel.side,
            grip: self.setup.grip,
            points: turning_points(&angles, floor),
            range_rad: (highest - lowest).max(0.0),
            seconds: self.setup.rock_us as f64 * 1e-6,
            shaken_ratio: solve::shaken_ratio(&self.trail, &self.quiet),
            gyro_noise_radps_rthz: density,
            gyro_scale: self.setup.wheel.chip.gyro_scale,
            rest_noise_rad,
        })
    }
}

/// The angle about `axis`, by the trapezoid between rates less their offset.
fn integrated(
    trail: &[Sample],
    offset: impl Fn(HostTime) -> Vec3<Board>,
    axis: &Dir<Board>,
) -> Result<Vec<TurningPoint>, CheckRefusal> {
    /// Longest gap that a rock may hide in.
    const GAP_US: i64 = 100_000;
    let mut angles = Vec::with_capacity(trail.len());
    let mut angle_rad = 0.0;
    for pair in trail.windows(2) {
        let gap_us = pair[1].at.since_us(pair[0].at);
        if gap_us > GAP_US {
            return Err(CheckRefusal::Gap {
                gap_ms: gap_us / 1000,
            });
        }
        let (Some(a), Some(b)) = (pair[0].rate_radps, pair[1].rate_radps) else {
            return Err(CheckRefusal::NoGyro);
        };
        let mean = (a + b) * 0.5 - offset(pair[1].at);
        angle_rad += mean.dot(&axis.vec()) * pair[1].at.since_s(pair[0].at);
        angles.push(TurningPoint {
            at_us: pair[1].at.us(),
            angle_rad,
        });
    }
    Ok(angles)
}

/// Highest and lowest points in turn, each at least `least_rad` from the one before.
fn turning_points(angles: &[TurningPoint], least_rad: f64) -> Vec<TurningPoint> {
    let Some(first) = angles.first() else {
        return Vec::new();
    };
    let mut points = Vec::new();
    let (mut high, mut low) = (*first, *first);
    let mut rising: Option<bool> = None;
    for point in angles {
        if point.angle_rad > high.angle_rad {
            high = *point;
        }
        if point.angle_rad < low.angle_rad {
            low = *point;
        }
        let fell = high.angle_rad - point.angle_rad >= least_rad;
        let rose = point.angle_rad - low.angle_rad >= least_rad;
        if rising != Some(false) && fell {
            points.push(high);
            (rising, low) = (Some(false), *point);
        } else if rising != Some(true) && rose {
            points.push(low);
            (rising, high) = (Some(true), *point);
        }
    }
    points.truncate(MOST_POINTS);
    points
}

impl Procedure for Play {
    fn sample(&mut self, _: Side, sample: &Sample) -> Step {
        let seen = self.watch.observe(sample);
        if let Some(since) = self.rocking {
            let was_over = self.rocked();
            if !was_over {
                self.trail.push(*sample);
                if self.rocked() {
                    // The rest after begins now, even if nothing moved so far.
                    self.watch.begin_anew();
                }
                return Step::Go;
            }
            if let (Seen::Stop(stop), Some(before)) = (seen, self.before) {
                return match self.evidence(&before, &stop) {
                    Ok(evidence) => Step::Solve(Evidence::Play(evidence)),
                    Err(refusal) => Step::Refuse(refusal),
                };
            }
            let seconds = (sample.at.since_us(since) - self.setup.rock_us) / 1_000_000;
            if seconds > REST_LIMIT_S {
                return Step::Refuse(CheckRefusal::NotStill {
                    seconds,
                    limit: REST_LIMIT_S,
                });
            }
            return Step::Go;
        }
        self.quiet.push(*sample);
        match seen {
            Seen::Stop(stop) => self.first_rest(stop),
            Seen::Same | Seen::Left => {
                if !self.watch.is_holding() {
                    let old = |s: &Sample| sample.at.since_us(s.at) > 1_000_000;
                    let keep = self.quiet.partition_point(old);
                    self.quiet.drain(..keep);
                }
                let seconds = self.watch.moving_s();
                if seconds > REST_LIMIT_S {
                    return Step::Refuse(CheckRefusal::NotStill {
                        seconds,
                        limit: REST_LIMIT_S,
                    });
                }
                Step::Go
            }
        }
    }

    fn finish(&mut self) -> Step {
        // It ends by itself, rest and all; before there is nothing.
        if self.rocking.is_none() {
            return Step::Refuse(CheckRefusal::TooFew { found: 0, least: 1 });
        }
        Step::Go
    }

    fn has_begun(&self) -> bool {
        self.before.is_some()
    }

    fn phase(&self) -> Phase {
        match self.rocking {
            Some(_) if !self.rocked() => Phase::Rock,
            _ if self.watch.is_holding() => Phase::Hold,
            _ => Phase::AwaitStill,
        }
    }

    fn progress(&self) -> Progress {
        let phase = self.phase();
        let rocking_us = match (self.rocking, self.trail.last()) {
            (Some(since), Some(last)) => last.at.since_us(since),
            _ => 0,
        };
        let (held_us, hold_needed_us, hint) = match phase {
            Phase::Rock => (rocking_us, self.setup.rock_us, Hint::Rock(self.setup.grip)),
            Phase::Hold => (self.watch.held_us(), REST_US, Hint::HoldStill),
            _ => (0, REST_US, Hint::LetRest),
        };
        Progress {
            held_us,
            hold_needed_us,
            taken: usize::from(self.before.is_some()) + usize::from(self.rocked()),
            wanted: Some(3),
            steer: None,
            can_finish: false,
            hint,
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        Vec::new()
    }
}
