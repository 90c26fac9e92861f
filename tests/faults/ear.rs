//! What the numbers of a line can tell to anybody who listens to it.

use hubplumb_protocol::{Frame, FrameReader, Packing, WireFormat};

/// A pause that is none of a busy line, s.
const PAUSE_S: f64 = 0.5;
/// Numbers that rise by no more than this over a pause go on where they were.
const GOES_ON: u32 = 3;

/// Listens to one line for a board that begins anew just where its numbers had ended. Such a board
/// cannot be told from one that went on all the while, on a line that is late by the pause.
#[derive(Debug)]
pub(crate) struct Ear {
    reader: FrameReader,
    packing: Packing,
    mask: u32,
    /// Number and arrival of the last reading.
    last: Option<(u32, f64)>,
    /// Ends of pauses over which the numbers went on, s.
    went_on_s: Vec<f64>,
}

impl Ear {
    pub(crate) fn new(format: &WireFormat, packing: Packing) -> Self {
        let bits = format.sequence_bits().unwrap_or_default();
        Self {
            reader: FrameReader::new(format),
            packing,
            mask: u32::MAX.checked_shr(32 - u32::from(bits)).unwrap_or(0),
            last: None,
            went_on_s: Vec::new(),
        }
    }

    /// These pieces arrive now.
    pub(crate) fn hears(&mut self, pieces: &[Vec<u8>], now_s: f64) {
        for piece in pieces {
            self.reader.push_piece(piece, self.packing);
            while let Some(frame) = self.reader.next() {
                let Frame::Reading(reading) = frame else {
                    continue;
                };
                // A time of the board itself begins anew with the board.
                let Some(number) = reading
                    .sequence
                    .filter(|_| reading.device_time_us.is_none())
                else {
                    continue;
                };
                if let Some((last, at_s)) = self.last
                    && now_s - at_s > PAUSE_S
                    && (1..=GOES_ON).contains(&(number.wrapping_sub(last) & self.mask))
                {
                    self.went_on_s.push(now_s);
                }
                self.last = Some((number, now_s));
            }
        }
    }

    /// Did the numbers go on over a pause that ended between these times, s?
    pub(crate) fn went_on(&self, from_s: f64, to_s: f64) -> bool {
        self.went_on_s
            .iter()
            .any(|at_s| (from_s..=to_s).contains(at_s))
    }
}
