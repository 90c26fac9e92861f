//! The trace of one board: where its line breaks off, and why.

use hubplumb_core::estimate::Estimate;
use hubplumb_core::reading::Missing;
use hubplumb_core::tilt;
use hubplumb_core::time::HostTime;

use super::Mark;

/// Readings further apart than this are no line: what the hub did between them nobody saw.
pub const UNSEEN_US: i64 = tilt::GAP_US;

/// Draws the trace of one board.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pen {
    drawn: u64,
    last: Option<HostTime>,
    gap: Option<Missing>,
}

impl Pen {
    /// What a reading showed; `put` takes each mark with its number.
    pub fn draw(
        &mut self,
        at: HostTime,
        found: Result<(Estimate, Estimate), Missing>,
        mut put: impl FnMut(u64, Mark),
    ) {
        if let Some(last) = self.last
            && at.since_us(last) > UNSEEN_US
        {
            self.lift(Missing::Stale, &mut put);
        }
        self.last = Some(at);
        match found {
            Ok((lean, pitch)) => {
                self.gap = None;
                self.put(Mark::Angles { at, lean, pitch }, &mut put);
            }
            Err(why) => self.begin_gap(at, why, &mut put),
        }
    }

    /// The line breaks off after the last reading; nothing before the first.
    pub fn lift(&mut self, why: Missing, mut put: impl FnMut(u64, Mark)) {
        // That nothing arrives is no news of a board that is away or has only just come.
        let told = matches!(self.gap, Some(Missing::Absent | Missing::Settling));
        if told && why == Missing::Stale {
            return;
        }
        if let Some(last) = self.last {
            // A microsecond is the least there is between two times.
            self.begin_gap(HostTime::from_us(last.us() + 1), why, &mut put);
        }
    }

    fn begin_gap(&mut self, at: HostTime, why: Missing, put: &mut impl FnMut(u64, Mark)) {
        if self.gap != Some(why) {
            self.gap = Some(why);
            self.put(Mark::Gap { at, why }, put);
        }
    }

    fn put(&mut self, mark: Mark, put: &mut impl FnMut(u64, Mark)) {
        put(self.drawn, mark);
        self.drawn += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ANGLES: (Estimate, Estimate) =
        (Estimate::from_deg(1.0, 0.1), Estimate::from_deg(2.0, 0.1));

    /// What the readings at these milliseconds draw: values as their time, gaps with their reason.
    fn drawn(readings: &[(i64, Result<(), Missing>)]) -> Vec<(u64, i64, Option<Missing>)> {
        let mut pen = Pen::default();
        let mut marks = Vec::new();
        for (at_ms, found) in readings {
            let at = HostTime::from_us(at_ms * 1000);
            pen.draw(at, found.map(|()| ANGLES), |nth, mark| {
                marks.push(match mark {
                    Mark::Angles { at, .. } => (nth, at.us(), None),
                    Mark::Gap { at, why } => (nth, at.us(), Some(why)),
                });
            });
        }
        marks
    }

    #[test]
    fn a_gap_is_marked_once_with_its_reason() {
        let (moving, saturated) = (Err(Missing::Moving), Err(Missing::Saturated));
        assert_eq!(
            drawn(&[
                (10, Ok(())),
                (20, moving),
                (30, moving),
                (40, saturated),
                (50, Ok(()))
            ]),
            [
                (0, 10_000, None),
                (1, 20_000, Some(Missing::Moving)),
                (2, 40_000, Some(Missing::Saturated)),
                (3, 50_000, None),
            ]
        );
    }

    #[test]
    fn readings_that_are_far_apart_have_a_gap_between_them() {
        assert_eq!(
            drawn(&[(10, Ok(())), (310, Ok(())), (611, Ok(()))]),
            [
                (0, 10_000, None),
                (1, 310_000, None),
                (2, 310_001, Some(Missing::Stale)),
                (3, 611_000, None),
            ]
        );
    }

    #[test]
    fn a_board_that_goes_breaks_its_line_where_it_was_heard_last() {
        let mut pen = Pen::default();
        let mut marks = Vec::new();
        pen.lift(Missing::Absent, |_, mark| marks.push(mark));
        assert_eq!(marks, [], "nothing was drawn yet");
        pen.draw(HostTime::from_us(7), Ok(ANGLES), |_, _| ());
        pen.lift(Missing::Absent, |_, mark| marks.push(mark));
        pen.lift(Missing::Absent, |_, mark| marks.push(mark));
        let at = HostTime::from_us(8);
        let why = Missing::Absent;
        assert_eq!(marks, [Mark::Gap { at, why }]);
        // Plugged in again it says nothing yet: it is still the gap of its going.
        pen.lift(Missing::Stale, |_, mark| marks.push(mark));
        assert_eq!(marks.len(), 1);
    }
}
