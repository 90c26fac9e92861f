//! Camber over steer on the wire: as a wheel turns, and as its axis has it.

use serde::Serialize;
use utoipa::ToSchema;

use super::views::MountView;

/// Where a wheel stands while a swing runs.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WhereaboutsView {
    /// Which wheel.
    pub mount: MountView,
    /// Steer angle, degrees, + left.
    pub steer_deg: f64,
    /// Camber there, degrees, + top out.
    pub camber_deg: f64,
}

/// Camber over steer of a wheel in a swing that went through.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SwingCurveView {
    /// Which run of the swing.
    pub run: u64,
    /// Which wheel.
    pub mount: MountView,
    /// The rests as they were seen: steer angle, camber, half width of the camber's 95 %
    /// interval; degrees.
    pub stops: Vec<[f64; 3]>,
    /// The curve that the found axis gives: steer angle and camber, degrees. Empty where no
    /// axis was found.
    pub fitted: Vec<[f64; 2]>,
}
