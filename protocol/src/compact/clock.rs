//! The board's 32-bit microseconds, carried on over their wrap.

/// One turn of the counter, 71.6 minutes.
pub(super) const TURN_US: f64 = 4_294_967_296.0;

/// A counter that falls back by nearly a whole turn has wrapped, if not more than this is missing;
/// otherwise the board began anew. A minute is far longer than links stay silent without being reopened.
const LONGEST_GAP_OVER_A_WRAP_US: u32 = 60_000_000;

/// Carries the count on.
#[derive(Debug, Default)]
pub(super) struct Clock {
    last: Option<u32>,
    turns: u32,
}

impl Clock {
    /// Microseconds since the board's clock was at zero.
    pub(super) fn time_us(&mut self, count: u32) -> f64 {
        if let Some(last) = self.last.replace(count)
            && count < last
        {
            if count.wrapping_sub(last) <= LONGEST_GAP_OVER_A_WRAP_US {
                self.turns = self.turns.saturating_add(1);
            } else {
                self.turns = 0;
            }
        }
        f64::from(self.turns) * TURN_US + f64::from(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_goes_on_over_a_wrap_and_starts_anew_with_the_board() {
        let mut clock = Clock::default();
        let cases = [
            (4_294_000_000, 4_294_000_000.0),
            (4_294_967_295, 4_294_967_295.0),
            (32_704, TURN_US + 32_704.0),
            (4_294_967_000, TURN_US + 4_294_967_000.0),
            (59_000_000, 2.0 * TURN_US + 59_000_000.0),
            (500_000, 500_000.0),
            (501_000, 501_000.0),
            // An hour on, and the board is started again.
            (3_600_000_000, 3_600_000_000.0),
            (2_000_000, 2_000_000.0),
        ];
        for (count, expected) in cases {
            assert_eq!(clock.time_us(count), expected, "{count}");
        }
    }
}
