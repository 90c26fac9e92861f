//! Offset and matrix from poses.

use nalgebra::Cholesky;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::calibration::Calibration;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir};

use super::coverage::{Coverage, Enough, WHOLE};
use super::model::{self, Matrix9, Parameter, Row, Vector9, WHOLE_CONDITION};
use super::pose::{GyroRest, Pose, Warmth};
use super::refusal::FitError;

/// Fewest poses: two per axis.
const LEAST_POSES: usize = 6;
/// Prior for a cross-axis term when the poses leave it open: data sheets give
/// ±2 % per pair of axes (see [`ChipFigures::RAW`]); the mean of two such is in `M`.
const CROSS_PRIOR_RAD: f64 = ChipFigures::RAW.accel_cross_rad * std::f64::consts::FRAC_1_SQRT_2;
/// A length this far from one gravity is no rest: offset, scale and gravity together stay within.
const LENGTH_WITHIN_G: f64 = 0.3;
/// Noise below this is not believed; it keeps the weights finite, g.
const LEAST_NOISE_G: f64 = 1e-6;
/// Residuals that no calibrated chip shows, g: three times the offset a cheap one keeps.
const SCATTER_LIMIT_G: f64 = 3.0 * ChipFigures::CHEAP.accel_offset_g;
/// Nor may they be beyond so many standard deviations of the noise itself.
const SCATTER_SIGMAS: f64 = 3.0;
/// A chi² that noise exceeds more seldom than this widens the uncertainty.
const CHI_SQUARE_LEVEL: f64 = 0.99;
/// Less freedom than this is none.
const LEAST_FREEDOM: f64 = 1e-6;
const ROUNDS: usize = 20;
const STEP_AT_REST: f64 = 1e-12;

/// The pose that fits the others worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstPose {
    /// Which, from 0.
    pub pose: usize,
    /// How far its length is from what a fit without it foretells, g.
    pub left_out_g: f64,
    /// The same in standard deviations of that difference.
    pub sigmas: f64,
}

/// How well the poses agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// Poses used.
    pub poses: usize,
    /// Root mean square of what is left of the lengths, g.
    pub residual_rms_g: f64,
    /// Sum of squares of residuals and priors in their standard deviations.
    pub chi_square: f64,
    /// Its degrees of freedom. With none the poses cannot contradict each
    /// other: one that was not still goes unseen.
    pub degrees_of_freedom: usize,
    /// Factor on all standard uncertainties: one, or more when chi² is beyond chance.
    pub widened: f64,
    /// Condition number of the nine numbers by the poses alone; infinite when they leave one open.
    pub condition: f64,
    /// The worst pose; none when no pose can be foretold from the others.
    pub worst: Option<WorstPose>,
}

/// A calibration with its uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationFit {
    calibration: Calibration,
    parameters: Vector9,
    covariance: Matrix9,
    prior_rad: Option<f64>,
    quality: Quality,
    gyro: Option<GyroRest>,
    warmth: Option<Warmth>,
}

impl CalibrationFit {
    /// The calibration: accelerometer offset and matrix, gyro offset. The gyro's
    /// matrix is one: lying still says nothing about it.
    pub const fn calibration(&self) -> Calibration {
        self.calibration
    }

    /// A number of the solution, in its unit.
    pub fn value(&self, parameter: Parameter) -> f64 {
        self.parameters[parameter.index()]
    }

    /// Its standard uncertainty.
    pub fn standard(&self, parameter: Parameter) -> f64 {
        let i = parameter.index();
        self.covariance[(i, i)].sqrt()
    }

    /// Covariance of two numbers.
    pub fn covariance(&self, first: Parameter, second: Parameter) -> f64 {
        self.covariance[(first.index(), second.index())]
    }

    /// The prior put on the cross-axis terms, rad, when the poses did not hold
    /// all nine numbers.
    pub const fn cross_prior_rad(&self) -> Option<f64> {
        self.prior_rad
    }

    /// Numbers that are known from the prior more than from the poses.
    pub fn prior_dominated(&self) -> impl Iterator<Item = Parameter> {
        Parameter::CROSSES.into_iter().filter(|&parameter| {
            self.prior_rad.is_some_and(|prior| {
                let own = self.standard(parameter) / self.quality.widened;
                own * own > 0.5 * prior * prior
            })
        })
    }

    /// How well the poses agree.
    pub const fn quality(&self) -> &Quality {
        &self.quality
    }

    /// The gyro's rest offset over the poses.
    pub const fn gyro(&self) -> Option<&GyroRest> {
        self.gyro.as_ref()
    }

    /// Temperature over the poses.
    pub const fn warmth(&self) -> Option<&Warmth> {
        self.warmth.as_ref()
    }

    /// The figures of a chip of class `chip` after this calibration, at its
    /// temperature and on its day; [`ChipFigures::drifted`] takes them further.
    ///
    /// Offset, scale and cross-axis are the largest of their three standard
    /// uncertainties, with what the warming during the poses moved (all
    /// temperatures of the span alike). The turn of the accelerometer's axes
    /// that poses cannot show goes to the gyro's cross-axis figure.
    #[must_use]
    pub fn figures(&self, chip: &ChipFigures) -> ChipFigures {
        let largest = |of: [Parameter; 3]| {
            of.into_iter()
                .map(|parameter| self.standard(parameter))
                .fold(0.0, f64::max)
        };
        let spread_c = self.warmth.map_or(0.0, |warmth| warmth.span_c) / 12f64.sqrt();
        let turn_rad = chip.accel_cross_rad * std::f64::consts::FRAC_1_SQRT_2;
        ChipFigures {
            accel_offset_g: largest(Parameter::OFFSETS).hypot(chip.accel_tempco_g_per_c * spread_c),
            accel_scale: largest(Parameter::SCALES).hypot(chip.accel_scale_tempco_per_c * spread_c),
            accel_cross_rad: largest(Parameter::CROSSES),
            gyro_cross_rad: chip.gyro_cross_rad.hypot(turn_rad),
            ..*chip
        }
    }
}

/// Solves poses, weighted by their noise, by Gauss's and Newton's steps.
///
/// Lengths of readings on six faces hold six of the nine numbers and hardly
/// touch the others. So with fewer than nine poses, or nine that do not spread,
/// every face must have been up and the cross-axis terms get a prior of the size
/// data sheets allow (maximum a posteriori): see
/// [`CalibrationFit::prior_dominated`]. Offset and scale are then as good as the
/// poses lay on their faces.
pub fn fit_poses(poses: &[Pose]) -> Result<CalibrationFit, FitError> {
    let ups = checked(poses)?;
    let condition = model::condition(&ups);
    let prior_rad = match Coverage::of(&ups).enough() {
        Enough::Everything => None,
        Enough::OffsetAndScale => Some(CROSS_PRIOR_RAD),
        Enough::No if poses.len() >= WHOLE => {
            return Err(FitError::IllConditioned {
                condition,
                limit: WHOLE_CONDITION,
            });
        }
        Enough::No => {
            return Err(FitError::FacesMissing {
                missing: Coverage::of(&ups).missing_faces().collect(),
            });
        }
    };
    let (parameters, rows, covariance) = solve(poses, prior_rad)?;
    let (quality, covariance) = judge(&parameters, &rows, &covariance, prior_rad, condition)?;
    let gyro = GyroRest::over(poses);
    let matrix = model::matrix(&parameters);
    let calibration = Calibration::from_parts(
        model::offset_g(&parameters).to_array(),
        std::array::from_fn(|r| std::array::from_fn(|c| matrix[(r, c)])),
        gyro.map_or([0.0; 3], |gyro| gyro.offset_radps.to_array()),
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    )?;
    Ok(CalibrationFit {
        calibration,
        parameters,
        covariance,
        prior_rad,
        quality,
        gyro,
        warmth: Warmth::over(poses),
    })
}

/// Where up was in each pose, once all of them can be readings at rest.
fn checked(poses: &[Pose]) -> Result<Vec<Dir<Board>>, FitError> {
    if poses.len() < LEAST_POSES {
        return Err(FitError::TooFewPoses {
            found: poses.len(),
            needed: LEAST_POSES,
        });
    }
    poses
        .iter()
        .enumerate()
        .map(|(pose, of)| {
            if !of.is_finite() {
                return Err(FitError::NotANumber { pose });
            }
            let found_g = of.accel_g.norm();
            match of.up() {
                Some(up) if (found_g - 1.0).abs() <= LENGTH_WITHIN_G => Ok(up),
                _ => Err(FitError::NotOneGravity { pose, found_g }),
            }
        })
        .collect()
}

/// A pose's row and the standard deviation of its residual, g.
type Weighed = (Row, f64);

fn solve(
    poses: &[Pose],
    prior_rad: Option<f64>,
) -> Result<(Vector9, Vec<Weighed>, Matrix9), FitError> {
    let not_converged = FitError::NotConverged { rounds: ROUNDS };
    let mut p = Vector9::zeros();
    for _ in 0..ROUNDS {
        let rows: Option<Vec<Weighed>> = poses
            .iter()
            .map(|pose| {
                let row = Row::at(&p, &pose.accel_g)?;
                Some((row, row.gain * pose.noise_g.max(LEAST_NOISE_G)))
            })
            .collect();
        let Some(rows) = rows else { break };
        let (mut information, mut pull) = (Matrix9::zeros(), Vector9::zeros());
        for (row, sigma_g) in &rows {
            let weight = (sigma_g * sigma_g).recip();
            information += weight * row.slopes * row.slopes.transpose();
            pull -= weight * row.residual_g * row.slopes;
        }
        if let Some(prior) = prior_rad {
            let weight = (prior * prior).recip();
            for parameter in Parameter::CROSSES {
                let i = parameter.index();
                information[(i, i)] += weight;
                pull[i] -= weight * p[i];
            }
        }
        let Some(factor) = Cholesky::new(information) else {
            break;
        };
        let step = factor.solve(&pull);
        if !step.iter().all(|s| s.is_finite()) {
            break;
        }
        p += step;
        if step.amax() < STEP_AT_REST {
            return Ok((p, rows, factor.inverse()));
        }
    }
    Err(not_converged)
}

/// How well the poses agree, and the covariance widened by it.
fn judge(
    parameters: &Vector9,
    rows: &[Weighed],
    covariance: &Matrix9,
    prior_rad: Option<f64>,
    condition: f64,
) -> Result<(Quality, Matrix9), FitError> {
    let count = rows.len() as f64;
    let squares: f64 = rows.iter().map(|(row, _)| row.residual_g.powi(2)).sum();
    let noise: f64 = rows.iter().map(|(_, sigma_g)| sigma_g.powi(2)).sum();
    // What each pose adds to its own prediction; one when nothing else foretells it.
    let leverages = rows.iter().map(|(row, sigma_g)| {
        (row.slopes.transpose() * covariance * row.slopes).x / sigma_g.powi(2)
    });
    let free: f64 = leverages.clone().map(|own| 1.0 - own).sum();
    let worst = rows
        .iter()
        .zip(leverages)
        .enumerate()
        .filter(|(_, (_, own))| 1.0 - own > LEAST_FREEDOM)
        .map(|(pose, ((row, sigma_g), own))| WorstPose {
            pose,
            left_out_g: row.residual_g / (1.0 - own),
            sigmas: row.residual_g / (sigma_g * (1.0 - own).sqrt()),
        })
        .max_by(|a, b| a.sigmas.abs().total_cmp(&b.sigmas.abs()));
    if let Some(worst) = worst {
        let scatter_g = (squares / free).sqrt();
        let limit_g = SCATTER_LIMIT_G.max(SCATTER_SIGMAS * (noise / count).sqrt());
        if scatter_g > limit_g {
            return Err(FitError::PosesDisagree {
                scatter_g,
                limit_g,
                worst: worst.pose,
                worst_g: worst.left_out_g,
            });
        }
    }
    let by_prior: f64 = prior_rad.map_or(0.0, |prior| {
        Parameter::CROSSES
            .iter()
            .map(|parameter| (parameters[parameter.index()] / prior).powi(2))
            .sum()
    });
    let chi_square = by_prior
        + rows
            .iter()
            .map(|(row, sigma_g)| (row.residual_g / sigma_g).powi(2))
            .sum::<f64>();
    let knowns = rows.len() + prior_rad.map_or(0, |_| Parameter::CROSSES.len());
    let degrees_of_freedom = knowns - Parameter::ALL.len();
    let widened = widening(chi_square, degrees_of_freedom);
    let quality = Quality {
        poses: rows.len(),
        residual_rms_g: (squares / count).sqrt(),
        chi_square,
        degrees_of_freedom,
        widened,
        condition,
        worst,
    };
    Ok((quality, covariance * (widened * widened)))
}

/// A chi² beyond chance says that the noise was taken too small.
fn widening(chi_square: f64, degrees_of_freedom: usize) -> f64 {
    let freedom = degrees_of_freedom as f64;
    // No distribution is that of no freedom, where chi² is zero anyway.
    let beyond = ChiSquared::new(freedom)
        .is_ok_and(|chance| chi_square > chance.inverse_cdf(CHI_SQUARE_LEVEL));
    if beyond {
        (chi_square / freedom).sqrt()
    } else {
        1.0
    }
}
