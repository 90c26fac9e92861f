//! Turning angles against printed figures.

use hubplumb_core::angle::Angle;
use hubplumb_core::decision::{Guard, Limits, Verdict, decide};
use hubplumb_core::entered::{Entered, EnteredError, Source};
use hubplumb_core::side::Side;
use hubplumb_core::turning::{
    Geometry, Locks, SteerPair, ToeOutOnTurns, TurnSide, cot_difference, ideal_inner, ideal_outer,
    lock_difference, off_centre, off_centre_at_wheels, percent_ackermann,
};

use super::{length, near, plate};

fn geometry(wheelbase_m: f64, kingpins_m: f64) -> Geometry {
    Geometry {
        wheelbase: length(wheelbase_m * 1e3, 0.0, Source::Wheelbase),
        kingpins: length(kingpins_m * 1e3, 0.0, Source::KingpinSpacing),
    }
}

#[test]
fn ideal_angles_are_the_printed_ones() {
    let check = |l: f64, t: f64, inner_deg: f64, outer_deg: f64, within: f64| {
        let geometry = geometry(l, t);
        let outer = ideal_outer(plate(inner_deg, 0.0), &geometry).unwrap();
        near("outer", outer.value.deg(), outer_deg, within);
        let inner = ideal_inner(plate(outer.value.deg(), 0.0), &geometry).unwrap();
        near("and back", inner.value.deg(), inner_deg, 1e-9);
    };
    // Worked exercise of Indian automobile-engineering texts, from memory and
    // recomputed: 32°20′.
    check(2.743, 1.065, 40.0, 32.33, 5e-3);
    // Data of a theory-of-machines examination exercise; recomputed.
    check(2.6, 1.5, 28.0, 22.141, 5e-4);
    // Derived.
    check(2.6, 1.5, 20.0, 16.742, 5e-4);
    check(2.6, 1.5, 24.736, 20.0, 5e-4);
}

#[test]
fn turning_circles_follow_from_the_angles() {
    // The exercise above also asks for the radii of the outer front and the inner
    // rear wheel, track 1.217 m: 5.205 and 3.193 m.
    let (l, t, track): (f64, f64, f64) = (2.743, 1.065, 1.217);
    let outer = ideal_outer(plate(40.0, 0.0), &geometry(l, t))
        .unwrap()
        .value;
    near(
        "outer front",
        l / outer.sin() + (track - t) / 2.0,
        5.205,
        5e-4,
    );
    near(
        "inner rear",
        l / 40f64.to_radians().tan() - (track - t) / 2.0,
        3.193,
        5e-4,
    );
    // Data of a textbook on vehicle dynamics, from memory: l 2.619, w 1.565, centre
    // of gravity 1.524 m ahead of the rear axle on a circle of 50 m: 3.047 and 2.954°.
    let to_axle = (50f64.powi(2) - 1.524f64.powi(2)).sqrt();
    let inner_deg = (2.619 / (to_axle - 1.565 / 2.0)).atan().to_degrees();
    near("inner", inner_deg, 3.047, 5e-4);
    let outer = ideal_outer(plate(inner_deg, 0.0), &geometry(2.619, 1.565)).unwrap();
    near("outer", outer.value.deg(), 2.954, 5e-4);
}

#[test]
fn percent_and_cotangents_are_the_derived_ones() {
    let percent = percent_ackermann(plate(30.0, 0.2), plate(26.0, 0.2), &geometry(2.6, 1.5));
    let percent = percent.unwrap();
    near("percent", percent.value, 60.8, 0.05);
    assert_eq!(percent.largest().unwrap().source, Source::PlateReading);
    let parallel = percent_ackermann(plate(30.0, 0.0), plate(30.0, 0.0), &geometry(2.6, 1.5));
    near("parallel", parallel.unwrap().value, 0.0, 1e-9);
    // Mitsubishi Galant 1998, inner 39°30′ and outer 30°30′.
    let galant = cot_difference(plate(39.5, 0.0), plate(30.5, 0.0)).unwrap();
    near("Galant 1998", galant.value, 0.4846, 5e-5);
}

fn pairs(inner_outer: &[(f64, f64)], standard_deg: f64) -> ToeOutOnTurns {
    let pairs = inner_outer.iter().map(|(inner, outer)| SteerPair {
        inner: plate(*inner, standard_deg),
        outer: plate(*outer, standard_deg),
    });
    ToeOutOnTurns::new(Side::Left, pairs.collect()).unwrap()
}

#[test]
fn an_ideal_turn_is_interpolated_exactly() {
    // Ideal pairs far apart; asked between them at either wheel.
    let geometry = geometry(2.6, 1.5);
    let outer = |inner: f64| {
        ideal_outer(plate(inner, 0.0), &geometry)
            .unwrap()
            .value
            .deg()
    };
    let read = pairs(&[(30.0, outer(30.0)), (10.0, outer(10.0))], 0.1);
    let asked = Angle::from_deg(20.0);
    let at_inner = read.other(TurnSide::Inner, asked).unwrap();
    near("outer at inner 20", at_inner.value.deg(), 16.742, 5e-4);
    let at_outer = read.other(TurnSide::Outer, asked).unwrap();
    near("inner at outer 20", at_outer.value.deg(), 24.736, 5e-4);
    let toe_out = read.toe_out(TurnSide::Outer, asked).unwrap();
    near("toe-out", toe_out.value.deg(), 4.736, 5e-4);
    assert_eq!(toe_out.standard, at_outer.standard);
    // Straight lines between the angles would be this far off.
    let straight = 0.5 * (outer(10.0) + outer(30.0));
    assert!((straight - 16.742).abs() > 0.3, "{straight}");
    assert!(
        at_inner
            .budget
            .iter()
            .any(|s| s.source == Source::Interpolation)
    );
    // Of readings without error a quarter of what the two ways differ by is left, in either place.
    let exact = pairs(&[(30.0, outer(30.0)), (10.0, outer(10.0))], 0.0);
    for inner in [14.0, 20.0, 25.0] {
        let found = exact
            .other(TurnSide::Inner, Angle::from_deg(inner))
            .unwrap();
        let straight = outer(10.0) + (outer(30.0) - outer(10.0)) * (inner - 10.0) / 20.0;
        let doubt = 0.25 * (straight - found.value.deg()).abs();
        near("doubt", found.standard.deg(), doubt, 1e-9);
    }
}

#[test]
fn a_pair_that_was_read_is_told_as_read() {
    let read = pairs(&[(20.0, 18.51), (30.0, 27.0)], 0.1);
    for (asked, expected) in [(20.0, 18.51), (30.0, 27.0)] {
        let found = read.other(TurnSide::Inner, Angle::from_deg(asked)).unwrap();
        near("outer", found.value.deg(), expected, 1e-9);
        // Both readings are in it.
        near("u", found.standard.deg(), 0.1 * 2f64.sqrt(), 0.02);
    }
    // Near a single pair its cotangents are kept; far from it nothing is told.
    let one = pairs(&[(19.0, 17.6)], 0.1);
    let near_by = one.other(TurnSide::Inner, Angle::from_deg(20.0)).unwrap();
    near("near by", near_by.value.deg(), 18.45, 0.01);
    for asked in [16.9, 21.1, 35.0] {
        let found = one.other(TurnSide::Inner, Angle::from_deg(asked));
        assert_eq!(
            found,
            Err(EnteredError::NotRead {
                asked_deg: Angle::from_deg(asked).deg()
            })
        );
    }
}

#[test]
fn no_turn_has_such_an_angle() {
    for deg in [0.0, -5.0, 90.0, f64::NAN] {
        let pair = SteerPair {
            inner: plate(deg, 0.1),
            outer: plate(10.0, 0.1),
        };
        let found = ToeOutOnTurns::new(Side::Right, vec![pair]);
        assert!(
            matches!(found, Err(EnteredError::SteerAngle { .. })),
            "{deg}"
        );
    }
}

#[test]
fn published_turns_are_judged_as_published() {
    // Limits of the other wheel or of the toe-out, each beside what was "read".
    let check = |source: &str, value_deg: f64, lower: f64, upper: f64, expected: Verdict| {
        let read = pairs(&[(20.0, 20.0 - value_deg)], 0.1);
        let figure = read
            .toe_out(TurnSide::Inner, Angle::from_deg(20.0))
            .unwrap();
        let limits = Limits::new(
            Some(Angle::from_deg(lower)),
            Some(Angle::from_deg(upper)),
            None,
        );
        let found = decide(&figure, &limits.unwrap(), Guard::Expanded);
        assert_eq!(found.verdict, expected, "{source}: {value_deg}°, {found:?}");
    };
    // Holden VU: toe-out 1°42′ ± 1°30′ at 20°.
    check("Holden VU", 1.7, 0.2, 3.2, Verdict::Inside);
    check("Holden VU", 3.1, 0.2, 3.2, Verdict::Undecided);
    check("Holden VU", 3.6, 0.2, 3.2, Verdict::Outside);
    // Lincoln 1988: outer 18.51 at inner 20, with ±0.5° for the sake of the test.
    check("Lincoln 1988", 1.49, 0.99, 1.99, Verdict::Inside);

    let at_outer_20 = |source: &str, inner: f64, middle: f64, tolerance: f64, expected: Verdict| {
        let read = pairs(&[(inner, 20.0)], 0.1);
        let figure = read.other(TurnSide::Outer, Angle::from_deg(20.0)).unwrap();
        let limits = Limits::around(Angle::from_deg(middle), Angle::from_deg(tolerance));
        let found = decide(&figure, &limits.unwrap(), Guard::Expanded);
        assert_eq!(found.verdict, expected, "{source}: {inner}°, {found:?}");
    };
    // Saab 900: outer 20 → inner 20.9 ± 0.5, else the swivel members are distorted.
    at_outer_20("Saab 900", 20.95, 20.9, 0.5, Verdict::Inside);
    at_outer_20("Saab 900", 21.35, 20.9, 0.5, Verdict::Undecided);
    at_outer_20("Saab 900", 22.0, 20.9, 0.5, Verdict::Outside);
    // Chevrolet trucks: 20 → 23 ± 2, else replace the arm.
    at_outer_20("Chevrolet trucks", 24.5, 23.0, 2.0, Verdict::Inside);
    at_outer_20("Chevrolet trucks", 25.6, 23.0, 2.0, Verdict::Outside);
}

#[test]
fn locks_are_centred_by_half_their_difference() {
    let wheel = |deg: f64| {
        let (deg, standard) = (Angle::from_deg(deg), Angle::from_deg(2.0));
        Entered::new(deg, standard, Source::SteeringWheelReading)
    };
    let locks = Locks {
        left: wheel(540.0),
        right: wheel(528.0),
    };
    // Derived: 6° off centre, 0.375° at 16:1.
    let off = off_centre(&locks).unwrap();
    near("off centre", off.value.deg(), 6.0, 1e-9);
    near("u", off.standard.deg(), 2f64.sqrt(), 1e-9);
    let ratio = Entered::new(16.0, 0.0, Source::SteeringRatio);
    let at_wheels = off_centre_at_wheels(&locks, ratio).unwrap();
    near("at the wheels", at_wheels.value.deg(), 0.375, 1e-9);
    let zero = Entered::new(0.0, 0.0, Source::SteeringRatio);
    assert!(off_centre_at_wheels(&locks, zero).is_err());
    // Mitsubishi Galant 1998: inner lock 39°30′ ± 2° on either side.
    let difference = lock_difference(plate(40.5, 0.3), plate(38.8, 0.3)).unwrap();
    near("locks", difference.value.deg(), 1.7, 1e-9);
    near("u", difference.standard.deg(), 0.3 * 2f64.sqrt(), 1e-9);
}
