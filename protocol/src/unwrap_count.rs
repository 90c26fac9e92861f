//! Counters of 32 bits, carried on over their wrap.

/// One turn of the counter.
pub(crate) const TURN: f64 = 4_294_967_296.0;

/// A counter that falls back by nearly a whole turn has wrapped, if not more
/// than one part in 71 of a turn is missing; otherwise the board began anew. Of
/// microseconds it is a minute, far longer than links stay silent without being
/// reopened.
const LONGEST_GAP_OVER_A_WRAP: u32 = 60_000_000;

/// Carries a count on.
#[derive(Debug, Default)]
pub(crate) struct Unwrap {
    last: Option<u32>,
    turns: u32,
}

impl Unwrap {
    /// Counts since the counter was at zero.
    pub(crate) fn count(&mut self, count: u32) -> f64 {
        if let Some(last) = self.last.replace(count)
            && count < last
        {
            if count.wrapping_sub(last) <= LONGEST_GAP_OVER_A_WRAP {
                self.turns = self.turns.saturating_add(1);
            } else {
                self.turns = 0;
            }
        }
        f64::from(self.turns) * TURN + f64::from(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_count_goes_on_over_a_wrap_and_starts_anew_with_the_board() {
        let mut clock = Unwrap::default();
        let cases = [
            (4_294_000_000, 4_294_000_000.0),
            (4_294_967_295, 4_294_967_295.0),
            (32_704, TURN + 32_704.0),
            (4_294_967_000, TURN + 4_294_967_000.0),
            (59_000_000, 2.0 * TURN + 59_000_000.0),
            (500_000, 500_000.0),
            (501_000, 501_000.0),
            // An hour on, and the board is started again.
            (3_600_000_000, 3_600_000_000.0),
            (2_000_000, 2_000_000.0),
        ];
        for (count, expected) in cases {
            assert_eq!(clock.count(count), expected, "{count}");
        }
    }
}
