//! The most probable point and what is known about it.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use crate::angle::Angle;
use crate::finding::Cause;
use crate::gum::Uncertainty;
use crate::joint::evidence::SwingEvidence;
use crate::joint::point::{Point, sizes};
use crate::joint::rows::{Rows, Scatter, camber};

/// Steps of the solver at most; five to eight are usual.
const STEPS: usize = 40;
/// A step this small, in units of the sizes, ends it.
const SMALL: f64 = 1e-7;
/// Step of the numeric Jacobian, in units of the sizes.
const NUDGE: f64 = 1e-4;

/// Angles of a wheel, in the order camber, caster, SAI, included angle.
pub type WheelAngles = [Angle; 4];

/// The solved session.
#[derive(Debug, Clone)]
pub struct Solved {
    /// Angles per wheel, in the order of the evidence.
    pub wheels: Vec<WheelAngles>,
    /// Covariance of all these angles in that order, rad².
    pub covariance_rad2: DMatrix<f64>,
    /// Rows × angles: what one sigma of a row puts into an angle, rad.
    effects: DMatrix<f64>,
    causes: Vec<Cause>,
    scatter: Vec<Option<Scatter>>,
    /// Whitened misfits after the fit.
    pub misfits: Vec<f64>,
    /// Which wheel and rest each row belongs to.
    pub rests: Vec<Option<(usize, usize)>>,
}

impl Solved {
    /// Variance that a cause puts into an angle, rad².
    pub fn variance_by(&self, cause: Cause, angle: usize) -> f64 {
        self.causes
            .iter()
            .enumerate()
            .filter(|(_, c)| **c == cause)
            .map(|(row, _)| self.effects[(row, angle)].powi(2))
            .sum()
    }

    /// Effective degrees of freedom of the standard uncertainty of a sum of
    /// angles, each with its weight, by Welch and Satterthwaite (JCGM 100:2008, G.4.1). What comes from a class of
    /// chips or from what the operator stated counts as known for certain
    /// (G.4.3); the scatter of a rest is known as well as its batches allow.
    pub fn degrees_of_freedom(&self, angles: &[(usize, f64)]) -> f64 {
        let (mut shared, mut certain) = (BTreeMap::new(), 0.0);
        for (row, scatter) in self.scatter.iter().enumerate() {
            let effects = angles
                .iter()
                .map(|(angle, weight)| weight * self.effects[(row, *angle)]);
            let variance = effects.sum::<f64>().powi(2);
            match scatter {
                Some(of) => {
                    shared
                        .entry(of.number)
                        .or_insert((0.0, of.degrees_of_freedom))
                        .0 += variance;
                }
                None => certain += variance,
            }
        }
        let parts: Vec<Uncertainty> = shared
            .values()
            .map(|(variance, freedom): &(f64, f64)| {
                Uncertainty::with_freedom(variance.sqrt(), *freedom)
            })
            .chain([Uncertainty::certain(certain.sqrt())])
            .collect();
        Uncertainty::combined(&parts).degrees_of_freedom
    }
}

/// Solves a session; none when its evidence does not fix the angles.
pub fn solve(evidence: &SwingEvidence) -> Option<Solved> {
    let sizes = sizes(evidence);
    let moving: Vec<usize> = (0..sizes.len()).filter(|i| sizes[*i] > 0.0).collect();
    let mut point = Point::guess(evidence)?;
    let mut damping = 1e-6;
    let mut rows = Rows::of(evidence, &point);
    let mut cost = square(&rows.values);
    let mut normal = DMatrix::zeros(0, 0);
    let mut jacobian = DMatrix::zeros(0, 0);
    for _ in 0..STEPS {
        jacobian = numeric_jacobian(evidence, &point, &sizes, &moving);
        normal = jacobian.tr_mul(&jacobian);
        let gradient = jacobian.tr_mul(&DVector::from_column_slice(&rows.values));
        let mut moved = None;
        for _ in 0..12 {
            let mut damped = normal.clone();
            for i in 0..damped.nrows() {
                damped[(i, i)] *= 1.0 + damping;
            }
            let step = -damped.cholesky()?.solve(&gradient);
            let to = point.moved(&spread(&step, &sizes, &moving));
            let at = Rows::of(evidence, &to);
            let reached = square(&at.values);
            if reached <= cost * (1.0 + 1e-12) {
                damping = (damping * 0.1).max(1e-12);
                moved = Some((to, at, reached, step.amax()));
                break;
            }
            damping = (damping * 10.0).max(1e-9);
        }
        let Some((to, at, reached, largest)) = moved else {
            break;
        };
        (point, rows, cost) = (to, at, reached);
        if largest < SMALL {
            break;
        }
    }
    let inverse = normal.cholesky()?.inverse();
    let read = |point: &Point| -> Vec<f64> {
        point
            .wheels
            .iter()
            .flat_map(|w| angles(w).map(Angle::rad))
            .collect()
    };
    let here = read(&point);
    let mut slopes = DMatrix::zeros(here.len(), moving.len());
    for (column, _) in moving.iter().enumerate() {
        let mut step = DVector::zeros(moving.len());
        step[column] = NUDGE;
        let up = read(&point.moved(&spread(&step, &sizes, &moving)));
        step[column] = -NUDGE;
        let down = read(&point.moved(&spread(&step, &sizes, &moving)));
        for row in 0..here.len() {
            slopes[(row, column)] = (up[row] - down[row]) / (2.0 * NUDGE);
        }
    }
    let gain = &slopes * &inverse;
    Some(Solved {
        wheels: point.wheels.iter().map(angles).collect(),
        covariance_rad2: &gain * slopes.transpose(),
        effects: (&gain * jacobian.transpose()).transpose(),
        causes: rows.causes,
        scatter: rows.scatter,
        misfits: rows.values,
        rests: rows.rests,
    })
}

fn angles(wheel: &crate::joint::point::WheelPoint) -> WheelAngles {
    let camber = camber(wheel);
    let sai = Angle::from_rad(wheel.tan_sai.atan());
    [
        camber,
        Angle::from_rad(wheel.tan_caster.atan()),
        sai,
        sai + camber,
    ]
}

fn square(values: &[f64]) -> f64 {
    values.iter().map(|v| v * v).sum()
}

fn spread(step: &DVector<f64>, sizes: &[f64], moving: &[usize]) -> Vec<f64> {
    let mut parts = vec![0.0; sizes.len()];
    for (place, index) in moving.iter().enumerate() {
        parts[*index] = step[place] * sizes[*index];
    }
    parts
}

fn numeric_jacobian(
    evidence: &SwingEvidence,
    point: &Point,
    sizes: &[f64],
    moving: &[usize],
) -> DMatrix<f64> {
    let columns: Vec<DVector<f64>> = (0..moving.len())
        .map(|column| {
            let at = |amount: f64| {
                let mut step = DVector::zeros(moving.len());
                step[column] = amount;
                DVector::from_vec(
                    Rows::of(evidence, &point.moved(&spread(&step, sizes, moving))).values,
                )
            };
            (at(NUDGE) - at(-NUDGE)) / (2.0 * NUDGE)
        })
        .collect();
    DMatrix::from_columns(&columns)
}
