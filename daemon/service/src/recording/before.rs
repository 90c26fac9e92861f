//! What was measured before a recording began: turns of the wheel on its
//! bearing, and the body with each front corner jacked.

use hubplumb_core::angle::Angle;
use hubplumb_core::frames::Vec3;
use hubplumb_core::joint::evidence::{Jackings, RunOutEvidence};
use hubplumb_core::session::MeasuredBefore;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::judged::Judged;
use super::session_error::InputError;

/// What a board showed before the recording began.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BeforeEntry {
    /// Hub boards: turns of the wheel on its bearing; the positions of each share one lean of the spindle.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub run_out: Vec<Vec<PositionEntry>>,
    /// Body boards: each front corner jacked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jacked: Option<JackedEntry>,
}

/// A mean reading, calibrated.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PositionEntry {
    /// Mean specific force, g.
    pub accel_g: [f64; 3],
    /// Its standard uncertainty by noise, per axis, g.
    pub noise_g: f64,
    /// Degrees of freedom of that; none where it is certain.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub degrees_of_freedom: Option<f64>,
    /// Did the board rest?
    #[serde(default = "rested")]
    pub still: bool,
}

const fn rested() -> bool {
    true
}

/// The body with each front corner jacked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JackedEntry {
    /// Left front corner up.
    pub left: PositionEntry,
    /// Right front corner up.
    pub right: PositionEntry,
    /// One sigma of the difference of the body's pitch between the two, degrees.
    pub pitch_difference_deg: f64,
}

/// Longest mean of a board that rests or is turned slowly, g.
const LIMIT_G: f64 = 4.0;

impl BeforeEntry {
    /// As it is written; none where nothing was measured.
    pub(super) fn of(before: &MeasuredBefore) -> Option<Self> {
        let entry = Self {
            run_out: before
                .run_out
                .iter()
                .map(|group| group.iter().map(PositionEntry::of).collect())
                .collect(),
            jacked: before.jacked.as_ref().map(|jacked| JackedEntry {
                left: PositionEntry::of(&jacked.left),
                right: PositionEntry::of(&jacked.right),
                pitch_difference_deg: jacked.pitch_difference.deg(),
            }),
        };
        (entry != Self::default()).then_some(entry)
    }

    /// As the core takes it.
    pub(super) fn judged(
        &self,
        judged: &Judged<'_>,
        key: &str,
    ) -> Result<MeasuredBefore, InputError> {
        let position = |entry: &PositionEntry| entry.judged(judged, key);
        let group = |group: &Vec<PositionEntry>| group.iter().map(position).collect();
        Ok(MeasuredBefore {
            run_out: self.run_out.iter().map(group).collect::<Result<_, _>>()?,
            jacked: match &self.jacked {
                None => None,
                Some(jacked) => Some(Jackings {
                    left: position(&jacked.left)?,
                    right: position(&jacked.right)?,
                    pitch_difference: judged.standard(
                        &format!("{key}.jacked.pitch_difference_deg"),
                        jacked.pitch_difference_deg,
                    )?,
                }),
            },
        })
    }
}

impl PositionEntry {
    fn of(evidence: &RunOutEvidence) -> Self {
        Self {
            accel_g: evidence.accel_g.to_array(),
            noise_g: evidence.noise_g,
            degrees_of_freedom: evidence
                .degrees_of_freedom
                .is_finite()
                .then_some(evidence.degrees_of_freedom),
            still: evidence.still,
        }
    }

    fn judged(&self, judged: &Judged<'_>, key: &str) -> Result<RunOutEvidence, InputError> {
        let length_g = Vec3::<hubplumb_core::frames::Board>::from_array(self.accel_g).norm();
        let freedom = self.degrees_of_freedom.unwrap_or(f64::INFINITY);
        let sound = (0.1..=LIMIT_G).contains(&length_g)
            && (0.0..=LIMIT_G).contains(&self.noise_g)
            && freedom >= 1.0;
        if !sound {
            return Err(judged.wrong(
                key,
                format!(
                    "{:?} g ± {} g is no mean of a board that rests",
                    self.accel_g, self.noise_g
                ),
                "take the measurement out, or record the turns of the wheel again",
            ));
        }
        Ok(RunOutEvidence {
            accel_g: Vec3::from_array(self.accel_g),
            noise_g: self.noise_g,
            degrees_of_freedom: freedom,
            still: self.still,
        })
    }
}

/// One sigma of the difference of the body's pitch between two jackings (common practice, no source).
pub(super) const JACKING_PITCH: Angle = Angle::from_deg(0.08);
