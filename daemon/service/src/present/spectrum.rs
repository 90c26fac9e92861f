//! The noise of a board for a person, and as lines of the configuration.

use std::fmt::Write as _;
use std::path::Path;

use super::trouble;
use crate::http::views::TroubleView;
use crate::recording::spectrum::{AxisNoise, Read, Spectrum, SpectrumError};

/// Why a recording tells no noise.
pub fn spectrum_trouble(file: &Path, error: &SpectrumError) -> TroubleView {
    let what = format!("{}: {error}", file.display());
    match error {
        SpectrumError::TooShort { .. } => trouble(
            "too_short",
            what,
            "Noise is told from how means over longer and longer stretches differ; here there are too few.",
            "Record for half an hour or longer.",
        ),
        SpectrumError::NotAtRest { .. } => trouble(
            "not_at_rest",
            what,
            "What moves the board cannot be told from its noise.",
            "Lay the board on something heavy, away from people, fans and traffic, and record again.",
        ),
        SpectrumError::Gap { .. } | SpectrumError::Missing { .. } => trouble(
            "gaps",
            what,
            "Stretches of readings have to follow each other evenly.",
            "Check the cable, or lower the board's rate to what its line carries, and record again.",
        ),
        SpectrumError::Allan(_) => trouble(
            "no_curve",
            what,
            "There is nothing to read noise from.",
            "Record for half an hour or longer.",
        ),
    }
}

/// The noise of a board as a table, and the lines for the configuration.
pub fn spectrum_table(spectrum: &Spectrum) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{}: {} readings at rest, {:.0} s at {:.1} Hz",
        spectrum.file, spectrum.readings, spectrum.seconds, spectrum.rate_hz
    );
    let [start, end] = spectrum.handled_s;
    if start > 0.0 || end > 0.0 {
        let _ = writeln!(
            text,
            "left out, because the board was handled: {start:.1} s at the beginning, {end:.1} s at the end"
        );
    }
    if let Some([low, high]) = spectrum.temperature_c {
        let _ = writeln!(text, "chip temperature {low:.1} to {high:.1} °C");
    }
    let _ = writeln!(
        text,
        "\n{:<5} {:>24}  {:>22}  {:>24}",
        "axis", "noise density", "bias instability", "random walk"
    );
    for axis in &spectrum.axes {
        let (scale, unit) = shown(axis);
        let _ = writeln!(
            text,
            "{:<5} {:>24}  {:>22}  {:>24}",
            axis.axis,
            figure(&axis.density, scale, &format!("{unit}/√Hz")),
            figure(&axis.bias_instability, scale, unit),
            figure(&axis.random_walk, scale, &format!("{unit}/√s")),
        );
    }
    unseen(&mut text, spectrum);
    lines(&mut text, spectrum);
    text
}

fn shown(axis: &AxisNoise) -> (f64, &'static str) {
    if axis.unit == "g" {
        (1e6, "µg")
    } else {
        (1.0, axis.unit)
    }
}

fn figure(read: &Read, scale: f64, unit: &str) -> String {
    match read {
        Read::Known { value, .. } => format!("{} {unit}", digits(value * scale)),
        Read::Unseen { .. } => "not seen".to_owned(),
    }
}

/// Three digits that count.
fn digits(value: f64) -> String {
    if value >= 100.0 {
        format!("{value:.0}")
    } else if value >= 1.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.5}")
    }
}

fn unseen(text: &mut String, spectrum: &Spectrum) {
    // What is the same of several axes is told once.
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for axis in &spectrum.axes {
        for (name, read) in [
            ("noise density", &axis.density),
            ("bias instability", &axis.bias_instability),
            ("random walk", &axis.random_walk),
        ] {
            let Read::Unseen { reason } = read else {
                continue;
            };
            let reason = format!("{name}: {reason}");
            match told.iter_mut().find(|(known, _)| *known == reason) {
                Some((_, axes)) => axes.push(axis.axis),
                None => told.push((reason, vec![axis.axis])),
            }
        }
    }
    if !told.is_empty() {
        text.push_str("\nNot seen, and why\n");
        for (reason, axes) in told {
            let _ = writeln!(text, "  {reason} ({})", axes.join(", "));
        }
    }
}

fn lines(text: &mut String, spectrum: &Spectrum) {
    text.push_str("\nFor the configuration, under the board's [[board]] (the noisiest axis of each):\n\n[board.figures]\n");
    let figures = &spectrum.figures;
    for (key, value) in [
        ("accel_noise_ug_rthz", figures.accel_noise_ug_rthz),
        ("gyro_noise_dps_rthz", figures.gyro_noise_dps_rthz),
        ("gyro_drift_dps", figures.gyro_drift_dps),
    ] {
        match value {
            Some(value) => {
                let _ = writeln!(text, "{key} = {}", digits(value));
            }
            None => {
                let _ = writeln!(text, "# {key} did not show in this recording");
            }
        }
    }
    text.push_str(
        "# Offset, scale and squareness do not show at rest: calibrate the board in six poses.\n",
    );
}
