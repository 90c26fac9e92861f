//! What became of a car over its visits, on the wire.

use serde::Serialize;
use utoipa::ToSchema;

use crate::text::Text;

use super::visit_views::VerdictWord;
use crate::car::Limits;
use crate::visit::{Place, Quantity, Stage, Unit};

/// A car over its visits.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CarHistoryView {
    /// Number of the car.
    pub car_id: i64,
    /// Its name now.
    pub car: String,
    /// Its newest visits, the oldest of them first.
    pub visits: Vec<PastVisitView>,
    /// So many visits are older still, and not told.
    pub older: usize,
}

/// A visit in the history of its car.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PastVisitView {
    /// Number of the visit.
    pub id: i64,
    /// When it began, RFC 3339.
    pub began_at: String,
    /// The part at hand.
    pub stage: Stage,
    /// What was found in it, in the order of a sheet.
    pub findings: Vec<PastFindingView>,
}

/// What a visit found of one quantity at one place.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PastFindingView {
    /// Of what.
    pub quantity: Quantity,
    /// The same in words.
    pub name: Text,
    /// Where.
    pub place: Place,
    /// The same in words.
    pub place_words: Text,
    /// What the figures are counted in.
    pub unit: Unit,
    /// As the car came: found last before anything was adjusted.
    pub before: Option<PastFigureView>,
    /// As it left: found last while adjusting or after.
    pub after: Option<PastFigureView>,
}

/// A figure of then.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PastFigureView {
    /// The value, in the unit of its finding.
    pub value: f64,
    /// Half width of its 95 % interval.
    pub expanded: f64,
    /// The sign in words.
    pub sense: Text,
    /// Limits of that time.
    pub limits: Option<Limits>,
    /// The verdict of that time; none without limits.
    pub verdict: Option<VerdictWord>,
}
