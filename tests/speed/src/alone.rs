//! Orientation filters by themselves, at the same samples in the same run.

use std::fmt::Write as _;
use std::hint::black_box;
use std::io;
use std::path::Path;
use std::process::Command;

use hubplumb_protocol::STANDARD_GRAVITY_MPS2;
use vqf_rs::VQF;

use crate::families::reading;
use crate::worked::worked_ns;

/// Samples, at 100 Hz.
const SAMPLES: usize = 20_000;
const PERIOD_US: i64 = 10_000;
const RUNS: usize = 15;

/// Rate, rad/s, and specific force, m/s².
type Sample = ([f64; 3], [f64; 3]);

fn samples() -> impl Iterator<Item = Sample> {
    (0..SAMPLES).filter_map(|number| {
        let reading = reading(number, PERIOD_US);
        let force = reading.accel_g?.map(|g| g * STANDARD_GRAVITY_MPS2);
        Some((reading.rate_radps?, force))
    })
}

/// Processor time of the filter that the daemon has, ns for each sample: the least of several runs.
pub fn ours_ns() -> f64 {
    let samples: Vec<Sample> = samples().collect();
    let runs = (0..RUNS).map(|_| {
        let mut filter = VQF::new(PERIOD_US as f64 * 1e-6, None, None, None);
        let began = worked_ns();
        for (rate, force) in &samples {
            filter.update(*rate, *force, None);
        }
        black_box(filter.quat_6d());
        (worked_ns() - began) / samples.len() as f64
    });
    runs.fold(f64::INFINITY, f64::min)
}

/// The same of filters from `PyPI`, by their names.
///
/// # Errors
/// When Python or one of its packages is missing.
pub fn others_ns(python: &Path) -> io::Result<Vec<(String, f64)>> {
    let file = tempfile::NamedTempFile::new()?;
    let bytes: Vec<u8> = samples()
        .flat_map(|(rate, force)| rate.into_iter().chain(force))
        .flat_map(f64::to_ne_bytes)
        .collect();
    std::fs::write(file.path(), bytes)?;
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reference/filters_alone.py");
    let run = Command::new(python).arg(script).arg(file.path()).output()?;
    let said = String::from_utf8_lossy(&run.stdout);
    let found: Option<Vec<_>> = said
        .lines()
        .map(|line| {
            let (ns, name) = line.split_once(' ')?;
            Some((name.to_owned(), ns.parse().ok()?))
        })
        .collect();
    match found {
        Some(found) if !found.is_empty() => Ok(found),
        _ => Err(io::Error::other(
            String::from_utf8_lossy(&run.stderr).into_owned(),
        )),
    }
}

/// Both as a table.
pub fn table(ours_ns: f64, others: &[(String, f64)]) -> String {
    let mut told = String::from(
        "The same filter from PyPI, and another, at the same samples in the same run, processor time:\n\n\
         | | ns | |\n| --- | --- | --- |\n",
    );
    let own = (
        "vqf-rs, as the daemon has it, called for each sample".to_owned(),
        ours_ns,
    );
    for (name, ns) in std::iter::once(&own).chain(others) {
        let _ = writeln!(told, "| {name} | {ns:.0} | {:.2} × |", ns / ours_ns);
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_samples_are_those_of_a_board_that_mostly_rests() {
        let all: Vec<Sample> = samples().collect();
        assert_eq!(all.len(), SAMPLES);
        let length = |v: &[f64; 3]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
        assert!(
            all.iter()
                .all(|(_, force)| (length(force) - STANDARD_GRAVITY_MPS2).abs() < 1.0)
        );
        assert!(all.iter().any(|(rate, _)| length(rate) > 0.2));
        let told = table(200.0, &[("other".to_owned(), 100.0)]);
        assert!(told.contains("| other | 100 | 0.50 × |"), "{told}");
    }
}
