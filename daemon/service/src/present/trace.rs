//! Traces for the page.

use hubplumb_core::angle::Angle;
use hubplumb_core::reading::Missing;

use crate::http::trace_views::{TraceBoardView, TraceGap};
use crate::traces::Mark;

/// Decimals of a degree that are told: finer than any board is.
const DECIMALS: f64 = 1e4;

fn rounded(angle: Angle) -> f64 {
    // Adding zero makes a negative zero a plain one.
    (angle.deg() * DECIMALS).round() / DECIMALS + 0.0
}

/// When a mark was made, µs.
pub const fn at_us(mark: &Mark) -> i64 {
    match mark {
        Mark::Angles { at, .. } | Mark::Gap { at, .. } => at.us(),
    }
}

/// Adds a mark to a stretch.
pub fn trace_mark(view: &mut TraceBoardView, mark: &Mark) {
    match mark {
        Mark::Angles { at, lean, pitch } => {
            view.at_us.push(at.us());
            view.lean_deg.push(Some(rounded(lean.value)));
            view.pitch_deg.push(Some(rounded(pitch.value)));
            view.lean_expanded_deg = Some(rounded(lean.expanded()));
            view.pitch_expanded_deg = Some(rounded(pitch.expanded()));
        }
        Mark::Gap { at, why } => trace_gap(view, at.us(), gap(*why)),
    }
}

/// Adds a place from which there are no angles.
pub fn trace_gap(view: &mut TraceBoardView, at_us: i64, gap: TraceGap) {
    view.at_us.push(at_us);
    view.lean_deg.push(None);
    view.pitch_deg.push(None);
    view.gaps.push(gap);
}

const fn gap(why: Missing) -> TraceGap {
    match why {
        Missing::Absent => TraceGap::Absent,
        Missing::Stale => TraceGap::Stale,
        Missing::Saturated => TraceGap::Saturated,
        Missing::Stuck | Missing::Torn | Missing::Garbled | Missing::AtOdds => TraceGap::Unfit,
        Missing::Moving => TraceGap::Moving,
        Missing::Settling => TraceGap::Settling,
        Missing::Unmounted => TraceGap::Unmounted,
    }
}
