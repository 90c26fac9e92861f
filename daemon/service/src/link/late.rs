//! Telling late readings where a link may hand them over out of order.
//!
//! A reading that was overtaken says what was, not what is, and its time would
//! look to the clock like a board that began anew.

use hubplumb_protocol::Reading;

/// How far a reading may be behind the newest to be a late one, in readings; from
/// farther behind it is a board that began to count anew, or a counter that wrapped.
const BEHIND_READINGS: u32 = 64;
/// The same in the board's own time, µs: networks hold a datagram back for some
/// tens of milliseconds (common practice, no source).
const BEHIND_US: f64 = 500_000.0;

/// What the newest reading of a link was.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Newest {
    sequence: Option<u32>,
    time_us: Option<f64>,
}

impl Newest {
    /// Is this reading behind the newest, or there already? If not, it is the newest.
    pub(super) fn overtook(&mut self, reading: &Reading) -> bool {
        let late = if let (Some(newest), Some(sequence)) = (self.sequence, reading.sequence) {
            newest.wrapping_sub(sequence) <= BEHIND_READINGS
        } else if let (Some(newest_us), Some(time_us)) = (self.time_us, reading.device_time_us) {
            // Equal times are two readings of a clock with coarse steps.
            let behind_us = newest_us - time_us;
            behind_us > 0.0 && behind_us <= BEHIND_US
        } else {
            false
        };
        if !late {
            self.sequence = reading.sequence;
            self.time_us = reading.device_time_us;
        }
        late
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `(sequence, time in ms)` of readings as they arrive, and which of them are late.
    fn check(arrived: &[(Option<u32>, Option<f64>)], late: &[usize]) {
        let mut newest = Newest::default();
        let found: Vec<usize> = (0..arrived.len())
            .filter(|&index| {
                let (sequence, time_ms) = arrived[index];
                newest.overtook(&Reading {
                    sequence,
                    device_time_us: time_ms.map(|ms| ms * 1000.0),
                    ..Reading::default()
                })
            })
            .collect();
        assert_eq!(found, late, "{arrived:?}");
    }

    #[test]
    fn a_reading_behind_the_newest_is_late_and_a_new_beginning_is_not() {
        let no = |numbers: &[u32]| -> Vec<_> { numbers.iter().map(|&n| (Some(n), None)).collect() };
        let at = |times: &[f64]| -> Vec<_> { times.iter().map(|&t| (None, Some(t))).collect() };
        check(&no(&[1, 2, 4, 3, 5]), &[3]);
        // Sent twice by the network.
        check(&no(&[1, 2, 2, 3]), &[2]);
        check(&no(&[100, 101, 37, 36]), &[2]);
        // A counter of one byte, and one of four.
        check(&no(&[254, 255, 0, 1, 255]), &[]);
        check(&no(&[u32::MAX, 1, 0, 2]), &[2]);
        check(&at(&[10.0, 20.0, 40.0, 30.0, 50.0]), &[3]);
        check(&at(&[10.0, 10.0, 20.0]), &[]);
        check(&at(&[70_000.0, 0.0, 10.0]), &[]);
        // Where there is a number it decides.
        check(
            &[
                (Some(7), Some(70.0)),
                (Some(8), Some(60.0)),
                (Some(8), Some(80.0)),
            ],
            &[2],
        );
        check(&[(None, None), (None, None)], &[]);
    }
}
