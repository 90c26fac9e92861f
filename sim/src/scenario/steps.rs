//! Steps of the file to steps of the script.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer};

use super::error::ScenarioError;
use super::file::{BrakeFile, StepFile};
use crate::car::Wheel;
use crate::motion::{Script, Slip, Step};

pub(super) fn script(steps: Vec<StepFile>) -> Result<Script, ScenarioError> {
    let steps = steps.into_iter().enumerate().map(|(index, step)| {
        let mut keys = Keys {
            number: index + 1,
            step,
        };
        let made = keys.verb()?;
        keys.nothing_left()?;
        Ok(made)
    });
    Ok(Script::new(steps.collect::<Result<_, ScenarioError>>()?))
}

/// Steps as a scenario writes them, wherever they come from.
impl<'de> Deserialize<'de> for Script {
    fn deserialize<D: Deserializer<'de>>(steps: D) -> Result<Self, D::Error> {
        script(Vec::deserialize(steps)?).map_err(D::Error::custom)
    }
}

/// The keys of one step, taken one by one; what is left over in the end does not belong.
struct Keys {
    number: usize,
    step: StepFile,
}

const VERBS: &str = "rest_s, steer_to_deg, sweep_deg, spin_deg, roll_mm, jack_up, jack_down, knock, tap, slam_g, \
                     idle, brake, brake_slip_deg, board_slip, turn_board, lay_board, strap_board, adjust, \
                     mend, bounce_s, set_height_mm, rock, lock_to_lock_s, hold_bar, move_board or \
                     carry_block";

impl Keys {
    fn verb(&mut self) -> Result<Step, ScenarioError> {
        let step = &mut self.step;
        if let Some(for_s) = step.rest_s.take() {
            let label = step.label.take();
            return Ok(Step::Rest { for_s, label });
        }
        if let Some(to_deg) = step.steer_to_deg.take() {
            let slip = match step.slip_deg.take() {
                Some(by_deg) => Some(Slip {
                    wheel: self.need("wheel", "a slip", |s| s.wheel.take())?,
                    by_deg,
                }),
                None => None,
            };
            let over_s = self.over()?;
            return Ok(Step::SteerTo {
                to_deg,
                over_s,
                slip,
            });
        }
        if let Some(amplitude_deg) = step.sweep_deg.take() {
            let times = step.times.take().unwrap_or(1);
            let over_s = self.over()?;
            return Ok(Step::Sweep {
                amplitude_deg,
                over_s,
                times,
            });
        }
        if let Some(by_deg) = step.spin_deg.take() {
            return Ok(Step::Spin {
                wheel: self.need("wheel", "spin_deg", |s| s.wheel.take())?,
                by_deg,
                over_s: self.over()?,
            });
        }
        if let Some(distance_mm) = step.roll_mm.take() {
            return Ok(Step::RollForward {
                distance_m: distance_mm * 1e-3,
                over_s: self.over()?,
            });
        }
        self.jack_or_switch()
    }

    fn jack_or_switch(&mut self) -> Result<Step, ScenarioError> {
        let step = &mut self.step;
        if let Some(wheel) = step.jack_up.take() {
            let over_s = self.over()?;
            return Ok(Step::Jack {
                wheel,
                up: true,
                over_s,
            });
        }
        if let Some(wheel) = step.jack_down.take() {
            let over_s = self.over()?;
            return Ok(Step::Jack {
                wheel,
                up: false,
                over_s,
            });
        }
        if let Some(wheel) = step.knock.take() {
            let peak_g = step.peak_g.take().unwrap_or(0.5);
            return Ok(Step::Knock { wheel, peak_g });
        }
        if let Some(mount) = step.tap.take() {
            let peak_g = step.peak_g.take().unwrap_or(1.5);
            return Ok(Step::Tap { mount, peak_g });
        }
        if let Some(peak_g) = step.slam_g.take() {
            return Ok(Step::Slam { peak_g });
        }
        if let Some(on) = step.idle.take() {
            return Ok(Step::Idle { on });
        }
        if let Some(brake) = step.brake.take() {
            return Ok(Step::Brake {
                locked: brake == BrakeFile::Locked,
            });
        }
        if let Some(by_deg) = step.brake_slip_deg.take() {
            return Ok(Step::BrakeSlip {
                slip: Slip {
                    wheel: self.need("wheel", "brake_slip_deg", |s| s.wheel.take())?,
                    by_deg,
                },
                over_s: self.over()?,
            });
        }
        if let Some(mount) = step.board_slip.take() {
            return Ok(Step::BoardSlip {
                mount,
                by_deg: self.need("by_deg", "board_slip", |s| s.by_deg.take())?,
            });
        }
        self.board_in_hand()
    }

    fn board_in_hand(&mut self) -> Result<Step, ScenarioError> {
        let step = &mut self.step;
        if let Some(mount) = step.turn_board.take() {
            return Ok(Step::TurnBoard {
                mount,
                by_deg: self.need("by_deg", "turn_board", |s| s.by_deg.take())?,
                over_s: self.over()?,
            });
        }
        if let Some(mount) = step.lay_board.take() {
            return Ok(Step::LayBoard {
                mount,
                up: self.need("up", "lay_board", |s| s.up.take())?,
                over_s: self.over()?,
            });
        }
        if let Some(mount) = step.strap_board.take() {
            return Ok(Step::StrapBoard {
                mount,
                over_s: self.over()?,
            });
        }
        self.workshop()
    }

    fn workshop(&mut self) -> Result<Step, ScenarioError> {
        let step = &mut self.step;
        if let Some(adjuster) = step.adjust.take() {
            let clock_deg = step.clock_deg.take();
            return Ok(Step::Adjust {
                wheel: self.need("wheel", "adjust", |s| s.wheel.take())?,
                adjuster,
                by: self.need("by", "adjust", |s| s.by.take())?,
                clock_deg,
                over_s: self.over()?,
            });
        }
        if let Some(wheel) = step.mend.take() {
            let over_s = self.over()?;
            return Ok(Step::Mend { wheel, over_s });
        }
        if let Some(over_s) = step.bounce_s.take() {
            return Ok(Step::Bounce { over_s });
        }
        if let Some(to_mm) = step.set_height_mm.take() {
            let wheels = step.wheels.take().unwrap_or(Wheel::ALL.into());
            let over_s = self.over()?;
            return Ok(Step::SetHeight {
                wheels,
                to_mm,
                over_s,
            });
        }
        if let Some(wheel) = step.rock.take() {
            let cycles = step.times.take().unwrap_or(3);
            let hold_s = step.hold_s.take().unwrap_or(1.0);
            return Ok(Step::Rock {
                wheel,
                about: self.need("about", "rock", |s| s.about.take())?,
                cycles,
                hold_s,
                over_s: self.over()?,
            });
        }
        if let Some(rest_s) = step.lock_to_lock_s.take() {
            let over_s = self.over()?;
            return Ok(Step::LockToLock { rest_s, over_s });
        }
        if let Some(mount) = step.hold_bar.take() {
            let reversed = step.reversed.take().unwrap_or(false);
            return Ok(Step::HoldBar {
                mount,
                wheel: self.need("wheel", "hold_bar", |s| s.wheel.take())?,
                reversed,
                over_s: self.over()?,
            });
        }
        if let Some(mount) = step.move_board.take() {
            return Ok(Step::MoveBoard {
                mount,
                wheel: self.need("wheel", "move_board", |s| s.wheel.take())?,
                over_s: self.over()?,
            });
        }
        if let Some(mount) = step.carry_block.take() {
            let turned = step.reversed.take().unwrap_or(false);
            let (lean_deg, bump_g) = (step.lean_deg.take(), step.bump_g.take());
            let to_edge = step.to_edge.take().unwrap_or(false);
            return Ok(Step::CarryBlock {
                mount,
                wheel: self.need("wheel", "carry_block", |s| s.wheel.take())?,
                to_edge,
                turned,
                lean_deg: lean_deg.unwrap_or(0.0),
                bump_g: bump_g.unwrap_or(0.0),
                over_s: self.over()?,
            });
        }
        Err(self.wrong(
            "the step says nothing to do",
            format!("give it one of {VERBS}"),
        ))
    }

    fn over(&mut self) -> Result<f64, ScenarioError> {
        self.need("over_s", "a movement", |s| s.over_s.take())
    }

    fn need<T>(
        &mut self,
        key: &str,
        what: &str,
        take: impl FnOnce(&mut StepFile) -> Option<T>,
    ) -> Result<T, ScenarioError> {
        take(&mut self.step)
            .ok_or_else(|| self.wrong(format!("{what} needs `{key}`"), format!("add `{key} = …`")))
    }

    fn nothing_left(&self) -> Result<(), ScenarioError> {
        let s = &self.step;
        let left = [
            ("steer_to_deg", s.steer_to_deg.is_some()),
            ("sweep_deg", s.sweep_deg.is_some()),
            ("spin_deg", s.spin_deg.is_some()),
            ("roll_mm", s.roll_mm.is_some()),
            ("jack_up", s.jack_up.is_some()),
            ("jack_down", s.jack_down.is_some()),
            ("knock", s.knock.is_some()),
            ("idle", s.idle.is_some()),
            ("brake", s.brake.is_some()),
            ("brake_slip_deg", s.brake_slip_deg.is_some()),
            ("board_slip", s.board_slip.is_some()),
            ("turn_board", s.turn_board.is_some()),
            ("lay_board", s.lay_board.is_some()),
            ("strap_board", s.strap_board.is_some()),
            ("adjust", s.adjust.is_some()),
            ("mend", s.mend.is_some()),
            ("bounce_s", s.bounce_s.is_some()),
            ("set_height_mm", s.set_height_mm.is_some()),
            ("rock", s.rock.is_some()),
            ("lock_to_lock_s", s.lock_to_lock_s.is_some()),
            ("hold_bar", s.hold_bar.is_some()),
            ("move_board", s.move_board.is_some()),
            ("carry_block", s.carry_block.is_some()),
            ("to_edge", s.to_edge.is_some()),
            ("lean_deg", s.lean_deg.is_some()),
            ("bump_g", s.bump_g.is_some()),
            ("by", s.by.is_some()),
            ("clock_deg", s.clock_deg.is_some()),
            ("wheels", s.wheels.is_some()),
            ("about", s.about.is_some()),
            ("hold_s", s.hold_s.is_some()),
            ("reversed", s.reversed.is_some()),
            ("up", s.up.is_some()),
            ("label", s.label.is_some()),
            ("over_s", s.over_s.is_some()),
            ("times", s.times.is_some()),
            ("wheel", s.wheel.is_some()),
            ("peak_g", s.peak_g.is_some()),
            ("slip_deg", s.slip_deg.is_some()),
            ("by_deg", s.by_deg.is_some()),
        ];
        match left.iter().find(|(_, is_left)| *is_left) {
            None => Ok(()),
            Some((key, _)) => Err(self.wrong(
                format!("`{key}` does not go with the rest of the step"),
                "take it out, or make it a step of its own".to_owned(),
            )),
        }
    }

    fn wrong(&self, problem: impl Into<String>, remedy: String) -> ScenarioError {
        ScenarioError::value(format!("script, step {}", self.number), problem, remedy)
    }
}
