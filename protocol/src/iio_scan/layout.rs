//! Where each channel lies in a record.

use crate::text::quantity::{Axis, Field, Quantity, Subject, Triple};
use crate::text::unit::Unit;

use super::element::{ScanElement, ScanError, Storage};

/// Longest record that is read. The longest a motion sensor gives (nine axes of
/// 32 bits, temperature, quaternion, clock) stays far below.
const MOST_RECORD_BYTES: usize = 256;

/// Where each channel lies in a record, and what its counts are.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanLayout {
    pub(super) places: Vec<Place>,
    pub(super) record_bytes: usize,
}

/// One channel that is used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub(super) at: usize,
    pub(super) storage: Storage,
    pub(super) quantity: Quantity,
    pub(super) field: Field,
    pub(super) offset: f64,
}

impl ScanLayout {
    /// Lays the enabled channels out as the kernel does: by their index, each
    /// at a multiple of its own length, the whole record a multiple of the
    /// longest. Channels that are of no use here keep their room.
    ///
    /// # Errors
    /// When a type is not understood, or there is nothing to measure by.
    pub fn parse(elements: &[ScanElement]) -> Result<Self, ScanError> {
        let mut elements: Vec<&ScanElement> = elements.iter().collect();
        elements.sort_by_key(|element| element.index);
        for pair in elements.windows(2) {
            if let [first, second] = pair
                && first.index == second.index
            {
                return Err(ScanError::SameIndex {
                    index: first.index,
                    first: first.channel.clone(),
                    second: second.channel.clone(),
                });
            }
        }
        let mut places = Vec::new();
        let (mut end, mut longest) = (0_usize, 1);
        for element in elements {
            let storage = Storage::parse(&element.kind).ok_or_else(|| ScanError::Kind {
                channel: element.channel.clone(),
                kind: element.kind.clone(),
            })?;
            let at = end.next_multiple_of(storage.len());
            end = at + storage.len();
            longest = longest.max(storage.len());
            if let Some((quantity, unit, in_unit)) = meaning(&element.channel)
                && storage.is_single()
            {
                let scale = element.scale * in_unit;
                if !(scale.is_finite() && scale != 0.0 && element.offset.is_finite()) {
                    return Err(ScanError::Scale {
                        channel: element.channel.clone(),
                        scale: element.scale,
                        offset: element.offset,
                    });
                }
                places.push(Place {
                    at,
                    storage,
                    quantity,
                    field: Field {
                        scale,
                        ..Field::new(Subject::One(quantity), unit)
                    },
                    offset: element.offset,
                });
            }
        }
        let record_bytes = end.next_multiple_of(longest);
        if record_bytes > MOST_RECORD_BYTES {
            return Err(ScanError::TooLong {
                found: record_bytes,
                limit: MOST_RECORD_BYTES,
            });
        }
        let layout = Self {
            places,
            record_bytes,
        };
        let usable = [Triple::Accel, Triple::Rate]
            .into_iter()
            .any(|triple| layout.has(triple));
        usable.then_some(layout).ok_or(ScanError::NothingUsable)
    }

    /// Bytes of one record, padding included.
    pub fn record_bytes(&self) -> usize {
        self.record_bytes
    }

    fn has(&self, triple: Triple) -> bool {
        Axis::ALL.into_iter().all(|axis| {
            self.places
                .iter()
                .any(|place| place.quantity == Quantity::Axis(triple, axis))
        })
    }
}

/// What a channel measures, and what one of its units (m/s², rad/s, m°C, ns) is
/// in the unit given (sysfs-bus-iio).
fn meaning(channel: &str) -> Option<(Quantity, Unit, f64)> {
    let axis_of = |name: &str| match name {
        "x" => Some(Axis::X),
        "y" => Some(Axis::Y),
        "z" => Some(Axis::Z),
        _ => None,
    };
    if let Some(axis) = channel.strip_prefix("in_accel_") {
        let quantity = Quantity::Axis(Triple::Accel, axis_of(axis)?);
        return Some((quantity, Unit::MetrePerSecond2, 1.0));
    }
    if let Some(axis) = channel.strip_prefix("in_anglvel_") {
        let quantity = Quantity::Axis(Triple::Rate, axis_of(axis)?);
        return Some((quantity, Unit::RadPerSecond, 1.0));
    }
    match channel {
        "in_temp" => Some((Quantity::Temperature, Unit::Celsius, 1e-3)),
        "in_timestamp" => Some((Quantity::Time, Unit::Microsecond, 1e-3)),
        _ => None,
    }
}
