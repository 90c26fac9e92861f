//! The closed relations between steer, camber, hub pitch and steering axis.
//!
//! Two of them are exact for any positions (derived from the fact that a
//! vector fixed in the hub keeps its component along the steering axis):
//!
//! - E1: tan C · sin τ cos γ + tan S · cos τ cos γ + sin γ = const
//! - E2: tan S · cos θ sin ψ − tan C · cos θ cos ψ + sin θ = const (brake locked)
//!
//! The two-reading figures of the shop hold for equal steer to both sides;
//! they are kept as cross-checks only. Angles as in [`crate::attitude`];
//! "in" is the position with the wheel's front steered inboard.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use crate::angle::Angle;
use crate::attitude::spindle_at;
use crate::side::Side;

/// A wheel at one steer angle, by its spindle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpindlePosition {
    /// Plan heading of the spindle, + toe-in.
    pub heading: Angle,
    /// Camber.
    pub camber: Angle,
}

/// A hub at one steer angle, by its forward direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HubPosition {
    /// Plan heading, + toe-in.
    pub heading: Angle,
    /// Pitch, + front up.
    pub pitch: Angle,
}

/// Caster and SAI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxisAngles {
    /// Side view, + top rearward.
    pub caster: Angle,
    /// Front view, + top inboard.
    pub sai: Angle,
}

/// Why positions do not fix an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum Undetermined {
    /// Three positions are the least.
    #[error("{found} positions given, three are the least")]
    TooFew {
        /// How many there were.
        found: usize,
    },
    /// The positions do not differ enough.
    #[error("the positions do not differ enough to fix an axis")]
    Alike,
}

/// Factor of the two-reading rule, K = 1/(2 sin δ), for equal plan steer ±δ.
pub fn two_reading_factor(steer: Angle) -> f64 {
    0.5 / steer.sin()
}

/// Two-reading rule: K times the difference of the readings, out minus in.
///
/// With cambers it gives caster, with hub pitches SAI.
pub fn two_reading_rule(inward: Angle, outward: Angle, steer: Angle) -> Angle {
    (outward - inward) * two_reading_factor(steer)
}

/// Two-reading figure by sines and tangent.
pub fn two_reading_tangent(inward: Angle, outward: Angle, steer: Angle) -> Angle {
    Angle::from_rad(((outward.sin() - inward.sin()) * two_reading_factor(steer)).atan())
}

/// Two-reading rule with each side's own steer angle, as it is shown beside a
/// solved swing.
pub fn two_reading_unequal(
    inward: Angle,
    outward: Angle,
    steer_in: Angle,
    steer_out: Angle,
) -> Angle {
    (outward - inward) / (steer_in.abs().sin() + steer_out.abs().sin())
}

/// Caster from cambers after equal rotations ±φ *about the steering axis*,
/// which is what a gyro integrates; `camber0` at straight-ahead.
///
/// None when the cambers cannot come from such an axis.
pub fn caster_from_axis_rotation(
    inward: Angle,
    outward: Angle,
    rotation: Angle,
    camber0: Angle,
    sai: Angle,
) -> Option<Angle> {
    let t = (outward.sin() - inward.sin()) / (2.0 * rotation.sin() * camber0.cos());
    let squared = (1.0 + sai.tan() * sai.tan()) / (1.0 - t * t);
    (t.abs() < 1.0).then(|| Angle::from_rad((t * squared.sqrt()).atan()))
}

/// E1 over three or more positions, least squares.
pub fn axis_from_camber(positions: &[SpindlePosition]) -> Result<AxisAngles, Undetermined> {
    solve(positions.len(), |i| {
        let [x, y, z] = spindle_at(positions[i].heading, positions[i].camber);
        [x, y, z]
    })
}

/// E2 over three or more positions, least squares; the brake must have been locked.
pub fn axis_from_pitch(positions: &[HubPosition]) -> Result<AxisAngles, Undetermined> {
    solve(positions.len(), |i| {
        let HubPosition { heading, pitch } = positions[i];
        [
            pitch.cos() * heading.cos(),
            -pitch.cos() * heading.sin(),
            pitch.sin(),
        ]
    })
}

/// Any vector v fixed in the hub: `tan C · v_x + tan S · v_y + c = v_z`.
fn solve(count: usize, vector: impl Fn(usize) -> [f64; 3]) -> Result<AxisAngles, Undetermined> {
    if count < 3 {
        return Err(Undetermined::TooFew { found: count });
    }
    let design = DMatrix::from_fn(count, 3, |row, column| {
        if column == 2 {
            1.0
        } else {
            vector(row)[column]
        }
    });
    let right = DVector::from_fn(count, |row, _| vector(row)[2]);
    let svd = design.svd(true, true);
    let least = svd
        .singular_values
        .iter()
        .fold(f64::INFINITY, |a, &b| a.min(b));
    if least < 1e-6 {
        return Err(Undetermined::Alike);
    }
    let solution = svd.solve(&right, 0.0).map_err(|_| Undetermined::Alike)?;
    Ok(AxisAngles {
        caster: Angle::from_rad(solution[0].atan()),
        sai: Angle::from_rad(solution[1].atan()),
    })
}

/// Exact camber at the plan heading `heading` of a wheel that has `at` at its
/// own heading and steers about the axis `axis`.
pub fn camber_at(heading: Angle, axis: AxisAngles, at: SpindlePosition) -> Angle {
    let (tan_c, tan_s) = (axis.caster.tan(), axis.sai.tan());
    let lever = |toe: Angle| tan_c * toe.sin() + tan_s * toe.cos();
    let constant = lever(at.heading) * at.camber.cos() + at.camber.sin();
    // A cos γ + sin γ = const
    let a = lever(heading);
    Angle::from_rad((constant / a.hypot(1.0)).asin() - a.atan())
}

/// Points of a [`camber_curve`], both ends included: as many as a picture shows.
pub const CURVE_POINTS: u32 = 41;

/// A point of the camber over the steer angle of a wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Plan steer from straight ahead, + left.
    pub steer: Angle,
    /// Camber there.
    pub camber: Angle,
}

/// Camber over plan steer from `from` to `to` (E1), of the wheel on `side` that stands as
/// `straight` at no steer and steers about `axis`.
pub fn camber_curve(
    side: Side,
    axis: AxisAngles,
    straight: SpindlePosition,
    from: Angle,
    to: Angle,
) -> Vec<CurvePoint> {
    (0..CURVE_POINTS)
        .map(|point| {
            let share = f64::from(point) / f64::from(CURVE_POINTS - 1);
            let steer = from + (to - from) * share;
            // Steer + left turns the left wheel's front outboard and the right one's inboard.
            let heading = straight.heading - steer * side.sign();
            CurvePoint {
                steer,
                camber: camber_at(heading, axis, straight),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn camber_curve_and_its_inverse_agree(
            caster in -2.0..15.0, sai in 3.0..18.0, camber in -4.0..4.0, toe in -1.0..1.0,
            left in 8.0..35.0f64, right in 8.0..35.0f64,
        ) {
            let deg = Angle::from_deg;
            let axis = AxisAngles { caster: deg(caster), sai: deg(sai) };
            let straight = SpindlePosition { heading: deg(toe), camber: deg(camber) };
            let at = |heading: f64| SpindlePosition { heading: deg(heading), camber: camber_at(deg(heading), axis, straight) };
            let found = axis_from_camber(&[at(left), straight, at(-right)]).unwrap();
            prop_assert!((found.caster.deg() - caster).abs() < 1e-8, "{found:?}");
            prop_assert!((found.sai.deg() - sai).abs() < 1e-8, "{found:?}");
        }
    }

    /// Published check values (docs/VALIDATION.md names their source): camber steered in and
    /// out by the same plan angle, of a wheel with this caster, SAI and camber.
    #[test]
    fn the_curve_goes_through_the_published_cambers() {
        let deg = Angle::from_deg;
        for (caster, sai, camber, steer, inward, outward) in [
            (5.0, 13.0, -0.5, 20.0, -1.4131, 2.0188),
            (5.0, 13.0, -0.5, 10.0, -1.1672, 0.5715),
            (0.0, 13.0, 0.0, 20.0, 0.7990, 0.7990),
        ] {
            let axis = AxisAngles {
                caster: deg(caster),
                sai: deg(sai),
            };
            let straight = SpindlePosition {
                heading: Angle::ZERO,
                camber: deg(camber),
            };
            for side in Side::BOTH {
                let curve = camber_curve(side, axis, straight, deg(-steer), deg(steer));
                assert_eq!(curve.len(), 41);
                // To the left the left wheel's front goes outboard, the right one's inboard.
                let (to_right, to_left) = match side {
                    Side::Left => (inward, outward),
                    Side::Right => (outward, inward),
                };
                for (at, steer, camber) in [
                    (0, -steer, to_right),
                    (20, 0.0, camber),
                    (40, steer, to_left),
                ] {
                    let point = curve[at];
                    assert!((point.steer.deg() - steer).abs() < 1e-9, "{point:?}");
                    assert!(
                        (point.camber.deg() - camber).abs() < 5e-5,
                        "{side:?} {point:?}"
                    );
                }
            }
        }
    }

    proptest! {
        /// E1 itself, term by term, at every point.
        #[test]
        fn every_point_of_the_curve_keeps_the_constant_of_e1(
            left: bool, caster in -2.0..15.0, sai in 3.0..18.0, camber in -4.0..4.0, toe in -1.0..1.0,
            from in -40.0..-1.0f64, to in 1.0..40.0f64,
        ) {
            let deg = Angle::from_deg;
            let side = if left { Side::Left } else { Side::Right };
            let axis = AxisAngles { caster: deg(caster), sai: deg(sai) };
            let straight = SpindlePosition { heading: deg(toe), camber: deg(camber) };
            let constant = |heading: Angle, camber: Angle| {
                axis.caster.tan() * heading.sin() * camber.cos()
                    + axis.sai.tan() * heading.cos() * camber.cos()
                    + camber.sin()
            };
            let wanted = constant(straight.heading, straight.camber);
            for point in camber_curve(side, axis, straight, deg(from), deg(to)) {
                let heading = deg(toe - side.sign() * point.steer.deg());
                let off = constant(heading, point.camber) - wanted;
                prop_assert!(off.abs() < 1e-12, "{point:?}: {off}");
            }
        }
    }

    #[test]
    fn alike_positions_fix_nothing() {
        let one = SpindlePosition {
            heading: Angle::from_deg(1.0),
            camber: Angle::ZERO,
        };
        assert_eq!(
            axis_from_camber(&[one; 2]),
            Err(Undetermined::TooFew { found: 2 })
        );
        assert_eq!(axis_from_camber(&[one; 4]), Err(Undetermined::Alike));
    }
}
