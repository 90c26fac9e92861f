//! The documents that are published. docs/PUBLISH.md describes them, and
//! docs/published.schema.json is their JSON Schema.

use schemars::JsonSchema;
use serde::Serialize;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use super::outbox::Letter;
use crate::visit::{Place, Procedure, Quantity, Stage, Unit};

/// Rises when a field changes its meaning or goes; new fields alone do not raise it.
const SCHEMA: u32 = 1;

/// One of the two kinds of document.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Published {
    /// Under `PREFIX/live/PLACE/QUANTITY`.
    Live(LiveDocument),
    /// Under `PREFIX/finding/PLACE/QUANTITY`.
    Finding(FindingDocument),
}

/// Which live angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LiveQuantity {
    /// Camber against the floor, + top out.
    Camber,
    /// Pitch of the hub, + front up.
    HubPitch,
}

impl LiveQuantity {
    /// As it stands in a topic.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Camber => "camber",
            Self::HubPitch => "hub_pitch",
        }
    }
}

/// An angle as it is now, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LiveDocument {
    /// Version of this document's meaning.
    pub schema: u32,
    /// Which wheel.
    pub place: Place,
    /// Which angle.
    pub quantity: LiveQuantity,
    /// What it is counted in.
    pub unit: Unit,
    /// The angle; null where there is none.
    pub value: Option<f64>,
    /// Standard uncertainty of the value.
    pub u: Option<f64>,
    /// Half width of the interval that holds the truth with 95 %.
    pub expanded: Option<f64>,
    /// Why there is no value: `absent`, `stale`, `saturated`, `unmounted`, `moving`, `settling`.
    pub missing: Option<String>,
    /// When it was measured, or found missing: RFC 3339, UTC.
    pub at: String,
    /// After this it says nothing about the wheel any more, and the broker forgets it.
    pub fresh_until: String,
}

/// What a procedure found.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingDocument {
    /// Version of this document's meaning.
    pub schema: u32,
    /// Where it holds.
    pub place: Place,
    /// What was found.
    pub quantity: Quantity,
    /// What it is counted in.
    pub unit: Unit,
    /// The value.
    pub value: f64,
    /// Standard uncertainty of the value.
    pub u: f64,
    /// Half width of the interval that holds the truth with 95 %.
    pub expanded: f64,
    /// When it was found: RFC 3339, UTC.
    pub at: String,
    /// By which procedure.
    pub procedure: Procedure,
    /// Part of the visit; null outside a visit.
    pub stage: Option<Stage>,
    /// Number of the visit; null outside a visit.
    pub visit: Option<i64>,
    /// Number of the entry in the visit; null outside a visit.
    pub entry: Option<u32>,
    /// Tells a finding from all others of its place and quantity: one that comes twice has the same.
    pub id: String,
}

/// A live angle as it is read, before it is a document.
#[derive(Debug, Clone, PartialEq)]
pub struct LiveReading {
    /// Which wheel.
    pub place: Place,
    /// Which angle.
    pub quantity: LiveQuantity,
    /// The angle, or the code of why there is none.
    pub angle: Result<LiveAngle, &'static str>,
}

/// A live angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveAngle {
    /// The angle, degrees.
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// How long ago it was measured, µs.
    pub age_us: i64,
}

impl LiveReading {
    /// The document at `now`, which holds for `fresh` seconds.
    pub(crate) fn document(&self, now: OffsetDateTime, fresh: u32) -> LiveDocument {
        let angle = self.angle.as_ref().ok();
        let age = time::Duration::microseconds(angle.map_or(0, |angle| angle.age_us.max(0)));
        let at = now - age;
        LiveDocument {
            schema: SCHEMA,
            place: self.place,
            quantity: self.quantity,
            unit: Unit::Deg,
            value: angle.map(|angle| rounded(angle.value_deg)),
            u: angle.map(|angle| rounded(angle.standard_deg)),
            expanded: angle.map(|angle| rounded(angle.expanded_deg)),
            missing: self.angle.as_ref().err().map(|code| (*code).to_owned()),
            at: written(at),
            fresh_until: written(at + time::Duration::seconds(fresh.into())),
        }
    }

    /// The rest of its topic.
    pub(crate) fn topic(&self) -> String {
        format!("live/{}/{}", place_name(self.place), self.quantity.name())
    }
}

impl FindingDocument {
    /// The version that is written now.
    pub const SCHEMA: u32 = SCHEMA;

    /// The rest of its topic.
    pub(crate) fn topic(&self) -> String {
        finding_topic(self.place, self.quantity)
    }

    /// As it is sent.
    pub(crate) fn letter(&self) -> Option<Letter> {
        let document = serde_json::to_vec(self)
            .inspect_err(|error| tracing::error!(%error, "a finding does not become JSON"))
            .ok()?;
        Some(Letter {
            topic: self.topic(),
            document,
        })
    }
}

/// The rest of the topic of a finding.
pub(crate) fn finding_topic(place: Place, quantity: Quantity) -> String {
    format!("finding/{}/{}", place_name(place), name_of(&quantity))
}

fn place_name(place: Place) -> String {
    name_of(&place)
}

/// The name on the wire, which serde knows.
fn name_of(named: &impl Serialize) -> String {
    match serde_json::to_value(named) {
        Ok(serde_json::Value::String(name)) => name,
        // Both enums have nothing but units in them; a test goes through all.
        _ => String::new(),
    }
}

/// Digits beyond a ten thousandth of a degree are noise, and would be most of a message.
fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

/// A time as it is written: UTC, to the millisecond.
pub(crate) fn written(at: OffsetDateTime) -> String {
    let thousandths = at.millisecond();
    at.replace_millisecond(thousandths)
        .unwrap_or(at)
        .format(&Rfc3339)
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    #[test]
    fn a_live_document_says_until_when_it_holds() {
        let now = datetime!(2026-05-01 10:00:00.5 UTC);
        let mut reading = LiveReading {
            place: Place::FrontLeft,
            quantity: LiveQuantity::HubPitch,
            angle: Ok(LiveAngle {
                value_deg: -1.234_56,
                standard_deg: 0.03,
                expanded_deg: 0.06,
                age_us: 250_000,
            }),
        };
        assert_eq!(reading.topic(), "live/front_left/hub_pitch");
        let document = serde_json::to_value(reading.document(now, 10)).unwrap();
        let expected = serde_json::json!({
            "schema": 1, "place": "front_left", "quantity": "hub_pitch", "unit": "deg",
            "value": -1.2346, "u": 0.03, "expanded": 0.06, "missing": null,
            "at": "2026-05-01T10:00:00.25Z", "fresh_until": "2026-05-01T10:00:10.25Z",
        });
        assert_eq!(document, expected);
        reading.angle = Err("absent");
        let document = reading.document(now, 10);
        assert_eq!((document.value, document.u), (None, None));
        assert_eq!(document.missing.as_deref(), Some("absent"));
    }

    #[test]
    fn every_topic_has_its_name() {
        for place in Place::ALL {
            for quantity in Quantity::ALL {
                let topic = finding_topic(place, quantity);
                let levels: Vec<&str> = topic.split('/').collect();
                assert_eq!(levels.len(), 3, "{topic}");
                let is_name = |level: &&str| {
                    !level.is_empty()
                        && level
                            .chars()
                            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
                };
                assert!(levels.iter().all(is_name), "{topic}");
            }
        }
        for quantity in [LiveQuantity::Camber, LiveQuantity::HubPitch] {
            assert_eq!(name_of(&quantity), quantity.name());
        }
    }
}
