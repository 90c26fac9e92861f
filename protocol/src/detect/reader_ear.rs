//! Formats that name or check their own numbers: a frame reader each.

use crate::format::WireFormat;
use crate::frame_reader::{BUFFER_BYTES, Frame, FrameReader, Packing};
use crate::text::Columns;
use crate::text::unit::Unit;

use super::resting::Resting;
use super::{Confidence, Guess};

/// Lines after which a text format is believed; a cycle checks itself three times over.
const LINES_TO_BELIEVE: u64 = 5;
const CYCLES_TO_BELIEVE: u64 = 3;
/// Frames after which a binary format with a check of its own is believed.
const FRAMES_TO_BELIEVE: u64 = 5;

/// No board of this family works in such a cold; one whose temperature has the
/// other scale reads like it: room temperature there comes out near −40 °C.
const NOT_HUNDREDTHS_BELOW_C: f64 = -20.0;

/// Good frames have to be this many times the bad ones.
pub(super) const GOOD_TO_BAD: u64 = 4;

/// One format and what came of it.
#[derive(Debug)]
pub(super) struct ReaderEar {
    format: WireFormat,
    reader: FrameReader,
    resting: Resting,
}

impl ReaderEar {
    pub(super) fn new(format: WireFormat) -> Self {
        Self {
            reader: FrameReader::new(&format),
            format,
            resting: Resting::default(),
        }
    }

    pub(super) fn hear(&mut self, bytes: &[u8], packing: Packing) {
        // In pieces that the reader holds, however much comes at once.
        for piece in bytes.chunks(BUFFER_BYTES / 2) {
            self.reader.push_piece(piece, packing);
            while let Some(frame) = self.reader.next() {
                if let Frame::Reading(reading) = frame {
                    self.resting.hear(&reading);
                }
            }
        }
    }

    pub(super) fn guess(&self) -> Option<Guess> {
        let good = self.reader.counts().good;
        if good == 0 {
            return None;
        }
        let bad = self.bad();
        let clean = good > GOOD_TO_BAD * bad;
        let (format, sure, why) = match &self.format {
            WireFormat::JsonLines(_) => {
                let format = WireFormat::JsonLines(self.columns());
                (format, self.text_is_sure(), "JSON objects with known keys")
            }
            WireFormat::Labelled(_) => {
                let format = WireFormat::Labelled(self.columns());
                (format, self.text_is_sure(), "numbers with known labels")
            }
            WireFormat::Ahrs55Radio => {
                // Without a sum there is nothing to be sure by, and without rest nothing at all.
                if self.resting.accel_unit() != Some(Unit::Gravity) {
                    return None;
                }
                let format = self.format.clone();
                (format, false, "frames of 55 61, which have no sum,")
            }
            WireFormat::Ahrs55 | WireFormat::Ahrs55SixAxis => {
                let format = self.scale_of_temperature(&self.format);
                let sure = good >= CYCLES_TO_BELIEVE;
                (format, sure, "0x55 frames with right sums")
            }
            binary => (binary.clone(), good >= FRAMES_TO_BELIEVE, frames_of(binary)),
        };
        let confidence = if clean && sure {
            Confidence::Strong
        } else {
            Confidence::Weak
        };
        let why = format!(
            "{good} readings of {why}, {bad} bad; {}",
            self.resting.words()
        );
        Some(Guess {
            format,
            good,
            bad,
            confidence,
            why,
        })
    }

    fn bad(&self) -> u64 {
        let counts = self.reader.counts();
        let is_text = matches!(
            self.format,
            WireFormat::JsonLines(_) | WireFormat::Labelled(_)
        );
        let of = |code| counts.bad.get(code).copied().unwrap_or_default();
        let no_fault = if is_text {
            of("informational_text") + of("unsynchronised")
        } else {
            // The frame cut by opening the line; sound frames that say something else.
            of("unsynchronised").min(1) + of("unknown_type") + of("nothing_usable")
        };
        counts.bad_total().saturating_sub(no_fault)
    }

    fn columns(&self) -> Columns {
        Columns::Named(self.resting.units())
    }

    fn text_is_sure(&self) -> bool {
        self.reader.counts().good >= LINES_TO_BELIEVE
            && self.resting.accel_unit() == Some(Unit::Gravity)
    }

    fn scale_of_temperature(&self, format: &WireFormat) -> WireFormat {
        let temperature_c = self.resting.temperature_c();
        if temperature_c.is_some_and(|temperature_c| temperature_c < NOT_HUNDREDTHS_BELOW_C) {
            WireFormat::Ahrs55SixAxis
        } else {
            format.clone()
        }
    }
}

/// What the readings of a format that checks its frames were found in.
fn frames_of(format: &WireFormat) -> &'static str {
    match format {
        WireFormat::Rvc => "frames of AA AA with right sums",
        WireFormat::Xbus => "Xbus messages with right sums",
        WireFormat::Mavlink => "MAVLink messages with right checks",
        WireFormat::Compact => "compact frames with right checks",
        _ => "frames with right checks",
    }
}
