//! One car, measured while something goes wrong.

use hubplumb_core::angle::Angle;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::session::{
    MeasuredBefore, Role, Session, SessionBoard, SessionError, SessionOutcome, solve,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::BodyMotion;
use hubplumb_sim::{Scenario, Script, Step, Truth, Wheel, render};

use super::trial::{Offs, offs, samples};

/// What the first wheel was found to be, beside the truth.
#[derive(Debug)]
pub struct Disturbed {
    /// Everything that was found.
    pub outcome: SessionOutcome,
    /// What is true.
    pub truth: Truth,
}

impl Disturbed {
    /// How far the left wheel's findings are off.
    ///
    /// # Errors
    /// What the program said where it refused.
    pub fn offs(&self) -> Result<Offs, String> {
        let wheel = self.outcome.wheels[0]
            .as_ref()
            .map_err(|r| format!("{r:?}"))?;
        offs(wheel, self.truth.wheel(Wheel::FrontLeft).ok_or("no truth")?)
    }
}

/// Measures the left wheel of the shipped scenario `garage-good` or
/// `garage-cheap` by a script of one's own; all windows are found by the program.
///
/// # Errors
/// What the program said where it could not solve.
///
/// # Panics
/// When there is no such scenario, or the script cannot be done.
pub fn disturbed(scenario: &str, steps: &[Step], seed: u64) -> Result<Disturbed, SessionError> {
    let scenario = Scenario::shipped(scenario)
        .expect("a shipped scenario")
        .with_seed(seed)
        .with_script(Script::new(steps.to_vec()));
    let recordings = render(&scenario).expect("a script that can be done");
    let truth = scenario.truth();
    let chip = if truth.scenario == "garage-good" {
        ChipFigures::GOOD
    } else {
        ChipFigures::CHEAP
    };
    let toe = truth.wheel(Wheel::FrontLeft).map_or(0.0, |w| w.toe_deg);
    let exactly = |deg: f64| Estimate::from_deg(deg, 0.02);
    let session = Session {
        boards: vec![SessionBoard {
            role: Role::Hub(Side::Left),
            samples: samples(&recordings[0], true),
            chip,
            face: None,
            before: MeasuredBefore::default(),
            shares_clock: true,
        }],
        floor: FloorSlope {
            roll: exactly(truth.floor.roll_deg),
            pitch: exactly(truth.floor.pitch_deg),
        },
        toe: [Estimate::from_deg(toe, 0.03); 2],
        windows: Vec::new(),
        unwatched: BodyMotion {
            roll: Angle::ZERO,
            pitch: Angle::ZERO,
        },
        plate_standard: Angle::from_deg(0.25),
        jacking_pitch: Angle::from_deg(0.08),
    };
    Ok(Disturbed {
        outcome: solve(&session)?,
        truth,
    })
}

/// Run-out of the left wheel in four quarters, jacked.
pub fn run_out() -> Vec<Step> {
    let wheel = Wheel::FrontLeft;
    let jack = |up| Step::Jack {
        wheel,
        up,
        over_s: 3.0,
    };
    let mut steps = vec![
        rest(3.0),
        Step::Brake { locked: false },
        jack(true),
        rest(3.0),
    ];
    for by_deg in [92.0, 88.0, 91.0] {
        steps.push(Step::Spin {
            wheel,
            by_deg,
            over_s: 2.0,
        });
        steps.push(rest(3.0));
    }
    steps.extend([jack(false), Step::Brake { locked: true }]);
    steps
}

/// A rest without a name.
pub fn rest(for_s: f64) -> Step {
    Step::Rest { for_s, label: None }
}

/// A move to a steer angle, degrees, + left.
pub fn steer(to_deg: f64) -> Step {
    Step::SteerTo {
        to_deg,
        over_s: 0.5 + to_deg.abs() / 10.0,
        slip: None,
    }
}
