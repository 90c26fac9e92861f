//! A reading taken at several turns of the wheel, and what it is without run-out.
//!
//! Whatever is gauged at the side of a wheel, camber or toe, wobbles once a turn:
//! `y(α) = y₀ + ε cos(α + ψ)`. Least squares on 1, cos α and sin α give `y₀`; for equal
//! steps all round that is the plain mean.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use crate::angle::Angle;
use crate::entered::{Entered, Figure};
use crate::gum::Uncertainty;

/// Readings that leave the middle less certain than this many of them singly are
/// refused. Four over half a turn leave 0.7, three over a quarter 3.4.
const WORST: f64 = 1.5;
/// A singular value below this is rounding; with turns 1° apart it is 1e-4.
const SINGULAR: f64 = 1e-9;
/// Part of the swing that rounding may leave in the middle.
const LEAK: f64 = 1e-6;

/// Why the wobble cannot be told from the figure.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum WobbleError {
    /// Fewer than two readings.
    #[error("{found} readings, at least 2 are needed")]
    TooFew {
        /// Readings found.
        found: usize,
    },
    /// The wheel was not turned far enough between them.
    #[error("the middle is {factor} times less certain than a reading")]
    ShortArc {
        /// Standard uncertainty of the middle over that of a reading; infinite where
        /// the readings leave it open.
        factor: f64,
    },
    /// A number is not finite.
    #[error("a number is not finite")]
    NotFinite,
}

/// A figure without its run-out.
#[derive(Debug, Clone, PartialEq)]
pub struct Wobble {
    /// The figure, with the uncertainty that the readings leave in it.
    pub middle: Figure<Angle>,
    /// How far it swings to either side, ε; none where the readings are half a turn
    /// apart and nothing else, which leaves it open.
    pub amplitude: Option<Angle>,
    /// Standard uncertainty of the middle over that of a single reading.
    pub factor: f64,
}

impl Wobble {
    /// From readings, each with how far the wheel was turned.
    ///
    /// Two readings do if they are exactly half a turn apart. Readings count alike. Of harmonics beyond the first, N equal steps leave
    /// those of N turns and its multiples.
    pub fn fit(readings: &[(Angle, Entered<Angle>)]) -> Result<Self, WobbleError> {
        let found = readings.len();
        if found < 2 {
            return Err(WobbleError::TooFew { found });
        }
        let finite = |(turned, read): &(Angle, Entered<Angle>)| {
            turned.rad().is_finite()
                && read.value.rad().is_finite()
                && read.uncertainty.standard.is_finite()
        };
        if !readings.iter().all(finite) {
            return Err(WobbleError::NotFinite);
        }
        let rows = DMatrix::from_fn(found, 3, |row, column| {
            let turned = readings[row].0;
            [1.0, turned.cos(), turned.sin()][column]
        });
        let decomposed = rows.clone().svd(true, true);
        let rank = decomposed.rank(SINGULAR);
        let open = WobbleError::ShortArc {
            factor: f64::INFINITY,
        };
        let weights = decomposed.pseudo_inverse(SINGULAR).map_err(|_| open)?;
        // What of the swing gets into the middle; nothing of it may.
        let seen = &weights * rows;
        if (0..3).any(|term| (seen[(0, term)] - f64::from(term == 0)).abs() > LEAK) {
            return Err(open);
        }
        let factor = weights.row(0).norm();
        if factor > WORST {
            return Err(WobbleError::ShortArc { factor });
        }
        let values = DVector::from_iterator(found, readings.iter().map(|r| r.1.value.rad()));
        let terms = &weights * values;
        let parts: Vec<Uncertainty> = readings
            .iter()
            .enumerate()
            .map(|(at, (_, read))| read.uncertainty.times(weights[(0, at)]))
            .collect();
        let middle = Figure::from_variances(
            terms[0],
            Uncertainty::combined(&parts).degrees_of_freedom,
            readings
                .iter()
                .zip(&parts)
                .map(|((_, read), part)| (read.source, part.standard.powi(2))),
        );
        Ok(Self {
            middle,
            amplitude: (rank == 3).then(|| Angle::from_rad(terms[1].hypot(terms[2]))),
            factor,
        })
    }
}
