//! What many trials say together.

use super::{Chip, Conditions, Off, Offs, Way, pair, trial};

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
    /// Runs a series, `trials` seeds from `first_seed` on.
    pub fn of(first_seed: u64, trials: u64, chip: Chip, conditions: Conditions, way: Way) -> Self {
        Self::over(first_seed, trials, |seed| {
            trial(seed, chip, conditions, way).map(|offs| vec![offs])
        })
    }

    /// Runs a series of cars whose two front wheels are measured at once.
    pub fn of_pairs(first_seed: u64, trials: u64, chip: Chip, watched: bool) -> Self {
        Self::over(first_seed, trials, |seed| {
            pair(seed, chip, watched).map(|offs| offs.to_vec())
        })
    }

    /// On all processors.
    fn over(
        first_seed: u64,
        trials: u64,
        measure: impl Fn(u64) -> Result<Vec<Offs>, String> + Sync,
    ) -> Self {
        let workers = std::thread::available_parallelism().map_or(1, usize::from);
        let measure = &measure;
        let mut done: Vec<(u64, Result<Vec<Offs>, String>)> = std::thread::scope(|scope| {
            let handles: Vec<_> = (0..workers as u64)
                .map(|worker| {
                    scope.spawn(move || {
                        (first_seed + worker..first_seed + trials)
                            .step_by(workers)
                            .map(|seed| (seed, measure(seed)))
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            handles
                .into_iter()
                .flat_map(|handle| handle.join().expect("a trial ends"))
                .collect()
        });
        // The same sums whatever the number of processors.
        done.sort_by_key(|(seed, _)| *seed);
        let offs: Vec<Offs> = done
            .iter()
            .filter_map(|(_, outcome)| outcome.as_ref().ok())
            .flatten()
            .copied()
            .collect();
        let refused = done
            .iter()
            .filter_map(|(seed, outcome)| Some((*seed, outcome.as_ref().err()?.clone())))
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
