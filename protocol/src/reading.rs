//! What a board says, once, in units that do not depend on its make.

use serde::{Deserialize, Serialize};

/// Standard gravity, m/s², exact by definition (3rd CGPM, 1901; ISO 80000-3).
pub const STANDARD_GRAVITY_MPS2: f64 = 9.806_65;

/// One reading of one board, in the board's own axes.
///
/// Every field is what the wire carried; nothing is filled in. A field the
/// frame did not hold is `None`, never zero.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Reading {
    /// The board's own clock, microseconds since an epoch only it knows.
    /// A counter of 32 bits or fewer is carried on over its wraps by the decoder of
    /// its format; a board that starts again simply jumps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device_time_us: Option<f64>,
    /// Running number of the frame, where the wire carries one; it wraps at
    /// [`WireFormat::sequence_bits`](crate::WireFormat::sequence_bits).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sequence: Option<u32>,
    /// Specific force, x y z, in units of standard gravity. A board lying
    /// still with z up reads (0, 0, +1).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_g: Option<[f64; 3]>,
    /// Angular rate, x y z, rad/s, right-handed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate_radps: Option<[f64; 3]>,
    /// The board's own idea of its attitude (roll, pitch, yaw; Z-Y-X order),
    /// rad. Carried for boards that say nothing else; it is never preferred
    /// over `accel_g`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attitude_rad: Option<[f64; 3]>,
    /// Roll and pitch, as in `attitude_rad`, of a board that says no yaw: an
    /// inclinometer. Absent where `attitude_rad` is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tilt_rad: Option<[f64; 2]>,
    /// Temperature of the chip, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
}
