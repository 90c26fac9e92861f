//! The place in a stream of frames that begin with a fixed head and check themselves.
//!
//! The head stands inside frames as well, so a frame is believed by head and
//! check together. A place that fails gives up one byte, not a frame's length,
//! or a sound frame behind it would go too. Skipped bytes are told as one bad
//! frame per run, with the check that failed where the run began with one.

use crate::bad_frame::BadReason;
use crate::frame_reader::Step;

/// Longest run of skipped bytes told as one. At a wrong speed nothing but such
/// runs come, and somebody waits to hear of them.
const MOST_SKIPPED: usize = 64;

/// What the bytes at one place are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Candidate<F> {
    /// They cannot be a frame.
    Nothing,
    /// They may become one.
    NeedMore,
    /// They look like a frame and their check is another.
    WrongCheck { expected: u16, found: u16 },
    /// They are one, of this length.
    Frame { len: usize, frame: F },
}

/// What the next bytes come to.
pub(crate) enum Next<F> {
    /// This many bytes are this frame.
    Frame { len: usize, frame: F },
    /// No frame; the decoder passes the step on.
    Step(Step),
}

/// Where the decoder stands among frames.
#[derive(Debug, Default)]
pub(crate) struct Resync {
    /// The bytes taken last were a frame, so that the next ones should be.
    in_step: bool,
    /// Bytes at the front that are known to belong to no frame.
    skipped: usize,
    /// The check that failed at the beginning of the run.
    failed: Option<BadReason>,
}

impl Resync {
    /// Bytes are missing before those that come next.
    pub(crate) fn lost_place(&mut self) {
        *self = Self::default();
    }

    /// The next frame, or the bytes skipped before it. `candidate` judges the
    /// bytes at the front of a slice; whether they are where a frame should
    /// begin is told beside.
    pub(crate) fn next<F: Copy>(
        &mut self,
        unread: &[u8],
        candidate: impl Fn(&[u8], bool) -> Candidate<F>,
    ) -> Next<F> {
        loop {
            let here = unread.get(self.skipped..).unwrap_or_default();
            match self.judge(here, &candidate) {
                Candidate::Frame { len, frame } if self.skipped == 0 => {
                    self.in_step = true;
                    return Next::Frame { len, frame };
                }
                Candidate::Frame { .. } => return Next::Step(self.run_over()),
                Candidate::NeedMore => return Next::Step(Step::NeedMore),
                Candidate::WrongCheck { expected, found } if self.in_step => {
                    self.failed = Some(BadReason::Checksum { expected, found });
                }
                Candidate::WrongCheck { .. } | Candidate::Nothing => {}
            }
            self.in_step = false;
            self.skipped += 1;
            if self.skipped == MOST_SKIPPED {
                return Next::Step(self.run_over());
            }
        }
    }

    /// Tells the run of skipped bytes.
    fn run_over(&mut self) -> Step {
        let skipped = std::mem::take(&mut self.skipped);
        let unsynchronised = BadReason::Unsynchronised { skipped };
        Step::bad(skipped, self.failed.take().unwrap_or(unsynchronised))
    }

    /// Judges the bytes at the front. Out of step a chance frame may lie across
    /// the beginning of a sound one; of two that overlap, the one that a
    /// further frame follows is believed.
    fn judge<F: Copy>(
        &self,
        bytes: &[u8],
        candidate: &impl Fn(&[u8], bool) -> Candidate<F>,
    ) -> Candidate<F> {
        let first = candidate(bytes, self.in_step);
        let Candidate::Frame { len, .. } = first else {
            return first;
        };
        if self.in_step {
            return first;
        }
        let (mut rival, mut open) = (false, false);
        for start in 1..len {
            match candidate(bytes.get(start..).unwrap_or_default(), false) {
                Candidate::Frame { .. } => rival = true,
                Candidate::NeedMore => open = true,
                Candidate::WrongCheck { .. } | Candidate::Nothing => {}
            }
        }
        if !rival && !open {
            return first;
        }
        match candidate(bytes.get(len..).unwrap_or_default(), true) {
            Candidate::Frame { .. } => first,
            Candidate::WrongCheck { .. } | Candidate::Nothing if rival => Candidate::Nothing,
            _ => Candidate::NeedMore,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `#`, a digit, and the digit again.
    fn twice(bytes: &[u8], _: bool) -> Candidate<u8> {
        match bytes {
            [] | [b'#'] | [b'#', _] => Candidate::NeedMore,
            [b'#', frame, again, ..] if frame == again => Candidate::Frame {
                len: 3,
                frame: *frame,
            },
            [b'#', expected, found, ..] => Candidate::WrongCheck {
                expected: (*expected).into(),
                found: (*found).into(),
            },
            _ => Candidate::Nothing,
        }
    }

    fn told(mut bytes: &[u8]) -> String {
        let mut resync = Resync::default();
        let mut told = String::new();
        loop {
            let len = match resync.next(bytes, twice) {
                Next::Frame { len, frame } => {
                    told.push(frame.into());
                    len
                }
                Next::Step(Step::Took { len, found }) => {
                    let failed = format!("{found:?}").contains("Checksum");
                    told.push(if failed { '!' } else { '-' });
                    len
                }
                Next::Step(Step::NeedMore) => return told,
            };
            bytes = &bytes[len..];
        }
    }

    #[test]
    fn frames_are_found_and_what_lies_between_is_told_once() {
        for (bytes, expected) in [
            ("#11#22", "12"),
            ("abc#11#22", "-12"),
            ("#11abc#22", "1-2"),
            ("#11#12#33", "1!3"),
            // The head within a run, and a chance frame across the beginning of another.
            ("###11#22", "-12"),
            ("x###44#55", "-45"),
            ("#11#", "1"),
        ] {
            assert_eq!(told(bytes.as_bytes()), expected, "{bytes}");
        }
    }
}
