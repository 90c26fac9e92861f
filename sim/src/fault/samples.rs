//! What a board's clock and chip do wrong.

use hubplumb_protocol::Reading;

use super::{FaultKind, FaultPlan};

/// Ends of the ranges of a board's chip; infinite where there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranges {
    /// g.
    pub accel_g: f64,
    /// rad/s.
    pub gyro_radps: f64,
}

/// A chip without an end of its range is taken to end here, g.
const SOME_RANGE_G: f64 = 16.0;

/// The faults of one board's chip and clock.
#[derive(Debug, Clone, Default)]
pub struct SampleStage {
    /// What a stuck axis says.
    held: [Option<f64>; 6],
}

impl SampleStage {
    /// Changes a reading that was taken at `t_s`. `switched_on_s` is when the board's clock began:
    /// what its clock did wrong before is forgotten.
    pub fn change(
        &mut self,
        reading: &mut Reading,
        plan: &FaultPlan,
        ranges: Ranges,
        (switched_on_s, t_s): (f64, f64),
    ) {
        let mut stuck = [false; 6];
        for fault in plan.faults() {
            match fault.kind {
                FaultKind::StuckAxis { axis } if fault.is_on(t_s) && axis < 6 => stuck[axis] = true,
                FaultKind::Saturation if fault.is_on(t_s) => saturate(reading, ranges),
                _ => {}
            }
        }
        for (axis, is_stuck) in stuck.into_iter().enumerate() {
            let value = value_mut(reading, axis);
            match value {
                Some(value) if is_stuck => *value = *self.held[axis].get_or_insert(*value),
                _ => self.held[axis] = None,
            }
        }
        if let Some(stamp_us) = &mut reading.device_time_us {
            let off_us = 1e6 * clock_off_s(plan, switched_on_s, t_s);
            *stamp_us = (*stamp_us + off_us).round().max(0.0);
        }
    }
}

/// What the clock shows too much, s. It counts from nought: set back by more than it showed, it begins anew.
fn clock_off_s(plan: &FaultPlan, switched_on_s: f64, t_s: f64) -> f64 {
    plan.faults().iter().fold(0.0, |off_s, fault| {
        let since_s = fault.from_s - switched_on_s;
        match fault.kind {
            FaultKind::ClockDrift { ppm } => {
                let from_s = fault.from_s.max(switched_on_s);
                off_s + ppm * 1e-6 * (t_s.min(fault.to_s) - from_s).max(0.0)
            }
            FaultKind::ClockJump { by_s } if since_s >= 0.0 && fault.from_s <= t_s => {
                (off_s + by_s).max(-since_s)
            }
            _ => off_s,
        }
    })
}

fn saturate(reading: &mut Reading, ranges: Ranges) {
    if let Some(accel_g) = &mut reading.accel_g {
        let end_g = if ranges.accel_g.is_finite() {
            ranges.accel_g
        } else {
            SOME_RANGE_G
        };
        *accel_g = accel_g.map(|value| end_g.copysign(value));
    }
}

fn value_mut(reading: &mut Reading, axis: usize) -> Option<&mut f64> {
    match axis {
        0..3 => reading.accel_g.as_mut().map(|values| &mut values[axis]),
        _ => reading
            .rate_radps
            .as_mut()
            .and_then(|values| values.get_mut(axis - 3)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Fault;
    use super::*;
    use crate::car::Mount;

    fn fault(kind: FaultKind, from_s: f64, to_s: f64) -> Fault {
        Fault {
            mount: Mount::FrontLeft,
            kind,
            from_s,
            to_s,
        }
    }

    const RANGES: Ranges = Ranges {
        accel_g: 2.0,
        gyro_radps: 4.0,
    };

    /// Readings once a second from 0 to 9, with a board that was switched on at `on_s`.
    fn changed(faults: Vec<Fault>, on_s: f64) -> Vec<Reading> {
        let plan = FaultPlan::new(faults);
        let mut stage = SampleStage::default();
        (0..10)
            .map(|second| {
                let t_s = f64::from(second);
                let mut reading = Reading {
                    device_time_us: Some((t_s - on_s).max(0.0) * 1e6),
                    accel_g: Some([t_s * 1e-3, -t_s * 1e-3, 1.0]),
                    rate_radps: Some([t_s * 1e-3; 3]),
                    ..Reading::default()
                };
                stage.change(&mut reading, &plan, RANGES, (on_s, t_s));
                reading
            })
            .collect()
    }

    #[test]
    fn a_stuck_axis_says_what_it_said_first_and_the_others_go_on() {
        let readings = changed(
            vec![
                fault(FaultKind::StuckAxis { axis: 1 }, 3.0, 6.0),
                fault(FaultKind::StuckAxis { axis: 5 }, 3.0, 6.0),
            ],
            0.0,
        );
        let milli = |second: usize| {
            let reading = readings[second];
            let accel = reading.accel_g.unwrap();
            let rate = reading.rate_radps.unwrap();
            [accel[0], accel[1], rate[0], rate[2]].map(|value| (value * 1e3).round())
        };
        assert_eq!(milli(2), [2.0, -2.0, 2.0, 2.0]);
        assert_eq!(milli(5), [5.0, -3.0, 5.0, 3.0]);
        assert_eq!(milli(6), [6.0, -6.0, 6.0, 6.0]);
    }

    #[test]
    fn a_saturated_chip_is_at_its_end() {
        let readings = changed(vec![fault(FaultKind::Saturation, 3.0, 4.0)], 0.0);
        assert_eq!(readings[3].accel_g, Some([2.0, -2.0, 2.0]));
        assert_eq!(readings[4].accel_g, Some([0.004, -0.004, 1.0]));
    }

    #[test]
    fn a_clock_keeps_what_it_gained_until_it_begins_anew() {
        let faults = vec![
            fault(FaultKind::ClockDrift { ppm: 1e5 }, 2.0, 4.0),
            fault(FaultKind::ClockJump { by_s: -0.5 }, 5.0, 5.0),
        ];
        let shown = |on_s: f64| {
            let times = changed(faults.clone(), on_s);
            // To a microsecond, as boards send it.
            [1, 3, 4, 5, 9]
                .map(|second: usize| times[second].device_time_us.unwrap().round() * 1e-6)
        };
        assert_eq!(
            shown(0.0).map(|time_s| (time_s * 1e6).round()),
            [1.0e6, 3.1e6, 4.2e6, 4.7e6, 8.7e6]
        );
        // Switched on at 4.5 s: the drift is forgotten, the jump is not.
        assert_eq!(shown(4.5)[3..], [0.0, 4.0]);
    }
}
