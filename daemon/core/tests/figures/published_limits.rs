//! Published specifications, and readings judged by them.
//!
//! Limits are as printed in the maker's or the army's manual named in each row.
//! Readings are made up: well inside, within the measurement's uncertainty of a
//! limit, and well outside; the verdict is what the printed limits say.

use hubplumb_core::angle::Angle;
use hubplumb_core::decision::{Decision, Guard, Limits, Verdict, decide};
use hubplumb_core::entered::{Entered, Figure, Figures, Source};
use hubplumb_core::toe::from_side_slip;

use super::near;

/// Aimed at by the measuring: U 0.05° camber, 0.1° caster, 0.03° toe.
const CAMBER: f64 = 0.05;
const CASTER: f64 = 0.10;
const TOE: f64 = 0.03;

fn figure(deg: f64, expanded_deg: f64) -> Figure<Angle> {
    let standard = Angle::from_deg(expanded_deg / 1.96);
    let read = Entered::new(Angle::from_deg(deg), standard, Source::SensedAngles);
    Figures::entered([read]).unwrap().figure(0)
}

fn judged(deg: f64, expanded_deg: f64, lower: f64, upper: f64) -> Decision<Angle> {
    let [lower, upper] = [lower, upper].map(|deg| Some(Angle::from_deg(deg)));
    let limits = Limits::new(lower, upper, None).unwrap();
    decide(&figure(deg, expanded_deg), &limits, Guard::Expanded)
}

#[test]
fn readings_are_judged_as_the_printed_limits_say() {
    for (source, lower, upper, expanded) in [
        ("GM K-Sierra 1999, camber 0.25 ± 0.50", -0.25, 0.75, CAMBER),
        ("GM K-Sierra 1999, caster 3.75 ± 1.0", 2.75, 4.75, CASTER),
        ("GM K-Sierra 1999, total toe 0.1 ± 0.2", -0.1, 0.3, TOE),
        ("Holden VU, camber 0 ± 30′", -0.5, 0.5, CAMBER),
        ("Holden VU, caster 5°45′ ± 30′", 5.25, 6.25, CASTER),
        ("Holden VU, total toe 10′ ± 10′", 0.0, 1.0 / 3.0, TOE),
        ("Holden VU, caster left to right 36′", -0.6, 0.6, CASTER),
        ("Holden VU, camber left to right 48′", -0.8, 0.8, CAMBER),
        (
            "Holden VU, SAI 12°52′ ± 1°30′",
            12.866_667 - 1.5,
            12.866_667 + 1.5,
            0.15,
        ),
        (
            "Holden VU, included angle 12°40′ ± 1°30′",
            12.666_667 - 1.5,
            12.666_667 + 1.5,
            0.15,
        ),
        ("Dodge Stratus 2000, camber 0 ± 0.6", -0.6, 0.6, CAMBER),
        ("Dodge Stratus 2000, caster 3.3 ± 1.0", 2.3, 4.3, CASTER),
        ("Dodge Stratus 2000, total toe 0.1 ± 0.2", -0.1, 0.3, TOE),
        ("Dodge Stratus 2000, cross camber 0.7", -0.7, 0.7, CAMBER),
        ("Dodge Stratus 2000, cross caster 1.0", -1.0, 1.0, CASTER),
        ("Dodge Stratus 2000, thrust ± 0.15", -0.15, 0.15, TOE),
        ("Dodge Ram 1998, toe 0.10 ± 0.10", 0.0, 0.2, TOE),
        ("Dodge Ram 1998, cross caster ± 0.5", -0.5, 0.5, CASTER),
        ("Dodge Ram 1998, thrust ± 0.4", -0.4, 0.4, TOE),
        ("Lincoln 1988, camber −0.25 ± 0.5", -0.75, 0.25, CAMBER),
        ("Lincoln 1988, caster 4 ± 0.75", 3.25, 4.75, CASTER),
        ("Lincoln 1988, toe 0.125 ± 0.25", -0.125, 0.375, TOE),
        ("TM 5-4210-230, caster left to right 30′", -0.5, 0.5, CASTER),
        ("M1113 (TM 9-2320-387), camber −2…+2", -2.0, 2.0, CAMBER),
        ("M1113 (TM 9-2320-387), caster 0…4", 0.0, 4.0, CASTER),
        (
            "Mitsubishi Galant 1998, inner lock 39°30′ ± 2°",
            37.5,
            41.5,
            0.3,
        ),
    ] {
        let check = |deg: f64, expected: Verdict| {
            let found = judged(deg, expanded, lower, upper);
            assert_eq!(found.verdict, expected, "{source}: {deg}°, {found:?}");
        };
        check(0.5 * (lower + upper), Verdict::Inside);
        for (limit, outward) in [(lower, -1.0), (upper, 1.0)] {
            check(limit - outward * 1.01 * expanded, Verdict::Inside);
            check(limit - outward * 0.9 * expanded, Verdict::Undecided);
            check(limit, Verdict::Undecided);
            check(limit + outward * 0.9 * expanded, Verdict::Undecided);
            check(limit + outward * 1.01 * expanded, Verdict::Outside);
        }
    }
}

#[test]
fn tolerances_given_as_target_and_width_are_the_same() {
    // Lincoln 1988, caster 4 ± 0.75, as target and tolerance.
    let limits = Limits::around(Angle::from_deg(4.0), Angle::from_deg(0.75)).unwrap();
    let found = decide(&figure(3.1, CASTER), &limits, Guard::Expanded);
    assert_eq!(found.verdict, Verdict::Outside);
    near("off target", found.off_target.unwrap().deg(), -0.9, 1e-9);
    near("margin", found.margin.unwrap().deg(), -0.15, 1e-9);
}

#[test]
fn a_frame_as_steep_as_the_caster_leaves_nothing_to_measure() {
    // TM 5-4210-229-14&P, 4-162: with the frame down in front by the specified caster
    // the reading should be 0. The example's width is illegible; ± 0.5 stands for it.
    assert_eq!(judged(0.1, CASTER, -0.5, 0.5).verdict, Verdict::Inside);
    assert_eq!(judged(0.45, CASTER, -0.5, 0.5).verdict, Verdict::Undecided);
}

#[test]
fn side_slip_limits_are_judged_on_both_sides() {
    // 5 m/km either way: Japanese safety standard (details, article 91) and GB 7258,
    // as others quote them. Taken as toe, with what strings would leave of doubt.
    let limit = from_side_slip(5e-3).deg();
    for (per_km, expected) in [
        (0.0, Verdict::Inside),
        (4.4, Verdict::Inside),
        (-4.8, Verdict::Undecided),
        (5.0, Verdict::Undecided),
        (5.3, Verdict::Undecided),
        (-6.0, Verdict::Outside),
    ] {
        let toe = from_side_slip(per_km * 1e-3).deg();
        assert_eq!(
            judged(toe, TOE, -limit, limit).verdict,
            expected,
            "{per_km} m/km"
        );
    }
}

#[test]
fn left_against_right_counts_what_both_share() {
    // Dodge Stratus 2000, cross caster 1.0: left 3.9, right 3.0, each with U 0.1 of
    // which most is the floor. Taken apart they are too near to the limit, taken
    // together they are not.
    let (left, right) = (figure(3.9, CASTER), figure(3.0, CASTER));
    let limits = Limits::at_most(Angle::from_deg(1.0)).unwrap();
    let verdict = |correlation: f64| {
        let difference = left.less(&right, correlation).unwrap();
        decide(&difference, &limits, Guard::Expanded).verdict
    };
    assert_eq!(verdict(0.0), Verdict::Undecided);
    assert_eq!(verdict(0.8), Verdict::Inside);
}
