//! Bent knuckles and moved pivots as rotations in space.

use hubplumb_core::causes::{Cause, Pivot, Suspension};
use hubplumb_core::side::Side;
use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;

use crate::causes_table::{best, found, left_off};

/// A wheel in the mirrored frame: x forward, y outboard, z up.
struct Wheel {
    axis: Vector3<f64>,
    spindle: Vector3<f64>,
}

/// Turns the top outboard by `deg`: about −x.
fn top_out(deg: f64) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Vector3::x_axis(), -deg.to_radians())
}

impl Wheel {
    fn new(caster_deg: f64, sai_deg: f64, camber_deg: f64) -> Self {
        let tan = |deg: f64| deg.to_radians().tan();
        Self {
            axis: Vector3::new(-tan(caster_deg), -tan(sai_deg), 1.0).normalize(),
            spindle: top_out(camber_deg) * Vector3::y(),
        }
    }

    fn sai_deg(&self) -> f64 {
        (-self.axis.y / self.axis.z).atan().to_degrees()
    }

    fn camber_deg(&self) -> f64 {
        -self.spindle.z.asin().to_degrees()
    }

    /// What `left_off` is to be told: how far SAI and camber are off `sound`.
    fn off(&self, sound: &Self) -> (f64, f64) {
        (
            self.sai_deg() - sound.sai_deg(),
            self.camber_deg() - sound.camber_deg(),
        )
    }
}

proptest! {
    #[test]
    fn a_bent_knuckle_is_named_first(
        caster in 0.0..8.0f64, sai in 5.0..16.0f64, camber in -2.0..1.0f64,
        standard in 0.03..0.2f64, sigmas in 4.0..20.0f64, down in any::<bool>(),
    ) {
        let bend = sigmas * standard * if down { -1.0 } else { 1.0 };
        let sound = Wheel::new(caster, sai, camber);
        let bent = Wheel { axis: sound.axis, spindle: top_out(bend) * sound.spindle };
        let (sai_off, camber_off) = bent.off(&sound);
        prop_assert!(sai_off.abs() < 1e-9 && (camber_off - bend).abs() < 1e-9);
        for suspension in Suspension::ALL {
            let causes = found(&left_off(sai_off, camber_off, standard), suspension);
            prop_assert_eq!(best(&causes), vec![Cause::Knuckle(Side::Left)]);
        }
    }

    #[test]
    fn a_moved_pivot_is_named_first(
        caster in 0.0..8.0f64, sai in 5.0..16.0f64, camber in -2.0..1.0f64,
        standard in 0.03..0.2f64, sigmas in 4.0..20.0f64, inward in any::<bool>(),
    ) {
        let lean = sigmas * standard * if inward { -1.0 } else { 1.0 };
        let sound = Wheel::new(caster, sai, camber);
        let turn = top_out(lean);
        let moved = Wheel { axis: turn * sound.axis, spindle: turn * sound.spindle };
        let (sai_off, camber_off) = moved.off(&sound);
        // The core rule: the included angle stays.
        prop_assert!((sai_off + camber_off).abs() < 1e-9, "{} {}", sai_off, camber_off);
        let pivots: [(Suspension, &[Pivot]); 3] = if inward {
            [
                (Suspension::Wishbones, &[Pivot::UpperArm]),
                (Suspension::Strut, &[Pivot::TowerIn]),
                (Suspension::SolidAxle, &[Pivot::AxleBeam]),
            ]
        } else {
            [
                (Suspension::Wishbones, &[Pivot::LowerArm]),
                (Suspension::Strut, &[Pivot::LowerArm, Pivot::TowerOut]),
                (Suspension::SolidAxle, &[Pivot::AxleBeam]),
            ]
        };
        for (suspension, pivots) in pivots {
            let causes = found(&left_off(sai_off, camber_off, standard), suspension);
            let expected: Vec<Cause> =
                pivots.iter().map(|p| Cause::PivotMoved(*p, Side::Left)).collect();
            prop_assert_eq!(best(&causes), expected);
        }
    }

    #[test]
    fn both_faults_are_among_the_candidates(
        lean in prop_oneof![-2.0..-0.5f64, 0.5..2.0f64],
        bend in prop_oneof![-2.0..-0.5f64, 0.5..2.0f64],
    ) {
        let sound = Wheel::new(5.0, 13.0, -0.5);
        let turn = top_out(lean);
        let wheel = Wheel {
            axis: turn * sound.axis,
            spindle: turn * top_out(bend) * sound.spindle,
        };
        let (sai_off, camber_off) = wheel.off(&sound);
        let causes = found(&left_off(sai_off, camber_off, 0.1), Suspension::Wishbones);
        let pivot = if lean > 0.0 { Pivot::LowerArm } else { Pivot::UpperArm };
        prop_assert_eq!(best(&causes), vec![Cause::PivotAndKnuckle(pivot, Side::Left)]);
    }
}
