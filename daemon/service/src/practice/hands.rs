//! Hands at the bench: they lay a simulated board as the calibration on the page
//! asks for, and strap it on again when that is over.

use std::sync::Arc;
use std::time::Duration;

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step};
use tokio::time::sleep;

use super::PracticeFault;
use crate::axis::AxisName;
use crate::http::App;
use crate::http::calibration_views::{CalibrationPhase, CalibrationProcedureView, EdgeView};

/// A person needs a moment to read what to do, s of the simulation.
const REACTION_S: f64 = 1.2;
/// A board is carried over in this time, s of the simulation.
const OVER_S: f64 = 2.0;
/// How often the page's state is looked at, s of real time.
const LOOK_S: f64 = 0.05;
/// Ways to lean a board that are left when every pair of axes was shown.
const OTHER_WAYS: [[f64; 3]; 6] = [
    [-1.0, 1.0, 0.0],
    [-1.0, 0.0, -1.0],
    [0.0, -1.0, -1.0],
    [-1.0, -1.0, 0.0],
    [-1.0, 0.0, 1.0],
    [0.0, 1.0, -1.0],
];

/// Is this a scenario for the bench, whose script lays boards?
pub(crate) fn is_bench(scenario: &Scenario) -> bool {
    let mut steps = scenario.script().steps.iter();
    steps.any(|step| matches!(step, Step::LayBoard { .. }))
}

/// Follows whatever calibration is started on the page, for ever.
pub(crate) async fn follow(sim: Arc<LiveSim>, app: App, speed: f64) -> Result<(), PracticeFault> {
    let mut hands = Hands {
        sim,
        app,
        speed,
        laid: None,
    };
    loop {
        sleep(Duration::from_secs_f64(LOOK_S)).await;
        hands.look().await?;
    }
}

/// Hands that lay boards.
pub(super) struct Hands {
    pub(super) sim: Arc<LiveSim>,
    pub(super) app: App,
    pub(super) speed: f64,
    /// The board that was taken off its mount.
    pub(super) laid: Option<Mount>,
}

impl Hands {
    /// Does what a calibration on the page asks for next, if one does.
    pub(super) async fn look(&mut self) -> Result<(), PracticeFault> {
        if !self.sim.is_idle() {
            return Ok(());
        }
        let state = self.app.state.borrow().clone();
        let asked = state.boards.iter().find_map(|board| {
            let procedure = board.calibration.procedure.as_ref()?;
            let mut ports = self.sim.boards().iter();
            let port = ports.find(|port| port.port == board.id)?;
            Some((port.mount, procedure.clone()))
        });
        let step = match (&asked, self.laid) {
            (Some((mount, procedure)), _) if waits(procedure) => next(*mount, procedure),
            (None, Some(mount)) => Some(Step::StrapBoard {
                mount,
                over_s: OVER_S,
            }),
            _ => None,
        };
        let Some(step) = step else { return Ok(()) };
        self.wait_s(REACTION_S).await;
        self.laid = asked.map(|(mount, _)| mount);
        self.sim.drive(&Script::new(vec![step]))?;
        // What was just done is not to be done twice before it is seen.
        self.wait_s(OVER_S + REACTION_S).await;
        Ok(())
    }

    async fn wait_s(&self, seconds: f64) {
        sleep(Duration::from_secs_f64(seconds / self.speed)).await;
    }
}

/// Is there something for hands to do?
fn waits(procedure: &CalibrationProcedureView) -> bool {
    procedure.worst_pose.is_none()
        && matches!(
            procedure.phase,
            CalibrationPhase::Lay | CalibrationPhase::Taken
        )
}

fn next(mount: Mount, procedure: &CalibrationProcedureView) -> Option<Step> {
    let lay = |up| Step::LayBoard {
        mount,
        up,
        over_s: OVER_S,
    };
    if let Some(about) = procedure.about {
        return Some(if procedure.taken == 0 {
            lay(along(about))
        } else {
            Step::TurnBoard {
                mount,
                by_deg: along(about).map(|c| 180.0 * c),
                over_s: OVER_S,
            }
        });
    }
    let slant = |edge: &EdgeView| match edge {
        EdgeView::Xy => [1.0, 1.0, 0.0],
        EdgeView::Xz => [1.0, 0.0, 1.0],
        EdgeView::Yz => [0.0, 1.0, 1.0],
    };
    let up = procedure
        .missing_faces
        .first()
        .map(|face| along(*face))
        .or_else(|| procedure.missing_edges.first().map(slant))
        .or_else(|| OTHER_WAYS.get(procedure.to_go).copied())?;
    Some(lay(up))
}

const fn along(axis: AxisName) -> [f64; 3] {
    match axis {
        AxisName::XPlus => [1.0, 0.0, 0.0],
        AxisName::XMinus => [-1.0, 0.0, 0.0],
        AxisName::YPlus => [0.0, 1.0, 0.0],
        AxisName::YMinus => [0.0, -1.0, 0.0],
        AxisName::ZPlus => [0.0, 0.0, 1.0],
        AxisName::ZMinus => [0.0, 0.0, -1.0],
    }
}
