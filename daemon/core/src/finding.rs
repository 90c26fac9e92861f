//! An angle, how far to trust it, and why.

use crate::angle::Angle;
use crate::estimate::{COVERAGE_95, Estimate};
use crate::gum::coverage_factor;

/// Which angle a finding is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AngleKind {
    /// Camber at straight-ahead against the floor.
    Camber,
    /// Caster against the floor.
    Caster,
    /// Steering axis inclination against the floor.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
}

impl AngleKind {
    /// All of them, in the order of covariances.
    pub const ALL: [Self; 4] = [Self::Camber, Self::Caster, Self::Sai, Self::IncludedAngle];
}

/// What an uncertainty comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// Noise of gravity's direction at the rests.
    TiltNoise,
    /// Accelerometer offset.
    AccelOffset,
    /// Accelerometer scale and cross-axis sensitivity.
    AccelScale,
    /// Steer angles: plate readings, or gyro noise, drift and scale.
    SteerAngle,
    /// Noise of the turns of the wheel on its bearing.
    RunOut,
    /// How the board sits on the hub, turned about the vertical.
    MountHeading,
    /// How the board sits on the hub, leaning.
    MountTilt,
    /// Toe at straight-ahead.
    Toe,
    /// Slope of the floor.
    Floor,
    /// Roll and pitch of the body while steering.
    BodyMotion,
}

impl Cause {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::TiltNoise,
        Self::AccelOffset,
        Self::AccelScale,
        Self::SteerAngle,
        Self::RunOut,
        Self::MountHeading,
        Self::MountTilt,
        Self::Toe,
        Self::Floor,
        Self::BodyMotion,
    ];
}

/// One cause's share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The cause.
    pub cause: Cause,
    /// Its standard uncertainty in the finding.
    pub standard: Angle,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// Where the uncertainty of a finding comes from (JCGM 100:2008, 5.1.4).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Budget {
    contributions: Vec<Contribution>,
}

impl Budget {
    /// A budget from variances (rad²) by cause.
    pub(crate) fn from_variances(variance: impl Fn(Cause) -> f64) -> Self {
        let mut parts: Vec<(Cause, f64)> = Cause::ALL
            .iter()
            .map(|c| (*c, variance(*c)))
            .filter(|(_, v)| *v > 0.0)
            .collect();
        let total: f64 = parts.iter().map(|(_, v)| v).sum();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let contributions = parts
            .into_iter()
            .map(|(cause, variance)| Contribution {
                cause,
                standard: Angle::from_rad(variance.sqrt()),
                share: variance / total,
            })
            .collect();
        Self { contributions }
    }

    /// Causes by falling share; those without effect are left out.
    pub fn contributions(&self) -> &[Contribution] {
        &self.contributions
    }

    /// The cause with the largest share; none when nothing is uncertain.
    pub fn largest(&self) -> Option<Contribution> {
        self.contributions.first().copied()
    }
}

/// An angle, how far to trust it and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Which angle.
    pub angle: AngleKind,
    /// Value and standard uncertainty.
    pub estimate: Estimate,
    /// Effective degrees of freedom of the standard uncertainty.
    pub degrees_of_freedom: f64,
    /// Where the uncertainty comes from.
    pub budget: Budget,
    /// The classic two-reading figure for the same angle, where there is one.
    pub two_reading: Option<Angle>,
}

pub(crate) fn coverage_95(degrees_of_freedom: f64) -> f64 {
    // Less than one degree of freedom does not come about: a rest has nine at least.
    coverage_factor(degrees_of_freedom, 0.95).unwrap_or(COVERAGE_95)
}

impl Finding {
    /// How many standard uncertainties hold the angle 95 times in 100.
    pub fn coverage_factor(&self) -> f64 {
        coverage_95(self.degrees_of_freedom)
    }

    /// Half width of the 95 % interval.
    pub fn expanded(&self) -> Angle {
        self.estimate.standard * self.coverage_factor()
    }
}
