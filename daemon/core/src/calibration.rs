//! From what a board reads to what it should have read.

use nalgebra::Matrix3;
use thiserror::Error;

use crate::frames::{Board, Vec3};
use crate::reading::{RawSample, Sample};

/// Why a calibration is not usable.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CalibrationError {
    /// A number is not finite.
    #[error("the {part} holds a number that is not finite")]
    NotFinite {
        /// Which part.
        part: &'static str,
    },
    /// A matrix is too far from the unit matrix to be a chip's.
    #[error(
        "entry {row},{column} of the {part} is {found}, more than {limit} from the unit matrix"
    )]
    NotNearUnit {
        /// Which part.
        part: &'static str,
        /// Row, from 0.
        row: usize,
        /// Column, from 0.
        column: usize,
        /// The entry.
        found: f64,
        /// The limit.
        limit: f64,
    },
    /// An offset is larger than a chip's can be.
    #[error("the {part} is {found}, more than {limit}")]
    OffsetTooLarge {
        /// Which part.
        part: &'static str,
        /// Largest component.
        found: f64,
        /// The limit.
        limit: f64,
    },
}

/// Scale, cross-axis and offset correction of one board: `true = matrix · (read − offset)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    accel_offset_g: Vec3<Board>,
    accel_matrix: Matrix3<f64>,
    gyro_offset_radps: Vec3<Board>,
    gyro_matrix: Matrix3<f64>,
    done: bool,
}

/// No chip's scale or cross-axis error comes near this (data sheets: ±3 %, ±2 %).
const MATRIX_LIMIT: f64 = 0.2;
/// Largest zero-g offset in data sheets is 0.08 g.
const OFFSET_LIMIT_G: f64 = 0.3;
/// Largest zero-rate offset in data sheets is 20 °/s.
const OFFSET_LIMIT_RADPS: f64 = 0.7;

impl Calibration {
    /// No calibration: readings pass as they are.
    pub fn none() -> Self {
        Self {
            accel_offset_g: Vec3::zero(),
            accel_matrix: Matrix3::identity(),
            gyro_offset_radps: Vec3::zero(),
            gyro_matrix: Matrix3::identity(),
            done: false,
        }
    }

    /// A calibration from its numbers. Matrices are given row by row.
    pub fn from_parts(
        accel_offset_g: [f64; 3],
        accel_matrix: [[f64; 3]; 3],
        gyro_offset_radps: [f64; 3],
        gyro_matrix: [[f64; 3]; 3],
    ) -> Result<Self, CalibrationError> {
        check_offset("accelerometer offset", accel_offset_g, OFFSET_LIMIT_G)?;
        check_offset("gyro offset", gyro_offset_radps, OFFSET_LIMIT_RADPS)?;
        Ok(Self {
            accel_offset_g: Vec3::from_array(accel_offset_g),
            accel_matrix: checked_matrix("accelerometer matrix", accel_matrix)?,
            gyro_offset_radps: Vec3::from_array(gyro_offset_radps),
            gyro_matrix: checked_matrix("gyro matrix", gyro_matrix)?,
            done: true,
        })
    }

    /// Was this board ever calibrated?
    pub const fn is_done(&self) -> bool {
        self.done
    }

    /// Accelerometer offset, g.
    pub fn accel_offset_g(&self) -> [f64; 3] {
        self.accel_offset_g.to_array()
    }

    /// Accelerometer matrix, row by row.
    pub fn accel_matrix(&self) -> [[f64; 3]; 3] {
        rows(&self.accel_matrix)
    }

    /// Gyro offset, rad/s.
    pub fn gyro_offset_radps(&self) -> [f64; 3] {
        self.gyro_offset_radps.to_array()
    }

    /// Gyro matrix, row by row.
    pub fn gyro_matrix(&self) -> [[f64; 3]; 3] {
        rows(&self.gyro_matrix)
    }

    /// The same calibration with an accelerometer offset that was seen in its
    /// calibrated readings, g, taken out as well. Whether the board counts as
    /// calibrated stays as it was.
    #[expect(
        clippy::missing_panics_doc,
        reason = "no caller can bring the panic about, see below"
    )]
    pub fn without_offset(&self, seen_g: &Vec3<Board>) -> Result<Self, CalibrationError> {
        #[expect(
            clippy::expect_used,
            reason = "within 0.2 of the unit matrix its diagonal outweighs its rows, so it has an inverse"
        )]
        let back = self.accel_matrix.try_inverse().expect("invertible");
        let accel_offset_g = self.accel_offset_g + seen_g.mapped(&back);
        check_offset(
            "accelerometer offset",
            accel_offset_g.to_array(),
            OFFSET_LIMIT_G,
        )?;
        Ok(Self {
            accel_offset_g,
            ..*self
        })
    }

    /// The calibrated reading.
    pub fn apply(&self, raw: &RawSample) -> Sample {
        Sample {
            at: raw.at,
            accel_g: (raw.accel_g - self.accel_offset_g).mapped(&self.accel_matrix),
            rate_radps: raw
                .rate_radps
                .map(|rate| (rate - self.gyro_offset_radps).mapped(&self.gyro_matrix)),
            temperature_c: raw.temperature_c,
        }
    }
}

fn rows(matrix: &Matrix3<f64>) -> [[f64; 3]; 3] {
    std::array::from_fn(|row| std::array::from_fn(|column| matrix[(row, column)]))
}

fn check_offset(part: &'static str, offset: [f64; 3], limit: f64) -> Result<(), CalibrationError> {
    if offset.iter().any(|c| !c.is_finite()) {
        return Err(CalibrationError::NotFinite { part });
    }
    let found = offset.iter().fold(0.0_f64, |most, c| most.max(c.abs()));
    if found > limit {
        Err(CalibrationError::OffsetTooLarge { part, found, limit })
    } else {
        Ok(())
    }
}

fn checked_matrix(
    part: &'static str,
    rows: [[f64; 3]; 3],
) -> Result<Matrix3<f64>, CalibrationError> {
    for (row, entries) in rows.iter().enumerate() {
        for (column, &found) in entries.iter().enumerate() {
            if !found.is_finite() {
                return Err(CalibrationError::NotFinite { part });
            }
            let unit = if row == column { 1.0 } else { 0.0 };
            if (found - unit).abs() > MATRIX_LIMIT {
                return Err(CalibrationError::NotNearUnit {
                    part,
                    row,
                    column,
                    found,
                    limit: MATRIX_LIMIT,
                });
            }
        }
    }
    Ok(Matrix3::from_fn(|row, column| rows[row][column]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::HostTime;

    const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    #[test]
    fn undoes_a_known_error_model() {
        // read = inverse(matrix) · true + offset, with true = (0, 0, 1) g.
        let offset = [0.01, -0.02, 0.03];
        let matrix = [[1.01, 0.002, 0.0], [0.0, 0.99, -0.003], [0.001, 0.0, 1.02]];
        let read =
            Matrix3::from_fn(|r, c| matrix[r][c]).try_inverse().unwrap() * nalgebra::Vector3::z();
        let raw = RawSample {
            at: HostTime::from_us(5),
            accel_g: Vec3::new(read.x + offset[0], read.y + offset[1], read.z + offset[2]),
            rate_radps: None,
            temperature_c: Some(20.0),
        };
        let done = Calibration::from_parts(offset, matrix, [0.0; 3], UNIT)
            .unwrap()
            .apply(&raw);
        assert!(
            (done.accel_g - Vec3::new(0.0, 0.0, 1.0)).norm() < 1e-12,
            "{done:?}"
        );
        assert_eq!(Calibration::none().apply(&raw).accel_g, raw.accel_g);
    }

    #[test]
    fn an_offset_seen_after_calibration_is_taken_out() {
        let matrix = [[1.1, 0.02, 0.0], [0.01, 0.9, -0.03], [0.0, 0.0, 1.05]];
        let first = Calibration::from_parts([0.01, 0.0, -0.02], matrix, [0.0; 3], UNIT).unwrap();
        let raw = RawSample {
            at: HostTime::from_us(5),
            accel_g: Vec3::new(0.3, -0.5, 0.7),
            rate_radps: None,
            temperature_c: None,
        };
        let seen = Vec3::new(0.003, -0.004, 0.005);
        let second = first.without_offset(&seen).unwrap();
        let moved = first.apply(&raw).accel_g - second.apply(&raw).accel_g;
        assert!((moved - seen).norm() < 1e-15, "{moved:?}");
        assert_eq!(second.accel_matrix(), matrix);
        assert!(matches!(
            first.without_offset(&Vec3::new(0.5, 0.0, 0.0)),
            Err(CalibrationError::OffsetTooLarge { .. })
        ));
    }

    #[test]
    fn refuses_what_no_chip_can_be() {
        let check = |offset: [f64; 3], matrix: [[f64; 3]; 3], expected: CalibrationError| {
            assert_eq!(
                Calibration::from_parts(offset, matrix, [0.0; 3], UNIT),
                Err(expected)
            );
        };
        check(
            [0.0, 0.5, 0.0],
            UNIT,
            CalibrationError::OffsetTooLarge {
                part: "accelerometer offset",
                found: 0.5,
                limit: OFFSET_LIMIT_G,
            },
        );
        let mut matrix = UNIT;
        matrix[1][1] = 9.81;
        check(
            [0.0; 3],
            matrix,
            CalibrationError::NotNearUnit {
                part: "accelerometer matrix",
                row: 1,
                column: 1,
                found: 9.81,
                limit: MATRIX_LIMIT,
            },
        );
        check(
            [0.0, 0.0, f64::NAN],
            UNIT,
            CalibrationError::NotFinite {
                part: "accelerometer offset",
            },
        );
    }
}
