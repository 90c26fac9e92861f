//! A finished swing, as it is stored in a visit.

use hubplumb_core::finding::{AngleKind, Finding};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{BodyUse, Difference, Rest, SteerSource, WheelOutcome};
use serde::{Deserialize, Serialize};

use super::offsets::add_offsets;
use super::stored;
use crate::car::CarRecord;
use crate::mount::Mount;
use crate::present::finding_parts;
use crate::swing::{Found, SwingSnapshot};
use crate::text;
use crate::text::Text;
use crate::visit::{BoardUsed, FindingRecord, Place, Procedure, Quantity, Run, ShareRecord, Stage};

/// What a swing saw, beside its recordings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct SwingEvidence {
    /// Steer angles by `gyro` or `plates`.
    pub(crate) steer: String,
    /// The rests, in order.
    pub(crate) rests: Vec<RestEvidence>,
}

/// One rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct RestEvidence {
    /// Straight ahead, or a stop.
    pub(crate) straight: bool,
    /// The wheels.
    pub(crate) wheels: Vec<RestWheelEvidence>,
}

/// One wheel at one rest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct RestWheelEvidence {
    /// Which wheel.
    pub(crate) place: Place,
    /// Steer angle, degrees, + left.
    pub(crate) steer_deg: Option<f64>,
    /// Camber, degrees.
    pub(crate) camber_deg: f64,
}

/// Findings of a swing with their covariance.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingFindings {
    /// The findings.
    pub findings: Vec<FindingRecord>,
    /// Their covariance, in the same order, each in its own unit.
    pub covariance: Vec<Vec<f64>>,
}

const fn place(side: Side) -> Place {
    match side {
        Side::Left => Place::FrontLeft,
        Side::Right => Place::FrontRight,
    }
}

const fn quantity(angle: AngleKind) -> Quantity {
    match angle {
        AngleKind::Camber => Quantity::Camber,
        AngleKind::Caster => Quantity::Caster,
        AngleKind::Sai => Quantity::Sai,
        AngleKind::IncludedAngle => Quantity::IncludedAngle,
    }
}

/// The run of a finished swing; none where it found nothing.
pub fn swing_run(
    snapshot: &SwingSnapshot,
    car: &CarRecord,
    stage: Stage,
    boards: Vec<BoardUsed>,
) -> Option<Run> {
    let current = snapshot.current.as_ref().filter(|now| now.is_over())?;
    let found: Vec<&Found> = snapshot
        .found
        .iter()
        .filter(|found| found.run == snapshot.run)
        .collect();
    if found.is_empty() {
        return None;
    }
    let wheels: Vec<&WheelOutcome> = found.iter().map(|found| &found.wheel).collect();
    let differences: Vec<&Difference> = snapshot
        .differences
        .iter()
        .filter(|(run, _)| *run == snapshot.run)
        .map(|(_, difference)| difference)
        .collect();
    let evidence = SwingEvidence {
        steer: match current.steer_source {
            SteerSource::Gyro => "gyro",
            SteerSource::Plates => "plates",
        }
        .to_owned(),
        rests: current.rests.iter().map(rest).collect(),
    };
    let SwingFindings {
        findings,
        covariance,
    } = swing_findings(&wheels, &differences, current.body, car);
    Some(Run {
        procedure: Procedure::Swing,
        stage,
        method: method(current.steer_source, current.rests.len(), current.body).stored(),
        evidence: serde_json::to_value(evidence).unwrap_or_default(),
        findings,
        covariance,
        boards,
        software: env!("CARGO_PKG_VERSION").to_owned(),
    })
}

/// What a solved swing found, as it is stored: live, or solved again from its recordings.
pub fn swing_findings(
    wheels: &[&WheelOutcome],
    differences: &[&Difference],
    body: BodyUse,
    car: &CarRecord,
) -> SwingFindings {
    let entries: Vec<(&WheelOutcome, &Finding)> = wheels
        .iter()
        .flat_map(|wheel| of_wheel(wheel).into_iter().map(|finding| (*wheel, finding)))
        .collect();
    let mut found = SwingFindings {
        findings: entries
            .iter()
            .map(|(wheel, finding)| record(wheel.side, finding, body))
            .collect(),
        covariance: covariance(&entries, differences),
    };
    add_offsets(&mut found, car);
    found
}

fn of_wheel(wheel: &WheelOutcome) -> Vec<&Finding> {
    let mut findings = vec![&wheel.camber];
    if let Ok(axis) = &wheel.axis {
        findings.extend([&axis.caster, &axis.sai, &axis.included]);
    }
    findings
}

fn record(side: Side, finding: &Finding, body: BodyUse) -> FindingRecord {
    let parts = finding_parts(finding, body);
    FindingRecord {
        quantity: quantity(finding.angle),
        place: place(side),
        value: finding.estimate.value.deg(),
        standard: finding.estimate.standard.deg(),
        degrees_of_freedom: finding
            .degrees_of_freedom
            .is_finite()
            .then_some(finding.degrees_of_freedom),
        budget: finding
            .budget
            .contributions()
            .iter()
            .map(|contribution| ShareRecord {
                cause: stored(parts.cause(contribution.cause)),
                share: contribution.share,
            })
            .collect(),
        advice: stored(parts.advice),
        caveat: String::new(),
    }
}

/// Covariance of all findings, deg²: that of one wheel's angles as it was solved, and
/// between the wheels that of the same angle.
fn covariance(entries: &[(&WheelOutcome, &Finding)], differences: &[&Difference]) -> Vec<Vec<f64>> {
    let standard = |finding: &Finding| finding.estimate.standard.deg();
    entries
        .iter()
        .map(|(one_wheel, one)| {
            entries
                .iter()
                .map(|(other_wheel, other)| {
                    if one_wheel.side == other_wheel.side {
                        within(one_wheel, one, other)
                    } else if one.angle == other.angle {
                        differences
                            .iter()
                            .find(|difference| difference.angle == one.angle)
                            .map_or(0.0, |difference| {
                                difference.correlation * standard(one) * standard(other)
                            })
                    } else {
                        0.0
                    }
                })
                .collect()
        })
        .collect()
}

fn within(wheel: &WheelOutcome, one: &Finding, other: &Finding) -> f64 {
    if one.angle == other.angle {
        return one.estimate.standard.deg().powi(2);
    }
    let index = |angle| AngleKind::ALL.iter().position(|kind| *kind == angle);
    match (&wheel.axis, index(one.angle), index(other.angle)) {
        (Ok(axis), Some(row), Some(column)) => {
            axis.covariance_rad2[row][column] * 1f64.to_degrees().powi(2)
        }
        _ => 0.0,
    }
}

fn rest(rest: &Rest) -> RestEvidence {
    RestEvidence {
        straight: rest.straight,
        wheels: rest
            .wheels
            .iter()
            .map(|wheel| RestWheelEvidence {
                place: place(wheel.side),
                steer_deg: wheel
                    .plate
                    .or(wheel.steer)
                    .map(hubplumb_core::angle::Angle::deg),
                camber_deg: wheel.camber.deg(),
            })
            .collect(),
    }
}

fn method(source: SteerSource, rests: usize, body: BodyUse) -> Text {
    let watched = match body {
        BodyUse::Watching => true,
        BodyUse::None | BodyUse::GivenUp(_) => false,
    };
    match (source, watched) {
        (SteerSource::Gyro, true) => text!(
            "Steering swing with {rests} rests, steer angles by the boards' gyros, the body watched by a board; all rests of both wheels in one least-squares solution.",
            rests
        ),
        (SteerSource::Gyro, false) => text!(
            "Steering swing with {rests} rests, steer angles by the boards' gyros, the body's motion taken from its prior; all rests of both wheels in one least-squares solution.",
            rests
        ),
        (SteerSource::Plates, true) => text!(
            "Steering swing with {rests} rests, steer angles read from turn plates, the body watched by a board; all rests of both wheels in one least-squares solution.",
            rests
        ),
        (SteerSource::Plates, false) => text!(
            "Steering swing with {rests} rests, steer angles read from turn plates, the body's motion taken from its prior; all rests of both wheels in one least-squares solution.",
            rests
        ),
    }
}

/// The boards on the front hubs and on the body.
pub const SWING_MOUNTS: [Mount; 3] = [Mount::FrontLeft, Mount::FrontRight, Mount::Body];
