//! Where calibrations are kept: a folder with one TOML file per board.
//!
//! The format is described in docs/CALIBRATION.md. A file is replaced as a
//! whole or not at all, and one that cannot be read is left as it is.

mod error;
mod file;
mod folder;
#[cfg(test)]
mod tests;

use hubplumb_core::calibrate::{Ages, KeptCalibration};
use time::{Date, OffsetDateTime};

pub use error::StoreError;
pub use folder::{CalibrationStore, read, to_text};
pub(crate) use folder::{OWNER_ONLY, file_name, make_private, owner_only, replace};

/// A calibration as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredCalibration {
    /// Identity of the board.
    pub board: String,
    /// When the poses were solved, UTC.
    pub date: OffsetDateTime,
    /// The calibration and what the core needs to know how far to trust it.
    pub kept: KeptCalibration,
    /// Poses it rests on.
    pub poses: usize,
    /// Root mean square of what is left of their lengths, g.
    pub residual_rms_g: f64,
    /// Warmest pose less coldest, °C.
    pub temperature_span_c: Option<f64>,
    /// Covariance of the nine numbers, in the order of the core's parameters (g, ratio, rad).
    pub covariance: Vec<[f64; 9]>,
    /// When the board was turned end for end, UTC; there if an axis is settled.
    pub settled_date: Option<OffsetDateTime>,
}

impl StoredCalibration {
    /// How many days ago its parts were done. Whole days, so that what a board
    /// is trusted for does not change from one look to the next.
    pub fn ages(&self, today: Date) -> Ages {
        let days =
            |date: OffsetDateTime| f64::from(today.to_julian_day() - date.date().to_julian_day());
        Ages {
            poses_days: days(self.date),
            settled_days: self.settled_date.map_or(0.0, days),
        }
    }
}
