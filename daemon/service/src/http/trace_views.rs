//! Traces on the wire: every angle, as short as can be read.

use serde::Serialize;
use utoipa::ToSchema;

use super::views::MountView;

/// What the boards showed since the batch before.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct TraceBatchView {
    /// The daemon's time, µs.
    pub now_us: i64,
    /// Those that showed something.
    pub boards: Vec<TraceBoardView>,
}

/// A stretch of the trace of one board. The three lists are equally long.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TraceBoardView {
    /// The board, see `BoardView::id`.
    pub id: String,
    /// Where it is mounted.
    pub mount: MountView,
    /// When, µs of the daemon's clock; never before the one before.
    pub at_us: Vec<i64>,
    /// Camber of a wheel, + top out; roll of the body from where it first rested, + left
    /// side up. Degrees. None: from here to the next angle there is none.
    pub lean_deg: Vec<Option<f64>>,
    /// Pitch of the hub, or of the body from where it first rested, degrees, + front up.
    pub pitch_deg: Vec<Option<f64>>,
    /// Why, for each place without angles, in their order.
    pub gaps: Vec<TraceGap>,
    /// Half width of the 95 % interval of `lean_deg` as of its last angle.
    pub lean_expanded_deg: Option<f64>,
    /// The same of `pitch_deg`.
    pub pitch_expanded_deg: Option<f64>,
    /// So many of its angles and gaps were lost since the batch before, because they were
    /// not taken in time.
    pub lost: u64,
}

/// Why a trace breaks off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TraceGap {
    /// The board is not there.
    Absent,
    /// No reading for a while.
    Stale,
    /// The board is at the end of its range.
    Saturated,
    /// The board's readings are not fit to be used.
    Unfit,
    /// The hub moves too much for gravity to be seen.
    Moving,
    /// Too few readings yet.
    Settling,
    /// Nobody has said how the board sits.
    Unmounted,
    /// Angles there were, but whoever listens was too slow for them.
    Lost,
}
