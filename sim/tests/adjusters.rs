//! Adjusters, damage, ride height and play of the simulated car, and what tape and lamp show of
//! them, against closed forms and workshop manuals.
//!
//! The car works with points and rigid turns; what it is held against here are the formulas of the
//! geometry reference beside the checkout (§6 and §9) and the numbers of the manuals quoted there.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::car::{
    Adjuster, AdjusterKind, Bolt, BumpCurve, Car, Layout, Moves, Setting, Shifted, Suspension,
};
use hubplumb_sim::{Scenario, Wheel};
use nalgebra::Vector3;

const INCH_M: f64 = 0.0254;

/// The car of a shipped scenario, whole, with nothing to adjust yet.
fn whole_car() -> Car {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    Car::clone(scenario.car())
}

/// A car whose lower joints lie on the road wheel's own level plane of reference: an upright axis,
/// so that small-angle formulas have nothing to neglect but their own squares.
fn upright(suspension: Suspension) -> Car {
    let mut car = whole_car();
    car.workshop.suspension = [suspension; 4];
    let (corners, _) = car.workshop.as_made.as_mut().expect("a furnished car");
    for corner in corners.iter_mut().filter(|corner| corner.wheel.is_front()) {
        let s = corner.wheel.side().sign();
        corner.spindle = nalgebra::Unit::new_normalize(Vector3::y() * s);
        if let Some(steering) = &mut corner.steering {
            steering.direction = Vector3::z_axis();
        }
    }
    car.set(&Setting::new(&car.workshop)).expect("reaches")
}

fn wishbone(joint_height_m: f64, arm_m: f64, bolts_m: f64, joint_ahead_m: f64) -> Suspension {
    Suspension {
        layout: Layout::Wishbone {
            arm_m,
            bolts_m,
            joint_ahead_m,
        },
        joint_height_m,
        ..Suspension::default()
    }
}

/// Camber, caster, SAI, toe of a wheel, degrees.
#[derive(Debug, Clone, Copy)]
struct Angles {
    camber: f64,
    caster: f64,
    sai: f64,
    toe: f64,
}

fn angles(car: &Car, wheel: Wheel) -> Angles {
    let found = car.corner(wheel).angles_in(&car.rest_to_floor());
    let axis = found.steering;
    Angles {
        camber: found.camber_rad.to_degrees(),
        caster: axis.map_or(0.0, |axis| axis.caster_rad.to_degrees()),
        sai: axis.map_or(0.0, |axis| axis.sai_rad.to_degrees()),
        toe: found.toe_rad.to_degrees(),
    }
}

/// By how much the angles of both sides change when adjusters of one kind are turned; both sides
/// must change alike.
fn change(car: &Car, turns: &[(AdjusterKind, f64)]) -> Angles {
    let sides = [Wheel::FrontLeft, Wheel::FrontRight].map(|wheel| change_of(car, wheel, turns));
    let [left, right] = sides;
    for (one, other) in [
        (left.camber, right.camber),
        (left.caster, right.caster),
        (left.sai, right.sai),
        (left.toe, right.toe),
    ] {
        assert!((one - other).abs() < 1e-9, "{left:?} {right:?}");
    }
    left
}

fn change_of(car: &Car, wheel: Wheel, turns: &[(AdjusterKind, f64)]) -> Angles {
    let mut car = car.clone();
    for (index, (kind, _)) in turns.iter().enumerate() {
        car.workshop.adjusters.push(Adjuster {
            wheel,
            name: index.to_string(),
            kind: *kind,
            backlash: 0.0,
            unsettled: 0.0,
        });
    }
    let mut setting = Setting::new(&car.workshop);
    for (index, (_, by)) in turns.iter().enumerate() {
        setting
            .turn(&car.workshop, wheel, &index.to_string(), *by, Some(0.0))
            .expect("an adjuster");
    }
    let (before, after) = (
        angles(&car, wheel),
        angles(&car.set(&setting).expect("reaches"), wheel),
    );
    Angles {
        camber: after.camber - before.camber,
        caster: after.caster - before.caster,
        sai: after.sai - before.sai,
        toe: after.toe - before.toe,
    }
}

#[track_caller]
fn check(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found:.5} instead of {expected:.5}"
    );
}

fn shim(bolt: Bolt) -> AdjusterKind {
    AdjusterKind::UpperArmShim {
        bolt,
        inward: false,
    }
}

#[test]
fn a_tie_rod_turns_the_wheel_by_pitch_over_arm() {
    // Geometry reference, check value 28: 0.716, 0.651 and 1.155 ° per turn.
    let cases = [
        (1.5e-3, false, 0.120, 0.716),
        (1.25e-3, false, 0.110, 0.651),
        (INCH_M / 18.0, true, 0.140, 1.155),
    ];
    for (pitch_m, sleeve, arm_m, expected_deg) in cases {
        for behind in [true, false] {
            let car = upright(Suspension {
                steering_arm_m: if behind { -arm_m } else { arm_m },
                ..Suspension::default()
            });
            // Behind the axle longer is toe-in, ahead of it shorter (GM 1983, reference §9).
            let sign = if behind { 1.0 } else { -1.0 };
            let rod = AdjusterKind::TieRod { pitch_m, sleeve };
            let found = change(&car, &[(rod, sign)]);
            // A turn of 1° swings the arm's end aside by 1 % of the way, and the rod with it.
            check("toe per turn", found.toe, expected_deg, 0.003);
            check("camber", found.camber, 0.0, 1e-9);
            let back = change(&car, &[(rod, -sign)]);
            check("toe per turn back", back.toe, -expected_deg, 0.003);
        }
    }
}

#[test]
fn shims_under_the_upper_arm_follow_the_manuals() {
    // GM 1983 (check values 29, 30): 1/32 in at both bolts is about 1/5° of camber, moved from
    // rear to front about 1/2° of caster, which decreases; L 8.95 in, a/b 1.25, arm inside its
    // bracket, so that an added shim moves it in.
    let gm = upright(wishbone(8.95 * INCH_M, 0.25, 0.2, 0.0));
    let thick_m = INCH_M / 32.0;
    let both = change(&gm, &[(shim(Bolt::Both), thick_m)]);
    check("camber", both.camber, 0.2, 0.002);
    check("caster", both.caster, 0.0, 1e-6);
    let inward = |bolt| AdjusterKind::UpperArmShim { bolt, inward: true };
    let moved = change(
        &gm,
        &[
            (inward(Bolt::Rear), -thick_m),
            (inward(Bolt::Front), thick_m),
        ],
    );
    check("caster", moved.caster, -0.5, 0.005);
    check("camber", moved.camber, 0.0, 0.01);

    // Nissan D21 1997 (check value 31): front 1.0 mm, rear 3.0 mm for camber +30′, caster −30′.
    let nissan = upright(wishbone(0.2292, 0.2, 0.2, 0.0));
    let found = change(
        &nissan,
        &[(shim(Bolt::Front), 1.0e-3), (shim(Bolt::Rear), 3.0e-3)],
    );
    check("camber", found.camber, 0.5, 0.01);
    check("caster", found.caster, -0.5, 0.01);
}

#[test]
fn a_joint_off_the_middle_of_its_bolts_follows_the_table() {
    // TM 9-2320-280-34, table 20-3 (check values 32, 33): 0.12 in in front is caster +0.6, camber
    // +0.5; behind it is caster −0.6 and no camber. So the joint lies beside the front bolt; L and
    // a/b follow from the table: L = 0.12 in / tan 0.5°, a/b = tan 0.6° / tan 0.5°.
    let thick_m = 0.12 * INCH_M;
    let height_m = thick_m / 0.5_f64.to_radians().tan();
    let arm_m = 0.2 * 0.6_f64.to_radians().tan() / 0.5_f64.to_radians().tan();
    let car = upright(wishbone(height_m, arm_m, 0.2, 0.1));
    let cases = [
        ("front", thick_m, 0.0, 0.6, 0.5),
        ("rear", 0.0, thick_m, -0.6, 0.0),
        ("both", thick_m, thick_m, 0.0, 0.5),
        ("check value 33", thick_m, 0.5 * thick_m, 0.3, 0.5),
    ];
    for (name, front_m, rear_m, caster, camber) in cases {
        let turns = [(shim(Bolt::Front), front_m), (shim(Bolt::Rear), rear_m)];
        let found = change(&car, &turns);
        check(&format!("{name}, caster"), found.caster, caster, 0.01);
        // The joint goes round the far bolt, and by a² / 2 in: 0.01°.
        check(&format!("{name}, camber"), found.camber, camber, 0.02);
    }
}

#[test]
fn an_arm_moves_camber_and_sai_together_and_a_strut_bolt_camber_alone() {
    // Core rule of §6: a moved pivot leaves the included angle, a turned knuckle leaves SAI.
    let wishbone_car = upright(wishbone(0.23, 0.24, 0.2, 0.0));
    let arm = change(&wishbone_car, &[(shim(Bolt::Both), 3e-3)]);
    check("included angle", arm.sai + arm.camber, 0.0, 0.01);
    check(
        "camber",
        arm.camber,
        (3e-3_f64 / 0.23).asin().to_degrees(),
        0.005,
    );

    let strut_car = upright(Suspension {
        layout: Layout::Strut,
        joint_height_m: 0.55,
        ..Suspension::default()
    });
    let strut = change(
        &strut_car,
        &[(AdjusterKind::StrutBolt, 0.8_f64.to_radians())],
    );
    check("SAI", strut.sai, 0.0, 1e-9);
    check("caster", strut.caster, 0.0, 1e-9);
    check("camber", strut.camber, 0.8, 0.01);
    let lower = AdjusterKind::Eccentric {
        throw_m: 5e-3,
        mark_rad: 0.0,
        shifts: Shifted::LowerArm,
        lever_m: 1.0,
    };
    // e sin β over L (§9), camber going in as the lower joint goes out.
    let eccentric = change(&strut_car, &[(lower, 30.0_f64.to_radians())]);
    let expected = -(2.5e-3_f64 / 0.55).atan().to_degrees();
    check("camber", eccentric.camber, expected, 0.002);
    check(
        "included angle",
        eccentric.sai + eccentric.camber,
        0.0,
        0.002,
    );
}

#[test]
fn rear_eccentric_and_wedge_turn_the_wheel_by_their_own_closed_forms() {
    let car = whole_car();
    let link = |shifts| AdjusterKind::Eccentric {
        throw_m: 5e-3,
        mark_rad: 0.0,
        shifts,
        lever_m: 0.18,
    };
    let expected = (2.5e-3_f64 / 0.18).asin().to_degrees();
    let beta = 30.0_f64.to_radians();
    let turned = |shifts| change_of(&car, Wheel::RearLeft, &[(link(shifts), beta)]);
    check("toe", turned(Shifted::LinkBehind).toe, expected, 1e-6);
    check("toe", turned(Shifted::LinkAhead).toe, -expected, 1e-6);
    check("camber", turned(Shifted::UpperArm).camber, expected, 0.001);
    check("camber", turned(Shifted::LowerArm).camber, -expected, 0.001);
    // Thickness = plate diameter · tan Δ (§9): 1.0472 mm on 120 mm is half a degree.
    let wedge = AdjusterKind::ContactShim { plate_m: 0.12 };
    let thick_m = 0.12 * 0.5_f64.to_radians().tan();
    for wheel in [Wheel::RearLeft, Wheel::RearRight] {
        let found = change_of(&car, wheel, &[(wedge, thick_m)]);
        check("camber", found.camber, 0.5, 1e-4);
        check("toe", found.toe, 0.0, 1e-3);
    }
}

#[test]
fn damage_keeps_what_the_core_rule_says_it_keeps() {
    let damaged = |moves: Moves, suspension: Suspension| {
        let mut car = upright(suspension);
        let before = angles(&car, Wheel::FrontRight);
        car.workshop.damage[1] = moves;
        let car = car.set(&Setting::new(&car.workshop)).expect("reaches");
        let after = angles(&car, Wheel::FrontRight);
        (
            after.camber - before.camber,
            after.sai - before.sai,
            after.caster - before.caster,
        )
    };
    let strut = Suspension {
        layout: Layout::Strut,
        joint_height_m: 0.55,
        ..Suspension::default()
    };
    for suspension in [Suspension::default(), strut] {
        let knuckle = Moves {
            spindle_camber_rad: -1.2_f64.to_radians(),
            ..Moves::default()
        };
        let (camber, sai, caster) = damaged(knuckle, suspension);
        check("knuckle, camber", camber, -1.2, 1e-6);
        check("knuckle, SAI", sai, 0.0, 1e-9);
        check("knuckle, caster", caster, 0.0, 1e-9);

        let pivot = Moves {
            lower_m: Vector3::new(0.0, 6e-3, 0.0),
            ..Moves::default()
        };
        let (camber, sai, _) = damaged(pivot, suspension);
        assert!(camber < -0.5, "{camber}");
        check("pivot, included angle", camber + sai, 0.0, 0.03);
    }
    let tower = Moves {
        upper_m: Vector3::new(-0.01, -0.01, 0.0),
        ..Moves::default()
    };
    let (camber, sai, caster) = damaged(tower, strut);
    let expected = (0.01_f64 / 0.55).atan().to_degrees();
    check("tower, camber", camber, -expected, 0.02);
    check("tower, SAI", sai, expected, 0.02);
    check("tower, caster", caster, expected, 0.02);
}

#[test]
fn a_bent_steering_arm_shows_only_on_turns() {
    let mut car = whole_car();
    car.workshop.arm_bend_rad = [6.0_f64.to_radians(), 0.0];
    let plan = |car: &Car, steer_deg: f64| {
        let steer = hubplumb_sim::Jet::constant(steer_deg.to_radians());
        let state = hubplumb_sim::car::CarState {
            axis_turn: car.axis_turns(steer),
            steer,
            ..Default::default()
        };
        car.plate_rad(Wheel::FrontLeft, &state).to_degrees()
    };
    let sound = whole_car();
    check("straight", plan(&car, 0.0), plan(&sound, 0.0), 1e-9);
    // Steered in is to the right for a left wheel.
    let (right, left) = (plan(&sound, -20.0), plan(&sound, 20.0));
    let further = |in_deg: f64| {
        let sine = in_deg.to_radians().sin() + 6.0_f64.to_radians().sin();
        sine.asin().to_degrees() - 6.0
    };
    check("in", -plan(&car, -20.0), further(-right), 1e-6);
    check("out", -plan(&car, 20.0), further(-left), 1e-6);
    assert!(-plan(&car, -20.0) > -right + 0.3);
}

#[test]
fn ride_height_follows_the_bump_curve() {
    let mut car = whole_car();
    let per_mm = |deg: f64| deg.to_radians() * 1e3;
    car.workshop.bump = [BumpCurve {
        camber: [per_mm(0.012), 0.000_06_f64.to_radians() * 1e6],
        toe: [per_mm(-0.002), 0.0],
    }; 4];
    for height_mm in [-30.0, -10.0, 20.0] {
        let mut setting = Setting::new(&car.workshop);
        setting.heights_m = [height_mm * 1e-3; 4];
        let raised = car.set(&setting).expect("reaches");
        for wheel in Wheel::ALL {
            let (before, after) = (angles(&car, wheel), angles(&raised, wheel));
            let camber = height_mm * (0.012 + 0.000_06 * height_mm);
            check("camber", after.camber - before.camber, camber, 1e-3);
            check("toe", after.toe - before.toe, -0.002 * height_mm, 1e-3);
        }
    }
    // Front up by h pitches the body, and with it caster, by asin(h / wheelbase), to the rear.
    let mut flat = whole_car();
    flat.workshop.bump = [BumpCurve::default(); 4];
    let mut setting = Setting::new(&flat.workshop);
    (setting.heights_m[0], setting.heights_m[1]) = (0.05, 0.05);
    let raised = flat.set(&setting).expect("reaches");
    let expected = (0.05_f64 / 2.56).asin().to_degrees();
    let (before, after) = (
        angles(&flat, Wheel::FrontLeft),
        angles(&raised, Wheel::FrontLeft),
    );
    check("caster", after.caster - before.caster, expected, 0.01);
}
