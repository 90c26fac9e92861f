//! Curves of runs, for plots.

use hubplumb_core::angle::Angle;
use hubplumb_core::check::solve;
use hubplumb_core::estimate::COVERAGE_95;
use hubplumb_core::swing::exact::{AxisAngles, SpindlePosition, camber_at};

use super::finding::expanded;
use super::swing_run::SwingEvidence;
use crate::checking::kept;
use crate::http::visit_views::{CurveLineView, CurveView};
use crate::text;
use crate::visit::{Place, Procedure, Quantity, Run};

/// Parts that a fitted curve over ride heights is drawn by.
const HEIGHT_STEPS: u32 = 20;
/// Steps of a fitted curve, degrees of steer.
const STEP_DEG: i32 = 2;

/// The curve of a run, where it has one.
pub(super) fn curve(run: &Run) -> Option<CurveView> {
    match run.procedure {
        Procedure::Swing => swing(run),
        Procedure::Heights => heights(run),
        _ => None,
    }
}

/// Camber and toe against ride height: the stops, and the curve that fits them.
fn heights(run: &Run) -> Option<CurveView> {
    let evidence = kept::from_json(&run.evidence).ok()?;
    let place = run.findings.first()?.place;
    let result = solve(&evidence).ok()?;
    // Camber is what a sweep is made for; toe is there where it was measured too.
    let curve = result.curves.first()?;
    let points: Vec<[f64; 3]> = curve
        .points
        .iter()
        .map(|point| {
            let half_width = COVERAGE_95 * point.standard.deg();
            [point.height_mm, point.value.deg(), half_width]
        })
        .collect();
    let heights = points.iter().map(|[height, ..]| *height);
    let (low, high) = (
        heights.clone().fold(f64::INFINITY, f64::min),
        heights.fold(f64::NEG_INFINITY, f64::max),
    );
    let [line, slope] = curve.line;
    let [at, rise, bend] = curve.quadratic.unwrap_or([line, slope, 0.0]);
    let fitted = (0..=HEIGHT_STEPS)
        .map(|step| {
            let height = low + (high - low) * f64::from(step) / f64::from(HEIGHT_STEPS);
            let from_reference = height - curve.reference_mm;
            let value = at + (rise + bend * from_reference) * from_reference;
            [height, Angle::from_rad(value).deg()]
        })
        .collect();
    Some(CurveView {
        along: text!("ride height"),
        along_unit: " mm".to_owned(),
        up: text!("camber"),
        up_unit: "°".to_owned(),
        lines: vec![CurveLineView {
            place,
            points,
            fitted,
        }],
    })
}

/// Camber against steer: the rests as they were seen, and the curve that the findings give.
fn swing(run: &Run) -> Option<CurveView> {
    let evidence: SwingEvidence = serde_json::from_value(run.evidence.clone()).ok()?;
    let lines: Vec<CurveLineView> = [Place::FrontLeft, Place::FrontRight]
        .into_iter()
        .filter_map(|place| line(run, &evidence, place))
        .collect();
    (!lines.is_empty()).then(|| CurveView {
        along: text!("steer, + left"),
        along_unit: "°".to_owned(),
        up: text!("camber"),
        up_unit: "°".to_owned(),
        lines,
    })
}

fn line(run: &Run, evidence: &SwingEvidence, place: Place) -> Option<CurveLineView> {
    let finding = |quantity| {
        run.findings
            .iter()
            .find(|finding| finding.quantity == quantity && finding.place == place)
    };
    let camber = finding(Quantity::Camber)?;
    let half_width = expanded(camber);
    let points: Vec<[f64; 3]> = evidence
        .rests
        .iter()
        .flat_map(|rest| &rest.wheels)
        .filter(|wheel| wheel.place == place)
        .filter_map(|wheel| Some([wheel.steer_deg?, wheel.camber_deg, half_width]))
        .collect();
    let fitted = match (finding(Quantity::Caster), finding(Quantity::Sai)) {
        (Some(caster), Some(sai)) => {
            let axis = AxisAngles {
                caster: Angle::from_deg(caster.value),
                sai: Angle::from_deg(sai.value),
            };
            fitted(&points, axis, Angle::from_deg(camber.value), place)
        }
        _ => Vec::new(),
    };
    (!points.is_empty()).then_some(CurveLineView {
        place,
        points,
        fitted,
    })
}

fn fitted(points: &[[f64; 3]], axis: AxisAngles, camber: Angle, place: Place) -> Vec<[f64; 2]> {
    // The heading counts from straight ahead, + toe-in: on the left that is a steer to the right.
    let inward = if place == Place::FrontLeft { -1.0 } else { 1.0 };
    let straight = SpindlePosition {
        heading: Angle::ZERO,
        camber,
    };
    let reach = |pick: fn(f64, f64) -> f64| points.iter().map(|p| p[0]).fold(0.0, pick);
    let (least, most) = (reach(f64::min), reach(f64::max));
    let steps = |degrees: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a wheel steers less than a hundred degrees"
        )]
        let whole = degrees.clamp(-90.0, 90.0) as i32;
        whole / STEP_DEG
    };
    (steps(least) - 1..=steps(most) + 1)
        .map(|step| {
            let steer = f64::from(step * STEP_DEG);
            let heading = Angle::from_deg(steer * inward);
            [steer, camber_at(heading, axis, straight).deg()]
        })
        .collect()
}
