//! Findings against the truth.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use crate::car::Wheel;
use crate::truth::{Truth, WheelTruth};

/// Which angle a finding is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Angle {
    /// Camber.
    Camber,
    /// Caster.
    Caster,
    /// Steering axis inclination.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
}

impl Angle {
    /// The name used in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Camber => "camber",
            Self::Caster => "caster",
            Self::Sai => "sai",
            Self::IncludedAngle => "included_angle",
        }
    }

    /// The true angle of a wheel, degrees; none where the wheel has no such angle.
    pub fn of(self, truth: &WheelTruth) -> Option<f64> {
        match self {
            Self::Camber => Some(truth.camber_deg),
            Self::Caster => truth.caster_deg,
            Self::Sai => truth.sai_deg,
            Self::IncludedAngle => truth.included_deg,
        }
    }
}

/// One finding; keys it has beyond these are ignored.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Which wheel.
    pub mount: Wheel,
    /// Which angle.
    pub angle: Angle,
    /// The angle found, degrees.
    pub value_deg: f64,
    /// Half width of its 95 % interval, degrees.
    pub expanded_deg: f64,
}

/// An angle that has to be among the findings, written `front_left:caster`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Needed {
    /// Which wheel.
    pub mount: Wheel,
    /// Which angle.
    pub angle: Angle,
}

impl std::str::FromStr for Needed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let found = text.split_once(':').and_then(|(mount, angle)| {
            Some(Self {
                mount: Wheel::ALL.into_iter().find(|wheel| wheel.name() == mount)?,
                angle: [
                    Angle::Camber,
                    Angle::Caster,
                    Angle::Sai,
                    Angle::IncludedAngle,
                ]
                .into_iter()
                .find(|known| known.name() == angle)?,
            })
        });
        found.ok_or_else(|| format!("`{text}` is not like front_left:caster"))
    }
}

/// How findings are judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Largest error that passes, degrees.
    pub tolerance_deg: f64,
    /// Must the truth also lie within each finding's own 95 % interval?
    pub within_95: bool,
    /// Angles that must have been found.
    pub needed: Vec<Needed>,
}

/// One line of the verdict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The finding.
    pub finding: Finding,
    /// The true angle, degrees; none where the wheel has no such angle.
    pub true_deg: Option<f64>,
    /// Does it pass?
    pub passes: bool,
}

impl Line {
    /// Found minus true, degrees.
    pub fn error_deg(&self) -> Option<f64> {
        Some(self.finding.value_deg - self.true_deg?)
    }
}

/// All findings judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Line by line, in the order of the findings.
    pub lines: Vec<Line>,
    /// Needed angles that were not found.
    pub missing: Vec<Needed>,
}

impl Verdict {
    /// Passes when every finding passes, nothing needed is missing and there is a finding at all.
    pub fn passes(&self) -> bool {
        !self.lines.is_empty()
            && self.missing.is_empty()
            && self.lines.iter().all(|line| line.passes)
    }

    /// The verdict as a table.
    pub fn table(&self) -> String {
        let mut text = format!(
            "{:<12} {:<15} {:>9} {:>9} {:>9} {:>9}  verdict\n",
            "mount", "angle", "true", "found", "error", "95 %"
        );
        for line in &self.lines {
            let f = &line.finding;
            let or_none = |value: Option<f64>, sign: bool| match value {
                Some(value) if sign => format!("{value:+.4}"),
                Some(value) => format!("{value:.4}"),
                None => "none".to_owned(),
            };
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "{:<12} {:<15} {:>9} {:>9.4} {:>9} {:>9.4}  {}",
                f.mount.name(),
                f.angle.name(),
                or_none(line.true_deg, false),
                f.value_deg,
                or_none(line.error_deg(), true),
                f.expanded_deg,
                if line.passes { "inside" } else { "OUTSIDE" }
            );
        }
        for needed in &self.missing {
            let _ = writeln!(
                text,
                "{:<12} {:<15} {:>9} {:>9} {:>9} {:>9}  MISSING",
                needed.mount.name(),
                needed.angle.name(),
                "",
                "",
                "",
                ""
            );
        }
        text
    }
}

/// Judges findings. Of several findings of one angle every one counts.
pub fn judge(truth: &Truth, findings: &[Finding], rule: &Rule) -> Verdict {
    let lines = findings
        .iter()
        .map(|finding| {
            let true_deg = truth
                .wheel(finding.mount)
                .and_then(|wheel| finding.angle.of(wheel));
            let passes = true_deg.is_some_and(|true_deg| {
                let error_deg = (finding.value_deg - true_deg).abs();
                // NaN compares false and so does not pass.
                error_deg <= rule.tolerance_deg
                    && (!rule.within_95 || error_deg <= finding.expanded_deg)
            });
            Line {
                finding: *finding,
                true_deg,
                passes,
            }
        })
        .collect();
    let missing = rule
        .needed
        .iter()
        .copied()
        .filter(|needed| {
            !findings
                .iter()
                .any(|f| f.mount == needed.mount && f.angle == needed.angle)
        })
        .collect();
    Verdict { lines, missing }
}
