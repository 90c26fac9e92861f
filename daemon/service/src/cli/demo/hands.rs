//! Hands at the bench: they lay a simulated board as the calibration on the page
//! asks for, and strap it on again when that is over.

use std::sync::Arc;
use std::time::Duration;

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step};
use tokio::time::sleep;

use super::{CliError, not_driven};
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
pub(super) fn is_bench(scenario: &Scenario) -> bool {
    let mut steps = scenario.script().steps.iter();
    steps.any(|step| matches!(step, Step::LayBoard { .. }))
}

/// Follows whatever calibration is started on the page, for ever.
pub(super) async fn follow(sim: Arc<LiveSim>, app: App, speed: f64) -> Result<(), CliError> {
    let mut laid: Option<Mount> = None;
    loop {
        sleep(Duration::from_secs_f64(LOOK_S)).await;
        if !sim.is_idle() {
            continue;
        }
        let state = app.state.borrow().clone();
        let asked = state.boards.iter().find_map(|board| {
            let procedure = board.calibration.procedure.as_ref()?;
            let mut ports = sim.boards().iter();
            let port = ports.find(|port| port.path.to_string_lossy() == board.id)?;
            Some((port.mount, procedure.clone()))
        });
        let step = match (&asked, laid) {
            (Some((mount, procedure)), _) if waits(procedure) => next(*mount, procedure),
            (None, Some(mount)) => Some(Step::StrapBoard {
                mount,
                over_s: OVER_S,
            }),
            _ => None,
        };
        let Some(step) = step else { continue };
        sleep(Duration::from_secs_f64(REACTION_S / speed)).await;
        laid = asked.map(|(mount, _)| mount);
        sim.drive(&Script::new(vec![step]))
            .map_err(|error| not_driven(&error))?;
        // What was just done is not to be done twice before it is seen.
        sleep(Duration::from_secs_f64(OVER_S / speed)).await;
        sleep(Duration::from_secs_f64(REACTION_S / speed)).await;
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
