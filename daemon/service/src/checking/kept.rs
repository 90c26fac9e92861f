//! The evidence of a guided check as JSON, and back.
//!
//! A visit keeps it, so that a later version can work the findings out again:
//! every number comes back bit for bit. What a newer or an older version wrote
//! otherwise is refused with the place where it differs, never guessed at.

mod mirror;

use hubplumb_core::check::Evidence;
use serde_json::{Map, Value};
use thiserror::Error;

use mirror::{Own, written};

/// The key that names the check.
const KIND: &str = "kind";

/// Names of the checks, as they are kept.
const KINDS: [&str; 7] = [
    "camber_on_hub",
    "camber_on_bar",
    "play",
    "centring",
    "turn_out",
    "heights",
    "carried_toe",
];

/// Why kept evidence is not that of a check that this version knows.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum KeptError {
    /// It is no object.
    #[error("the evidence is no JSON object")]
    NoObject,
    /// Nothing says which check it is of.
    #[error("the evidence does not say which check it is of: no `{KIND}`")]
    NoKind,
    /// It is of a check that is not known here.
    #[error("the evidence is of a check `{kind}`, which is none of {}", KINDS.join(", "))]
    UnknownKind {
        /// What it says.
        kind: String,
    },
    /// Something is missing, too much, or of another sort.
    #[error("the evidence of `{kind}`, at {path}: {why}")]
    Content {
        /// Which check.
        kind: String,
        /// Where in the evidence; `.` is the whole.
        path: String,
        /// What is wrong there.
        why: String,
    },
}

/// Evidence as JSON. Angles stay in radians, times in µs, as the core has them.
pub fn to_json(evidence: &Evidence) -> Value {
    let (kind, content) = match evidence {
        Evidence::CamberOnHub(of) => (KINDS[0], written(of)),
        Evidence::CamberOnBar(of) => (KINDS[1], written(of)),
        Evidence::Play(of) => (KINDS[2], written(of)),
        Evidence::Centring(of) => (KINDS[3], written(of)),
        Evidence::TurnOut(of) => (KINDS[4], written(of)),
        Evidence::Heights(of) => (KINDS[5], written(of)),
        Evidence::CarriedToe(of) => (KINDS[6], written(of)),
    };
    let mut object = match content {
        Value::Object(object) => object,
        // Each of them is a struct.
        _ => Map::new(),
    };
    object.insert(KIND.to_owned(), kind.into());
    Value::Object(object)
}

/// Evidence as [`to_json`] wrote it.
pub fn from_json(json: &Value) -> Result<Evidence, KeptError> {
    let mut object = json.as_object().ok_or(KeptError::NoObject)?.clone();
    let Some(Value::String(kind)) = object.remove(KIND) else {
        return Err(KeptError::NoKind);
    };
    let content = Value::Object(object);
    match KINDS.iter().position(|known| *known == kind) {
        Some(0) => read(&kind, content).map(Evidence::CamberOnHub),
        Some(1) => read(&kind, content).map(Evidence::CamberOnBar),
        Some(2) => read(&kind, content).map(Evidence::Play),
        Some(3) => read(&kind, content).map(Evidence::Centring),
        Some(4) => read(&kind, content).map(Evidence::TurnOut),
        Some(5) => read(&kind, content).map(Evidence::Heights),
        Some(6) => read(&kind, content).map(Evidence::CarriedToe),
        _ => Err(KeptError::UnknownKind { kind }),
    }
}

fn read<T: mirror::Mirrored>(kind: &str, content: Value) -> Result<T, KeptError> {
    serde_path_to_error::deserialize(content)
        .map(|Own(of)| of)
        .map_err(|error| KeptError::Content {
            kind: kind.to_owned(),
            path: error.path().to_string(),
            why: error.inner().to_string(),
        })
}

#[cfg(test)]
mod tests;
