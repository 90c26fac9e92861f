//! What `hubplumb solve --json` prints.
//!
//! These types are the format; `docs/solution.schema.json` is generated from
//! them. Angles are in degrees, at the edge and only here; signs are those of
//! the page, and every value has its sign words beside it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::session_file::{CornerEntry, RoleEntry, WindowEntry};

/// What a recorded session found out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "hubplumb solution")]
pub struct Solution {
    /// Version of the program.
    pub version: String,
    /// How it went.
    pub verdict: Verdict,
    /// Why there is nothing at all, where there is nothing.
    pub refusal: Option<Told>,
    /// Per wheel, left first.
    pub wheels: Vec<WheelSolution>,
    /// Left less right, where both are known.
    pub differences: Vec<DifferenceSolution>,
    /// Which data were used, board by board.
    pub boards: Vec<BoardUse>,
    /// Where the windows come from.
    pub windows_from: WindowsFrom,
    /// The windows it was solved by; a sweep is cut into moments.
    pub windows: Vec<WindowEntry>,
    /// What was left out, and what else somebody should know.
    pub notes: Vec<Told>,
}

/// How it went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Every wheel has all its angles.
    Solved,
    /// A wheel was refused.
    PartlyRefused,
    /// Nothing was found.
    Refused,
}

/// Where the windows come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WindowsFrom {
    /// The session file.
    File,
    /// The movements themselves.
    Movements,
}

/// What was found out about one wheel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WheelSolution {
    /// Which wheel.
    pub side: CornerEntry,
    /// Its findings: camber alone where the steering axis is refused, none where all is.
    pub findings: Vec<FindingSolution>,
    /// Why something is missing.
    pub refusal: Option<Told>,
    /// Largest misfit of a reading after the fit, in its standard deviations.
    pub misfit_sigmas: Option<f64>,
    /// Rests, from 0, that were left out because they did not fit the others.
    pub left_out_rests: Vec<usize>,
    /// Covariance of camber, caster, SAI and included angle, square degrees.
    pub covariance_deg2: Option<[[f64; 4]; 4]>,
}

/// Which angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AngleName {
    /// Camber at straight ahead.
    Camber,
    /// Caster.
    Caster,
    /// Steering axis inclination.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
}

/// An angle against the floor, how far to trust it and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingSolution {
    /// Which angle.
    pub angle: AngleName,
    /// Value, degrees.
    pub value_deg: f64,
    /// The sign in words.
    pub sense: String,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// How many standard uncertainties that is.
    pub coverage_factor: f64,
    /// Effective degrees of freedom of the standard uncertainty; none where it is certain.
    pub degrees_of_freedom: Option<f64>,
    /// The 95 % interval, degrees.
    pub interval_95_deg: [f64; 2],
    /// Where the uncertainty comes from, largest first.
    pub budget: Vec<ShareSolution>,
    /// What to do about the largest.
    pub advice: String,
    /// The classic two-reading figure, degrees, for comparison only.
    pub two_reading_deg: Option<f64>,
}

/// One cause's share of an uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShareSolution {
    /// Stable code of the cause.
    pub cause: String,
    /// The cause in words.
    pub words: String,
    /// Its standard uncertainty in the finding, degrees.
    pub standard_deg: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// Left less right.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DifferenceSolution {
    /// Which angle.
    pub angle: AngleName,
    /// Left less right, degrees.
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// Effective degrees of freedom of the standard uncertainty; none where it is certain.
    pub degrees_of_freedom: Option<f64>,
    /// Correlation of left and right that was used: what both share falls out of the difference.
    pub correlation: f64,
}

/// What was used of one board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardUse {
    /// Where it sat.
    pub role: RoleEntry,
    /// Its recording.
    pub file: String,
    /// Readings in it.
    pub readings: usize,
    /// Its length, s.
    pub seconds: f64,
    /// Readings per second.
    pub rate_hz: f64,
    /// Does it have a gyro?
    pub has_gyro: bool,
    /// Readings left out because they were at the end of the range.
    pub saturated: usize,
    /// Readings left out because their time was that of the one before.
    pub same_time: usize,
    /// What was used, where something could be.
    pub used: Option<Used>,
}

/// How much of a board was used.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Used {
    /// Rests of the swing.
    pub rests: usize,
    /// Turns between them by gyro.
    pub turns: usize,
    /// Positions of the wheel on its bearing.
    pub run_out: usize,
    /// Seconds of rest.
    pub rest_seconds: f64,
    /// Its clock less the clock of the windows, µs.
    pub clock_offset_us: i64,
}

/// A message in three parts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Told {
    /// Stable code.
    pub code: String,
    /// What happened.
    pub what: String,
    /// What it means.
    pub meaning: String,
    /// What to do.
    pub remedy: String,
}

impl From<crate::http::views::TroubleView> for Told {
    fn from(trouble: crate::http::views::TroubleView) -> Self {
        Self {
            code: trouble.code,
            what: trouble.what.to_string(),
            meaning: trouble.meaning.to_string(),
            remedy: trouble.remedy.to_string(),
        }
    }
}
