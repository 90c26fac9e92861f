//! What many trials say together.

use super::{Chip, Conditions, Off, Way, trial};

/// Figures of one angle over a series, degrees.
#[derive(Debug, Clone, Copy)]
pub struct Figures {
    /// Root mean square error.
    pub rms: f64,
    /// Median of the size of the error.
    pub median: f64,
    /// 95 % of the errors are no larger.
    pub largest_95: f64,
    /// Largest error.
    pub worst: f64,
    /// Root mean square of the stated standard uncertainties.
    pub stated: f64,
    /// Share of the stated 95 % intervals that hold the truth.
    pub coverage: f64,
    /// Mean half width of the stated intervals over what would have been needed:
    /// the half width that holds 95 % of the errors.
    pub width_ratio: f64,
}

/// A series of trials.
#[derive(Debug, Clone)]
pub struct Summary {
    /// Trials asked for.
    pub trials: usize,
    /// Trials that were refused, with the reason.
    pub refused: Vec<(u64, String)>,
    /// Camber, caster and SAI.
    pub angles: [Figures; 3],
}

impl Summary {
    /// Runs a series, `trials` seeds from `first_seed` on, on all processors.
    pub fn of(first_seed: u64, trials: u64, chip: Chip, conditions: Conditions, way: Way) -> Self {
        let workers = std::thread::available_parallelism().map_or(1, usize::from) as u64;
        let done: Vec<(u64, Result<[Off; 3], String>)> = std::thread::scope(|scope| {
            let handles: Vec<_> = (0..workers)
                .map(|worker| {
                    scope.spawn(move || {
                        (worker..trials)
                            .step_by(usize::try_from(workers).unwrap_or(1))
                            .map(|i| {
                                let seed = first_seed + i;
                                (seed, trial(seed, chip, conditions, way))
                            })
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            handles
                .into_iter()
                .flat_map(|handle| handle.join().expect("a trial ends"))
                .collect()
        });
        let offs: Vec<[Off; 3]> = done
            .iter()
            .filter_map(|(_, r)| r.as_ref().ok().copied())
            .collect();
        let refused = done
            .iter()
            .filter_map(|(seed, r)| Some((*seed, r.as_ref().err()?.clone())))
            .collect();
        Self {
            trials: done.len(),
            refused,
            angles: [0, 1, 2]
                .map(|angle| Figures::of(&offs.iter().map(|o| o[angle]).collect::<Vec<_>>())),
        }
    }
}

impl Figures {
    fn of(offs: &[Off]) -> Self {
        let n = offs.len() as f64;
        let mut sizes: Vec<f64> = offs.iter().map(|o| o.error_deg.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let quantile = |share: f64| {
            let place = share * (n - 1.0);
            let (low, high) = (place.floor(), place.ceil());
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a place in the list"
            )]
            let (below, above) = (sizes[low as usize], sizes[high as usize]);
            below + (above - below) * (place - low)
        };
        let mean = |value: &dyn Fn(&Off) -> f64| offs.iter().map(value).sum::<f64>() / n;
        let largest_95 = quantile(0.95);
        Self {
            rms: mean(&|o| o.error_deg.powi(2)).sqrt(),
            median: quantile(0.5),
            largest_95,
            worst: quantile(1.0),
            stated: mean(&|o| o.standard_deg.powi(2)).sqrt(),
            coverage: mean(&|o| f64::from(u8::from(o.error_deg.abs() <= o.half_width_deg))),
            width_ratio: mean(&|o| o.half_width_deg) / largest_95,
        }
    }
}
