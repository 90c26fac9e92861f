//! The steered wheels from rest to rest, and figures typed in their place.

use crate::angle::Angle;
use crate::check::evidence::PlainSteer;
use crate::check::refusal::CheckRefusal;
use crate::reading::{Motion, Sample};
use crate::side::Side;
use crate::swing::watch::WheelWatch;
use crate::swing::{SteerSource, SwingWheel};

/// Within this of the first rest the wheels are straight ahead again.
pub(super) const STRAIGHT: Angle = Angle::from_deg(2.0);

/// One or two steered wheels whose gyros are followed from rest to rest.
#[derive(Debug, Clone)]
pub(super) struct SteeredWheels {
    watches: Vec<WheelWatch>,
    hold_us: i64,
    taken: usize,
    holding: bool,
    in_rest: bool,
}

impl SteeredWheels {
    pub(super) fn new(wheels: &[SwingWheel], hold_us: i64) -> Self {
        let watch = |wheel| WheelWatch::new(wheel, SteerSource::Gyro);
        Self {
            watches: wheels.iter().map(watch).collect(),
            hold_us,
            taken: 0,
            holding: false,
            in_rest: false,
        }
    }

    /// Rests taken so far.
    pub(super) const fn taken(&self) -> usize {
        self.taken
    }

    pub(super) const fn is_holding(&self) -> bool {
        self.holding && !self.in_rest
    }

    /// Does the rest that was taken last still last?
    pub(super) const fn is_in_rest(&self) -> bool {
        self.in_rest
    }

    pub(super) fn held_us(&self) -> i64 {
        let held = self.watches.iter().map(WheelWatch::held_us).min();
        held.unwrap_or(0).min(self.hold_us)
    }

    /// Takes a reading; true when a rest has just been taken.
    pub(super) fn observe(&mut self, side: Side, sample: &Sample) -> Result<bool, CheckRefusal> {
        let watch = self.watches.iter_mut().find(|w| w.setup.wheel.side == side);
        let Some(watch) = watch else {
            return Ok(false);
        };
        watch.observe(sample)?;
        let all = |of: &dyn Fn(&WheelWatch) -> bool| self.watches.iter().all(of);
        let heard = all(&|w| {
            w.last_at()
                .is_some_and(|at| sample.at.since_us(at) < 1_000_000)
        });
        let still = all(&|w| w.motion() == Motion::Still);
        if !still {
            if self.holding {
                for watch in &mut self.watches {
                    watch.end_rest();
                }
            }
            (self.holding, self.in_rest) = (false, false);
            return Ok(false);
        }
        if !self.holding && heard {
            for watch in &mut self.watches {
                watch.begin_rest();
            }
            self.holding = true;
        }
        if self.holding && !self.in_rest && self.watches.iter().all(|w| w.held_us() >= self.hold_us)
        {
            for watch in &mut self.watches {
                watch.take_rest()?;
            }
            self.in_rest = true;
            self.taken += 1;
            return Ok(true);
        }
        Ok(false)
    }

    /// Steer now, mean of the wheels, + left.
    pub(super) fn steer(&self) -> Option<Angle> {
        let angles: Vec<Angle> = self
            .watches
            .iter()
            .map(WheelWatch::steer)
            .collect::<Option<_>>()?;
        mean(&angles)
    }

    /// Steer of left and right wheel at a rest, with the noise of all turns to it, rad.
    pub(super) fn at(&self, index: usize) -> Option<[Option<[f64; 2]>; 2]> {
        let mut steers = [None, None];
        for watch in &self.watches {
            let rest = watch.rest(index)?;
            let mut variance = 0.0;
            for earlier in 0..=index {
                variance += watch.rest(earlier)?.turn_noise.rad().powi(2);
            }
            let steer = watch.rest_steer(&rest)?;
            steers[usize::from(watch.setup.wheel.side == Side::Right)] =
                Some([steer.rad(), variance.sqrt()]);
        }
        Some(steers)
    }
}

fn mean(angles: &[Angle]) -> Option<Angle> {
    let sum = angles.iter().fold(Angle::ZERO, |sum, angle| sum + *angle);
    (!angles.is_empty()).then(|| sum / angles.len() as f64)
}

/// Mean steer of a position, rad, + left.
pub(super) fn mean_steer(steers: &[Option<[f64; 2]>; 2]) -> Option<f64> {
    let known: Vec<f64> = steers.iter().flatten().map(|steer| steer[0]).collect();
    (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
}

/// Where straight ahead is for one wheel by all its straight rests: their mean, and half
/// of how far they lie apart, taken as equally likely anywhere within.
pub(super) fn straight(positions: &[PlainSteer], wheel: usize) -> Option<(f64, f64)> {
    let of: Vec<f64> = positions
        .iter()
        .filter(|position| position.turned.is_none())
        .filter_map(|position| Some(position.steer_rad[wheel]?[0]))
        .collect();
    let highest = of.iter().copied().fold(f64::MIN, f64::max);
    let lowest = of.iter().copied().fold(f64::MAX, f64::min);
    (!of.is_empty()).then(|| {
        (
            of.iter().sum::<f64>() / of.len() as f64,
            0.5 * (highest - lowest) / 3f64.sqrt(),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::mean_steer;

    #[test]
    fn the_mean_of_both_wheels_or_the_one_that_is_known() {
        let known = |steer_rad: f64| Some([steer_rad, 0.01]);
        let cases = [
            ([known(0.3), known(0.1)], Some(0.2)),
            ([None, known(0.1)], Some(0.1)),
            ([known(-0.3), None], Some(-0.3)),
            ([None, None], None),
        ];
        for (steers, mean) in cases {
            let found = mean_steer(&steers);
            let near = found.zip(mean).is_none_or(|(a, b)| (a - b).abs() < 1e-12);
            assert!(
                near && found.is_some() == mean.is_some(),
                "{steers:?}: {found:?}"
            );
        }
    }
}
