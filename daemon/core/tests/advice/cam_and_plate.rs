//! Eccentrics, plates and amounts; plates against a rotation in space.

use hubplumb_core::adjust::{
    AdjustError, Change, Eccentric, Effect, Named, PerUnit, PlateShim, RodPlace, StrutSlot, Way,
    WheelAngle, toe_from_camber,
};
use hubplumb_core::angle::Angle;
use hubplumb_core::side::Side;
use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;

const CAM: Eccentric = Eccentric {
    sets: WheelAngle::Camber,
    throw_mm: 5.0,
    lever_mm: 250.0,
    mark: Angle::ZERO,
    mark_spacing: Some(Angle::from_deg(10.0)),
};

fn camber(deg: f64) -> Change {
    Change::only(WheelAngle::Camber, Angle::from_deg(deg))
}

#[test]
fn a_cam_shifts_by_the_sine_of_its_mark() {
    // 5 mm at 250 mm is 1.1459° at the most; sin 30° is half of it.
    let most_deg = (5.0 / 250.0_f64).to_degrees();
    let check = |from_deg: f64, share: f64, way: Way, turn_deg: f64| {
        let cam = Eccentric {
            mark: Angle::from_deg(from_deg),
            ..CAM
        };
        let found = cam.advise(&camber(most_deg * share)).unwrap();
        assert_eq!(found.way, way, "{found:?}");
        assert!((found.turn.deg() - turn_deg).abs() < 1e-4, "{found:?}");
        assert!((found.shift_mm - 5.0 * share).abs() < 1e-9, "{found:?}");
    };
    check(0.0, 0.5, Way::MarkTowardsPlus, 30.0);
    check(0.0, -0.5, Way::MarkTowardsMinus, 30.0);
    check(30.0, 0.5, Way::MarkTowardsPlus, 60.0);
    check(30.0, -1.0, Way::MarkTowardsMinus, 60.0);
    // A mark beyond the end of the throw works backwards.
    check(150.0, -0.5, Way::MarkTowardsPlus, 30.0);
    assert!((CAM.reach().unwrap().deg() - most_deg).abs() < 1e-9);
}

#[test]
fn marks_are_counted_and_leave_something_over() {
    let found = CAM.advise(&camber(0.3)).unwrap();
    // asin(0.3/1.1459) = 15.18°, one mark and a half; two marks make 0.3919°.
    assert!((found.marks.unwrap() - 1.518).abs() < 1e-3, "{found:?}");
    assert!(
        (found.left_over.unwrap().deg() + 0.0919).abs() < 1e-3,
        "{found:?}"
    );
}

#[test]
fn beyond_the_throw_is_refused() {
    let cam = Eccentric {
        mark: Angle::from_deg(30.0),
        ..CAM
    };
    let found = cam.advise(&camber(1.0));
    assert!(
        matches!(found, Err(AdjustError::BeyondReach { needed, reach })
            if (needed - 4.363).abs() < 1e-3 && (reach - 2.5).abs() < 1e-9),
        "{found:?}"
    );
}

#[test]
fn a_plate_of_one_angle_is_its_diameter_times_the_tangent() {
    let check = |side, camber_deg: f64, toe_deg: f64, clock: f64| {
        let plate = PlateShim {
            diameter_mm: 150.0,
            side,
        };
        let mut wanted = camber(camber_deg);
        wanted.toe = Angle::from_deg(toe_deg);
        let found = plate.advise(&wanted).unwrap();
        let hours = found.thick_edge_clock.unwrap();
        assert!((hours - clock).abs() < 1e-9, "{side:?} {hours} not {clock}");
        // 150 tan 0.5° = 1.309 mm.
        assert!((found.thickness_mm - 1.309).abs() < 1e-3, "{found:?}");
    };
    for side in Side::BOTH {
        check(side, 0.5, 0.0, 12.0);
        check(side, -0.5, 0.0, 6.0);
    }
    // The rear of the car is on the right of who looks at a left wheel.
    check(Side::Left, 0.0, 0.5, 3.0);
    check(Side::Right, 0.0, 0.5, 9.0);
    check(Side::Left, 0.0, -0.5, 9.0);
    let none = PlateShim {
        diameter_mm: 150.0,
        side: Side::Left,
    };
    let none = none.advise(&camber(0.0)).unwrap();
    assert_eq!((none.thickness_mm, none.thick_edge_clock), (0.0, None));
}

proptest! {
    /// A face lifted by the plate: its normal, by the cross product of two lines in
    /// it, is the spindle with the wanted camber and toe.
    #[test]
    fn a_plate_tilts_the_spindle_as_wanted(camber_deg in -2.0..2.0f64, toe_deg in -2.0..2.0f64) {
        let plate = PlateShim { diameter_mm: 150.0, side: Side::Left };
        let mut wanted = camber(camber_deg);
        wanted.toe = Angle::from_deg(toe_deg);
        let found = plate.advise(&wanted).unwrap();
        // x forward, o outboard, z up; the thick edge from the top towards the rear.
        let thick = found.thick_edge_from_top.rad();
        let slope = found.thickness_mm / 150.0;
        let outward = |x: f64, z: f64| slope * (z * thick.cos() - x * thick.sin());
        let forward = Vector3::new(1.0, outward(1.0, 0.0), 0.0);
        let up = Vector3::new(0.0, outward(0.0, 1.0), 1.0);
        // In this mirrored frame up × forward points outboard.
        let spindle = up.cross(&forward).normalize();
        let toe = spindle.x.atan2(spindle.y).to_degrees();
        let found_camber = -spindle.z.asin().to_degrees();
        prop_assert!((found_camber - camber_deg).abs() < 1e-9, "{found_camber} {camber_deg}");
        prop_assert!((toe - toe_deg).abs() < 1e-9, "{toe} {toe_deg}");
    }

    /// A knuckle tilted about its lower joint, then steered until the rod's end is
    /// as far from the middle of the car as before.
    #[test]
    fn camber_moves_toe_by_the_steering_arm(
        camber_deg in -1.0..1.0f64, above in -150.0..250.0f64, arm in 80.0..180.0f64,
    ) {
        for (place, ahead) in [(RodPlace::BehindAxle, -1.0), (RodPlace::AheadOfAxle, 1.0)] {
            let camber = Angle::from_deg(camber_deg);
            let toe = toe_from_camber(camber, above, arm, place).unwrap();
            // Left wheel, ISO axes: x forward, y left (outboard), z up. Top out is a
            // turn by −camber about x, toe-in of the left wheel one by −toe about z.
            let end = Vector3::new(ahead * arm, 0.0, above);
            let tilt = Rotation3::from_axis_angle(&Vector3::x_axis(), -camber.rad());
            let steer = Rotation3::from_axis_angle(&Vector3::z_axis(), -toe.rad());
            let moved = steer * (tilt * end);
            // Second order in both angles is left.
            let allowed = 400.0 * (camber.rad().abs() + toe.rad().abs()).powi(2);
            prop_assert!(moved.y.abs() <= allowed, "{} mm", moved.y);
        }
    }
}

#[test]
fn a_strut_slot_has_a_lever_and_an_end() {
    let slot = StrutSlot {
        lever_mm: 60.0,
        reach_mm: Some([1.5, 0.5]),
    };
    let found = slot.advise(&camber(1.0)).unwrap();
    // 60 mm × 1° in rad.
    assert_eq!(found.way, Way::TopOut);
    assert!(
        (found.units - 60.0 * std::f64::consts::PI / 180.0).abs() < 1e-9,
        "{found:?}"
    );
    assert!(matches!(
        slot.advise(&camber(-1.0)),
        Err(AdjustError::BeyondReach { needed, reach: -0.5 }) if needed < -1.0
    ));
}

#[test]
fn the_owners_own_adjuster() {
    let mut link = Named {
        name: "drop link".into(),
        unit: "notch".into(),
        sets: WheelAngle::Camber,
        effect: PerUnit::mainly(WheelAngle::Camber, Angle::from_deg(-0.25)),
        reach_units: Some([4.0, 4.0]),
    };
    let found = link.advise(&camber(0.5)).unwrap();
    assert_eq!((found.way, found.units), (Way::OwnMinus, 2.0));
    assert!(link.advise(&camber(1.5)).is_err());
    link.effect = PerUnit::UNKNOWN;
    assert_eq!(link.effect.camber, Effect::MeasureAgain);
    assert!(matches!(
        link.advise(&camber(0.5)),
        Err(AdjustError::EffectUnknown { .. })
    ));
}
