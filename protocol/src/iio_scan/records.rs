//! Records to readings, and back.

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Found, Packing, Step};
use crate::reading::Reading;
use crate::text::quantity::{Draft, value_of};

use super::layout::ScanLayout;

/// Records of one buffer. They have neither head nor sum: each lies where the
/// one before it ended, and every read of the device ends with a whole one.
#[derive(Debug)]
pub(crate) struct Records {
    layout: ScanLayout,
    /// Bytes were lost, so that nothing says where a record begins.
    lost: bool,
}

impl Records {
    pub(crate) fn new(layout: &ScanLayout) -> Self {
        Self {
            layout: layout.clone(),
            lost: false,
        }
    }

    fn read(&self, record: &[u8]) -> Option<Reading> {
        let mut draft = Draft::default();
        for place in &self.layout.places {
            let stored = record.get(place.at..place.at + place.storage.bytes)?;
            let count = place.storage.count(stored) + place.offset;
            draft.set(place.quantity, place.field, count).ok()?;
        }
        draft.finish()
    }
}

impl Decode for Records {
    fn step(&mut self, unread: &[u8]) -> Step {
        if self.lost && !unread.is_empty() {
            self.lost = false;
            let skipped = unread.len();
            return Step::bad(skipped, BadReason::Unsynchronised { skipped });
        }
        let len = self.layout.record_bytes;
        let Some(record) = unread.get(..len) else {
            return Step::NeedMore;
        };
        let found = self
            .read(record)
            .map_or(Found::Bad(BadReason::NothingUsable), Found::Reading);
        Step::Took {
            len,
            found: Some(found),
        }
    }

    fn lost_place(&mut self) {
        self.lost = true;
    }

    /// A read that ended within a record: the rest of it never comes.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        match packing {
            Packing::Messages => {
                let skipped = unread.len();
                Step::bad(skipped, BadReason::Unsynchronised { skipped })
            }
            Packing::Stream | Packing::Pieces => Step::NeedMore,
        }
    }
}

/// Appends the record of a reading; channels it has nothing for are 0.
pub(crate) fn encode(layout: &ScanLayout, reading: &Reading, out: &mut Vec<u8>) {
    let mut record = vec![0; layout.record_bytes];
    for place in &layout.places {
        let value = value_of(reading, place.quantity).filter(|value| value.is_finite());
        if let Some(value) = value
            && let Some(stored) = record.get_mut(place.at..place.at + place.storage.bytes)
        {
            let count = place.field.to_wire(value) - place.offset;
            place.storage.put(count, stored);
        }
    }
    out.extend_from_slice(&record);
}
