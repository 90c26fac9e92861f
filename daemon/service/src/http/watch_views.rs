//! What the wire looks like where the daemon tells how it is itself.

use serde::Serialize;
use utoipa::ToSchema;

use super::views::TroubleView;

/// Can the daemon do its work?
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ReadyView {
    /// What it comes to.
    pub status: ReadyStatus,
    /// What was looked at.
    pub checks: Vec<ReadyCheckView>,
}

/// What it comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReadyStatus {
    /// Everything is well.
    Ready,
    /// It measures, and something that can be done without is not to be had.
    Degraded,
    /// It cannot measure, or not any longer.
    NotReady,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ReadyCheckView {
    /// Stable name: `running`, `snapshot` or `store`.
    pub name: &'static str,
    /// Is it well?
    pub ok: bool,
    /// Present whenever it is not: what happened and what to do.
    pub trouble: Option<TroubleView>,
}
