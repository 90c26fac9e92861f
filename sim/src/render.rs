//! A scenario without wires: all readings at once, the same for the same seed, bit for bit.

use std::fmt::Write as _;
use std::path::Path;
use std::{fs, io};

use hubplumb_protocol::Reading;

use crate::board::BoardSampler;
use crate::car::Mount;
use crate::error::SimError;
use crate::motion::ScriptError;
use crate::scenario::Scenario;

/// Everything one board says during the script.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// Where it is strapped.
    pub mount: Mount,
    /// True instant, µs since the start, and reading.
    pub readings: Vec<(i64, Reading)>,
}

/// Renders the script from beginning to end, board by board in the order of the file.
pub fn render(scenario: &Scenario) -> Result<Vec<Recording>, ScriptError> {
    let mut timeline = scenario.timeline();
    timeline.extend(scenario.script(), 0.0)?;
    let record = |board: &crate::board::BoardSpec| {
        let mut sampler = BoardSampler::new(board.clone(), scenario.seed());
        let mut readings = Vec::new();
        while sampler.due_s() < timeline.end_s() {
            readings.push(sampler.read(&timeline));
        }
        Recording {
            mount: board.mount,
            readings,
        }
    };
    Ok(scenario.boards().iter().map(record).collect())
}

/// The readings of one board as a table: `t_us,ax,ay,az,gx,gy,gz,temp`, that is microseconds of the
/// board's own clock, g, °/s and °C. Columns a chip does not have stay empty.
pub fn case_csv(recording: &Recording) -> String {
    let mut text = String::from("t_us,ax,ay,az,gx,gy,gz,temp\n");
    for (_, reading) in &recording.readings {
        let triple = |values: Option<[f64; 3]>| match values {
            Some([x, y, z]) => format!("{x:.9},{y:.9},{z:.9}"),
            None => ",,".to_owned(),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{},{},{},{}",
            reading
                .device_time_us
                .map_or(String::new(), |t_us| format!("{t_us:.0}")),
            triple(reading.accel_g),
            triple(reading.rate_radps.map(|rate| rate.map(f64::to_degrees))),
            reading
                .temperature_c
                .map_or(String::new(), |t_c| format!("{t_c:.2}")),
        );
    }
    text
}

/// Writes `<mount>.csv` for every board and `truth.json` into a folder, which is made if need be.
pub fn render_case_csv(scenario: &Scenario, folder: &Path) -> Result<(), SimError> {
    fs::create_dir_all(folder).map_err(|source| SimError::File {
        path: folder.to_owned(),
        source,
    })?;
    let write = |name: &str, text: &str| {
        let path = folder.join(name);
        fs::write(&path, text).map_err(|source| SimError::File { path, source })
    };
    for recording in render(scenario)? {
        write(&format!("{}.csv", recording.mount), &case_csv(&recording))?;
    }
    let truth = serde_json::to_string_pretty(&scenario.truth())
        .map_err(io::Error::from)
        .map_err(|source| SimError::File {
            path: folder.join("truth.json"),
            source,
        })?;
    write("truth.json", &(truth + "\n"))
}
