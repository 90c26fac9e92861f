//! What the gyro's offset was on the way, from what it was at the rests.
//!
//! The offset is taken as a sum of three: a random walk, a flicker and a straight
//! line, each about an unknown mean. Flicker is a sum of Gauss–Markov processes a
//! half decade apart, whose spectra add up to 1/f to 5 %. Means over windows of
//! such processes have closed covariances, and the best linear unbiased
//! prediction of the mean over a carry from the means over all rests follows
//! (kriging with an unknown mean), with the covariance of its errors.

use nalgebra::{DMatrix, DVector, RowDVector};

use crate::chip::ChipFigures;

/// Warming in somebody's hand, one sigma, °C per s (a degree in a minute; judgement, no source).
const WARMING_C_PER_S: f64 = 1.0 / 60.0;
/// Shortest and number of the time constants of the flicker, a half decade apart.
const SHORTEST_S: f64 = 0.1;
const DECADES: f64 = 4.0;
/// The data sheets' drift within a minute is also what a random walk comes to in that time.
const WALK_TIME_S: f64 = 60.0;

/// A stretch of time, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Begin.
    pub from_s: f64,
    /// End.
    pub to_s: f64,
}

impl Span {
    /// Its length.
    pub fn length_s(&self) -> f64 {
        self.to_s - self.from_s
    }
}

/// How an offset wanders.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BiasModel {
    /// The floor of the Allan deviation by flicker, unit.
    pub floor: f64,
    /// Random walk, unit/√s.
    pub walk: f64,
    /// Slope of the straight line, one sigma, unit/s.
    pub slope: f64,
}

impl BiasModel {
    /// For the gyro of a chip: its drift within a minute is the floor of its
    /// Allan deviation, and what its walk comes to.
    pub fn of_gyro(chip: &ChipFigures) -> Self {
        Self {
            floor: chip.gyro_drift_radps,
            walk: chip.gyro_drift_radps / WALK_TIME_S.sqrt(),
            slope: chip.gyro_tempco_radps_per_c * WARMING_C_PER_S,
        }
    }

    /// Generalised covariance of the means over two spans, for uses whose weights add up to nought.
    fn covariance(&self, a: &Span, b: &Span, origin_s: f64) -> f64 {
        // ∫∫ g(t − u) over both spans is a second antiderivative at the four differences.
        let over = |second: &dyn Fn(f64) -> f64| {
            (second(a.to_s - b.from_s) + second(a.from_s - b.to_s)
                - second(a.from_s - b.from_s)
                - second(a.to_s - b.to_s))
                / (a.length_s() * b.length_s())
        };
        // Floor² = 2 ln 2 · h for the one-sided spectrum h/f; a process each half decade
        // has the variance h · ln √10.
        let half_decade = 0.5 * std::f64::consts::LN_10;
        let variance = self.floor.powi(2) / (2.0 * std::f64::consts::LN_2) * half_decade;
        let flicker = |x: f64| {
            let mut sum = 0.0;
            let mut tau = SHORTEST_S;
            while tau <= SHORTEST_S * 10f64.powf(DECADES) * 1.01 {
                let size = x.abs() / tau;
                sum += tau * tau * (size + (-size).exp_m1());
                tau *= 10f64.sqrt();
            }
            variance * sum
        };
        // −K²/2 |t − u|, whose second antiderivative is −K²/12 |x|³.
        let walk = |x: f64| -self.walk.powi(2) / 12.0 * x.abs().powi(3);
        let middle = |s: &Span| 0.5 * (s.from_s + s.to_s) - origin_s;
        over(&flicker) + over(&walk) + self.slope.powi(2) * middle(a) * middle(b)
    }
}

/// How means over rests foretell means over carries.
#[derive(Debug, Clone, PartialEq)]
pub struct Foretold {
    /// Rests × carries: weight of a rest in a carry; each column adds up to one.
    pub weights: DMatrix<f64>,
    /// Carries × carries: covariance of the errors, unit².
    pub covariance: DMatrix<f64>,
}

/// Foretells carries from rests (with the variance of each rest's mean by white
/// noise); none without rests.
pub fn foretell(model: &BiasModel, rests: &[(Span, f64)], carries: &[Span]) -> Option<Foretold> {
    let origin_s = rests.first()?.0.from_s;
    let (n, m) = (rests.len(), carries.len());
    let known = DMatrix::from_fn(n, n, |i, j| {
        let noise = if i == j { rests[i].1 } else { 0.0 };
        model.covariance(&rests[i].0, &rests[j].0, origin_s) + noise
    });
    let cross = DMatrix::from_fn(n, m, |i, j| {
        model.covariance(&rests[i].0, &carries[j], origin_s)
    });
    let wanted = DMatrix::from_fn(m, m, |i, j| {
        model.covariance(&carries[i], &carries[j], origin_s)
    });
    // Kriging's system, with a multiplier that makes the weights add up to one. A
    // generalised covariance is not positive definite by itself, so it is an LU.
    let scale = (0..n).map(|i| rests[i].1).fold(f64::MIN_POSITIVE, f64::max);
    let mut system = DMatrix::zeros(n + 1, n + 1);
    system.view_mut((0, 0), (n, n)).copy_from(&(&known / scale));
    for i in 0..n {
        system[(i, n)] = 1.0;
        system[(n, i)] = 1.0;
    }
    let mut right = DMatrix::zeros(n + 1, m);
    right.view_mut((0, 0), (n, m)).copy_from(&(&cross / scale));
    right.set_row(n, &RowDVector::from_element(m, 1.0));
    let solved = system.lu().solve(&right)?;
    let weights = solved.rows(0, n).into_owned();
    let covariance = wanted - weights.transpose() * &cross - cross.transpose() * &weights
        + weights.transpose() * &known * &weights;
    let finite = DVector::from_iterator(m, covariance.diagonal().iter().copied())
        .iter()
        .all(|v| v.is_finite());
    finite.then_some(Foretold {
        weights,
        covariance,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from_s: f64, to_s: f64) -> Span {
        Span { from_s, to_s }
    }

    #[test]
    fn a_carry_between_two_rests_is_their_mean() {
        let model = BiasModel {
            floor: 1.0,
            walk: 0.1,
            slope: 0.0,
        };
        let rests = [(span(0.0, 2.0), 1e-6), (span(8.0, 10.0), 1e-6)];
        let found = foretell(&model, &rests, &[span(2.0, 8.0)]).unwrap();
        assert!((found.weights[(0, 0)] - 0.5).abs() < 1e-9);
        assert!((found.weights[(1, 0)] - 0.5).abs() < 1e-9);
        assert!(found.covariance[(0, 0)] > 0.0);
    }

    #[test]
    fn a_walk_leaves_what_the_books_say() {
        // Brownian bridge of walk K between two points a long T apart: the mean over it
        // has the variance K² T / 12 (rests here are short against T).
        let model = BiasModel {
            floor: 0.0,
            walk: 1.0,
            slope: 0.0,
        };
        let rests = [(span(-0.001, 0.0), 1e-12), (span(10.0, 10.001), 1e-12)];
        let found = foretell(&model, &rests, &[span(0.0, 10.0)]).unwrap();
        let expected = 10.0 / 12.0;
        assert!((found.covariance[(0, 0)] - expected).abs() < 2e-3 * expected);
    }

    #[test]
    fn warming_on_a_straight_line_costs_nothing_between_rests() {
        let model = BiasModel {
            floor: 0.0,
            walk: 0.0,
            slope: 5.0,
        };
        let rests = [(span(0.0, 2.0), 1e-8), (span(8.0, 10.0), 1e-8)];
        let found = foretell(&model, &rests, &[span(2.0, 8.0)]).unwrap();
        assert!(found.covariance[(0, 0)] < 1e-7);
    }

    #[test]
    fn flicker_is_as_strong_as_its_floor_over_two_decades() {
        // Below a second it fades: at half a second it is 7 % weaker than its floor.
        // Half the variance of the difference of neighbouring means is the Allan variance.
        let model = BiasModel {
            floor: 1.0,
            walk: 0.0,
            slope: 0.0,
        };
        for tau in [1.0, 5.0, 20.0, 100.0] {
            let (a, b) = (span(0.0, tau), span(tau, 2.0 * tau));
            let cov = |x: &Span, y: &Span| model.covariance(x, y, 0.0);
            let allan = 0.5 * (cov(&a, &a) + cov(&b, &b) - 2.0 * cov(&a, &b));
            assert!((allan.sqrt() - 1.0).abs() < 0.06, "{tau} s: {allan}");
        }
    }
}
