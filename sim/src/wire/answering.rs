//! A board that answers and never talks by itself.

use hubplumb_protocol::{Encoder, Reading, WireFormat};

/// Waits for its question and answers with the newest reading.
#[derive(Debug, Clone)]
pub(super) struct Answering {
    question: Vec<u8>,
    /// What was written to the board and may be the beginning of a question.
    heard: Vec<u8>,
    newest: Option<Reading>,
}

impl Answering {
    /// None for a board that talks by itself.
    pub(super) fn new(format: &WireFormat) -> Option<Self> {
        Some(Self {
            question: format.question()?.bytes,
            heard: Vec::new(),
            newest: None,
        })
    }

    /// The board has measured.
    pub(super) fn measured(&mut self, reading: Reading) {
        self.newest = Some(reading);
    }

    /// Takes what was written to the board, and appends what it says to that.
    /// Whatever is not its question it does not understand and lets pass.
    pub(super) fn asked(&mut self, written: &[u8], encoder: &Encoder, out: &mut Vec<u8>) {
        for byte in written {
            self.heard.push(*byte);
            if self.heard.len() > self.question.len() {
                self.heard.remove(0);
            }
            if self.heard == self.question {
                self.heard.clear();
                if let Some(newest) = &self.newest {
                    encoder.encode(newest, out);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_question_is_answered_once_however_it_is_cut() {
        let format = WireFormat::Bno055;
        let encoder = Encoder::new(&format);
        let mut board = Answering::new(&format).expect("it has to be asked");
        let question = format.question().expect("it has to be asked").bytes;
        let mut out = Vec::new();
        board.asked(&question, &encoder, &mut out);
        assert!(out.is_empty(), "it has nothing to say yet");
        board.measured(Reading {
            accel_g: Some([0.0, 0.0, 1.0]),
            ..Reading::default()
        });
        board.asked(&[0x00, 0xaa], &encoder, &mut out);
        board.asked(&question[..2], &encoder, &mut out);
        assert!(out.is_empty());
        board.asked(&question[2..], &encoder, &mut out);
        let once = out.len();
        assert!(once > 0);
        board.asked(&[&question[..], &question].concat(), &encoder, &mut out);
        assert_eq!(out.len(), 3 * once);
    }

    #[test]
    fn a_board_that_talks_is_not_asked() {
        let csv = WireFormat::from_name("csv", None).expect("known");
        assert!(Answering::new(&csv).is_none());
    }
}
