//! What a curve says about the sensor.

use thiserror::Error;

use super::{AllanPoint, NoiseKind};

/// Deviations known worse than this many degrees of freedom say nothing about a slope.
const LEAST_FREEDOM: f64 = 10.0;
/// A slope is a term's own within this; halfway to the next term's it ends.
const SLOPE_WITHIN: f64 = 0.15;
const SLOPE_AT_MOST: f64 = 0.25;
/// A slope is believed over three points, two octaves of an octave grid.
const LEAST_POINTS: usize = 3;
/// Standard deviations that make a rise, or a floor above the white noise, more than chance.
const SIGMAS: f64 = 2.0;
/// How far above the white noise a floor must lie, whatever its uncertainty.
const FLOOR_RATIO: f64 = 1.2;
/// √(2 ln 2 / π): the deviation of flicker noise over its bias instability.
const FLICKER: f64 = 0.664;
/// The stretch at which rate random walk is read, s.
const WALK_TAU_S: f64 = 3.0;

/// Why a term cannot be read from a curve.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Unseen {
    /// Too few deviations that are known well enough.
    #[error("{found} stretches are known well enough, {needed} are needed: record longer")]
    TooShort {
        /// Deviations known well enough.
        found: usize,
        /// Deviations needed.
        needed: usize,
    },
    /// Nowhere has the curve the term's slope for long enough.
    #[error("no part of the curve has the slope {slope} between {from_s} s and {to_s} s")]
    NoSuchSlope {
        /// The slope looked for.
        slope: f64,
        /// Shortest stretch looked at, s.
        from_s: f64,
        /// Longest stretch looked at, s.
        to_s: f64,
    },
    /// The lowest deviation is the longest stretch's, or no higher than white noise alone.
    #[error("the deviation still falls at {tau_s} s: record longer")]
    StillFalling {
        /// Stretch of the lowest deviation, s.
        tau_s: f64,
    },
}

/// One figure of a sensor with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseTerm {
    /// The figure.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// Shortest stretch it was read from, s.
    pub from_s: f64,
    /// Longest stretch it was read from, s.
    pub to_s: f64,
}

/// What a curve says; u is the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseTerms {
    /// N in u·√s: the deviation of white noise over one second. See
    /// [`Self::density_one_sided`] for the figure in data sheets.
    pub density: Result<NoiseTerm, Unseen>,
    /// B in u: the lowest deviation / 0.664. An upper bound, for white noise and
    /// walk still have their share in it.
    pub bias_instability: Result<NoiseTerm, Unseen>,
    /// K in u/√s.
    pub rate_random_walk: Result<NoiseTerm, Unseen>,
}

impl NoiseTerms {
    /// Reads a curve of overlapping deviations over an octave grid.
    pub fn read(curve: &[AllanPoint]) -> Self {
        let known = |kind: NoiseKind| -> Vec<AllanPoint> {
            curve
                .iter()
                .filter(|point| point.deviation > 0.0 && point.freedom(kind) >= LEAST_FREEDOM)
                .copied()
                .collect()
        };
        let density = read_slope(&known(NoiseKind::White), NoiseKind::White, 1.0);
        Self {
            density,
            bias_instability: read_floor(&known(NoiseKind::Flicker), density.ok()),
            rate_random_walk: read_slope(
                &known(NoiseKind::RandomWalk),
                NoiseKind::RandomWalk,
                WALK_TAU_S,
            ),
        }
    }

    /// Noise density in u/√Hz as data sheets give it, one-sided: a mean over T
    /// then scatters by density/√(2T), while the deviation over τ is N/√τ.
    pub fn density_one_sided(&self) -> Result<NoiseTerm, Unseen> {
        let root = std::f64::consts::SQRT_2;
        self.density.map(|term| NoiseTerm {
            value: root * term.value,
            standard: root * term.standard,
            ..term
        })
    }
}

/// The term on a slope, read at `tau_s`.
fn read_slope(known: &[AllanPoint], kind: NoiseKind, tau_s: f64) -> Result<NoiseTerm, Unseen> {
    let slope = match kind {
        NoiseKind::White => -0.5,
        NoiseKind::Flicker => 0.0,
        NoiseKind::RandomWalk => 0.5,
    };
    let (Some(first), Some(last), true) =
        (known.first(), known.last(), known.len() >= LEAST_POINTS)
    else {
        return Err(Unseen::TooShort {
            found: known.len(),
            needed: LEAST_POINTS,
        });
    };
    let run = longest_run(known, kind, slope);
    let (Some(from), Some(to), true) = (run.first(), run.last(), run.len() >= LEAST_POINTS) else {
        return Err(Unseen::NoSuchSlope {
            slope,
            from_s: first.tau_s,
            to_s: last.tau_s,
        });
    };
    let change = (to.deviation / from.deviation).ln().abs();
    let by_chance = from
        .relative_standard(kind)
        .hypot(to.relative_standard(kind));
    if change < SIGMAS * by_chance {
        return Err(Unseen::NoSuchSlope {
            slope,
            from_s: first.tau_s,
            to_s: last.tau_s,
        });
    }
    let (mut sum, mut weights, mut best) = (0.0, 0.0, 0.0_f64);
    for point in run {
        let freedom = point.freedom(kind);
        sum += freedom * (point.deviation.ln() - slope * (point.tau_s / tau_s).ln());
        weights += freedom;
        best = best.max(freedom);
    }
    let value = (sum / weights).exp();
    Ok(NoiseTerm {
        value,
        // The stretches share their readings: no more is claimed than the best of them knows.
        standard: value / (2.0 * best).sqrt(),
        from_s: from.tau_s,
        to_s: to.tau_s,
    })
}

/// The longest part of the curve whose slope is `slope` from point to point.
fn longest_run(known: &[AllanPoint], kind: NoiseKind, slope: f64) -> &[AllanPoint] {
    let fits = |pair: &[AllanPoint]| {
        let octaves = (pair[1].tau_s / pair[0].tau_s).ln();
        let found = (pair[1].deviation / pair[0].deviation).ln() / octaves;
        let by_chance = pair[0]
            .relative_standard(kind)
            .hypot(pair[1].relative_standard(kind))
            / octaves;
        (found - slope).abs() <= (SLOPE_WITHIN + by_chance).min(SLOPE_AT_MOST)
    };
    let (mut best, mut start) = (0..0, 0);
    for end in 1..=known.len() {
        if end == known.len() || !fits(&known[end - 1..=end]) {
            if end - start > best.len() {
                best = start..end;
            }
            start = end;
        }
    }
    &known[best]
}

/// The lowest point, if it is a floor and not the end of a fall.
fn read_floor(known: &[AllanPoint], density: Option<NoiseTerm>) -> Result<NoiseTerm, Unseen> {
    let lowest = known
        .iter()
        .min_by(|a, b| a.deviation.total_cmp(&b.deviation));
    let (Some(lowest), Some(last), true) = (lowest, known.last(), known.len() >= LEAST_POINTS)
    else {
        return Err(Unseen::TooShort {
            found: known.len(),
            needed: LEAST_POINTS,
        });
    };
    let relative = lowest.relative_standard(NoiseKind::Flicker);
    let above_white = density.is_none_or(|n| {
        let white = n.value / lowest.tau_s.sqrt();
        lowest.deviation >= FLOOR_RATIO * white
            && lowest.deviation - white >= SIGMAS * relative * lowest.deviation
    });
    if lowest.tau_s >= last.tau_s || !above_white {
        return Err(Unseen::StillFalling {
            tau_s: lowest.tau_s,
        });
    }
    let value = lowest.deviation / FLICKER;
    Ok(NoiseTerm {
        value,
        standard: value * relative,
        from_s: lowest.tau_s,
        to_s: lowest.tau_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stretches of white noise, each longer than the one before by `ratio`, of readings a second apart.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some tens of seconds"
    )]
    fn white(phases: usize, ratio: f64, points: i32) -> Vec<AllanPoint> {
        (0..points)
            .map(|nth| {
                let tau_s = 10.0 * ratio.powi(nth);
                AllanPoint {
                    tau_s,
                    deviation: 0.3 / tau_s.sqrt(),
                    terms: phases,
                    phases,
                    per_stretch: tau_s.round() as usize,
                }
            })
            .collect()
    }

    #[test]
    fn a_fall_that_chance_makes_as_well_is_no_slope() {
        let read = |known: &[AllanPoint]| read_slope(known, NoiseKind::White, 1.0);
        // A fall by a fifth, each end known to a fifth.
        let short = white(130, 1.2, 3);
        let freedom = short[0].freedom(NoiseKind::White);
        assert!((10.0..25.0).contains(&freedom), "{freedom}");
        assert!(matches!(read(&short), Err(Unseen::NoSuchSlope { .. })));
        // The same fall of many readings, and a long one of few.
        for enough in [white(100_000, 1.2, 3), white(1300, 2.0, 5)] {
            let term = read(&enough).unwrap();
            assert!((term.value - 0.3).abs() < 1e-12, "{}", term.value);
        }
    }
}
