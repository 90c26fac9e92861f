//! When to ask a board that answers and never talks by itself.
//!
//! A question is asked only of a board whose format was told, one at a time,
//! and never while a line is listened to for finding out what it is.

use std::time::Duration;

use hubplumb_protocol::{BadReason, Question};
use tokio::time::Instant;

use super::backoff::Backoff;

/// Longest wait before a board that does not answer is asked again; whoever
/// switches it on sees it within this.
const BACKOFF_CAP: Duration = Duration::from_secs(2);

/// Longest patience with a board that answers late.
const MOST_PATIENCE: Duration = Duration::from_secs(1);

/// Keeps the time of the questions to one board. Holds no clock: every time is given to it.
#[derive(Debug)]
pub(super) struct Asking {
    question: Question,
    /// When the last question went out.
    asked: Instant,
    /// Until when its answer is waited for; none when it has come or is given up.
    until: Option<Instant>,
    /// When the next question goes out, while no answer is waited for.
    next: Instant,
    patience: Duration,
    backoff: Backoff,
}

impl Asking {
    /// Asks for the first time at `now`.
    pub(super) fn new(question: Question, now: Instant) -> Self {
        Self {
            asked: now,
            until: None,
            next: now,
            patience: question.answer_within,
            backoff: Backoff::new(question.every.max(question.answer_within), BACKOFF_CAP),
            question,
        }
    }

    /// The question, when it is time for it.
    pub(super) fn due(&self, now: Instant) -> Option<&[u8]> {
        (self.until.is_none() && now >= self.next).then_some(self.question.bytes.as_slice())
    }

    /// The next moment at which something is to be done though nothing arrives.
    pub(super) fn wake(&self) -> Instant {
        self.until.unwrap_or(self.next)
    }

    /// The question went out at `now`.
    pub(super) fn asked(&mut self, now: Instant) {
        self.asked = now;
        self.until = Some(now + self.patience);
    }

    /// Is the answer overdue at `now`? Told once; then the board is left alone
    /// for a while, lest an answer that comes late meets the next question on
    /// the wire.
    pub(super) fn is_given_up(&mut self, now: Instant) -> bool {
        if self.until.is_none_or(|until| now < until) {
            return false;
        }
        self.until = None;
        self.next = now + self.backoff.wait();
        true
    }

    /// A reading came. Where none is waited for any more it came too late, and
    /// the board is given more time from now on.
    pub(super) fn answered(&mut self, now: Instant) {
        if self.until.take().is_none() {
            self.patience = self.patience.saturating_mul(2).min(MOST_PATIENCE);
        }
        self.backoff.reset();
        self.next = (self.asked + self.question.every).max(now);
    }

    /// The board answered, and gave no reading.
    pub(super) fn declined(&mut self, reason: &BadReason, now: Instant) {
        self.until = None;
        self.next = match reason {
            // Usual of some chips and over with the next question.
            BadReason::NotReady { .. } => (self.asked + self.question.every).max(now),
            _ => now + self.backoff.wait(),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MS: Duration = Duration::from_millis(1);

    fn asking(now: Instant) -> Asking {
        let question = Question {
            bytes: vec![1],
            every: 50 * MS,
            answer_within: 100 * MS,
        };
        Asking::new(question, now)
    }

    #[test]
    fn asks_at_its_rate_and_one_question_at_a_time() {
        let start = Instant::now();
        let mut asking = asking(start);
        assert_eq!(asking.due(start), Some(&[1][..]));
        asking.asked(start);
        assert_eq!(asking.due(start + 60 * MS), None, "it waits for the answer");
        asking.answered(start + 10 * MS);
        assert_eq!(asking.wake(), start + 50 * MS);
        assert_eq!(asking.due(start + 49 * MS), None);
        asking.asked(start + 50 * MS);
        asking.answered(start + 140 * MS);
        assert_eq!(
            asking.wake(),
            start + 140 * MS,
            "a slow board is asked at once"
        );
    }

    #[test]
    fn a_board_that_does_not_answer_is_asked_ever_more_slowly() {
        let start = Instant::now();
        let mut asking = asking(start);
        let mut now = start;
        let mut waits = Vec::new();
        for _ in 0..7 {
            asking.asked(now);
            assert!(!asking.is_given_up(now + 99 * MS));
            now += 100 * MS;
            assert!(asking.is_given_up(now));
            assert!(!asking.is_given_up(now), "told once");
            waits.push((asking.wake() - now).as_millis());
            now = asking.wake();
        }
        assert_eq!(waits, [100, 200, 400, 800, 1600, 2000, 2000]);
        asking.asked(now);
        asking.answered(now + MS);
        assert_eq!(asking.wake(), now + 50 * MS);
    }

    #[test]
    fn late_answers_make_it_patient() {
        let start = Instant::now();
        let mut asking = asking(start);
        asking.asked(start);
        assert!(asking.is_given_up(start + 100 * MS));
        asking.answered(start + 150 * MS);
        let again = asking.wake();
        assert_eq!(again, start + 150 * MS);
        asking.asked(again);
        assert!(!asking.is_given_up(again + 199 * MS));
        assert!(asking.is_given_up(again + 200 * MS));
    }

    #[test]
    fn a_board_that_is_not_ready_is_asked_at_its_rate_and_one_that_declines_later() {
        let start = Instant::now();
        let mut asking = asking(start);
        asking.asked(start);
        asking.declined(&BadReason::NotReady { code: 7 }, start + 5 * MS);
        assert_eq!(asking.wake(), start + 50 * MS);
        let declined = BadReason::Declined { code: 2, why: "" };
        for expected in [105, 205] {
            asking.asked(start);
            asking.declined(&declined, start + 5 * MS);
            assert_eq!(asking.wake(), start + MS.saturating_mul(expected));
        }
    }
}
