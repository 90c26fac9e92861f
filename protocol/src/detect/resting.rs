//! What a board at rest gives away about its units.

use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};
use crate::text::AssumedUnits;
use crate::text::unit::Unit;

/// Values kept to take a median of.
const MOST_VALUES: usize = 64;

/// A cheap chip may be wrong by 8 % and a hub may be touched while it listens;
/// the three units lie a factor of ten apart.
const SHARE_OF_GRAVITY: std::ops::RangeInclusive<f64> = 0.8..=1.25;

/// Units under which clocks without unit are heard, to be judged by their steps.
pub(super) struct TimeOfNames;

impl TimeOfNames {
    pub(super) const UNKNOWN: AssumedUnits = AssumedUnits {
        accel: Unit::Gravity,
        rate: Unit::DegPerSecond,
        time: Some(Unit::Microsecond),
    };
}

/// Lengths of accelerations and steps of the clock, the latest of each.
#[derive(Debug, Default)]
pub(super) struct Resting {
    lengths: Vec<f64>,
    steps: Vec<f64>,
    last_time: Option<f64>,
    went_back: u64,
    temperatures_c: Vec<f64>,
}

fn keep(values: &mut Vec<f64>, value: f64) {
    if values.len() >= MOST_VALUES {
        values.remove(0);
    }
    values.push(value);
}

fn median(values: &[f64]) -> Option<f64> {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

impl Resting {
    pub(super) fn hear(&mut self, reading: &Reading) {
        if let Some([x, y, z]) = reading.accel_g {
            keep(&mut self.lengths, (x * x + y * y + z * z).sqrt());
        }
        if let Some(temperature_c) = reading.temperature_c {
            keep(&mut self.temperatures_c, temperature_c);
        }
        if let Some(time) = reading.device_time_us {
            match self.last_time.replace(time) {
                Some(last) if time > last => keep(&mut self.steps, time - last),
                Some(_) => self.went_back += 1,
                None => {}
            }
        }
    }

    /// Unit in which the acceleration, taken as g, is that of rest.
    pub(super) fn accel_unit(&self) -> Option<Unit> {
        let length = median(&self.lengths)?;
        [
            (Unit::Gravity, 1.0),
            (Unit::MetrePerSecond2, STANDARD_GRAVITY_MPS2),
            (Unit::MilliGravity, 1000.0),
        ]
        .into_iter()
        .find(|(_, gravity)| SHARE_OF_GRAVITY.contains(&(length / gravity)))
        .map(|(unit, _)| unit)
    }

    /// Unit of a clock whose counts were taken as microseconds. Boards give
    /// between 2 and 1000 readings a second, so the steps of the three units
    /// do not overlap.
    pub(super) fn time_unit(&self) -> Option<Unit> {
        let step = median(&self.steps)?;
        if (0.0009..0.9).contains(&step) {
            Some(Unit::Second)
        } else if (0.9..900.0).contains(&step) {
            Some(Unit::Millisecond)
        } else if (900.0..600_000.0).contains(&step) {
            Some(Unit::Microsecond)
        } else {
            None
        }
    }

    /// Does the clock go forward, but for a restart?
    pub(super) fn clock_runs(&self) -> bool {
        self.steps.len() as u64 > 4 * self.went_back
    }

    pub(super) fn temperature_c(&self) -> Option<f64> {
        median(&self.temperatures_c)
    }

    /// Units for names without any: where the acceleration is in m/s² the rate
    /// goes in SI as well (common practice, no source).
    pub(super) fn units(&self) -> AssumedUnits {
        let accel = self.accel_unit().unwrap_or(Unit::Gravity);
        let rate = match accel {
            Unit::MetrePerSecond2 => Unit::RadPerSecond,
            _ => Unit::DegPerSecond,
        };
        AssumedUnits {
            accel,
            rate,
            time: self.time_unit(),
        }
    }

    /// What the acceleration says, in words.
    pub(super) fn words(&self) -> String {
        match (median(&self.lengths), self.accel_unit()) {
            (None, _) => "no acceleration is in it".to_owned(),
            (Some(_), Some(Unit::Gravity)) => {
                "the acceleration is that of rest, 1 g, in the units that are named or usual"
                    .to_owned()
            }
            (Some(length), Some(_)) => format!(
                "the acceleration is about {length:.4}, that of rest when taken as {}",
                self.units()
            ),
            (Some(length), None) => {
                format!("the acceleration is about {length:.4} g, which is not that of rest")
            }
        }
    }
}
