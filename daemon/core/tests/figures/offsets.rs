//! Included angle, scrub radius, trail and level caster.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::gum::Correlated;
use hubplumb_core::offsets::{AxisLengths, WheelAngles, level_caster};
use nalgebra::Vector3;

use super::{length, near};

fn sensed(deg: f64, standard_deg: f64) -> Entered<Angle> {
    let (value, standard) = (Angle::from_deg(deg), Angle::from_deg(standard_deg));
    Entered::new(value, standard, Source::SensedAngles)
}

fn angles(camber: f64, caster: f64, sai: f64) -> WheelAngles {
    let [camber, caster, sai] = [camber, caster, sai].map(|deg| sensed(deg, 0.0));
    WheelAngles::entered(camber, caster, sai).unwrap()
}

fn lengths(radius: f64, outboard: f64, behind: f64) -> AxisLengths {
    AxisLengths {
        radius: length(radius, 0.0, Source::WheelRadius),
        outboard_at_hub: length(outboard, 0.0, Source::AxisOffset),
        behind_at_hub: length(behind, 0.0, Source::AxisOffset),
    }
}

#[test]
fn offsets_are_the_derived_ones() {
    // Derived: r_σ 80, R 310, S 13, γ −0.5 → 11.14 mm; C 5, a 0 and 10 → 27.12, 17.12.
    let wheel = angles(-0.5, 5.0, 13.0);
    for (behind, trail) in [(0.0, 27.12), (10.0, 17.12)] {
        let found = wheel.offsets(&lengths(310.0, 80.0, behind)).unwrap();
        near("r_k", found.steering_axis_offset.value.mm(), 11.14, 5e-3);
        near("n_k", found.trail.value.mm(), trail, 5e-3);
        let iso = 11.14f64.hypot(trail);
        near("ISO r", found.scrub_radius.value.mm(), iso, 1e-2);
    }
}

#[test]
fn offsets_are_where_a_line_meets_the_ground() {
    // x forward, y outboard, z up from the contact; the wheel leans about it.
    for (camber, caster, sai, radius, outboard, behind) in [
        (-1.5f64, 7.0f64, 9.0f64, 300.0, 60.0, 0.0),
        (2.0, -1.0, 14.0, 350.0, 40.0, 25.0),
    ] {
        let (c, k, s) = (camber.to_radians(), caster.to_radians(), sai.to_radians());
        let hub = Vector3::new(0.0, radius * c.sin(), radius * c.cos());
        let on_axis = hub - Vector3::new(behind, outboard, 0.0);
        let up = Vector3::new(-k.tan(), -s.tan(), 1.0);
        let ground = on_axis - up * on_axis.z;
        let found = angles(camber, caster, sai)
            .offsets(&lengths(radius, outboard, behind))
            .unwrap();
        near(
            "r_k",
            found.steering_axis_offset.value.mm(),
            -ground.y,
            1e-9,
        );
        near("n_k", found.trail.value.mm(), ground.x, 1e-9);
    }
}

#[test]
fn what_camber_and_sai_share_counts_in_their_sum() {
    let sum = |correlation: f64| {
        let standards = [
            0.1f64.to_radians(),
            0.05f64.to_radians(),
            0.2f64.to_radians(),
        ];
        let values = [-0.75, 4.0, 8.5].map(f64::to_radians);
        let all = Correlated::from_correlations(values, standards, |first, second| {
            if (first, second) == (0, 2) {
                correlation
            } else {
                0.0
            }
        });
        let included = WheelAngles::correlated(&all.unwrap(), 20.0).included();
        included.unwrap()
    };
    // A reader's textbook case: camber −0.75, SAI 8.5 → 7.75.
    near("IA", sum(0.0).value.deg(), 7.75, 1e-9);
    near(
        "independent",
        sum(0.0).standard.deg(),
        0.1f64.hypot(0.2),
        1e-9,
    );
    near("opposed", sum(-1.0).standard.deg(), 0.1, 1e-9);
    near("together", sum(1.0).standard.deg(), 0.3, 1e-9);
    let half = (0.01f64 + 0.04 + 2.0 * 0.5 * 0.02).sqrt();
    near("half", sum(0.5).standard.deg(), half, 1e-9);
    assert!(sum(0.0).degrees_of_freedom >= 20.0);
}

#[test]
fn a_level_frame_adds_its_angle() {
    // TM 5-4210-229-14&P, 4-162: frame down in front by the specified caster, so
    // nothing is measured.
    let frame = Entered::new(
        Angle::from_deg(1.5),
        Angle::from_deg(0.1),
        Source::FrameAngle,
    );
    let caster = level_caster(sensed(0.0, 0.05), frame).unwrap();
    near("level", caster.value.deg(), 1.5, 1e-9);
    assert_eq!(caster.largest().unwrap().source, Source::FrameAngle);
}
