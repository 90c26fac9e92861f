//! Why nothing follows from what was entered.

use thiserror::Error;

use crate::gum::GumError;

use super::Source;

/// Why nothing follows from what was entered.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum EnteredError {
    /// The uncertainty cannot be worked out, or a number is none.
    #[error(transparent)]
    Gum(#[from] GumError),
    /// A length, ratio or radius that must be above zero.
    #[error("{from:?} is {found}, it must be above zero")]
    NotPositive {
        /// Which one.
        from: Source,
        /// What was entered, in m or 1.
        found: f64,
    },
    /// Front and rear differ by more than the diameter they were read at.
    #[error("front and rear differ by {found} of the diameter")]
    BeyondDiameter {
        /// Their difference over the diameter.
        found: f64,
    },
    /// The rim was gauged further below the hub than the rim reaches.
    #[error("gauged {below} m below the hub of a rim of {diameter} m")]
    BelowRim {
        /// Depth below the hub, m.
        below: f64,
        /// Diameter, m.
        diameter: f64,
    },
    /// A steer angle that is none of a turn: not between 0 and 90°.
    #[error("a steer angle of {found_deg}° is not between 0 and 90°")]
    SteerAngle {
        /// What was entered, degrees.
        found_deg: f64,
    },
    /// No pair of steer angles lies near the one asked for.
    #[error("no steer angles were read near {asked_deg}°")]
    NotRead {
        /// The angle asked for, degrees.
        asked_deg: f64,
    },
}
