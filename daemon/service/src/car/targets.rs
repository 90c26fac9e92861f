//! What the angles of a car should be.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A target figure with its limits; any may be missing.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// The figure aimed at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target: Option<f64>,
    /// Lowest that is still right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Highest that is still right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

impl Limits {
    /// Is nothing told?
    pub const fn is_empty(&self) -> bool {
        self.target.is_none() && self.low.is_none() && self.high.is_none()
    }

    /// What to aim at: the target, else the middle of the limits.
    pub fn aim(&self) -> Option<f64> {
        self.target
            .or_else(|| Some(f64::midpoint(self.low?, self.high?)))
    }
}

/// The targets of a car. Degrees unless the name says otherwise; camber + top out,
/// caster + top rearward, SAI + top inboard, toe + in, thrust + to the right.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CarTargets {
    /// Front axle.
    #[serde(default, skip_serializing_if = "AxleTargets::is_empty")]
    pub front: AxleTargets,
    /// Rear axle.
    #[serde(default, skip_serializing_if = "AxleTargets::is_empty")]
    pub rear: AxleTargets,
    /// Thrust angle.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub thrust_deg: Limits,
    /// Angle of the steering wheel when the car goes straight, + to the right.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub steering_wheel_deg: Limits,
    /// Setback of the front axle, mm, + when the left wheel is ahead.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub setback_mm: Limits,
    /// Toe-out on turns.
    #[serde(default, skip_serializing_if = "TurnTargets::is_empty")]
    pub turns: TurnTargets,
}

/// The targets of one axle.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxleTargets {
    /// Camber of each wheel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub camber_deg: Limits,
    /// Caster of each wheel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub caster_deg: Limits,
    /// Steering axis inclination of each wheel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub sai_deg: Limits,
    /// Included angle of each wheel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub included_angle_deg: Limits,
    /// Toe of each wheel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub toe_deg: Limits,
    /// Toe of both wheels together.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub total_toe_deg: Limits,
    /// What left and right may differ by.
    #[serde(default, skip_serializing_if = "SideLimits::is_empty")]
    pub most_difference: SideLimits,
}

/// What left and right may differ by, degrees, either way.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SideLimits {
    /// Camber.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camber_deg: Option<f64>,
    /// Caster.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caster_deg: Option<f64>,
    /// Steering axis inclination.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sai_deg: Option<f64>,
    /// Included angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub included_angle_deg: Option<f64>,
}

/// Toe-out on turns: what the other wheel stands at when one stands at a stated angle.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TurnTargets {
    /// Angle of the inner wheel at which the outer one is told; 20 where nothing else is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inner_deg: Option<f64>,
    /// Angle of the outer wheel then.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub outer_deg: Limits,
}

impl CarTargets {
    pub(super) fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl AxleTargets {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl SideLimits {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl TurnTargets {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
