//! Which sentences hold what.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::text::quantity::{Axis, Field, Quantity, Triple};
use crate::told::{ToldError, ToldField, all_usable};

/// Names of angles in the wild: NMEA 0183 V4.11 (Yaw, Pitch, Roll, Heel, as quoted
/// with `OpenCPN`) and `SignalK/nmea0183-signalk`, issue 54 (PTCH, PITCH, ROLL, HEEL).
const USUAL_IDS: [(&str, &str); 12] = [
    ("PITCH", "pitch"),
    ("Pitch", "pitch"),
    ("PTCH", "pitch"),
    ("TRIM", "pitch"),
    ("Trim", "pitch"),
    ("ROLL", "roll"),
    ("Roll", "roll"),
    ("HEEL", "roll"),
    ("Heel", "roll"),
    ("YAW", "yaw"),
    ("Yaw", "yaw"),
    ("HEADING", "yaw"),
];

/// What sentences of a board hold.
///
/// In a configuration it is a table; everything in it may be left out. `checksum`
/// is `"required"` or `"optional"`; `ids` says what numbers of `XDR` sentences are,
/// by their names; `sentence` is a list of other sentences with their fields in
/// order.
///
/// Angles are meant as at sea: pitch is positive with the bow up, roll with the
/// port side up, yaw to starboard. They are turned into the axes of a board (x
/// forward, y left, z up, right-handed) here.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Written")]
pub struct Sentences {
    pub(super) sum_required: bool,
    /// Numbers of `XDR` sentences by name; those a person told come first.
    pub(super) ids: Vec<(String, Meant)>,
    pub(super) told: Vec<ToldSentence>,
}

/// What a number means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Meant {
    pub(super) quantity: Quantity,
    pub(super) field: Field,
}

/// A sentence whose fields have fixed places.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ToldSentence {
    pub(super) name: String,
    pub(super) fields: Vec<Place>,
    /// Told by a person, not beforehand.
    pub(super) by_person: bool,
}

/// One field of such a sentence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Place {
    PassedOver,
    Number(Meant),
    /// Letters that say whether the number before is positive or negative.
    Sign {
        positive: u8,
        negative: u8,
    },
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Written {
    checksum: Checksum,
    ids: BTreeMap<String, Entry>,
    sentence: Vec<WrittenSentence>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Checksum {
    #[default]
    Required,
    Optional,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenSentence {
    name: String,
    fields: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a name such as \"pitch\", \"ax_mg\" or \"-\", two letters that tell a sign such as \"M/P\", or a table with `quantity` and, where needed, `unit`, `scale`"
)]
enum Entry {
    Name(String),
    Described(Described),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Described {
    quantity: String,
    unit: Option<String>,
    scale: Option<f64>,
}

impl Meant {
    fn read(entry: usize, written: ToldField<'_>) -> Result<Self, ToldError> {
        let quantity = match written.quantity {
            "heading" => "yaw",
            "heel" => "roll",
            "trim" => "pitch",
            name => name,
        };
        let (quantity, mut field) = ToldField {
            quantity,
            ..written
        }
        .read(entry)?;
        // Bow up lowers the pitch of a right-handed frame with y to the left,
        // and a turn to starboard its yaw.
        if let Quantity::Axis(Triple::Attitude, Axis::Y | Axis::Z) = quantity {
            field.scale = -field.scale;
        }
        Ok(Self { quantity, field })
    }

    fn named(entry: usize, name: &str) -> Result<Self, ToldError> {
        let field = ToldField {
            quantity: name,
            unit: None,
            scale: None,
        };
        Self::read(entry, field)
    }
}

impl Entry {
    fn meant(&self, entry: usize) -> Result<Meant, ToldError> {
        match self {
            Self::Name(name) => Meant::named(entry, name),
            Self::Described(described) => Meant::read(
                entry,
                ToldField {
                    quantity: &described.quantity,
                    unit: described.unit.as_deref(),
                    scale: described.scale,
                },
            ),
        }
    }

    /// Two letters with a stroke between, or what else it is.
    fn place(&self, entry: usize) -> Result<Place, ToldError> {
        if let Self::Name(name) = self {
            match name.as_bytes() {
                b"-" | b"" => return Ok(Place::PassedOver),
                &[positive, b'/', negative] => return Ok(Place::Sign { positive, negative }),
                _ => {}
            }
        }
        self.meant(entry).map(Place::Number)
    }
}

fn told_sentence(
    name: &str,
    entries: &[Entry],
    by_person: bool,
) -> Result<ToldSentence, ToldError> {
    let sound = (3..=8).contains(&name.len())
        && name
            .bytes()
            .all(|letter| letter.is_ascii_uppercase() || letter.is_ascii_digit());
    if !sound {
        return Err(ToldError::SentenceName {
            name: name.to_owned(),
        });
    }
    let fields = entries
        .iter()
        .enumerate()
        .map(|(index, entry)| entry.place(index + 1))
        .collect::<Result<Vec<_>, _>>()?;
    for (index, pair) in fields.windows(2).enumerate() {
        if let [before, Place::Sign { .. }] = pair
            && !matches!(before, Place::Number(_))
        {
            return Err(ToldError::LetterAlone { entry: index + 2 });
        }
    }
    if matches!(fields.first(), Some(Place::Sign { .. })) {
        return Err(ToldError::LetterAlone { entry: 1 });
    }
    Ok(ToldSentence {
        name: name.to_owned(),
        fields,
        by_person,
    })
}

impl TryFrom<Written> for Sentences {
    type Error = ToldError;

    fn try_from(written: Written) -> Result<Self, ToldError> {
        let mut ids = Vec::new();
        for (index, (id, entry)) in written.ids.iter().enumerate() {
            ids.push((id.clone(), entry.meant(index + 1)?));
        }
        for (id, name) in USUAL_IDS {
            if !written.ids.contains_key(id) {
                ids.push((id.to_owned(), Meant::named(1, name)?));
            }
        }
        let mut told = Vec::new();
        for sentence in &written.sentence {
            told.push(told_sentence(&sentence.name, &sentence.fields, true)?);
        }
        // Pitch with M bow up or P bow down, roll with T port up or B port down
        // (adrianmo/go-nmea).
        let usual = ["pitch", "M/P", "roll", "T/B"].map(|name| Entry::Name(name.to_owned()));
        told.push(told_sentence("PHTRO", &usual, false)?);
        let quantities = |place: &Place| match place {
            Place::Number(meant) => Some(meant.quantity),
            Place::PassedOver | Place::Sign { .. } => None,
        };
        // A sentence may hold one axis, another the next; together they must do.
        for sentence in &told {
            let numbers: Vec<_> = sentence
                .fields
                .iter()
                .enumerate()
                .filter_map(|(index, place)| Some((index + 1, quantities(place)?)))
                .collect();
            match all_usable(numbers) {
                Err(ToldError::NothingUsable) | Ok(()) => {}
                Err(twice) => return Err(twice),
            }
        }
        Ok(Self {
            sum_required: written.checksum == Checksum::Required,
            ids,
            told,
        })
    }
}

impl Default for Sentences {
    /// What most makers do, with the sum demanded.
    #[expect(clippy::expect_used, reason = "a test makes it; nothing in it varies")]
    fn default() -> Self {
        Self::try_from(Written::default()).expect("the usual names are understood")
    }
}

impl Sentences {
    /// What the number of an `XDR` sentence with this name means.
    pub(super) fn id(&self, id: &str) -> Option<Meant> {
        let of = |(name, meant): &(String, Meant)| (name == id).then_some(*meant);
        self.ids.iter().find_map(of)
    }

    /// The places of a sentence's fields, by its whole address or by its last
    /// three letters, before which the talker stands.
    pub(super) fn places(&self, address: &str) -> Option<&ToldSentence> {
        self.told.iter().find(|told| {
            told.name == address
                || told.name.len() == 3 && address.len() == 5 && address.ends_with(&told.name)
        })
    }
}
