//! What the wire says of a board that is carried from rim to rim.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::text::Text;

/// An axle of the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AxleName {
    /// The front axle.
    #[default]
    Front,
    /// The rear axle.
    Rear,
}

/// Where the block can rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CarriedPlace {
    /// Outside the left front rim.
    FrontLeft,
    /// Outside the right front rim.
    FrontRight,
    /// Outside the left rear rim.
    RearLeft,
    /// Outside the right rear rim.
    RearRight,
    /// Against the left of the straight edge.
    Edge,
}

/// How far a board is that is carried.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CarriedView {
    /// Where the block is, or was last; none while that is not known.
    pub place: Option<CarriedPlace>,
    /// Whether it is turned end for end.
    pub turned: bool,
    /// Is it to be turned end for end now?
    pub turn_now: bool,
    /// Passes left out.
    pub left_out: usize,
    /// Why the last pass was left out, if it was; it is done again.
    pub last_left_out: Option<Text>,
    /// Total toe so far, degrees, + toe-in; none before there is any.
    pub value_deg: Option<f64>,
    /// Half width of its 95 % interval, degrees.
    pub expanded_deg: Option<f64>,
    /// Half width that was asked for, degrees.
    pub asked_deg: f64,
    /// Does a straight edge take part? Its turn is told by `edge_next`.
    pub with_edge: bool,
}
