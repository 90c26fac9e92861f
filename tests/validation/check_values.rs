//! Figures known beforehand, each with its source beside it.
//!
//! Two kinds of source appear: `derived` figures were worked out for this
//! project from the definitions in `docs/THEORY.md`, and are checked here a
//! second time by turning a wheel in space (`rotation_model`), which uses none
//! of the closed forms; a published source is named where there is one.

use hubplumb_core::angle::Angle;
use hubplumb_core::swing::exact::{self, AxisAngles, HubPosition, SpindlePosition};

use crate::rotation_model::Wheel;

fn deg(value: f64) -> Angle {
    Angle::from_deg(value)
}

#[track_caller]
fn assert_near(what: &str, is: f64, should: f64, tolerance: f64) {
    assert!(
        (is - should).abs() <= tolerance,
        "{what}: is {is:.6}, should be {should:.6} within {tolerance:e}"
    );
}

/// Camber readings of a swing, in degrees: steered in, and steered out.
struct Swing {
    toe_in: f64,
    toe_out: f64,
    camber_in: f64,
    camber_out: f64,
}

impl Swing {
    /// What a perfect observer reads when the wheel is turned to two headings.
    fn of(wheel: &Wheel, toe_in: f64, toe_out: f64) -> Self {
        let (inboard, outboard) = (wheel.headed(toe_in), wheel.headed(toe_out));
        Self {
            toe_in,
            toe_out,
            camber_in: inboard.camber_deg,
            camber_out: outboard.camber_deg,
        }
    }

    fn by_rule(&self, assumed: f64) -> f64 {
        exact::two_reading_rule(deg(self.camber_in), deg(self.camber_out), deg(assumed)).deg()
    }

    fn by_tangent(&self, assumed: f64) -> f64 {
        exact::two_reading_tangent(deg(self.camber_in), deg(self.camber_out), deg(assumed)).deg()
    }
}

/// Caster and inclination from (heading, camber) pairs in degrees.
#[track_caller]
fn solve_camber(positions: &[(f64, f64)]) -> (f64, f64) {
    let positions: Vec<SpindlePosition> = positions
        .iter()
        .map(|&(heading, camber)| SpindlePosition {
            heading: deg(heading),
            camber: deg(camber),
        })
        .collect();
    let found = exact::axis_from_camber(&positions).expect("three positions");
    (found.caster.deg(), found.sai.deg())
}

/// Caster and inclination from (heading, pitch) pairs of the hub in degrees.
#[track_caller]
fn solve_pitch(positions: &[(f64, f64)]) -> (f64, f64) {
    let positions: Vec<HubPosition> = positions
        .iter()
        .map(|&(heading, pitch)| HubPosition {
            heading: deg(heading),
            pitch: deg(pitch),
        })
        .collect();
    let found = exact::axis_from_pitch(&positions).expect("three positions");
    (found.caster.deg(), found.sai.deg())
}

/// Check value 1. Derived: K = 1/(2 sin δ).
#[test]
fn factor_of_the_two_reading_rule() {
    for (delta, factor) in [
        (5.0, 5.7369),
        (10.0, 2.8794),
        (12.0, 2.4049),
        (15.0, 1.9319),
        (18.0, 1.6180),
        (20.0, 1.4619),
        (22.5, 1.3066),
        (25.0, 1.1831),
        (30.0, 1.0000),
    ] {
        assert_near("K", exact::two_reading_factor(deg(delta)), factor, 5e-5);
        // Again by turning a wheel: what one degree of caster does to the sines of camber.
        let wheel = Wheel::new(1.0, 0.0, 0.0, 0.0);
        let swing = Swing::of(&wheel, delta, -delta);
        let sines = swing.camber_out.to_radians().sin() - swing.camber_in.to_radians().sin();
        // An upright axis but for one degree: cos of camber departs from 1 by 4e-5 at most.
        assert_near(
            "K by rotation",
            1_f64.to_radians().tan() / sines,
            factor,
            5e-4 * factor,
        );
    }
}

const POSITIONS_BY_CAMBER: [(f64, f64); 3] = [(20.0, -1.37633), (0.1, -0.75), (-20.0, 1.36370)];
const POSITIONS_BY_PITCH: [(f64, f64); 3] = [(19.8949, -4.36531), (0.1, 0.0), (-20.0941, 3.94578)];

/// The wheel of check values 2 to 5.
fn wheel_4_12() -> Wheel {
    Wheel::new(4.0, 12.0, -0.75, 0.1)
}

/// Check value 2. Derived.
#[test]
fn axis_from_three_camber_readings() {
    for (heading, camber) in POSITIONS_BY_CAMBER {
        assert_near(
            "camber by rotation",
            wheel_4_12().headed(heading).camber_deg,
            camber,
            1e-5,
        );
    }
    let (caster, sai) = solve_camber(&POSITIONS_BY_CAMBER);
    assert_near("caster", caster, 4.0, 1e-4);
    assert_near("SAI", sai, 12.0, 1e-3);
}

/// Check value 3. Derived.
#[test]
fn the_two_reading_rule_is_a_little_off() {
    let swing = Swing::of(&wheel_4_12(), 20.0, -20.0);
    assert_near("rule", swing.by_rule(20.0), 4.0057, 1e-3);
    assert_near("tangent form", swing.by_tangent(20.0), 3.9988, 1e-3);
}

/// Check value 4. Derived.
#[test]
fn axis_from_three_hub_pitch_readings() {
    for ((toe, _), (heading, pitch)) in POSITIONS_BY_CAMBER.into_iter().zip(POSITIONS_BY_PITCH) {
        let pose = wheel_4_12().headed(toe);
        assert_near(
            "hub heading by rotation",
            pose.hub_toe_in_deg,
            heading,
            1e-4,
        );
        assert_near("hub pitch by rotation", pose.hub_pitch_deg, pitch, 1e-5);
    }
    let (caster, sai) = solve_pitch(&POSITIONS_BY_PITCH);
    assert_near("caster", caster, 4.0, 1e-3);
    assert_near("SAI", sai, 12.0, 1e-3);
}

/// Check value 5. Derived.
#[test]
fn the_two_reading_rule_for_inclination_is_further_off() {
    let (inboard, outboard) = (wheel_4_12().headed(20.0), wheel_4_12().headed(-20.0));
    let readings = (deg(inboard.hub_pitch_deg), deg(outboard.hub_pitch_deg));
    let rule = exact::two_reading_rule(readings.0, readings.1, deg(20.0));
    let tangent = exact::two_reading_tangent(readings.0, readings.1, deg(20.0));
    assert_near("rule", rule.deg(), 12.150, 1e-3);
    assert_near("tangent form", tangent.deg(), 11.962, 1e-3);
}

/// Check values 6, 7 and 10. Derived: camber curves of three swings.
#[test]
fn camber_at_two_headings() {
    struct Case {
        caster: f64,
        sai: f64,
        camber: f64,
        delta: f64,
        camber_in: f64,
        camber_out: f64,
        rule: f64,
    }
    for case in [
        Case {
            caster: 5.0,
            sai: 13.0,
            camber: -0.5,
            delta: 20.0,
            camber_in: -1.4131,
            camber_out: 2.0188,
            rule: 5.0170,
        },
        Case {
            caster: 5.0,
            sai: 13.0,
            camber: -0.5,
            delta: 10.0,
            camber_in: -1.1672,
            camber_out: 0.5715,
            rule: 5.0064,
        },
        Case {
            caster: 0.0,
            sai: 13.0,
            camber: 0.0,
            delta: 20.0,
            camber_in: 0.7990,
            camber_out: 0.7990,
            rule: 0.0,
        },
    ] {
        let wheel = Wheel::new(case.caster, case.sai, case.camber, 0.0);
        let swing = Swing::of(&wheel, case.delta, -case.delta);
        assert_near(
            "camber in by rotation",
            swing.camber_in,
            case.camber_in,
            5e-5,
        );
        assert_near(
            "camber out by rotation",
            swing.camber_out,
            case.camber_out,
            5e-5,
        );
        assert_near("rule", swing.by_rule(case.delta), case.rule, 1e-4);
        let axis = AxisAngles {
            caster: deg(case.caster),
            sai: deg(case.sai),
        };
        let straight = SpindlePosition {
            heading: deg(0.0),
            camber: deg(case.camber),
        };
        for (heading, camber) in [(case.delta, case.camber_in), (-case.delta, case.camber_out)] {
            let is = exact::camber_at(deg(heading), axis, straight);
            assert_near("camber by formula", is.deg(), camber, 5e-5);
        }
        let (caster, sai) = solve_camber(&[
            (swing.toe_in, swing.camber_in),
            (0.0, case.camber),
            (swing.toe_out, swing.camber_out),
        ]);
        assert_near("caster", caster, case.caster, 1e-9);
        assert_near("SAI", sai, case.sai, 1e-9);
    }
}

/// Check value 8. Derived: 18° in and 22° out, taken for 20° and 20°.
#[test]
fn unequal_angles_taken_for_equal_ones_spoil_the_rule_and_not_the_solution() {
    let wheel = Wheel::new(5.0, 13.0, -0.5, 0.0);
    let swing = Swing::of(&wheel, 18.0, -22.0);
    assert_near("rule", swing.by_rule(20.0), 5.479, 2e-3);
    let (caster, sai) = solve_camber(&[
        (18.0, swing.camber_in),
        (0.0, -0.5),
        (-22.0, swing.camber_out),
    ]);
    assert_near("caster", caster, 5.0, 1e-9);
    assert_near("SAI", sai, 13.0, 1e-9);
}

/// Check value 9. Derived; the trend agrees with the abstract of Xu, Su, Chen,
/// Zhang, Su, J. Jilin Univ. (Eng.) 38 (2008) 17–20: errors above 10′ where both
/// angles exceed 15°.
#[test]
fn equal_rotations_about_a_leaning_axis_read_low_unless_corrected() {
    let wheel = Wheel::new(15.0, 15.0, 0.0, 0.0);
    let (inboard, outboard) = (wheel.turned(20.0), wheel.turned(-20.0));
    let readings = (deg(inboard.camber_deg), deg(outboard.camber_deg));
    // The figure is the plain rule's, fed with the angle that a gyro integrates.
    let plain = exact::two_reading_rule(readings.0, readings.1, deg(20.0));
    let corrected =
        exact::caster_from_axis_rotation(readings.0, readings.1, deg(20.0), deg(0.0), deg(15.0));
    assert_near("uncorrected", plain.deg(), 14.375, 1e-3);
    assert_near("corrected", corrected.expect("an axis").deg(), 15.0, 1e-3);
}
