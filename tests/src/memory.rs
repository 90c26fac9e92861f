//! A straight line through what was sampled, with how far to trust it.

use hubplumb_core::gum::coverage_factor;

/// A fitted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Rise per unit of the abscissa.
    pub slope: f64,
    /// Half width of its 95 % interval.
    pub expanded: f64,
}

/// Least squares through points in order; none where there are fewer than five, or all at one place.
///
/// Samples of a process's memory are like their neighbours, so that there are fewer independent
/// ones than samples: of n with the autocorrelation r of the residuals at a lag of one,
/// n (1 − r) / (1 + r) (from memory: the usual correction for a first-order autoregressive error).
pub fn line(points: &[(f64, f64)]) -> Option<Line> {
    let count = points.len() as f64;
    if points.len() < 5 {
        return None;
    }
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x_mean, y_mean) = (mean(|p| p.0), mean(|p| p.1));
    let spread: f64 = points.iter().map(|(x, _)| (x - x_mean).powi(2)).sum();
    if spread <= 0.0 {
        return None;
    }
    let slope = points
        .iter()
        .map(|(x, y)| (x - x_mean) * (y - y_mean))
        .sum::<f64>()
        / spread;
    let residuals: Vec<f64> = points
        .iter()
        .map(|(x, y)| y - y_mean - slope * (x - x_mean))
        .collect();
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let neighbours: f64 = residuals.windows(2).map(|pair| pair[0] * pair[1]).sum();
    // Alternating residuals would make more samples out of n; that is not believed.
    let alike = if squares > 0.0 {
        (neighbours / squares).clamp(0.0, 0.99)
    } else {
        0.0
    };
    let independent = (count * (1.0 - alike) / (1.0 + alike)).max(3.0);
    let standard = (squares / (independent - 2.0) / spread).sqrt();
    Some(Line {
        slope,
        expanded: standard * coverage_factor(independent - 2.0, 0.95).ok()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt as _, SeedableRng as _};
    use rand_chacha::ChaCha8Rng;

    /// How often, of 400, the interval holds the slope of a line with that noise on it.
    fn held(mut noise: impl FnMut(&mut ChaCha8Rng) -> f64) -> usize {
        let mut random = ChaCha8Rng::seed_from_u64(42);
        (0..400)
            .filter(|_| {
                let points: Vec<(f64, f64)> = (0..100)
                    .map(|x| (f64::from(x), 0.3 * f64::from(x) + noise(&mut random)))
                    .collect();
                let line = line(&points).expect("a line");
                (line.slope - 0.3).abs() <= line.expanded
            })
            .count()
    }

    #[test]
    fn the_interval_holds_the_slope_as_often_as_it_says() {
        let white = held(|random| random.random_range(-1.0..1.0));
        assert!((370..=390).contains(&white), "{white} of 400");
        // Noise that is half that of before, as memory is. The estimate of how alike neighbours
        // are is itself uncertain and a little low, so somewhat less than 95 % is right here.
        let mut last = 0.0;
        let alike = held(move |random| {
            last = 0.5 * last + random.random_range(-1.0..1.0);
            last
        });
        assert!((360..=392).contains(&alike), "{alike} of 400");
    }

    #[test]
    fn a_line_without_noise_is_found_and_too_few_points_make_none() {
        let points: Vec<(f64, f64)> = (0..9)
            .map(|x| (f64::from(x), 7.0 - 2.0 * f64::from(x)))
            .collect();
        let found = line(&points).expect("a line");
        assert!(
            (found.slope + 2.0).abs() < 1e-12 && found.expanded < 1e-9,
            "{found:?}"
        );
        assert_eq!(line(&points[..4]), None);
        assert_eq!(line(&[(1.0, 2.0); 9]), None);
    }
}
