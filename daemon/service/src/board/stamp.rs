//! When a reading was taken, in the daemon's time.

use hubplumb_core::clock::DeviceClock;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;

/// Readings that arrive together are spread over the time since the ones
/// before, up to this: beyond it there was a pause, not a late read.
const SPREAD_US: i64 = 200_000;

/// Gives readings their host time.
#[derive(Debug, Clone, Default)]
pub struct Stamper {
    clock: DeviceClock,
    last_arrival: Option<HostTime>,
    has_device_time: bool,
}

impl Stamper {
    /// Host times of the readings of one read of the line, oldest first.
    ///
    /// Where the board sends its own time, that is fitted to ours; arrival is
    /// the time only of boards that send none.
    pub fn stamp(&mut self, readings: &[Reading], arrival: HostTime) -> Vec<HostTime> {
        let since = self
            .last_arrival
            .map_or(0, |last| arrival.since_us(last).clamp(0, SPREAD_US));
        self.last_arrival = Some(arrival);
        let count = i64::try_from(readings.len()).unwrap_or(i64::MAX);
        readings
            .iter()
            .zip(1..)
            .map(|(reading, number)| match reading.device_time_us {
                Some(device_us) => {
                    self.has_device_time = true;
                    let stamp = self.clock.observe(device_us, arrival);
                    if stamp.restarted {
                        tracing::info!("the board's clock began anew");
                    }
                    stamp.at
                }
                None => HostTime::from_us(arrival.us() - since * (count - number) / count),
            })
            .collect()
    }

    /// Rate of the board's clock against ours, parts per million.
    pub fn ppm(&self) -> Option<f64> {
        if self.has_device_time {
            self.clock.ppm()
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_device_time_a_late_read_is_spread_over_the_time_it_was_late() {
        let mut stamper = Stamper::default();
        let at = |ms: i64| HostTime::from_us(ms * 1000);
        let reading = Reading::default();
        assert_eq!(stamper.stamp(&[reading], at(100)), [at(100)]);
        assert_eq!(
            stamper.stamp(&[reading; 4], at(140)),
            [at(110), at(120), at(130), at(140)]
        );
        // After a pause the readings are not spread over the pause.
        assert_eq!(stamper.stamp(&[reading; 2], at(5000)), [at(4900), at(5000)]);
        assert_eq!(stamper.ppm(), None);
    }

    #[test]
    fn device_time_rules_over_a_late_arrival() {
        let mut stamper = Stamper::default();
        let reading = |ms: i64| Reading {
            device_time_us: Some(ms as f64 * 1000.0),
            ..Reading::default()
        };
        for ms in (0..1000).step_by(10) {
            stamper.stamp(&[reading(ms)], HostTime::from_us(5_000_000 + ms * 1000));
        }
        // Three readings that were held up until the last of them.
        let times = stamper.stamp(
            &[reading(1000), reading(1010), reading(1020)],
            HostTime::from_us(6_020_000),
        );
        assert_eq!(
            times,
            [6_000_000, 6_010_000, 6_020_000].map(HostTime::from_us)
        );
    }
}
