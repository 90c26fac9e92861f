//! Frames of numbers, one or several to a piece.

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Found, Packing, Step};
use crate::reading::Reading;
use crate::text::quantity::{Draft, value_of};

use super::layout::{Place, ValueLayout};

/// Frames as the pieces of a link hold them. On a stream nothing says where a
/// frame begins, so nothing is ever read from one.
#[derive(Debug)]
pub(crate) struct ValueStream {
    layout: ValueLayout,
    /// Whole frames at the front of the bytes not taken yet.
    whole: usize,
}

impl ValueStream {
    pub(crate) fn new(layout: &ValueLayout) -> Self {
        Self {
            layout: layout.clone(),
            whole: 0,
        }
    }

    fn frame(&self, frame: &[u8]) -> Result<Reading, BadReason> {
        let mut draft = Draft::default();
        for place in &self.layout.places {
            let stored = frame
                .get(place.at..place.at + place.kind.len())
                .unwrap_or_default();
            let number = place.kind.stored(stored, self.layout.little_endian);
            draft
                .set(place.quantity, place.field, number)
                .map_err(|_| BadReason::NotANumber {
                    column: place.quantity.name().to_owned(),
                    text: number.to_string(),
                })?;
        }
        draft.finish().ok_or(BadReason::NothingUsable)
    }
}

impl Decode for ValueStream {
    fn step(&mut self, unread: &[u8]) -> Step {
        let len = self.layout.frame_bytes;
        let Some(frame) = unread.get(..len).filter(|_| self.whole > 0) else {
            return Step::NeedMore;
        };
        self.whole -= 1;
        let found = self.frame(frame).map_or_else(Found::Bad, Found::Reading);
        Step::Took {
            len,
            found: Some(found),
        }
    }

    fn lost_place(&mut self) {
        self.whole = 0;
    }

    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        if packing == Packing::Stream {
            return Step::NeedMore;
        }
        let (expected, found) = (self.layout.frame_bytes, unread.len());
        if !found.is_multiple_of(expected) {
            return Step::bad(found, BadReason::WrongLength { expected, found });
        }
        self.whole = found / expected;
        self.step(unread)
    }
}

/// Appends the frame of a reading; a number it does not hold is 0.
pub(crate) fn encode(layout: &ValueLayout, reading: &Reading, out: &mut Vec<u8>) {
    let mut frame = vec![0; layout.frame_bytes];
    for Place {
        at,
        kind,
        quantity,
        field,
    } in &layout.places
    {
        let value = value_of(reading, *quantity).filter(|value| value.is_finite());
        let word = kind.word(value.map_or(0.0, |value| field.to_wire(value)));
        let mut bytes: Vec<u8> = word
            .to_be_bytes()
            .into_iter()
            .skip(4 - kind.len())
            .collect();
        if layout.little_endian {
            bytes.reverse();
        }
        if let Some(stored) = frame.get_mut(*at..*at + kind.len()) {
            stored.copy_from_slice(&bytes);
        }
    }
    out.extend_from_slice(&frame);
}
