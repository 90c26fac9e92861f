//! Turns, flats and both sides.

use hubplumb_core::adjust::{
    AdjustError, Change, Dimension, RodPlace, Thread, TieRod, Way, WheelAngle, both_sides,
    straight_ahead,
};
use hubplumb_core::angle::Angle;

const ROD: TieRod = TieRod {
    pitch_mm: 1.5,
    arm_mm: 120.0,
    place: RodPlace::BehindAxle,
    thread: Thread::Single,
    may_lengthen_turns: Some(2.0),
    may_shorten_turns: Some(1.0),
};

fn toe(deg: f64) -> Change {
    Change::only(WheelAngle::Toe, Angle::from_deg(deg))
}

#[test]
fn turns_and_flats_with_their_direction() {
    // 0.7162° a turn, so 0.1194° a flat.
    let check = |place, deg: f64, way, flats: f64, whole: f64| {
        let rod = TieRod { place, ..ROD };
        let found = rod.advise(&toe(deg)).unwrap();
        assert_eq!((found.way, found.whole_flats), (way, whole), "{deg}");
        assert!((found.flats - flats).abs() < 0.01, "{deg}: {found:?}");
        assert!((found.turns * 6.0 - found.flats).abs() < 1e-12);
        assert!(
            found.left_over.abs().deg() <= 0.5 * 0.1194 + 1e-4,
            "{found:?}"
        );
        let made = rod.toe_per_turn().unwrap() * (found.longer_mm / 1.5);
        assert!((made.deg() - deg).abs() < 1e-12, "{found:?}");
    };
    check(RodPlace::BehindAxle, 0.3, Way::Lengthen, 2.513, 3.0);
    check(RodPlace::BehindAxle, -0.3, Way::Shorten, 2.513, 3.0);
    check(RodPlace::AheadOfAxle, 0.3, Way::Shorten, 2.513, 3.0);
    check(RodPlace::AheadOfAxle, -1.0, Way::Lengthen, 8.378, 8.0);
    check(RodPlace::BehindAxle, 0.0, Way::Leave, 0.0, 0.0);
}

#[test]
fn what_cannot_be_turned_is_refused() {
    let check = |rod: TieRod, wanted: Change, expected: AdjustError| {
        assert_eq!(rod.advise(&wanted), Err(expected));
    };
    assert!(matches!(
        ROD.advise(&toe(-0.8)),
        Err(AdjustError::BeyondThread { needed_turns, left_turns: 1.0 }) if needed_turns < -1.1
    ));
    assert!(ROD.advise(&toe(0.8)).is_ok());
    for found in [0.0, -1.0, f64::INFINITY] {
        check(
            TieRod {
                arm_mm: found,
                ..ROD
            },
            toe(0.1),
            AdjustError::Dimension {
                dimension: Dimension::SteeringArm,
                found,
            },
        );
    }
    check(ROD, toe(f64::NAN), AdjustError::NotFinite);
    let camber = Change::only(WheelAngle::Camber, Angle::from_rad(0.01));
    check(
        ROD,
        camber,
        AdjustError::DoesNotSet {
            angle: WheelAngle::Camber,
            wanted_rad: 0.01,
        },
    );
}

#[test]
fn the_steering_wheel_comes_straight() {
    // Rear L +0.30 R −0.10: thrust +0.20 to the right (formula of a 2004 workshop manual
    // of Mercury). Front L 0.15 R 0.05 then steers −0.15 ahead: to run along the thrust
    // line with the wheel straight, left has to grow by that and right to shrink.
    let wanted = straight_ahead(
        [Angle::from_deg(0.15), Angle::from_deg(0.05)],
        Angle::from_deg(0.20),
        Angle::from_deg(0.20),
    );
    for (found, expected) in wanted.into_iter().zip([0.15, -0.15]) {
        assert!((found.deg() - expected).abs() < 1e-12, "{wanted:?}");
    }
    let axle = both_sides(&ROD, &ROD, wanted).unwrap();
    assert_eq!(axle.left.way, Way::Lengthen);
    assert_eq!(axle.right.way, Way::Shorten);
    // 0.15° at 120 mm is 0.314 mm of rod on each side.
    assert!((axle.difference_mm - 0.628).abs() < 1e-3, "{axle:?}");
}

#[test]
fn alike_on_both_sides_keeps_the_rods_alike() {
    let axle = both_sides(&ROD, &ROD, [Angle::from_deg(0.2); 2]).unwrap();
    assert_eq!(axle.left, axle.right);
    assert_eq!(axle.difference_mm, 0.0);
}
