//! Curves through points.

use nalgebra::{DMatrix, DVector};

use crate::angle::Angle;
use crate::check::evidence::HeightsEvidence;
use crate::check::hub::{camber, shared_parts};
use crate::check::refusal::CheckRefusal;
use crate::check::result::{
    CheckCause, CheckFinding, CheckResult, Curve, CurvePoint, Note, Quantity,
};
use crate::gum::Uncertainty;

/// Fewest heights: a line and one to see that it is one.
pub(super) const LEAST_STOPS: usize = 3;
/// Fewest heights of a quadratic: three fix it, one shows that it is one.
const QUADRATIC_STOPS: usize = 4;
/// Least span of the heights, mm: 1 mm off at either end is a tenth of the slope.
const LEAST_SPAN_MM: f64 = 10.0;
/// A point farther off the curve was no stop at that height.
const OFF_CURVE_SIGMAS: f64 = 8.0;
/// Bushes and springs do not come back closer, rad (0.01°; common practice, no source).
const SETTLING_RAD: f64 = 1.75e-4;
/// Scatter that a point may have, whatever its noise, before it is refused, rad (0.1°).
const SCATTER_RAD: f64 = 1.75e-3;

/// One weighted least squares fit.
struct Fit {
    coefficients: DVector<f64>,
    covariance: DMatrix<f64>,
    residuals: Vec<f64>,
    /// How much more the points scatter than they should; 1 where they do not.
    excess: f64,
    freedom: usize,
}

/// A measured angle at a height from the reference, with the sigma of the angle alone.
#[derive(Debug, Clone, Copy)]
struct Point {
    height_mm: f64,
    value: f64,
    sigma: f64,
}

fn fit(points: &[Point], order: usize, height_standard_mm: f64) -> Option<Fit> {
    let mut slope = vec![0.0; points.len()];
    let mut found: Option<Fit> = None;
    // A wrong height acts by the slope there, which the fit itself gives.
    for _ in 0..3 {
        let sigmas: Vec<f64> = points
            .iter()
            .zip(&slope)
            .map(|(p, slope)| {
                p.sigma
                    .hypot(SETTLING_RAD)
                    .hypot(slope * height_standard_mm)
            })
            .collect();
        let rows = DMatrix::from_fn(points.len(), order + 1, |i, k| {
            (0..k).fold(1.0 / sigmas[i], |power, _| power * points[i].height_mm)
        });
        let right = DVector::from_fn(points.len(), |i, _| points[i].value / sigmas[i]);
        let covariance = (rows.transpose() * &rows).try_inverse()?;
        let coefficients = &covariance * (rows.transpose() * &right);
        let misfit = &right - &rows * &coefficients;
        let freedom = points.len().saturating_sub(order + 1);
        let excess = if freedom > 0 {
            (misfit.norm_squared() / freedom as f64).sqrt().max(1.0)
        } else {
            1.0
        };
        slope = points
            .iter()
            .map(|p| {
                let bend = if order > 1 { coefficients[2] } else { 0.0 };
                coefficients[1] + 2.0 * bend * p.height_mm
            })
            .collect();
        found = Some(Fit {
            residuals: misfit.iter().zip(&sigmas).map(|(m, s)| m * s).collect(),
            coefficients,
            covariance: covariance * excess.powi(2),
            excess,
            freedom,
        });
    }
    found
}

impl Fit {
    fn part(&self, k: usize) -> (CheckCause, Uncertainty) {
        let standard = self.covariance[(k, k)].max(0.0).sqrt();
        // Scatter that was seen counts by its degrees of freedom; noise that is known does not.
        if self.excess > 1.0 {
            let uncertainty = Uncertainty::with_freedom(standard, self.freedom as f64);
            (CheckCause::Scatter, uncertainty)
        } else {
            (CheckCause::TiltNoise, Uncertainty::certain(standard))
        }
    }
}

/// The quantities of one curve: value, slope and bend.
type Names = (Quantity, Quantity, Quantity);

fn curve(
    names: Names,
    points: &[Point],
    evidence: &HeightsEvidence,
) -> Result<(Curve, Fit), CheckRefusal> {
    let heights = points.iter().map(|p| p.height_mm);
    let highest = heights.clone().fold(f64::MIN, f64::max);
    let lowest = heights.fold(f64::MAX, f64::min);
    if points.len() < LEAST_STOPS {
        return Err(CheckRefusal::TooFew {
            found: points.len(),
            least: LEAST_STOPS,
        });
    }
    if highest - lowest < LEAST_SPAN_MM {
        return Err(CheckRefusal::SpanTooSmall {
            found_mm: highest - lowest,
            least_mm: LEAST_SPAN_MM,
        });
    }
    let line = fit(points, 1, evidence.height_standard_mm).ok_or(CheckRefusal::Evidence)?;
    let mut distinct: Vec<f64> = Vec::new();
    for point in points {
        if distinct.iter().all(|mm| (mm - point.height_mm).abs() > 2.0) {
            distinct.push(point.height_mm);
        }
    }
    let quadratic = (distinct.len() >= QUADRATIC_STOPS)
        .then(|| fit(points, 2, evidence.height_standard_mm))
        .flatten();
    let line_covariance = [0, 1].map(|i| [0, 1].map(|k| line.covariance[(i, k)]));
    let chosen_residuals = quadratic.as_ref().map_or(&line.residuals, |q| &q.residuals);
    let curve = Curve {
        of: names.0,
        reference_mm: evidence.ride_height_mm,
        points: points
            .iter()
            .zip(chosen_residuals)
            .map(|(p, residual)| CurvePoint {
                height_mm: p.height_mm + evidence.ride_height_mm,
                value: Angle::from_rad(p.value),
                standard: Angle::from_rad(p.sigma),
                residual: Angle::from_rad(*residual),
            })
            .collect(),
        line: [line.coefficients[0], line.coefficients[1]],
        line_covariance,
        quadratic: quadratic
            .as_ref()
            .map(|q| [0, 1, 2].map(|k| q.coefficients[k])),
        quadratic_covariance: quadratic
            .as_ref()
            .map(|q| [0, 1, 2].map(|i| [0, 1, 2].map(|k| q.covariance[(i, k)]))),
    };
    let fit = quadratic.unwrap_or(line);
    for (point, (p, residual)) in points.iter().zip(&fit.residuals).enumerate() {
        let allowed = SCATTER_RAD.max(OFF_CURVE_SIGMAS * p.sigma.hypot(SETTLING_RAD));
        let by_height = fit.coefficients[1].abs() * OFF_CURVE_SIGMAS * evidence.height_standard_mm;
        let limit = allowed.hypot(by_height);
        if residual.is_nan() || residual.abs() > limit {
            return Err(CheckRefusal::OffCurve {
                point,
                sigmas: OFF_CURVE_SIGMAS * residual.abs() / limit,
                limit: OFF_CURVE_SIGMAS,
            });
        }
    }
    Ok((curve, fit))
}

fn toe_points(evidence: &HeightsEvidence) -> Option<Vec<Point>> {
    let from = |mm: f64| mm - evidence.ride_height_mm;
    // Typed at every height, or followed by the gyro from the first.
    let typed: Option<Vec<Point>> = evidence
        .stops
        .iter()
        .map(|stop| {
            stop.toe_typed_rad.map(|[value, sigma]| Point {
                height_mm: from(stop.height_mm),
                value,
                sigma,
            })
        })
        .collect();
    if typed.is_some() {
        return typed;
    }
    let (mut value, mut variance) = (0.0, 0.0);
    let mut points = Vec::new();
    for (index, stop) in evidence.stops.iter().enumerate() {
        if index > 0 {
            let [moved, sigma] = stop.toe_moved_rad?;
            value += moved;
            variance += sigma * sigma;
        }
        points.push(Point {
            height_mm: from(stop.height_mm),
            value,
            // All points share the walk of those before; as independent they would be
            // trusted too much, so each has that of the whole sweep, below.
            sigma: 0.0,
        });
    }
    for point in &mut points {
        point.sigma = variance.sqrt();
    }
    Some(points)
}

pub(in crate::check) fn solve(evidence: &HeightsEvidence) -> Result<CheckResult, CheckRefusal> {
    let points: Vec<Point> = evidence
        .stops
        .iter()
        .map(|stop| {
            Some(Point {
                height_mm: stop.height_mm - evidence.ride_height_mm,
                value: camber(&evidence.wheel, &stop.rest)?.rad(),
                sigma: stop.rest.noise_rad,
            })
        })
        .collect::<Option<_>>()
        .ok_or(CheckRefusal::NoCamber)?;
    let side = Some(evidence.wheel.side);
    let names = (
        Quantity::CamberAtRideHeight,
        Quantity::CamberSlope,
        Quantity::CamberBend,
    );
    let (curve_of_camber, fit) = curve(names, &points, evidence)?;
    let mut at_ride = vec![fit.part(0)];
    at_ride.extend(shared_parts(&evidence.wheel));
    let gain = evidence.wheel.accel.scale;
    let slope = |quantity, fit: &Fit| {
        let by_scale = gain * fit.coefficients[1];
        let parts = [
            fit.part(1),
            (CheckCause::AccelScale, Uncertainty::certain(by_scale)),
        ];
        CheckFinding::of(quantity, side, fit.coefficients[1], &parts)
    };
    let bend = |quantity, fit: &Fit| {
        (fit.coefficients.len() > 2)
            .then(|| CheckFinding::of(quantity, side, fit.coefficients[2], &[fit.part(2)]))
    };
    let mut findings = vec![
        slope(names.1, &fit),
        CheckFinding::of(names.0, side, fit.coefficients[0], &at_ride),
    ];
    findings.extend(bend(names.2, &fit));
    let mut notes = Vec::new();
    if curve_of_camber.quadratic.is_none() {
        notes.push(Note::LineOnly);
    }
    let mut curves = vec![curve_of_camber];
    let names = (Quantity::ToeSlope, Quantity::ToeSlope, Quantity::ToeBend);
    if let Some((curve_of_toe, fit)) =
        toe_points(evidence).and_then(|points| curve(names, &points, evidence).ok())
    {
        findings.push(slope(names.1, &fit));
        findings.extend(bend(names.2, &fit));
        curves.push(curve_of_toe);
    }
    Ok(CheckResult {
        findings,
        notes,
        curves,
        ..CheckResult::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_scatters_more_than_it_should_counts_by_what_is_left() {
        let points = [0.0, 10.0, 20.0, 30.0].map(|height_mm| Point {
            height_mm,
            value: 0.01 * height_mm + if height_mm == 10.0 { 0.05 } else { 0.0 },
            sigma: 1e-3,
        });
        for (order, left) in [(1, 2), (2, 1)] {
            let fit = fit(&points, order, 0.0).unwrap();
            assert_eq!((fit.coefficients.len(), fit.freedom), (order + 1, left));
            let sigma = 1e-3_f64.hypot(SETTLING_RAD);
            let square: f64 = fit.residuals.iter().map(|r| (r / sigma).powi(2)).sum();
            let excess = (square / left as f64).sqrt();
            assert!(
                excess > 1.0 && (fit.excess - excess).abs() < 1e-9,
                "{excess}"
            );
        }
    }
}
