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

/// Networks hand over a few out of order (common practice, no source). So many more than half as many as
/// come in order are no late ones: a second board sends on the same link, behind the first. Whose readings
/// are whose is then for others to tell.
const LATE_READINGS: f64 = 8.0;
/// A reading in order makes up for this share of a late one.
const IN_ORDER: f64 = 0.5;

/// What the newest reading of a link was.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Newest {
    reading: Option<Reading>,
    /// Late ones lately, beyond those that were made up for.
    late: f64,
}

impl Newest {
    /// Is this reading behind the newest, or there already? If not, it is the newest.
    pub(super) fn overtook(&mut self, reading: &Reading) -> bool {
        match self.behind(reading) {
            Behind::No => {
                self.late = (self.late - IN_ORDER).max(0.0);
                self.reading = Some(*reading);
                false
            }
            Behind::Twice => true,
            Behind::Yes => {
                self.late = (self.late + 1.0).min(2.0 * LATE_READINGS);
                self.late <= LATE_READINGS
            }
        }
    }

    fn behind(&self, reading: &Reading) -> Behind {
        let Some(newest) = &self.reading else {
            return Behind::No;
        };
        let is_behind = if let (Some(number), Some(sequence)) = (newest.sequence, reading.sequence)
        {
            if number == sequence {
                // The same number over other figures is another board's.
                return if newest == reading {
                    Behind::Twice
                } else {
                    Behind::No
                };
            }
            number.wrapping_sub(sequence) <= BEHIND_READINGS
        } else if let (Some(newest_us), Some(time_us)) =
            (newest.device_time_us, reading.device_time_us)
        {
            // Equal times are two readings of a clock with coarse steps.
            let behind_us = newest_us - time_us;
            behind_us > 0.0 && behind_us <= BEHIND_US
        } else {
            false
        };
        if is_behind { Behind::Yes } else { Behind::No }
    }
}

/// Where a reading lies to the newest.
enum Behind {
    No,
    Yes,
    /// It is the newest, once more.
    Twice,
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
                (Some(8), Some(60.0)),
                (Some(7), Some(80.0)),
            ],
            &[2, 3],
        );
        // The same number over other figures.
        check(&[(Some(8), Some(60.0)), (Some(8), Some(80.0))], &[]);
        check(&[(None, None), (None, None)], &[]);
    }

    #[test]
    fn a_second_board_behind_the_first_is_handed_on_and_a_network_in_disorder_is_not() {
        let late_of = |arrived: Vec<u32>| {
            let numbers: Vec<_> = arrived.iter().map(|&n| (Some(n), None)).collect();
            let mut newest = Newest::default();
            let late = numbers.iter().map(|&(sequence, _): &(_, Option<f64>)| {
                let reading = Reading {
                    sequence,
                    ..Reading::default()
                };
                newest.overtook(&reading)
            });
            late.collect::<Vec<bool>>()
        };
        // In turn, the second forty behind.
        let late = late_of((0..200).flat_map(|n| [n + 40, n]).collect());
        assert!(late[..16].iter().any(|late| *late));
        assert!(!late[60..].iter().any(|late| *late));
        // One in three overtaken, and each reading sent twice.
        let mixed = (0..100).map(|n| 3 * n).flat_map(|n| [n, n + 2, n + 1]);
        let late = late_of(mixed.collect());
        assert!(late.chunks(3).all(|three| three == [false, false, true]));
        let late = late_of((0..300).flat_map(|n| [n, n]).collect());
        assert!(late.chunks(2).all(|two| two == [false, true]));
    }
}
