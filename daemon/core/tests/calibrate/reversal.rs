//! A board turned end for end.

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::{NotReversed, Pose, Reversal, ReversalSetup, TurnSeen};
use hubplumb_core::calibration::Calibration;
use hubplumb_core::frames::{Board, Dir};
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;

use crate::made_board::{Dice, pose};

const NOISE_G: f64 = 1e-4;
const OFFSET_G: [f64; 3] = [0.012, -0.02, 0.03];

/// The spindle, along Z of the board, leaning by `lean_deg`; up is near Y when
/// `swing_deg` is zero. Turned about Y or about X.
fn pair(lean_deg: f64, swing_deg: f64, about_y: bool) -> (Pose, Pose) {
    let (lean, swing) = (lean_deg.to_radians(), swing_deg.to_radians());
    let up = [
        lean.cos() * swing.sin(),
        lean.cos() * swing.cos(),
        lean.sin(),
    ];
    let turned = if about_y {
        [-up[0], up[1], -up[2]]
    } else {
        [up[0], -up[1], -up[2]]
    };
    let read = |u: [f64; 3]| pose(std::array::from_fn(|i| u[i] + OFFSET_G[i]), NOISE_G);
    (read(up), read(turned))
}

fn setup(about: Dir<Board>) -> ReversalSetup {
    ReversalSetup::new(Dir::z_axis(), about, Angle::from_deg(0.05)).unwrap()
}

#[test]
fn offset_and_lean_are_told_apart() {
    let check = |lean_deg: f64, swing_deg: f64, about_y: bool, turn: TurnSeen| {
        let (first, second) = pair(lean_deg, swing_deg, about_y);
        let about = if about_y {
            Dir::y_axis()
        } else {
            Dir::x_axis()
        };
        let found = Reversal::between(&setup(about), &first, &second).unwrap();
        assert!((found.offset_g - OFFSET_G[2]).abs() < 1e-12, "{found:?}");
        // The length is that of a reading with offsets in it.
        let within_deg = 0.03 * lean_deg.abs() + 1e-9;
        assert!(
            (found.lean.value.deg() - lean_deg).abs() <= within_deg,
            "{found:?}"
        );
        assert_eq!(found.turn, turn, "{found:?}");
        let seat_g = lean_deg.to_radians().cos() * 0.05f64.to_radians();
        let expected = 0.5 * (2.0 * NOISE_G * NOISE_G + seat_g * seat_g).sqrt();
        assert!(
            (found.offset_standard_g / expected - 1.0).abs() < 0.03,
            "{found:?}"
        );
    };
    check(-0.7, 0.0, false, TurnSeen::ByGravity);
    check(2.0, 30.0, false, TurnSeen::ByGravity);
    check(12.0, -50.0, false, TurnSeen::ByGravity);
    check(-0.7, 1.0, true, TurnSeen::Unseen);
    check(5.0, 0.0, true, TurnSeen::ByGravity);
}

#[test]
fn the_stated_uncertainty_is_that_of_noise_and_seat() {
    let seat = 0.05f64.to_radians();
    let mut dice = Dice::new(77);
    let mut within = 0;
    for _ in 0..2000 {
        let (first, second) = pair(-0.7, 10.0, false);
        let mut noisy = |of: &Pose, seat: f64| {
            let [x, y, z] = of.accel_g.to_array();
            let n = dice.triple(NOISE_G);
            // Seated askew about X: what gravity has along Y leaks along Z.
            let askew = dice.normal(seat);
            pose([x + n[0], y + n[1], z + n[2] + askew * y], NOISE_G)
        };
        let (first, second) = (noisy(&first, 0.0), noisy(&second, seat));
        let found = Reversal::between(&setup(Dir::x_axis()), &first, &second).unwrap();
        let off = (found.offset_g - OFFSET_G[2]).abs();
        within += u32::from(off <= 1.96 * found.offset_standard_g);
    }
    let share = f64::from(within) / 2000.0;
    println!("{:.1} % within 1.96 sigma", 100.0 * share);
    assert!((0.93..=0.97).contains(&share), "{share}");
}

#[test]
fn the_offset_found_is_taken_out_of_the_calibration() {
    let (first, second) = pair(-0.7, 0.0, false);
    let found = Reversal::between(&setup(Dir::x_axis()), &first, &second).unwrap();
    let corrected = found.corrected(&Calibration::none()).unwrap();
    let raw = RawSample {
        at: HostTime::from_us(0),
        accel_g: first.accel_g,
        rate_radps: None,
        temperature_c: None,
    };
    let seen = corrected.apply(&raw).accel_g;
    assert!(
        (seen.z() - (-0.7_f64).to_radians().sin()).abs() < 1e-12,
        "{seen:?}"
    );
    assert!((seen.x() - first.accel_g.x()).abs() < 1e-15);
}

#[test]
fn what_is_no_reversal_is_refused() {
    let check =
        |about: Dir<Board>, first: &Pose, second: &Pose, expected: fn(&NotReversed) -> bool| {
            let refused = Reversal::between(&setup(about), first, second).unwrap_err();
            assert!(expected(&refused), "{refused:?}");
            println!("{refused}");
        };
    let (first, second) = pair(1.0, 0.0, false);
    // Left as it was, though gravity would have shown the turn.
    check(
        Dir::x_axis(),
        &first,
        &first,
        |e| matches!(e, NotReversed::NotMirrored { found_g, .. } if *found_g > 1.8),
    );
    // Turned about the other axis than said.
    check(
        Dir::y_axis(),
        &first,
        &second,
        |e| matches!(e, NotReversed::NotKept { found_g, .. } if *found_g > 1.8),
    );
    // Left as it was, and turned about the plumb line if at all: the lean is no offset.
    let (leaning, _) = pair(8.0, 0.0, true);
    check(Dir::y_axis(), &leaning, &leaning, |e| {
        matches!(e, NotReversed::OffsetTooLarge { .. })
    });
    // The turn missed half a turn by ten degrees.
    let (_, missed) = pair(1.0, 10.0, false);
    check(Dir::x_axis(), &first, &missed, |e| {
        matches!(e, NotReversed::NotKept { .. })
    });
    let metric = pose([0.0, 9.81, 0.0], NOISE_G);
    check(Dir::x_axis(), &first, &metric, |e| {
        matches!(e, NotReversed::NotOneGravity { pose: 1, .. })
    });
    let nothing = pose([f64::NAN, 1.0, 0.0], NOISE_G);
    check(Dir::x_axis(), &nothing, &second, |e| {
        matches!(e, NotReversed::NotOneGravity { pose: 0, .. })
    });
    assert!(matches!(
        ReversalSetup::new(Dir::z_axis(), Dir::z_axis(), Angle::from_deg(0.1)),
        Err(NotReversed::NotSquare { .. })
    ));
}
