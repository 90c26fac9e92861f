//! The script turned into what every joint does at every instant.
//!
//! A timeline only grows at its end, so whatever has been read from it stays true: boards may be
//! sampled up to now while more steps are queued.

use std::sync::Arc;

use nalgebra::Vector3;

use super::carried::{Block, Hand};
use super::hand::{HandTurn, turn_to_lay};
use super::held::Holding;
use super::script::{Script, Slip, Step};
use super::script_error::{LARGEST_STEER_DEG, ScriptError, StepProblem};
use super::segment::{Motion, Segment, Still};
use super::shake::{Hit, Idle, Knock, Shake};
use super::workshop::Changed;
use crate::board::Placement;
use crate::car::{Car, CarState, Mount, MovingFrame, Setting, Wheel};
use crate::jet::Jet;

const BOARD_SLIP_S: f64 = 0.2;
const IDLE_RAMP_S: f64 = 0.3;

/// One rest of the script.
#[derive(Debug, Clone, PartialEq)]
pub struct RestMark {
    /// Its label in the script.
    pub label: Option<String>,
    /// Begin, s since the start.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
}

/// What the car does from its start until the end of the script, and its rest after that.
#[derive(Debug, Clone)]
pub struct Timeline {
    /// The car as it begins.
    begun: Arc<Car>,
    pub(super) changed: Vec<Changed>,
    pub(super) setting: Setting,
    bar_seat_rad: f64,
    pub(super) hand: Hand,
    pub(super) block: Block,
    idle: Idle,
    brake_locked: bool,
    pub(super) end_s: f64,
    pub(super) end: Still,
    segments: Vec<Segment>,
    pub(super) knocks: Vec<Knock>,
    idle_switched: Vec<(f64, bool)>,
    pub(super) hand_turns: Vec<HandTurn>,
    pub(super) held: Vec<Holding>,
    pub(super) placed: Vec<(Mount, Placement)>,
    rests: Vec<RestMark>,
}

impl Timeline {
    /// A car at rest, wheels straight ahead, for ever.
    pub fn new(car: Arc<Car>, idle: Idle, brake_locked: bool) -> Self {
        Self {
            setting: Setting::new(&car.workshop),
            begun: car,
            changed: Vec::new(),
            bar_seat_rad: 0.0,
            hand: Hand::default(),
            block: Block::default(),
            idle,
            brake_locked,
            end_s: 0.0,
            end: Still::default(),
            segments: Vec::new(),
            knocks: Vec::new(),
            idle_switched: Vec::new(),
            hand_turns: Vec::new(),
            held: Vec::new(),
            placed: Vec::new(),
            rests: Vec::new(),
        }
    }

    /// The same with boards strapped on so (board axes to those of the mount), which a hand can
    /// then take off and lay down.
    #[must_use]
    pub fn with_boards(mut self, placed: Vec<(Mount, Placement)>) -> Self {
        self.placed = placed;
        self
    }

    /// The same with a straight bar whose board leans out at the top by so much against the
    /// bar's feet, rad.
    #[must_use]
    pub fn with_bar(mut self, seat_rad: f64) -> Self {
        self.bar_seat_rad = seat_rad;
        self
    }

    /// The same with a hand that carries a block.
    #[must_use]
    pub fn with_hand(mut self, hand: Hand, block: Block) -> Self {
        (self.hand, self.block) = (hand, block);
        self
    }

    /// By how much the board on the straight bar leans out at the top against the bar's feet, rad.
    pub fn bar_seat_rad(&self) -> f64 {
        self.bar_seat_rad
    }

    /// The car as it is when everything queued has ended.
    pub fn car(&self) -> &Arc<Car> {
        self.changed.last().map_or(&self.begun, |last| &last.car)
    }

    /// The car as it is at an instant; while something of it changes, as it was before.
    pub fn car_at(&self, t_s: f64) -> &Arc<Car> {
        let done = self.changed.partition_point(|c| c.end_s() <= t_s);
        let last = done.checked_sub(1).map(|index| &self.changed[index]);
        last.map_or(&self.begun, |last| &last.car)
    }

    /// How every adjuster stands when everything queued has ended.
    pub fn setting(&self) -> &Setting {
        &self.setting
    }

    /// When the last step ends, s since the start.
    pub fn end_s(&self) -> f64 {
        self.end_s
    }

    /// The rests of the script so far.
    pub fn rests(&self) -> &[RestMark] {
        &self.rests
    }

    /// Appends a script, to begin when what is queued has ended but not before `not_before_s`.
    ///
    /// Nothing is appended when one of its steps cannot be done.
    pub fn extend(&mut self, script: &Script, not_before_s: f64) -> Result<(), ScriptError> {
        let mut longer = self.clone();
        longer.end_s = longer.end_s.max(not_before_s);
        for (index, step) in script.steps.iter().enumerate() {
            longer.push(step).map_err(|problem| ScriptError {
                number: index + 1,
                problem,
            })?;
        }
        *self = longer;
        Ok(())
    }

    pub(super) fn push(&mut self, step: &Step) -> Result<(), StepProblem> {
        match *step {
            Step::Rest { for_s, ref label } => {
                positive(for_s)?;
                self.rests.push(RestMark {
                    label: label.clone(),
                    from_s: self.end_s,
                    to_s: self.end_s + for_s,
                });
                self.end_s += for_s;
            }
            Step::SteerTo {
                to_deg,
                over_s,
                slip,
            } => self.push_steer(to_deg, over_s, slip)?,
            Step::Sweep {
                amplitude_deg,
                over_s,
                times,
            } => {
                let back_deg = self.end.steer_rad.to_degrees();
                let mut side_deg = amplitude_deg;
                self.push_steer(side_deg, 0.5 * over_s, None)?;
                for _ in 0..times {
                    side_deg = -side_deg;
                    self.push_steer(side_deg, over_s, None)?;
                }
                self.push_steer(back_deg, 0.5 * over_s, None)?;
            }
            Step::Spin {
                wheel,
                by_deg,
                over_s,
            } => {
                finite(by_deg, "the angle")?;
                if self.end.jacked[wheel.index()] < 1.0 {
                    return Err(StepProblem::SpinOnGround { wheel });
                }
                if self.brake_locked {
                    return Err(StepProblem::BrakeLocked);
                }
                let by_rad = by_deg.to_radians();
                self.push_motion(Motion::Roll { wheel, by_rad }, over_s)?;
            }
            Step::RollForward { distance_m, over_s } => {
                finite(distance_m, "the distance")?;
                if self.brake_locked {
                    return Err(StepProblem::BrakeLocked);
                }
                if let Some(wheel) = Wheel::ALL
                    .into_iter()
                    .find(|wheel| self.end.jacked[wheel.index()] > 0.0)
                {
                    return Err(StepProblem::RollJacked { wheel });
                }
                self.push_motion(Motion::Travel { distance_m }, over_s)?;
                self.push_settling()?;
            }
            Step::Jack { wheel, up, over_s } => {
                let to = if up { 1.0 } else { 0.0 };
                if self.end.jacked[wheel.index()] == to {
                    return Err(StepProblem::JackAlready { wheel, up });
                }
                self.push_motion(Motion::Jack { wheel, to }, over_s)?;
            }
            Step::Knock { wheel, peak_g } => self.push_knock(Hit::Wheel(wheel), peak_g)?,
            Step::Tap { mount, peak_g } => {
                self.placement(mount)?;
                self.push_knock(Hit::Board(mount), peak_g)?;
            }
            Step::Slam { peak_g } => self.push_knock(Hit::Car, peak_g)?,
            Step::Idle { on } => self.idle_switched.push((self.end_s, on)),
            Step::Brake { locked } => self.brake_locked = locked,
            Step::BrakeSlip { slip, over_s } => {
                self.check_slip(&slip)?;
                let motion = Motion::Roll {
                    wheel: slip.wheel,
                    by_rad: slip.by_deg.to_radians(),
                };
                self.push_motion(motion, over_s)?;
            }
            Step::BoardSlip { mount, by_deg } => self.push_turn(mount, by_deg, BOARD_SLIP_S)?,
            Step::TurnBoard {
                mount,
                by_deg,
                over_s,
            } => self.push_turn(mount, by_deg, over_s)?,
            Step::LayBoard { mount, up, over_s } => self.push_laying(mount, up, over_s)?,
            Step::StrapBoard { mount, over_s } => self.push_strapping(mount, over_s)?,
            ref step => self.push_workshop(step)?,
        }
        Ok(())
    }

    fn push_knock(&mut self, hit: Hit, peak_g: f64) -> Result<(), StepProblem> {
        finite(peak_g, "the peak")?;
        self.knocks.push(Knock {
            at_s: self.end_s,
            hit,
            peak_g,
            turning: 1.0,
        });
        Ok(())
    }

    /// A blow that a board in somebody's hand gets at an instant.
    pub(super) fn push_bump(&mut self, mount: Mount, peak_g: f64, at_s: f64) {
        self.knocks.push(Knock {
            at_s,
            hit: Hit::Board(mount),
            peak_g,
            turning: 1.0,
        });
    }

    fn check_slip(&self, slip: &Slip) -> Result<(), StepProblem> {
        finite(slip.by_deg, "the slip")?;
        if self.brake_locked {
            Ok(())
        } else {
            Err(StepProblem::BrakeFree)
        }
    }

    pub(super) fn push_steer(
        &mut self,
        to_deg: f64,
        over_s: f64,
        slip: Option<Slip>,
    ) -> Result<(), StepProblem> {
        if to_deg.is_nan() || to_deg.abs() > LARGEST_STEER_DEG {
            return Err(StepProblem::SteerRange { to_deg });
        }
        self.check_lock(to_deg)?;
        if let Some(slip) = &slip {
            self.check_slip(slip)?;
        }
        let motion = Motion::Steer {
            to_rad: to_deg.to_radians(),
            brake_locked: self.brake_locked,
            slip,
        };
        self.push_motion(motion, over_s)
    }

    pub(super) fn push_motion(&mut self, motion: Motion, over_s: f64) -> Result<(), StepProblem> {
        positive(over_s)?;
        let segment = Segment {
            start_s: self.end_s,
            over_s,
            base: self.end,
            motion,
        };
        self.end_s += over_s;
        let state = segment.state(self.car(), self.end_s);
        self.end = Still {
            steer_rad: state.steer.value,
            rolled_rad: state.rolled.map(|jet| jet.value),
            jacked: state.jacked.map(|jet| jet.value),
            travel_m: state.travel_m.value,
            rocked_rad: state.rocked.map(|ways| ways.map(|jet| jet.value)),
        };
        if let Motion::Jack { wheel, to } = segment.motion {
            // Not all but a rounding of it: a corner is up or down.
            self.end.jacked[wheel.index()] = to;
        }
        self.segments.push(segment);
        Ok(())
    }

    fn push_turn(
        &mut self,
        mount: Mount,
        by_deg: [f64; 3],
        over_s: f64,
    ) -> Result<(), StepProblem> {
        for component in by_deg {
            finite(component, "the turn of the board")?;
        }
        self.push_hand(mount, Vector3::from(by_deg).map(f64::to_radians), over_s)
    }

    fn push_laying(&mut self, mount: Mount, up: [f64; 3], over_s: f64) -> Result<(), StepProblem> {
        for component in up {
            finite(component, "the direction of up")?;
        }
        let wanted = Vector3::from(up)
            .try_normalize(1e-9)
            .ok_or(StepProblem::NoDirection)?;
        let placement = self.placement(mount)?;
        let up_now = self
            .board_frame(mount, &placement, self.end_s)
            .specific_force_mps2(self.begun.gravity_mps2)
            .normalize();
        self.push_hand(mount, turn_to_lay(&up_now, &wanted), over_s)
    }

    pub(super) fn push_hand(
        &mut self,
        mount: Mount,
        turn_rad: Vector3<f64>,
        over_s: f64,
    ) -> Result<(), StepProblem> {
        positive(over_s)?;
        // A turn of nothing has no axis and takes no time.
        if let Some(turn) = HandTurn::by(mount, turn_rad, self.end_s, over_s) {
            self.end_s = turn.end_s();
            self.hand_turns.push(turn);
        }
        Ok(())
    }

    /// Joints of the car at an instant, s since the start.
    pub fn state(&self, t_s: f64) -> CarState {
        let begun = self.segments.partition_point(|s| s.start_s <= t_s);
        match begun.checked_sub(1) {
            Some(index) => self.segments[index].state(self.car_at(t_s), t_s),
            None => CarState::default(),
        }
    }

    /// The frame boards on a mount are fastened to, at an instant.
    pub fn mount_frame(&self, mount: Mount, t_s: f64) -> MovingFrame {
        self.frame_of(t_s, |car, state| car.mount_frame(mount, state))
    }

    /// Turns the frame of a board by what it has slipped on its strap, or a hand has turned it, so far.
    pub fn slipped(&self, mount: Mount, board: MovingFrame, t_s: f64) -> MovingFrame {
        self.hand_turns
            .iter()
            .filter(|turn| turn.mount == mount && turn.at_s <= t_s)
            .fold(board, |frame, turn| turn.beyond(frame, t_s))
    }

    /// Shaking of a mount at an instant.
    pub fn shake(&self, mount: Mount, t_s: f64) -> Shake {
        let strength = self.idle_strength(t_s);
        let mut shake = if strength > 0.0 {
            Shake::of_idle(&self.idle, strength, t_s)
        } else {
            Shake::none()
        };
        for knock in &self.knocks {
            shake = shake.plus(knock.shake(mount, t_s));
        }
        shake
    }

    fn idle_strength(&self, t_s: f64) -> f64 {
        let switched = self.idle_switched.partition_point(|(at_s, _)| *at_s <= t_s);
        let Some((at_s, on)) = switched.checked_sub(1).map(|i| self.idle_switched[i]) else {
            return 0.0;
        };
        let before = switched >= 2 && self.idle_switched[switched - 2].1;
        let level = |on: bool| if on { 1.0 } else { 0.0 };
        Jet::minimum_jerk(level(before), level(on), t_s - at_s, IDLE_RAMP_S).value
    }
}

pub(super) fn positive(seconds: f64) -> Result<(), StepProblem> {
    if seconds.is_finite() && seconds > 0.0 {
        Ok(())
    } else {
        Err(StepProblem::Duration { seconds })
    }
}

pub(super) fn finite(value: f64, what: &'static str) -> Result<(), StepProblem> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(StepProblem::NotFinite { what })
    }
}
