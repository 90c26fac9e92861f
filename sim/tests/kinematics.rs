//! The car's kinematics against closed equations and published check values.
//!
//! "Reference" below is the geometry reference beside the checkout: (E1) and (E2) are derived
//! there and verified against a rotation model of its own; numbers carry the number of its table.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::Jet;
use hubplumb_sim::car::{
    AxisAngles, BodyMotion, Car, CarState, Corner, Linkage, Slope, SteeringAxis, Wheel, Workshop,
    axis_direction, heading_rad, spindle_direction,
};
use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;

/// Angles of a front wheel, degrees, for a table line.
#[derive(Debug, Clone, Copy)]
struct Front {
    caster: f64,
    sai: f64,
    camber: f64,
    toe: f64,
}

fn corner(wheel: Wheel, front: Front) -> Corner {
    let s = wheel.side().sign();
    let angles = AxisAngles {
        caster_rad: front.caster.to_radians(),
        sai_rad: front.sai.to_radians(),
    };
    Corner {
        wheel,
        centre_m: Vector3::new(if wheel.is_front() { 0.0 } else { -2.5 }, s * 0.75, 0.0),
        spindle: spindle_direction(wheel, front.camber.to_radians(), front.toe.to_radians()),
        steering: wheel.is_front().then(|| SteeringAxis {
            direction: axis_direction(wheel, angles),
            to_centre_m: Vector3::new(0.0, s * 0.08, 0.0),
        }),
        radius_m: 0.31,
    }
}

fn level_car(front: Front) -> Car {
    Car {
        name: "Test frame".to_owned(),
        corners: Wheel::ALL.map(|wheel| corner(wheel, front)),
        linkage: Linkage::Parallel,
        body: BodyMotion::default(),
        floor: Slope::default(),
        gravity_mps2: 9.81,
        workshop: Workshop::default(),
    }
}

fn steered(car: &Car, plan_deg: f64) -> CarState {
    let steer = Jet::constant(plan_deg.to_radians());
    CarState {
        steer,
        axis_turn: car.axis_turns(steer),
        ..CarState::default()
    }
}

/// Camber and toe heading of a wheel steered to a plan angle, rad.
fn camber_and_heading(car: &Car, wheel: Wheel, plan_deg: f64) -> (f64, f64) {
    let n = car.spindle_on_floor(wheel, &steered(car, plan_deg));
    ((-n.z).asin(), heading_rad(wheel, &n))
}

/// Pitch of the hub's forward axis and its heading to the left, rad.
fn pitch_and_heading(car: &Car, wheel: Wheel, plan_deg: f64) -> (f64, f64) {
    let frame = car.hub_frame(wheel, &steered(car, plan_deg));
    let forward = frame.to_level * Vector3::x();
    (forward.z.asin(), forward.y.atan2(forward.x))
}

#[test]
fn camber_at_the_stops_meets_the_check_values() {
    // (reference number, angles, plan angle, camber steered in, camber steered out), degrees.
    // Steered in means the front of the wheel goes inboard, so it is the outer wheel of the turn.
    let lines = [
        (
            6,
            Front {
                caster: 5.0,
                sai: 13.0,
                camber: -0.5,
                toe: 0.0,
            },
            20.0,
            -1.4131,
            2.0188,
        ),
        (
            7,
            Front {
                caster: 5.0,
                sai: 13.0,
                camber: -0.5,
                toe: 0.0,
            },
            10.0,
            -1.1672,
            0.5715,
        ),
        (
            10,
            Front {
                caster: 0.0,
                sai: 13.0,
                camber: 0.0,
                toe: 0.0,
            },
            20.0,
            0.7990,
            0.7990,
        ),
    ];
    for (number, front, plan_deg, expected_in, expected_out) in lines {
        let car = level_car(front);
        for (wheel, inward) in [(Wheel::FrontLeft, -1.0), (Wheel::FrontRight, 1.0)] {
            let (camber_in, _) = camber_and_heading(&car, wheel, inward * plan_deg);
            let (camber_out, _) = camber_and_heading(&car, wheel, -inward * plan_deg);
            assert!(
                (camber_in.to_degrees() - expected_in).abs() < 5e-5,
                "#{number} {wheel} in"
            );
            assert!(
                (camber_out.to_degrees() - expected_out).abs() < 5e-5,
                "#{number} {wheel} out"
            );
        }
    }
}

#[test]
fn the_two_reading_rule_reads_as_high_as_the_reference_says() {
    // #6 by rule K (γ_out − γ_in), K = 1/(2 sin 20°): 5.0170; #7: 5.0064. Reference, table of check values.
    let car = level_car(Front {
        caster: 5.0,
        sai: 13.0,
        camber: -0.5,
        toe: 0.0,
    });
    for (plan_deg, expected) in [(20.0_f64, 5.0170), (10.0, 5.0064)] {
        let (camber_in, _) = camber_and_heading(&car, Wheel::FrontLeft, -plan_deg);
        let (camber_out, _) = camber_and_heading(&car, Wheel::FrontLeft, plan_deg);
        let rule = (camber_out - camber_in).to_degrees() / (2.0 * plan_deg.to_radians().sin());
        assert!((rule - expected).abs() < 1e-4, "{rule} for {expected}");
    }
}

#[test]
fn equal_turns_about_the_axis_need_the_lean_correction() {
    // #9: C 15, S 15, γ 0, turned ±20° about the axis: 14.375 without the lean of the axis, 15 with it.
    let car = level_car(Front {
        caster: 15.0,
        sai: 15.0,
        camber: 0.0,
        toe: 0.0,
    });
    let sin_camber = |turn_deg: f64| {
        let turn = Jet::constant(turn_deg.to_radians());
        let state = CarState {
            axis_turn: [turn; 2],
            ..CarState::default()
        };
        -car.spindle_on_floor(Wheel::FrontLeft, &state).z
    };
    // The left wheel turned to the left is steered out.
    let (out, inward) = (sin_camber(20.0), sin_camber(-20.0));
    let two_sines = 2.0 * 20.0_f64.to_radians().sin();
    let rule_deg = (out.asin() - inward.asin()).to_degrees() / two_sines;
    let t = (out - inward) / two_sines;
    let corrected = t * ((1.0 + 15.0_f64.to_radians().tan().powi(2)) / (1.0 - t * t)).sqrt();
    assert!((rule_deg - 14.375).abs() < 1e-3, "{rule_deg}");
    assert!((corrected.atan().to_degrees() - 15.0).abs() < 1e-9);
}

#[test]
fn scrub_and_trail_meet_the_check_values() {
    // #23: r_σ 80 mm, R 310, S 13, γ −0.5: r_k 11.14 mm. #24: C 5, γ −0.5: trail 27.12 mm, and
    // 17.12 with the axis 10 mm behind the wheel centre.
    let front = Front {
        caster: 5.0,
        sai: 13.0,
        camber: -0.5,
        toe: 0.0,
    };
    for (behind_m, trail_mm) in [(0.0, 27.12), (0.010, 17.12)] {
        for wheel in [Wheel::FrontLeft, Wheel::FrontRight] {
            let mut corner = corner(wheel, front);
            if let Some(steering) = corner.steering.as_mut() {
                steering.to_centre_m.x = behind_m;
            }
            let offsets = corner.ground_offsets().expect("a front wheel steers");
            assert!(
                (offsets.steering_offset_m * 1e3 - 11.14).abs() < 5e-3,
                "{offsets:?}"
            );
            assert!(
                (offsets.caster_trail_m * 1e3 - trail_mm).abs() < 5e-3,
                "{offsets:?}"
            );
        }
    }
}

fn any_front() -> impl Strategy<Value = Front> {
    (-4.0..15.0, 2.0..20.0, -5.0..4.0, -1.5..1.5).prop_map(|(caster, sai, camber, toe)| Front {
        caster,
        sai,
        camber,
        toe,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn e1_is_constant_along_a_swing(front in any_front(), right in any::<bool>()) {
        let wheel = if right { Wheel::FrontRight } else { Wheel::FrontLeft };
        let car = level_car(front);
        let (tan_c, tan_s) = (front.caster.to_radians().tan(), front.sai.to_radians().tan());
        // Per-wheel frame of (E1): heading counts as toe-in, so minus the left turn on the left.
        let e1 = |plan_deg: f64| {
            let (camber, heading) = camber_and_heading(&car, wheel, plan_deg);
            let toe = -wheel.side().sign() * heading;
            tan_c * toe.sin() * camber.cos() + tan_s * toe.cos() * camber.cos() + camber.sin()
        };
        let straight = e1(0.0);
        for plan in -40..=40 {
            prop_assert!((e1(f64::from(plan)) - straight).abs() < 1e-9);
        }
    }

    #[test]
    fn e2_is_constant_along_a_swing_with_the_brake_locked(front in any_front(), right in any::<bool>()) {
        let wheel = if right { Wheel::FrontRight } else { Wheel::FrontLeft };
        let car = level_car(front);
        let (tan_c, tan_s) = (front.caster.to_radians().tan(), front.sai.to_radians().tan());
        let e2 = |plan_deg: f64| {
            let (pitch, heading) = pitch_and_heading(&car, wheel, plan_deg);
            let psi = -wheel.side().sign() * heading;
            tan_s * pitch.cos() * psi.sin() - tan_c * pitch.cos() * psi.cos() + pitch.sin()
        };
        let straight = e2(0.0);
        for plan in -40..=40 {
            prop_assert!((e2(f64::from(plan)) - straight).abs() < 1e-9);
        }
    }

    #[test]
    fn the_wheel_takes_the_plan_angle_it_is_given(front in any_front(), plan_deg in -55.0..55.0_f64) {
        let car = level_car(front);
        let state = steered(&car, plan_deg);
        for wheel in [Wheel::FrontLeft, Wheel::FrontRight] {
            prop_assert!((car.plate_rad(wheel, &state).to_degrees() - plan_deg).abs() < 1e-9);
        }
    }

    #[test]
    fn angles_survive_the_way_through_vectors(front in any_front()) {
        for wheel in Wheel::ALL {
            let angles = corner(wheel, front).angles_in(&Rotation3::identity());
            prop_assert!((angles.camber_rad.to_degrees() - front.camber).abs() < 1e-12);
            prop_assert!((angles.toe_rad.to_degrees() - front.toe).abs() < 1e-12);
            if let Some(axis) = angles.steering {
                prop_assert!((axis.caster_rad.to_degrees() - front.caster).abs() < 1e-12);
                prop_assert!((axis.sai_rad.to_degrees() - front.sai).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn the_turn_about_the_axis_has_exact_derivatives(front in any_front(), t in 0.05..0.95_f64) {
        let car = level_car(front);
        let at = |t: f64| car.axis_turns(Jet::minimum_jerk(-0.4, 0.6, t, 1.0))[0];
        let h = 1e-5;
        let rate = (at(t + h).value - at(t - h).value) / (2.0 * h);
        let accel = (at(t + h).rate - at(t - h).rate) / (2.0 * h);
        // Differences of step 1e-5 over values of order 1 are good to about 1e-8.
        prop_assert!((rate - at(t).rate).abs() < 1e-7);
        prop_assert!((accel - at(t).accel).abs() < 1e-6);
    }
}

#[test]
fn a_sloping_floor_shifts_the_angles_against_gravity_as_the_cases_say() {
    // Conventions of the reference cases: against gravity camber reads camber − s·roll and SAI reads
    // SAI + s·roll, caster reads caster − pitch (to second order; slope 0.1° keeps that below 2e-3°).
    let front = Front {
        caster: 6.0,
        sai: 13.0,
        camber: -1.0,
        toe: 0.0,
    };
    let slope = Slope {
        roll_rad: 0.1_f64.to_radians(),
        pitch_rad: 0.1_f64.to_radians(),
    };
    for wheel in [Wheel::FrontLeft, Wheel::FrontRight] {
        let s = wheel.side().sign();
        let angles = corner(wheel, front).angles_in(&slope.rotation());
        let axis = angles.steering.expect("a front wheel steers");
        assert!((angles.camber_rad.to_degrees() - (front.camber - s * 0.1)).abs() < 2e-3);
        // A projection of a leaning axis changes by 1/cos² of its own lean: allow 7 % of the slope.
        assert!((axis.sai_rad.to_degrees() - (front.sai + s * 0.1)).abs() < 7e-3);
        assert!((axis.caster_rad.to_degrees() - (front.caster - 0.1)).abs() < 7e-3);
    }
}
