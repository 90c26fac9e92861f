//! The noise of a resting board, axis by axis, from its Allan deviation.

use hubplumb_core::allan::{AllanError, Grid, NoiseTerm, NoiseTerms, Phase, Unseen};
use hubplumb_core::reading::{Motion, RawSample, Sample};
use hubplumb_core::stillness::StillnessDetector;
use hubplumb_core::time::HostTime;
use serde::Serialize;
use thiserror::Error;

use super::csv_read::Recording;
use crate::figures::Figures;

/// Shorter recordings say nothing that could be relied on, s.
pub const LEAST_S: f64 = 120.0;
/// What a hand may disturb at either end, s.
const HANDLING_S: f64 = 10.0;
/// A reading later than so many intervals is a gap, and so is anything this long, µs.
const GAP_INTERVALS: f64 = 5.0;
const GAP_US: f64 = 100_000.0;
/// So large a share of missing readings is no even spacing any more.
const MISSING_SHARE: f64 = 0.01;
/// The stretch over which the drift of a gyro is told, s.
const DRIFT_TAU_S: f64 = 60.0;
/// A deviation over that stretch needs so many stretches.
const DRIFT_STRETCHES: f64 = 10.0;

/// Why a recording tells no noise.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SpectrumError {
    /// Too short.
    #[error("{seconds:.0} s of rest, at least {least:.0} s are needed")]
    TooShort {
        /// Its length.
        seconds: f64,
        /// The least.
        least: f64,
    },
    /// The board was moved.
    #[error("the board moved {at_s:.1} s after the beginning")]
    NotAtRest {
        /// When.
        at_s: f64,
    },
    /// Readings are missing in one place.
    #[error(
        "no reading for {length_ms:.0} ms, {at_s:.1} s after the beginning (usual: every {usual_ms:.1} ms)"
    )]
    Gap {
        /// When.
        at_s: f64,
        /// How long.
        length_ms: f64,
        /// How long it is usually.
        usual_ms: f64,
    },
    /// Readings are missing here and there.
    #[error("{missing} of {expected} readings are missing")]
    Missing {
        /// How many are missing.
        missing: usize,
        /// How many there should be.
        expected: usize,
    },
    /// The core cannot work with the readings.
    #[error(transparent)]
    Allan(#[from] AllanError),
}

/// What a recording at rest tells of its board.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spectrum {
    /// The recording.
    pub file: String,
    /// Readings used.
    pub readings: usize,
    /// Their length, s.
    pub seconds: f64,
    /// Readings per second.
    pub rate_hz: f64,
    /// Left out at the beginning and at the end, where a hand was at the board, s.
    pub handled_s: [f64; 2],
    /// Least and greatest chip temperature, °C, where it is told.
    pub temperature_c: Option<[f64; 2]>,
    /// Accelerometer (g) and gyro (°/s).
    pub axes: Vec<AxisNoise>,
    /// Figures for the configuration: the noisiest axis of each.
    pub figures: Figures,
}

/// The noise of one axis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxisNoise {
    /// Name of its column.
    pub axis: &'static str,
    /// Unit of its readings.
    pub unit: &'static str,
    /// Noise density, unit/√Hz, one-sided.
    pub density: Read,
    /// Bias instability, unit.
    pub bias_instability: Read,
    /// Rate random walk, unit/√s.
    pub random_walk: Read,
    /// The deviation over stretches of doubling length.
    pub curve: Vec<Point>,
}

/// A figure that was read from a curve, or why not.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Read {
    /// It was read.
    Known {
        /// The figure.
        value: f64,
        /// Its standard uncertainty.
        standard: f64,
        /// Shortest and longest stretch it was read from, s.
        stretch_s: [f64; 2],
    },
    /// It does not show.
    Unseen {
        /// Why.
        reason: String,
    },
}

impl Read {
    /// The figure.
    pub const fn value(&self) -> Option<f64> {
        match self {
            Self::Known { value, .. } => Some(*value),
            Self::Unseen { .. } => None,
        }
    }
}

impl From<Result<NoiseTerm, Unseen>> for Read {
    fn from(term: Result<NoiseTerm, Unseen>) -> Self {
        match term {
            Ok(term) => Self::Known {
                value: term.value,
                standard: term.standard,
                stretch_s: [term.from_s, term.to_s],
            },
            Err(unseen) => Self::Unseen {
                reason: why_unseen(unseen),
            },
        }
    }
}

/// The core's reason with as many digits as a person wants.
fn why_unseen(unseen: Unseen) -> String {
    match unseen {
        Unseen::TooShort { .. } => unseen.to_string(),
        Unseen::NoSuchSlope {
            slope,
            from_s,
            to_s,
        } => format!(
            "no part of the curve has the slope {slope} between {from_s:.2} s and {to_s:.1} s"
        ),
        Unseen::StillFalling { tau_s } => {
            format!("the deviation still falls at {tau_s:.1} s: record longer")
        }
    }
}

/// One point of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// Length of the stretch, s.
    pub tau_s: f64,
    /// Allan deviation, in the unit of the readings.
    pub deviation: f64,
}

/// The noise of a recording.
pub fn of(recording: &Recording) -> Result<Spectrum, SpectrumError> {
    let all = &recording.readings;
    let (Some(begin), Some(end)) = (all.first(), all.last()) else {
        return Err(AllanError::TooShort { found: 0 }.into());
    };
    let rest = at_rest(all)?;
    let (Some(first), Some(last)) = (rest.first(), rest.last()) else {
        return Err(AllanError::TooShort { found: 0 }.into());
    };
    let seconds = last.at.since_s(first.at);
    if seconds < LEAST_S {
        return Err(SpectrumError::TooShort {
            seconds,
            least: LEAST_S,
        });
    }
    check_even(rest, begin.at)?;
    let interval_s = seconds / (rest.len() - 1) as f64;
    let mut axes = Vec::new();
    for (index, axis) in ["ax", "ay", "az"].into_iter().enumerate() {
        let readings: Vec<f64> = rest.iter().map(|r| r.accel_g.to_array()[index]).collect();
        axes.push(axis_noise(axis, "g", &readings, interval_s)?);
    }
    let rates: Option<Vec<[f64; 3]>> = rest
        .iter()
        .map(|r| Some(r.rate_radps?.to_array().map(f64::to_degrees)))
        .collect();
    for (index, axis) in ["gx", "gy", "gz"].into_iter().enumerate() {
        if let Some(rates) = &rates {
            let readings: Vec<f64> = rates.iter().map(|rate| rate[index]).collect();
            axes.push(axis_noise(axis, "°/s", &readings, interval_s)?);
        }
    }
    let temperatures = rest.iter().filter_map(|r| r.temperature_c);
    Ok(Spectrum {
        file: recording.file.to_string_lossy().into_owned(),
        readings: rest.len(),
        seconds,
        rate_hz: 1.0 / interval_s,
        handled_s: [first.at.since_s(begin.at), end.at.since_s(last.at)],
        temperature_c: temperatures.fold(None, |range: Option<[f64; 2]>, t| {
            let [low, high] = range.unwrap_or([t, t]);
            Some([low.min(t), high.max(t)])
        }),
        figures: figures(&axes, seconds),
        axes,
    })
}

fn axis_noise(
    axis: &'static str,
    unit: &'static str,
    readings: &[f64],
    interval_s: f64,
) -> Result<AxisNoise, AllanError> {
    let curve = Phase::from_readings(readings, interval_s)?.curve(Grid::Octave);
    let terms = NoiseTerms::read(&curve);
    Ok(AxisNoise {
        axis,
        unit,
        density: terms.density_one_sided().into(),
        bias_instability: terms.bias_instability.into(),
        random_walk: terms.rate_random_walk.into(),
        curve: curve
            .iter()
            .map(|point| Point {
                tau_s: point.tau_s,
                deviation: point.deviation,
            })
            .collect(),
    })
}

/// The noisiest axis of each, in the units of the configuration.
fn figures(axes: &[AxisNoise], seconds: f64) -> Figures {
    let most = |unit: &str, pick: &dyn Fn(&AxisNoise) -> Option<f64>| {
        axes.iter()
            .filter(|axis| axis.unit == unit)
            .map(pick)
            .try_fold(None, |most: Option<f64>, value| {
                let value = value?;
                Some(Some(most.map_or(value, |most| most.max(value))))
            })
            .flatten()
    };
    let drift = |axis: &AxisNoise| {
        let near = |point: &&Point| (point.tau_s / DRIFT_TAU_S).ln().abs();
        if seconds < DRIFT_STRETCHES * DRIFT_TAU_S {
            return axis.bias_instability.value();
        }
        axis.curve
            .iter()
            .min_by(|a, b| near(a).total_cmp(&near(b)))
            .map(|point| point.deviation)
    };
    Figures {
        accel_noise_ug_rthz: most("g", &|axis| axis.density.value()).map(|g| g * 1e6),
        gyro_noise_dps_rthz: most("°/s", &|axis| axis.density.value()),
        gyro_drift_dps: most("°/s", &drift),
        ..Figures::default()
    }
}

/// The readings between the hands at either end.
fn at_rest(readings: &[RawSample]) -> Result<&[RawSample], SpectrumError> {
    let mut detector = StillnessDetector::new();
    let motions: Vec<Motion> = readings
        .iter()
        .map(|raw| {
            detector.observe(&Sample {
                at: raw.at,
                accel_g: raw.accel_g,
                rate_radps: raw.rate_radps,
                temperature_c: raw.temperature_c,
            })
        })
        .collect();
    let begin = readings.first().map_or(HostTime::default(), |r| r.at);
    let end = readings.last().map_or(HostTime::default(), |r| r.at);
    let moved = |index: usize| SpectrumError::NotAtRest {
        at_s: readings[index].at.since_s(begin),
    };
    let moving = |index: &usize| motions[*index] == Motion::Moving;
    let after_start = (0..readings.len())
        .rev()
        .filter(moving)
        .find(|index| readings[*index].at.since_s(begin) < HANDLING_S);
    let from = after_start.map_or(0, |index| index + 1);
    let before_end = (from..readings.len())
        .filter(moving)
        .find(|index| end.since_s(readings[*index].at) < HANDLING_S);
    let to = before_end.unwrap_or(readings.len());
    if let Some(index) = (from..to).find(moving) {
        return Err(moved(index));
    }
    let rest = &readings[from..to];
    // A motion is noticed within the window that is judged.
    let last = rest.last().map_or(end, |r| r.at);
    let noticed_us = if to < readings.len() {
        hubplumb_core::stillness::WINDOW_US
    } else {
        0
    };
    let kept = rest.partition_point(|r| last.since_us(r.at) >= noticed_us);
    Ok(&rest[..kept])
}

fn check_even(rest: &[RawSample], begin: HostTime) -> Result<(), SpectrumError> {
    let mut steps: Vec<i64> = rest
        .windows(2)
        .map(|pair| pair[1].at.since_us(pair[0].at))
        .collect();
    let gap = |usual_us: f64| {
        rest.windows(2).find(|pair| {
            let step_us = pair[1].at.since_us(pair[0].at) as f64;
            step_us > (GAP_INTERVALS * usual_us).max(GAP_US)
        })
    };
    let middle = steps.len() / 2;
    let usual_us = *steps.select_nth_unstable(middle).1 as f64;
    if let Some(pair) = gap(usual_us) {
        return Err(SpectrumError::Gap {
            at_s: pair[0].at.since_s(begin),
            length_ms: pair[1].at.since_us(pair[0].at) as f64 * 1e-3,
            usual_ms: usual_us * 1e-3,
        });
    }
    // Where a reading is late by whole intervals, so many are missing.
    let missing: usize = rest
        .windows(2)
        .map(|pair| whole(pair[1].at.since_us(pair[0].at) as f64 / usual_us).saturating_sub(1))
        .sum();
    let expected = rest.len() + missing;
    if missing as f64 > MISSING_SHARE * expected as f64 {
        return Err(SpectrumError::Missing { missing, expected });
    }
    Ok(())
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a quotient of two positive times, at most five"
)]
fn whole(quotient: f64) -> usize {
    quotient.round().max(0.0) as usize
}

#[cfg(test)]
mod tests;
