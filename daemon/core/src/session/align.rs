//! The clock of each board against the clock of the windows.
//!
//! A board cannot know when a session began, but it knows when it was moved.
//! Its movement, sample by sample still or not, is compared with the windows
//! at every shift; the shift where moves fall into moves and rests into rests
//! is its clock's. A few hundredths of a second are enough: rests are trimmed
//! by more than that, and a turn is integrated from rest to rest.

use crate::frames::Vec3;
use crate::session::{Role, Session, SessionBoard, SessionError, Window, WindowKind};
use crate::time::HostTime;

/// Step of the comparison.
const STEP_US: i64 = 20_000;
/// Clocks differ by so much at most.
const SHIFT_US: i64 = 4_000_000;
/// A movement this agreed with its windows is theirs.
const AGREEMENT: f64 = 0.4;

/// The board's clock less the windows' clock, µs.
pub(super) fn offset_us(session: &Session, board: &SessionBoard) -> Result<i64, SessionError> {
    if board.shares_clock || session.windows.is_empty() {
        return Ok(0);
    }
    let (offset_us, agreement) = best(&felt_by(board.role, &session.windows), board);
    if agreement < AGREEMENT {
        return Err(SessionError::ClockNotFound {
            role: board.role,
            agreement,
        });
    }
    Ok(offset_us)
}

/// The same against windows that were found, none where nothing agrees.
pub(super) fn best_offset_us(windows: &[Window], board: &SessionBoard) -> Option<i64> {
    if board.shares_clock {
        return Some(0);
    }
    let (offset_us, agreement) = best(windows, board);
    (agreement >= AGREEMENT).then_some(offset_us)
}

/// The windows that tell of a board: one on a hub does not feel the other wheel
/// turn on its bearing, one on the body feels neither turn.
fn felt_by(role: Role, windows: &[Window]) -> Vec<Window> {
    let mut sorted = windows.to_vec();
    sorted.sort_by_key(|w| w.from);
    let turned = |index: usize| {
        let window = &sorted[index];
        let stop = |other: Option<&Window>| {
            other.is_some_and(|o| o.kind == WindowKind::RunOutStop && o.corner == window.corner)
        };
        let before = index.checked_sub(1).and_then(|i| sorted.get(i));
        window.kind == WindowKind::Spin
            || (window.kind == WindowKind::Move && stop(before) && stop(sorted.get(index + 1)))
    };
    let felt = |index: &usize| match role {
        Role::Body => !turned(*index),
        Role::Hub(side) => sorted[*index].corner.is_none_or(|c| c == side) || !turned(*index),
    };
    (0..sorted.len()).filter(felt).map(|i| sorted[i]).collect()
}

/// Best shift and its agreement.
fn best(windows: &[Window], board: &SessionBoard) -> (i64, f64) {
    let activity = activity(board);
    let start_us = board.samples[0].at.us();
    let mut best = (0, f64::NEG_INFINITY);
    let mut shift = -SHIFT_US;
    while shift <= SHIFT_US {
        let agreement = agreement(&activity, start_us, shift, windows);
        if agreement > best.1 {
            best = (shift, agreement);
        }
        shift += STEP_US;
    }
    best
}

/// How much the board moves in each step: 0 at rest, 1 clearly moving.
fn activity(board: &SessionBoard) -> Vec<f64> {
    let start = board.samples[0].at;
    let end = board.samples[board.samples.len() - 1].at;
    let count = usize::try_from(end.since_us(start) / STEP_US).unwrap_or(0) + 1;
    let mut sums = vec![(Vec3::zero(), Vec3::zero(), 0.0); count];
    for sample in &board.samples {
        let slot = usize::try_from(sample.at.since_us(start) / STEP_US).unwrap_or(0);
        let (accel, rate, n) = &mut sums[slot.min(count - 1)];
        *accel = *accel + sample.accel_g;
        *rate = *rate + sample.rate_radps.unwrap_or(Vec3::zero());
        *n += 1.0;
    }
    let means: Vec<_> = sums
        .iter()
        .map(|(a, r, n): &(_, _, f64)| (*a * (1.0 / n.max(1.0)), *r * (1.0 / n.max(1.0))))
        .collect();
    let with_gyro = board.samples.iter().any(|s| s.rate_radps.is_some());
    let mut raw: Vec<f64> = if with_gyro {
        // The offset is the median rate: most of a session is rest.
        let middle = |pick: fn(&Vec3<_>) -> f64| {
            let mut all: Vec<f64> = means.iter().map(|(_, r)| pick(r)).collect();
            all.sort_by(f64::total_cmp);
            all[all.len() / 2]
        };
        let offset = Vec3::new(middle(Vec3::x), middle(Vec3::y), middle(Vec3::z));
        means.iter().map(|(_, r)| (*r - offset).norm()).collect()
    } else {
        // Change of gravity over a quarter of a second.
        let reach = 6;
        (0..count)
            .map(|i| {
                (means[(i + reach).min(count - 1)].0 - means[i.saturating_sub(reach)].0).norm()
            })
            .collect()
    };
    let mut sorted = raw.clone();
    sorted.sort_by(f64::total_cmp);
    // Rest is the lower half; movement starts well above its scatter.
    let threshold = (4.0 * sorted[sorted.len() / 2]).max(1e-6);
    for value in &mut raw {
        *value = (*value / threshold).min(1.0).powi(2);
    }
    raw
}

/// Correlation of the activity with "not a rest window" at a shift.
fn agreement(activity: &[f64], start_us: i64, shift_us: i64, windows: &[Window]) -> f64 {
    let (mut n, mut sx, mut sy, mut sxx, mut syy, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (slot, &x) in activity.iter().enumerate() {
        let at = HostTime::from_us(
            start_us + i64::try_from(slot).unwrap_or(0) * STEP_US + STEP_US / 2 - shift_us,
        );
        let Some(window) = windows.iter().find(|w| w.from <= at && at < w.to) else {
            continue;
        };
        let y = if window.kind.is_rest() { 0.0 } else { 1.0 };
        n += 1.0;
        sx += x;
        sy += y;
        sxx += x * x;
        syy += y * y;
        sxy += x * y;
    }
    let spread = ((n * sxx - sx * sx) * (n * syy - sy * sy)).sqrt();
    if spread > 0.0 {
        (n * sxy - sx * sy) / spread
    } else {
        f64::NEG_INFINITY
    }
}
