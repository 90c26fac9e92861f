//! What a workshop does: adjusting, bouncing, ride heights, rocking, lock to lock.

use std::sync::Arc;

use super::script::{Rocked, Step};
use super::script_error::{LARGEST_HEIGHT_MM, StepProblem};
use super::segment::Motion;
use super::shake::{Hit, Knock};
use super::timeline::{Timeline, finite, positive};
use crate::car::{Adjuster, Car, CarState, MovingFrame, Setting, Wheel};

/// The car as it is after something of it was changed, from rest to rest.
#[derive(Debug, Clone)]
pub(super) struct Changed {
    at_s: f64,
    over_s: f64,
    pub(super) car: Arc<Car>,
}

impl Changed {
    pub(super) fn end_s(&self) -> f64 {
        self.at_s + self.over_s
    }
}

/// What a wheel gives under a hand when its play is used up (common practice, no source).
const GIVE_RAD: f64 = 0.02 * std::f64::consts::PI / 180.0;

/// How hard hands on the fenders shake a wheel, g.
const BOUNCE_PEAK_G: f64 = 0.15;

/// A car that rolls settles while it stops.
const SETTLES_S: f64 = 0.5;

impl Timeline {
    pub(super) fn push_workshop(&mut self, step: &Step) -> Result<(), StepProblem> {
        match *step {
            Step::Adjust {
                wheel,
                ref adjuster,
                by,
                clock_deg,
                over_s,
            } => self.push_adjust(wheel, adjuster, by, clock_deg, over_s),
            Step::Mend { wheel, over_s } => {
                let mut setting = self.setting.clone();
                setting.mended[wheel.index()] = true;
                self.push_setting(setting, over_s)
            }
            Step::Bounce { over_s } => {
                for wheel in Wheel::ALL {
                    self.knocks.push(Knock {
                        at_s: self.end_s,
                        hit: Hit::Wheel(wheel),
                        peak_g: BOUNCE_PEAK_G,
                        turning: 0.0,
                    });
                }
                let mut setting = self.setting.clone();
                setting.settle();
                self.push_setting(setting, over_s)
            }
            Step::SetHeight {
                ref wheels,
                to_mm,
                over_s,
            } => {
                if to_mm.is_nan() || to_mm.abs() > LARGEST_HEIGHT_MM {
                    return Err(StepProblem::Height { to_mm });
                }
                let mut setting = self.setting.clone();
                for wheel in wheels {
                    setting.heights_m[wheel.index()] = to_mm * 1e-3;
                }
                self.push_setting(setting, over_s)
            }
            Step::Rock {
                wheel,
                about,
                cycles,
                hold_s,
                over_s,
            } => self.push_rock(wheel, about, cycles, hold_s, over_s),
            Step::LockToLock { rest_s, over_s } => self.push_lock_to_lock(rest_s, over_s),
            ref step => self.push_board(step),
        }
    }

    fn push_adjust(
        &mut self,
        wheel: Wheel,
        name: &str,
        by: f64,
        clock_deg: Option<f64>,
        over_s: f64,
    ) -> Result<(), StepProblem> {
        finite(by, "what it is adjusted by")?;
        finite(clock_deg.unwrap_or(0.0), "the clock position")?;
        let car = Arc::clone(self.car());
        let adjusters = &car.workshop.adjusters;
        let is_here = |adjuster: &&Adjuster| adjuster.wheel == wheel;
        let unit = adjusters
            .iter()
            .filter(is_here)
            .find(|adjuster| adjuster.name == name)
            .map_or(1.0, |adjuster| adjuster.kind.unit());
        let mut setting = self.setting.clone();
        let clock_rad = clock_deg.map(f64::to_radians);
        setting
            .turn(&car.workshop, wheel, name, by * unit, clock_rad)
            .ok_or_else(|| {
                let has = adjusters.iter().filter(is_here).map(|a| a.name.as_str());
                let has = has.collect::<Vec<_>>().join(", ");
                StepProblem::NoAdjuster {
                    wheel,
                    name: name.to_owned(),
                    has: if has.is_empty() {
                        "none".to_owned()
                    } else {
                        has
                    },
                }
            })?;
        self.push_setting(setting, over_s)
    }

    /// The car has rolled: what was adjusted shows in full.
    pub(super) fn push_settling(&mut self) -> Result<(), StepProblem> {
        let mut setting = self.setting.clone();
        setting.settle();
        if setting == self.setting {
            return Ok(());
        }
        self.push_setting(setting, SETTLES_S)
    }

    fn push_setting(&mut self, setting: Setting, over_s: f64) -> Result<(), StepProblem> {
        positive(over_s)?;
        let car = self
            .car()
            .set(&setting)
            .map_err(|wheel| StepProblem::OutOfReach { wheel })?;
        let at_s = self.end_s;
        self.push_motion(Motion::Nothing, over_s)?;
        self.changed.push(Changed {
            at_s,
            over_s,
            car: Arc::new(car),
        });
        self.setting = setting;
        Ok(())
    }

    fn push_rock(
        &mut self,
        wheel: Wheel,
        about: Rocked,
        cycles: u32,
        hold_s: f64,
        over_s: f64,
    ) -> Result<(), StepProblem> {
        positive(hold_s)?;
        if self.end.jacked[wheel.index()] < 1.0 {
            return Err(StepProblem::RockOnGround { wheel });
        }
        let play = self.car().workshop.play[wheel.index()];
        let (way, play_rad) = match about {
            Rocked::TopBottom => (0, play.top_bottom_rad),
            Rocked::FrontRear => (1, play.front_rear_rad),
        };
        let end_rad = 0.5 * play_rad + GIVE_RAD;
        for _ in 0..cycles {
            for to_rad in [end_rad, -end_rad] {
                self.push_motion(Motion::Rock { wheel, way, to_rad }, over_s)?;
                self.end_s += hold_s;
            }
        }
        let to_rad = 0.0;
        self.push_motion(Motion::Rock { wheel, way, to_rad }, over_s)
    }

    fn push_lock_to_lock(&mut self, rest_s: f64, over_s: f64) -> Result<(), StepProblem> {
        let gear = self.car().workshop.gear;
        let [left, right] = gear
            .locks_rad
            .ok_or(StepProblem::NoLocks)?
            .map(f64::to_degrees);
        let rest = |label: &str| Step::Rest {
            for_s: rest_s,
            label: Some(label.to_owned()),
        };
        self.push_steer(left, over_s, None)?;
        self.push(&rest("lock_left"))?;
        self.push_steer(-right, 2.0 * over_s, None)?;
        self.push(&rest("lock_right"))?;
        self.push_steer(0.0, over_s, None)
    }

    pub(super) fn check_lock(&self, to_deg: f64) -> Result<(), StepProblem> {
        let Some([left, right]) = self.car().workshop.gear.locks_rad else {
            return Ok(());
        };
        let lock_deg = if to_deg > 0.0 { left } else { -right }.to_degrees();
        // A rounding of the way from degrees and back is no lock forced.
        if to_deg.abs() > lock_deg.abs() + 1e-9 {
            return Err(StepProblem::BeyondLock { to_deg, lock_deg });
        }
        Ok(())
    }

    /// A frame of the car at an instant; while the car is changed it is on the way between both.
    pub(super) fn frame_of(
        &self,
        t_s: f64,
        frame: impl Fn(&Car, &CarState) -> MovingFrame,
    ) -> MovingFrame {
        let state = self.state(t_s);
        let now = frame(self.car_at(t_s), &state);
        let done = self.changed.partition_point(|c| c.end_s() <= t_s);
        match self.changed.get(done) {
            Some(change) if change.at_s < t_s => {
                let axis_turn = change.car.axis_turns(state.steer);
                let then = frame(&change.car, &CarState { axis_turn, ..state });
                now.towards(&then, t_s - change.at_s, change.over_s)
            }
            _ => now,
        }
    }
}
