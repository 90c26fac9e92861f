//! Scrub radius and trail of a swing, where the car's record has the lengths.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::gum::Correlated;
use hubplumb_core::length::Length;
use hubplumb_core::offsets::{AxisLengths, WheelAngles};

use super::entered::record_figure;
use super::swing_run::SwingFindings;
use crate::car::CarRecord;
use crate::visit::{FindingRecord, Place, Quantity};

/// What lengths of the record are known to, standard.
const LENGTH: Length = Length::from_mm(2.0);

/// Adds the offsets of both wheels to the findings of a swing.
pub(super) fn add_offsets(run: &mut SwingFindings, car: &CarRecord) {
    let found: Vec<FindingRecord> = [Place::FrontLeft, Place::FrontRight]
        .into_iter()
        .filter_map(|place| of_wheel(run, car, place))
        .flatten()
        .collect();
    // What they share with the angles is not kept: their rows are their own variance.
    let width = run.findings.len() + found.len();
    for row in &mut run.covariance {
        row.resize(width, 0.0);
    }
    if !run.covariance.is_empty() {
        for (index, finding) in found.iter().enumerate() {
            let mut row = vec![0.0; width];
            row[run.findings.len() + index] = finding.standard.powi(2);
            run.covariance.push(row);
        }
    }
    run.findings.extend(found);
}

fn of_wheel(run: &SwingFindings, car: &CarRecord, place: Place) -> Option<[FindingRecord; 2]> {
    let index = |quantity| {
        run.findings
            .iter()
            .position(|finding| finding.quantity == quantity && finding.place == place)
    };
    let at = [
        index(Quantity::Camber)?,
        index(Quantity::Caster)?,
        index(Quantity::Sai)?,
    ];
    let rad = |degrees: f64| Angle::from_deg(degrees).rad();
    let values = at.map(|index| rad(run.findings[index].value));
    let standards = at.map(|index| rad(run.findings[index].standard));
    let correlation = |one: usize, other: usize| {
        let covariance = run
            .covariance
            .get(at[one])
            .and_then(|row| row.get(at[other]));
        let spread = run.findings[at[one]].standard * run.findings[at[other]].standard;
        (covariance.copied().unwrap_or_default() / spread).clamp(-1.0, 1.0)
    };
    let angles = Correlated::from_correlations(values, standards, correlation).ok()?;
    let freedom = at
        .iter()
        .filter_map(|index| run.findings[*index].degrees_of_freedom)
        .fold(f64::INFINITY, f64::min);
    let length = |mm: f64, source| Entered::new(Length::from_mm(mm), LENGTH, source);
    let offsets = WheelAngles::correlated(&angles, freedom)
        .offsets(&AxisLengths {
            radius: length(car.front.loaded_radius_mm?, Source::WheelRadius),
            outboard_at_hub: length(car.steering.axis_inboard_mm?, Source::AxisOffset),
            behind_at_hub: length(car.steering.axis_behind_mm?, Source::AxisOffset),
        })
        .ok()?;
    let mm = |quantity, figure| record_figure(quantity, place, figure, 1e3);
    Some([
        mm(Quantity::ScrubRadius, &offsets.steering_axis_offset),
        mm(Quantity::CasterTrail, &offsets.trail),
    ])
}
