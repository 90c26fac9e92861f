//! The axis of the cone that gravity runs round while a wheel turns.

use nalgebra::{Matrix3, SymmetricEigen, Vector3};

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir, Vec3};
use crate::joint::evidence::RunOutEvidence;

/// A spin axis in the board's axes, with what is uncertain about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpinAxis {
    /// The axis, outboard.
    pub outboard: Dir<Board>,
    /// Covariance of its direction in the board's axes, rad²; along the axis
    /// itself it is zero.
    pub covariance_rad2: [[f64; 3]; 3],
}

/// The uncertainty of a spin axis as the car sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxisSpread {
    /// One sigma about the forward direction: goes one to one into camber.
    pub lean: Angle,
    /// One sigma about the vertical: acts like a wrong toe.
    pub heading: Angle,
    /// Covariance of the two, rad²: `[lean, heading]` by `[lean, heading]`.
    pub covariance_rad2: [[f64; 2]; 2],
}

impl SpinAxis {
    /// The uncertainty about the forward direction and about the vertical,
    /// while the vertical points along `up`; none when that is the axis.
    pub fn about(&self, up: Dir<Board>) -> Option<AxisSpread> {
        let ahead = Dir::along(self.outboard.vec().cross(&up.vec()))?;
        let upright = Dir::along(ahead.vec().cross(&self.outboard.vec()))?;
        let covariance = Matrix3::from_fn(|r, c| self.covariance_rad2[r][c]);
        let parts = [upright, ahead].map(|d| Vector3::from(d.vec().to_array()));
        let cell = |a: usize, b: usize| (parts[a].transpose() * covariance * parts[b])[(0, 0)];
        Some(AxisSpread {
            lean: Angle::from_rad(cell(0, 0).max(0.0).sqrt()),
            heading: Angle::from_rad(cell(1, 1).max(0.0).sqrt()),
            covariance_rad2: [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]],
        })
    }

    /// The same line the other way.
    pub(crate) fn reversed(self) -> Self {
        Self {
            outboard: -self.outboard,
            ..self
        }
    }
}

/// A cone fitted to groups of tips; each group has a lean of its own.
#[derive(Debug, Clone)]
pub(super) struct Cone {
    /// The axis, of either sense.
    pub(super) axis: SpinAxis,
    /// Component of gravity along the axis, first group, in g.
    pub(super) along_g: f64,
    /// How far gravity went round, the best group.
    pub(super) arc: Angle,
    /// Largest distance of a tip from its group's plane, as an angle.
    pub(super) off: Angle,
    /// What noise explains of that, one sigma.
    pub(super) off_noise: Angle,
    /// Tips beyond those that fix a cone: without any, a wobble is not seen.
    pub(super) spare: usize,
}

/// Fits the cone; none when the tips fix no plane.
pub(super) fn fit(groups: &[Vec<RunOutEvidence>], chip: &ChipFigures) -> Option<Cone> {
    let mut scatter = Matrix3::zeros();
    let mut centres = Vec::new();
    let mut tips = 0;
    for group in groups {
        let centre = centre(group);
        for tip in group {
            let d = Vector3::from((tip.accel_g - centre).to_array());
            scatter += d * d.transpose() * weight(tip);
            tips += 1;
        }
        centres.push(centre);
    }
    let eigen = SymmetricEigen::new(scatter);
    let (least, across) = split(&eigen.eigenvalues)?;
    let normal: Vector3<f64> = eigen.eigenvectors.column(least).into();
    let axis = Dir::along(Vec3::<Board>::from_array(normal.into()))?;
    let mut square = 0.0;
    let mut worst = (0.0_f64, 0.0);
    for (group, centre) in groups.iter().zip(&centres) {
        for tip in group {
            let off = (tip.accel_g - *centre).dot(&axis.vec());
            square += off * off * weight(tip);
            if off.abs() > worst.0 {
                worst = (off.abs(), tip.noise_g);
            }
        }
    }
    let spare = tips - (2 + groups.len()).min(tips);
    // Scatter beyond the noise is play or a settling jack; it widens the axis
    // by its measure (common practice with least squares, after R. T. Birge).
    let beyond = if spare > 0 {
        (square / spare as f64).max(1.0)
    } else {
        1.0
    };
    let mut covariance = Matrix3::zeros();
    for index in across {
        let value = eigen.eigenvalues[index];
        if value <= 0.0 {
            return None;
        }
        let u: Vector3<f64> = eigen.eigenvectors.column(index).into();
        covariance += u * u.transpose() * (beyond / value + by_matrix(&normal, &u, chip));
    }
    let arc = groups
        .iter()
        .zip(&centres)
        .map(|(group, centre)| arc(group, *centre, axis))
        .fold(Angle::ZERO, |most, arc| if arc > most { arc } else { most });
    let first = centres.first()?;
    Some(Cone {
        axis: SpinAxis {
            outboard: axis,
            covariance_rad2: [0, 1, 2].map(|r| [0, 1, 2].map(|c| covariance[(r, c)])),
        },
        along_g: first.dot(&axis.vec()),
        arc,
        off: Angle::from_rad(worst.0),
        off_noise: Angle::from_rad(worst.1),
        spare,
    })
}

/// What a matrix error of the chip turns the normal by towards `u`, rad²: a
/// plane with normal n becomes one with the normal n − Mᵀn.
fn by_matrix(normal: &Vector3<f64>, u: &Vector3<f64>, chip: &ChipFigures) -> f64 {
    let mut variance = 0.0;
    for row in 0..3 {
        for column in 0..3 {
            let sigma = if row == column {
                chip.accel_scale
            } else {
                chip.accel_cross_rad
            };
            variance += (normal[row] * u[column] * sigma).powi(2);
        }
    }
    variance
}

/// Least noise of a tip, g: keeps a chip without error finite.
const LEAST_NOISE_G: f64 = 1e-6;

fn weight(tip: &RunOutEvidence) -> f64 {
    tip.noise_g.max(LEAST_NOISE_G).powi(-2)
}

fn centre(group: &[RunOutEvidence]) -> Vec3<Board> {
    let total: f64 = group.iter().map(weight).sum();
    group.iter().fold(Vec3::zero(), |sum, tip| {
        sum + tip.accel_g * (weight(tip) / total)
    })
}

/// The least eigenvalue, and the two across it.
fn split(values: &Vector3<f64>) -> Option<(usize, [usize; 2])> {
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    (values[order[1]] > 0.0).then_some((order[0], [order[1], order[2]]))
}

/// How far gravity went round an axis: the circle less its largest hole.
pub(crate) fn arc_round(group: &[RunOutEvidence], axis: Dir<Board>) -> Angle {
    arc(group, centre(group), axis)
}

fn arc(group: &[RunOutEvidence], centre: Vec3<Board>, axis: Dir<Board>) -> Angle {
    let angles = places(group, centre, axis);
    let turn = std::f64::consts::TAU;
    let hole = (0..angles.len())
        .map(|i| match angles.get(i + 1) {
            Some(next) => next - angles[i],
            None => angles[0] + turn - angles[i],
        })
        .fold(0.0, f64::max);
    Angle::from_rad(turn - if angles.is_empty() { turn } else { hole })
}

/// Where on the circle the tips lie, rad, in order.
///
/// The circle's middle is sought, not taken: the mean of a few tips lies
/// towards where they crowd.
fn places(group: &[RunOutEvidence], centre: Vec3<Board>, axis: Dir<Board>) -> Vec<f64> {
    let (x, y) = axis.square_pair();
    let along = centre.dot(&axis.vec());
    let middle = axis.vec() * along;
    let mut angles: Vec<f64> = group
        .iter()
        .map(|tip| tip.accel_g - middle)
        .map(|d| d.dot(&y.vec()).atan2(d.dot(&x.vec())))
        .collect();
    angles.sort_by(f64::total_cmp);
    angles
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn tip(axis: Dir<Board>, lean: f64, place_deg: f64, offset: [f64; 3]) -> RunOutEvidence {
        let (x, y) = axis.square_pair();
        let (s, c) = place_deg.to_radians().sin_cos();
        let around = (x.vec() * c + y.vec() * s) * lean.cos();
        RunOutEvidence {
            accel_g: around + axis.vec() * lean.sin() + Vec3::from_array(offset),
            noise_g: 1e-4,
            degrees_of_freedom: f64::INFINITY,
            still: true,
        }
    }

    proptest! {
        #[test]
        fn any_turns_show_the_axis_and_an_offset_does_no_harm(
            x in -1.0..1.0, y in -1.0..1.0, z in 0.1..1.0, lean in -0.15..0.15,
            step in 70.0..130.0, offset in [-0.05..0.05, -0.05..0.05, -0.05..0.05],
        ) {
            let axis = Dir::along(Vec3::<Board>::new(x, y, z)).unwrap();
            let group = (0..4).map(|i| tip(axis, lean, f64::from(i) * step, offset)).collect();
            let cone = fit(&[group], &ChipFigures::IDEAL).unwrap();
            prop_assert!(cone.axis.outboard.dot(&axis).abs() > 1.0 - 1e-12);
            prop_assert!(cone.off.rad() < 1e-9);
        }
    }

    #[test]
    fn the_arc_is_the_circle_less_its_largest_hole() {
        let check = |places: &[f64], expected_deg: f64| {
            let axis = Dir::z_axis();
            let group: Vec<_> = places
                .iter()
                .map(|p| tip(axis, 0.1, *p, [0.0; 3]))
                .collect();
            let cone = fit(std::slice::from_ref(&group), &ChipFigures::IDEAL).unwrap();
            assert!(
                (cone.arc.deg() - expected_deg).abs() < 1e-6,
                "{places:?}: {:?}",
                cone.arc
            );
        };
        check(&[0.0, 90.0, 180.0, 270.0], 270.0);
        check(&[0.0, 30.0, 60.0], 60.0);
        check(&[350.0, 10.0, 100.0], 110.0);
    }

    #[test]
    fn the_stated_spread_is_the_scatter_of_fits_to_noisy_tips() {
        // Four quarter turns: each square direction is seen by two tips at full
        // lever, so one sigma of the axis is σ/√2 (derived).
        let axis = Dir::<Board>::y_axis();
        let group: Vec<_> = (0..4)
            .map(|i| tip(axis, 0.02, 90.0 * f64::from(i), [0.0; 3]))
            .collect();
        let spread = fit(&[group], &ChipFigures::IDEAL)
            .unwrap()
            .axis
            .about(Dir::z_axis())
            .unwrap();
        for found in [spread.lean, spread.heading] {
            assert!(
                (found.rad() - 1e-4 / 2f64.sqrt()).abs() < 1e-6,
                "{spread:?}"
            );
        }
        assert!(spread.covariance_rad2[0][1].abs() < 1e-12);
    }

    #[test]
    fn cross_axis_error_of_the_chip_leans_the_axis_by_itself() {
        let axis = Dir::<Board>::z_axis();
        let group: Vec<_> = (0..4)
            .map(|i| tip(axis, 0.0, 90.0 * f64::from(i), [0.0; 3]))
            .collect();
        let chip = ChipFigures {
            accel_cross_rad: 2e-3,
            ..ChipFigures::IDEAL
        };
        let spread = fit(&[group], &chip)
            .unwrap()
            .axis
            .about(Dir::x_axis())
            .unwrap();
        assert!((spread.lean.rad() - 2e-3).abs() < 1e-5, "{spread:?}");
    }
}
