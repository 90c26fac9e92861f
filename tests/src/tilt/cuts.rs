//! Three cuts of BROAD: D. Laidig, M. Caruso, A. Cereatti, T. Seel, "BROAD - A
//! Benchmark for Robust Inertial Orientation Estimation", Data 6(7):72, 2021
//! (CC BY 4.0). Rate, specific force, and an optical reference of orientation.

use std::fs;
use std::path::PathBuf;

use super::{Up, angle_deg};

/// Readings per second.
pub const RATE_HZ: f64 = 1e6 / 3_500.0;
/// The cuts, by their trial.
pub const NAMES: [&str; 3] = ["02", "05", "25"];
/// Inclination error in motion, degrees, of the filter authors' own package
/// `vqf` 2.1.2 with defaults on each cut (`tests/reference/vqf_reference.py`).
pub const PUBLISHED_CODE_DEG: [f64; 3] = [0.377, 0.392, 0.275];

/// One reading with its truth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Time, µs.
    pub at_us: i64,
    /// Rate, rad/s.
    pub rate_radps: [f64; 3],
    /// Specific force, m/s².
    pub force_mps2: [f64; 3],
    /// Optical reference (w, x, y, z; sensor to level frame), where the cameras saw it.
    pub reference: Option<[f64; 4]>,
    /// Does the trial count this as motion?
    pub moving: bool,
}

impl Reading {
    /// The true direction against gravity in the sensor's axes.
    pub fn up(&self) -> Option<Up> {
        self.reference.map(up_of)
    }
}

/// Third row of the rotation matrix of (w, x, y, z).
pub fn up_of([w, x, y, z]: [f64; 4]) -> Up {
    [
        2.0 * (x * z - w * y),
        2.0 * (y * z + w * x),
        1.0 - 2.0 * (x * x + y * y),
    ]
}

/// A cut; none where the recordings are not there.
///
/// # Panics
/// On a file that is not what its first line says.
pub fn load(name: &str) -> Option<Vec<Reading>> {
    let file = format!("../../shared/data/broad/broad_{name}_40s.csv");
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(file);
    let text = fs::read_to_string(path).ok()?;
    let reading = |line: &str| {
        let v: Vec<f64> = line
            .split(',')
            .map(|word| word.parse().unwrap_or(f64::NAN))
            .collect();
        let [t, gx, gy, gz, ax, ay, az, w, x, y, z, moving] = v[..] else {
            panic!("twelve columns: {line}");
        };
        let reference = [w, x, y, z];
        #[expect(clippy::cast_possible_truncation, reason = "forty seconds")]
        Reading {
            at_us: (t * 1e6).round() as i64,
            rate_radps: [gx, gy, gz],
            force_mps2: [ax, ay, az],
            reference: reference.iter().all(|c| c.is_finite()).then_some(reference),
            moving: moving > 0.5,
        }
    };
    Some(text.lines().skip(1).map(reading).collect())
}

/// Inclination errors during motion, degrees, of what was found per reading.
pub fn errors_deg(cut: &[Reading], found: &[Option<Up>]) -> Vec<f64> {
    cut.iter()
        .zip(found)
        .filter(|(reading, _)| reading.moving)
        .filter_map(|(reading, up)| Some(angle_deg(reading.up()?, (*up)?)))
        .collect()
}
