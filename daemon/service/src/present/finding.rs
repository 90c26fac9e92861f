//! Findings with their uncertainty, its largest cause, and what to do about it.

use hubplumb_core::swing::{AngleKind, BodyUse, Cause, Finding};

use super::{mount_view, sense_words};
use crate::http::views::{AngleView, DifferenceView, FindingView};
use crate::mount::Mount;
use crate::swing::{Found, SwingSnapshot};
use crate::text;
use crate::text::Text;

/// All findings of one wheel of one run.
pub fn finding_views(found: &Found) -> Vec<FindingView> {
    let mut findings = vec![&found.wheel.camber];
    if let Ok(axis) = &found.wheel.axis {
        findings.extend([&axis.caster, &axis.sai, &axis.included]);
    }
    findings
        .into_iter()
        .map(|finding| finding_view(found, finding))
        .collect()
}

/// The body's motion where no board watched it.
const UNWATCHED: Text = text!("roll and pitch of the body, which no board watched");
const WATCH_IT: Text = text!(
    "Fix a board to the body, anyhow but firmly, and have both front wheels turned on the jack with it watching; then swing again."
);

/// Where a finding's uncertainty comes from, in words.
#[derive(Debug, Clone)]
pub(super) struct FindingParts {
    unwatched: bool,
    /// What contributes most.
    pub(super) largest: Text,
    /// What would make it smaller.
    pub(super) advice: Text,
}

impl FindingParts {
    /// One cause in words.
    pub(super) const fn cause(&self, cause: Cause) -> Text {
        if self.unwatched && matches!(cause, Cause::BodyMotion) {
            UNWATCHED
        } else {
            cause_words(cause)
        }
    }
}

/// The words for a finding of a swing with that body.
pub(super) fn finding_parts(finding: &Finding, body: BodyUse) -> FindingParts {
    let unwatched = body != BodyUse::Watching;
    let bare = FindingParts {
        unwatched,
        largest: text!("nothing that is known"),
        advice: text!("There is nothing to make better."),
    };
    finding.budget.largest().map_or_else(
        || bare.clone(),
        |contribution| {
            let body_moves = unwatched && contribution.cause == Cause::BodyMotion;
            FindingParts {
                unwatched,
                largest: bare.cause(contribution.cause),
                advice: if body_moves {
                    WATCH_IT
                } else {
                    advice(contribution.cause)
                },
            }
        },
    )
}

fn finding_view(found: &Found, finding: &Finding) -> FindingView {
    let largest = finding.budget.largest();
    let parts = finding_parts(finding, found.body);
    FindingView {
        run: found.run,
        mount: mount_view(Mount::steered(found.wheel.side)),
        angle: angle_view(finding.angle),
        value_deg: finding.estimate.value.deg(),
        standard_deg: finding.estimate.standard.deg(),
        expanded_deg: finding.expanded().deg(),
        sense: sense_words(finding.angle, finding.estimate.value),
        largest_contributor: parts.largest,
        largest_share: largest.map_or(0.0, |contribution| contribution.share),
        advice: parts.advice,
        two_reading_deg: finding.two_reading.map(hubplumb_core::angle::Angle::deg),
        left_out: found
            .wheel
            .axis
            .as_ref()
            .map_or_else(|_| Vec::new(), |axis| axis.left_out.clone()),
        body_watched: found.body == BodyUse::Watching,
        at_us: found.wheel.at.us(),
    }
}

/// Left less right of all runs.
pub fn difference_views(snapshot: &SwingSnapshot) -> Vec<DifferenceView> {
    snapshot
        .differences
        .iter()
        .map(|(run, difference)| DifferenceView {
            run: *run,
            angle: angle_view(difference.angle),
            value_deg: difference.estimate.value.deg(),
            standard_deg: difference.estimate.standard.deg(),
            expanded_deg: difference.estimate.expanded().deg(),
            correlation: difference.correlation,
        })
        .collect()
}

const fn angle_view(kind: AngleKind) -> AngleView {
    match kind {
        AngleKind::Camber => AngleView::Camber,
        AngleKind::Caster => AngleView::Caster,
        AngleKind::Sai => AngleView::Sai,
        AngleKind::IncludedAngle => AngleView::IncludedAngle,
    }
}

pub(super) const fn cause_words(cause: Cause) -> Text {
    match cause {
        Cause::TiltNoise => text!("noise of the readings at the rests"),
        Cause::AccelOffset => text!("offset of the accelerometer"),
        Cause::AccelScale => text!("scale and squareness of the accelerometer"),
        Cause::SteerAngle => text!("steer angle at the stops"),
        Cause::RunOut => text!("turns of the wheel on its bearing"),
        Cause::MountHeading => text!("how squarely the board points forward"),
        Cause::MountTilt => text!("how squarely the board sits on the hub"),
        Cause::Toe => text!("toe at straight ahead"),
        Cause::Floor => text!("slope of the floor"),
        Cause::BodyMotion => text!("roll and pitch of the body while steering"),
    }
}

pub(super) const fn advice(cause: Cause) -> Text {
    match cause {
        Cause::TiltNoise => {
            text!("Hold each rest longer (hold_s), with nobody in or leaning on the car.")
        }
        Cause::AccelOffset => {
            text!(
                "Calibrate the board by poses while it is warm, then turn it end for end: that shows the offset that camber hangs on."
            )
        }
        Cause::AccelScale => text!("Calibrate the board by poses, twelve rather than six."),
        Cause::SteerAngle => {
            text!(
                "Steer farther to both sides and go from stop to stop without delay; read plates to a quarter of a degree."
            )
        }
        Cause::RunOut => text!("Turn the jacked wheel in more and steadier steps."),
        Cause::MountHeading => {
            text!(
                "Turn the wheel on its bearing (the line Wheel run-out), or set the board parallel to the rim and lower heading_standard_deg."
            )
        }
        Cause::MountTilt => {
            text!(
                "Turn the wheel on its bearing (the line Wheel run-out), or set the board with a square and lower camber_standard_deg."
            )
        }
        Cause::Toe => {
            text!(
                "Measure toe with string or tape and enter it for each side, with its uncertainty."
            )
        }
        Cause::Floor => {
            text!(
                "Survey the floor under the four wheels: heights by a water level, or a board on a straight-edge, on the line Floor."
            )
        }
        Cause::BodyMotion => {
            text!(
                "Fix a board to the body and let it watch both front corners being jacked; with one, declare its heading more closely. Keep everybody out of the car."
            )
        }
    }
}
