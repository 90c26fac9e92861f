//! Figures that manuals print, and worked examples.

use hubplumb_core::adjust::{
    BoltPair, BracketSide, Change, RodPlace, Thread, TieRod, UpperArm, WheelAngle,
};
use hubplumb_core::angle::Angle;

/// A thirty-second of an inch, mm.
const SHIM_MM: f64 = 25.4 / 32.0;
/// The shim of table 20-3 of TM 9-2320-280-34, mm.
const TABLE_SHIM_MM: f64 = 0.12 * 25.4;

pub(crate) fn change_deg(camber: f64, caster: f64) -> Change {
    Change {
        camber: Angle::from_deg(camber),
        caster: Angle::from_deg(caster),
        toe: Angle::ZERO,
    }
}

fn near(what: &str, found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{what}: {found}, expected {expected} ± {within}"
    );
}

#[test]
fn toe_per_turn_of_three_rods() {
    // Lead over arm in rad, worked by hand: 1.5/120, 1.25/110, 2 × 25.4/18/140.
    let check = |pitch_mm: f64, arm_mm: f64, thread: Thread, expected: f64| {
        let rod = TieRod {
            pitch_mm,
            arm_mm,
            place: RodPlace::BehindAxle,
            thread,
            may_lengthen_turns: None,
            may_shorten_turns: None,
        };
        near("toe", rod.toe_per_turn().unwrap().deg(), expected, 5e-4);
        let ahead = TieRod {
            place: RodPlace::AheadOfAxle,
            ..rod
        };
        near(
            "ahead",
            ahead.toe_per_turn().unwrap().deg(),
            -expected,
            5e-4,
        );
    };
    check(1.5, 120.0, Thread::Single, 0.716);
    check(1.25, 110.0, Thread::Single, 0.651);
    check(25.4 / 18.0, 140.0, Thread::LeftRightSleeve, 1.155);
}

/// General Motors, 1983: joints 8.95 in apart, arm over bolt spacing 1.25, a
/// shim that moves this arm in.
fn arm_of_1983() -> UpperArm {
    UpperArm {
        height_mm: 8.95 * 25.4,
        spacing_mm: 100.0,
        arm_mm: 125.0,
        bracket: BracketSide::ShimMovesIn,
    }
}

#[test]
fn a_thirty_second_at_both_bolts_is_a_fifth_of_a_degree() {
    // General Motors, 1983: "approximately 1/5°"; the arm moves in, so camber falls.
    let pair = arm_of_1983().pair().unwrap();
    let change = pair.changed([SHIM_MM, SHIM_MM]);
    near("camber", change.camber.deg(), -0.2, 1e-3);
    near("caster", change.caster.deg(), 0.0, 1e-12);
}

#[test]
fn a_thirty_second_from_rear_to_front_is_half_a_degree() {
    // General Motors, 1983: rear to front decreases caster by about ½°. Adding a
    // shim at the front moves that end in, taking it from the rear lets that end out.
    let pair = arm_of_1983().pair().unwrap();
    let change = pair.changed([SHIM_MM, -SHIM_MM]);
    near("caster", change.caster.deg(), -0.50, 1e-3);
    near("camber", change.camber.deg(), 0.0, 1e-12);
}

#[test]
fn half_a_degree_each_way_is_one_and_three_millimetres() {
    // Nissan D21, 1997: camber + 30′ and caster − 30′ by 1.0 mm front, 3.0 mm rear.
    let arm = UpperArm {
        height_mm: 229.2,
        spacing_mm: 150.0,
        arm_mm: 150.0,
        bracket: BracketSide::ShimMovesOut,
    };
    let shims = arm.pair().unwrap().shims_for(&change_deg(0.5, -0.5));
    let [front, rear] = shims.unwrap();
    near("front", front, 1.0, 1e-3);
    near("rear", rear, 3.0, 1e-3);
}

#[test]
fn the_table_of_an_army_manual() {
    // TM 9-2320-280-34, table 20-3: 0.12 in of shim at the front, the rear, both.
    let check = |front: Change, rear: Change, both: Change| {
        let pair = BoltPair::measured(TABLE_SHIM_MM, &front, &rear).unwrap();
        let found = pair.changed([TABLE_SHIM_MM, TABLE_SHIM_MM]);
        near("camber", found.camber.deg(), both.camber.deg(), 1e-9);
        near("caster", found.caster.deg(), both.caster.deg(), 1e-9);
    };
    // Front suspension.
    check(
        change_deg(0.5, 0.6),
        change_deg(0.0, -0.6),
        change_deg(0.5, 0.0),
    );
    // Rear suspension.
    check(
        change_deg(-0.1, 0.5),
        change_deg(0.6, -0.5),
        change_deg(0.5, 0.0),
    );
}

#[test]
fn shims_by_the_table_of_an_army_manual() {
    // The same table solved by hand: camber tells the front, caster then the rear.
    let pair = BoltPair::measured(TABLE_SHIM_MM, &change_deg(0.5, 0.6), &change_deg(0.0, -0.6));
    let [front, rear] = pair.unwrap().shims_for(&change_deg(0.5, 0.3)).unwrap();
    near("front", front / 25.4, 0.12, 1e-9);
    near("rear", rear / 25.4, 0.06, 1e-9);
}

#[test]
fn the_unit_of_a_rod_sets_toe_alone_on_purpose() {
    let rod = TieRod {
        pitch_mm: 1.5,
        arm_mm: 120.0,
        place: RodPlace::BehindAxle,
        thread: Thread::Single,
        may_lengthen_turns: None,
        may_shorten_turns: None,
    };
    let effect = rod.effect(Some(Angle::from_deg(5.0))).unwrap();
    // γ = γ₀ + S(1 − cos δ) − C sin δ has the slope −C at straight ahead.
    let camber = effect.of(WheelAngle::Camber).times(1.0).unwrap();
    near(
        "camber",
        camber.deg(),
        -0.716_197 * 5f64.to_radians().tan(),
        1e-5,
    );
    assert_eq!(effect.of(WheelAngle::Caster).times(1.0), Some(Angle::ZERO));
}
