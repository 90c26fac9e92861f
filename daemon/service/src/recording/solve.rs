//! Solving what was loaded, and refusing wheels whose readings are not whole.
//!
//! The core solves what it is given. What a live swing refuses while it
//! happens, a gap or the end of the range while the wheels turn, is looked for
//! here afterwards; the other wheel is then solved without the spoilt one.

use hubplumb_core::reading::Sample;
use hubplumb_core::session::{
    self, Role, Session, SessionBoard, SessionError, SessionOutcome, Window, WindowKind,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{Refusal, WheelOutcome};
use hubplumb_core::time::HostTime;

use super::load::Loaded;

/// Longest gap in the readings of a turning wheel that integration may bridge, as live.
const GAP_US: i64 = 300_000;

/// Solves a session, whole wheels only.
pub fn solve(loaded: &Loaded) -> Result<SessionOutcome, SessionError> {
    let first = session::solve(&loaded.session)?;
    let spoilt = spoilt(loaded, &first);
    if spoilt.is_empty() {
        return Ok(first);
    }
    let is_spoilt =
        |role: Role| matches!(role, Role::Hub(side) if spoilt.iter().any(|(s, _)| *s == side));
    let whole = Session {
        boards: loaded
            .session
            .boards
            .iter()
            .filter(|board| !is_spoilt(board.role))
            .cloned()
            .collect(),
        windows: first.windows.clone(),
        ..loaded.session.clone()
    };
    let has_hub = whole.boards.iter().any(|board| board.role != Role::Body);
    let again = has_hub.then(|| session::solve(&whole)).transpose()?;
    let wheels = first
        .wheels
        .into_iter()
        .map(|wheel| {
            let side = side_of(&wheel);
            match (spoilt.iter().find(|(s, _)| Some(*s) == side), wheel) {
                (Some((_, refusal)), Ok(wheel)) => Ok(WheelOutcome {
                    axis: Err(*refusal),
                    ..wheel
                }),
                (Some((_, refusal)), Err(_)) => Err(*refusal),
                (None, wheel) => again
                    .iter()
                    .flat_map(|outcome| &outcome.wheels)
                    .find(|other| side_of(other) == side)
                    .cloned()
                    .unwrap_or(wheel),
            }
        })
        .collect();
    Ok(SessionOutcome {
        wheels,
        differences: Vec::new(),
        ..first
    })
}

/// The wheel that an outcome is about.
pub fn side_of(outcome: &Result<WheelOutcome, Refusal>) -> Option<Side> {
    match outcome {
        Ok(wheel) => Some(wheel.side),
        Err(refusal) => side_refused(refusal),
    }
}

const fn side_refused(refusal: &Refusal) -> Option<Side> {
    match refusal {
        Refusal::ArcTooShort { side, .. }
        | Refusal::HubRolled { side, .. }
        | Refusal::BoardSlipped { side, .. }
        | Refusal::RestDoesNotFit { side, .. }
        | Refusal::Gap { side, .. }
        | Refusal::Saturated { side }
        | Refusal::Stuck { side }
        | Refusal::Torn { side }
        | Refusal::Garbled { side }
        | Refusal::BoardLost { side }
        | Refusal::TurnTooLong { side, .. }
        | Refusal::NoGyro { side }
        | Refusal::NoAxis { side } => Some(*side),
        Refusal::SidesSwapped { .. } | Refusal::Cancelled => None,
    }
}

/// Gaps of a recording beyond what integration may bridge: when and how long, µs.
pub fn gaps(samples: &[Sample]) -> impl Iterator<Item = (HostTime, i64)> {
    samples
        .windows(2)
        .map(|pair| (pair[0].at, pair[1].at.since_us(pair[0].at)))
        .filter(|(_, length_us)| *length_us > GAP_US)
}

/// Wheels whose readings are not whole while they turned.
fn spoilt(loaded: &Loaded, outcome: &SessionOutcome) -> Vec<(Side, Refusal)> {
    let turns = turning(&outcome.windows);
    let mut spoilt = Vec::new();
    for (board, read) in loaded.session.boards.iter().zip(&loaded.files) {
        let Role::Hub(side) = board.role else {
            continue;
        };
        let used = outcome.used.iter().find(|used| used.role == board.role);
        let Some(used) = used.filter(|used| used.turns > 0) else {
            continue;
        };
        let own = |at: HostTime| HostTime::from_us(at.us() + used.clock_offset_us);
        for (from, to) in &turns {
            let (from, to) = (own(*from), own(*to));
            if read.saturated.iter().any(|at| from < *at && *at < to) {
                spoilt.push((side, Refusal::Saturated { side }));
                break;
            }
            if let Some(gap_us) = gap_within(board, from, to) {
                let gap_ms = gap_us / 1000;
                spoilt.push((side, Refusal::Gap { side, gap_ms }));
                break;
            }
        }
    }
    spoilt
}

fn gap_within(board: &SessionBoard, from: HostTime, to: HostTime) -> Option<i64> {
    gaps(&board.samples)
        .find(|(at, length_us)| *at < to && from.us() < at.us() + length_us)
        .map(|(_, length_us)| length_us)
}

/// When the wheels turned, by the clock of the windows.
fn turning(windows: &[Window]) -> Vec<(HostTime, HostTime)> {
    let rests: Vec<&Window> = windows
        .iter()
        .filter(|window| {
            matches!(
                window.kind,
                WindowKind::Straight | WindowKind::Stop | WindowKind::Sweep
            )
        })
        .collect();
    rests
        .windows(2)
        .map(|pair| (pair[0].to, pair[1].from))
        .collect()
}
