//! Toe found by light and by rims, against wheels turned in space.
//!
//! The model throws a ray at a plane and turns matrices; it knows none of the
//! formulas tested.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::side::Side;
use hubplumb_core::toe::{
    AxleAtStrings, Marks, Reflection, RimReading, Spot, Strings, Trammel, WheelAtString,
};
use nalgebra::{Rotation3, Unit, Vector3};

use super::{length, near, tape};

/// Spin axis outboard: x forward, y outboard, z up.
fn spin_axis(toe_deg: f64, camber_deg: f64) -> Unit<Vector3<f64>> {
    let tilted = Rotation3::from_axis_angle(&Vector3::x_axis(), -camber_deg.to_radians());
    let turned = Rotation3::from_axis_angle(&Vector3::z_axis(), -toe_deg.to_radians());
    turned * tilted * Vector3::y_axis()
}

/// Where a level beam square to the car comes back to, mm forward and up.
fn thrown(mirror: &Vector3<f64>, distance_mm: f64) -> (f64, f64) {
    let beam = Vector3::new(0.0, -1.0, 0.0);
    let back = beam - 2.0 * beam.dot(mirror) * mirror;
    let reach = distance_mm / back.y;
    (reach * back.x, reach * back.z)
}

fn spot((forward, up): (f64, f64), standard_mm: f64) -> Spot {
    Spot {
        forward: length(forward, standard_mm, Source::SpotReading),
        up: length(up, standard_mm, Source::SpotReading),
    }
}

fn reflection(first: Spot, half_turned: Option<Spot>, distance_mm: f64) -> Reflection {
    Reflection {
        first,
        half_turned,
        mirror: Entered::exact(Angle::ZERO, Source::RunOut),
        distance: length(distance_mm, 2.0, Source::MirrorDistance),
        beam: Entered::exact(Angle::ZERO, Source::BeamNotSquare),
    }
}

#[test]
fn a_mirror_on_the_axis_shows_toe_whatever_the_camber() {
    for toe_deg in [-3.0, -0.2, 0.0, 0.1, 1.5, 6.0] {
        for camber_deg in [-4.0, 0.0, 2.5] {
            let back = thrown(&spin_axis(toe_deg, camber_deg), 3000.0);
            let found = reflection(spot(back, 0.5), None, 3000.0).toe().unwrap();
            let what = format!("toe {toe_deg}, camber {camber_deg}");
            near(&what, found.figure().value.deg(), toe_deg, 1e-9);
        }
    }
}

#[test]
fn half_a_turn_takes_a_mirror_askew_out() {
    for (toe_deg, camber_deg, askew_deg, from_deg) in [
        (0.3, -1.0, 0.8, 10.0),
        (-0.5, 2.0, 2.0, 140.0),
        (0.0, 0.0, 1.0, 205.0),
    ] {
        let axis = spin_axis(toe_deg, camber_deg);
        let tilt = Rotation3::from_axis_angle(&Vector3::z_axis(), f64::to_radians(askew_deg));
        let at = |deg: f64| {
            let rolled = Rotation3::from_axis_angle(&axis, deg.to_radians());
            // Any direction near the axis will do for a mirror askew.
            let mirror = rolled * (tilt * axis.into_inner());
            spot(thrown(&mirror, 3000.0), 0.5)
        };
        let once = reflection(at(from_deg), None, 3000.0).toe().unwrap();
        assert!(
            (once.figure().value.deg() - toe_deg).abs() > 0.1,
            "{once:?}"
        );
        let both = reflection(at(from_deg), Some(at(from_deg + 180.0)), 3000.0)
            .toe()
            .unwrap();
        near("half turned", both.figure().value.deg(), toe_deg, 1e-9);
    }
}

#[test]
fn the_factor_two_halves_the_spots_uncertainty() {
    let toe = |beam_deg: f64| {
        let mut reflection = reflection(spot((20.0, 0.0), 1.0), None, 3000.0);
        let square = Angle::from_deg(0.05);
        reflection.beam = Entered::new(Angle::from_deg(beam_deg), square, Source::BeamNotSquare);
        reflection.toe().unwrap().figure()
    };
    let found = toe(0.0);
    // Half of 1 mm over 3000 mm, beside the beam one to one.
    let spot_deg = (0.5f64 / 3000.0).to_degrees();
    near("u", found.standard.deg(), spot_deg.hypot(0.05), 1e-5);
    assert_eq!(found.largest().unwrap().source, Source::BeamNotSquare);
    near("beam", toe(0.2).value.deg() - found.value.deg(), 0.2, 1e-9);
    assert!(found.value.deg() > 0.0, "thrown forward is toe-in");
}

const D_MM: f64 = 420.0;
const HUB_MM: f64 = 700.0;
const STRING_MM: f64 = 900.0;

/// A wheel whose rim sits askew on its axis.
struct AskewWheel {
    axis: Unit<Vector3<f64>>,
    /// The rim's normal at no turn.
    normal: Vector3<f64>,
}

impl AskewWheel {
    fn new(toe_deg: f64, camber_deg: f64, askew_deg: f64) -> Self {
        let axis = spin_axis(toe_deg, camber_deg);
        let tilt = Rotation3::from_axis_angle(&Vector3::z_axis(), askew_deg.to_radians());
        Self {
            axis,
            normal: tilt * axis.into_inner(),
        }
    }

    /// Front and rear of the rim at hub height, turned so far; y from the middle of the car.
    fn ends(&self, turned_deg: f64) -> [Vector3<f64>; 2] {
        let turn = Rotation3::from_axis_angle(&self.axis, turned_deg.to_radians());
        let forward = (turn * self.normal).cross(&Vector3::z()).normalize();
        let hub = Vector3::new(0.0, HUB_MM, 0.0);
        [hub + forward * (D_MM / 2.0), hub - forward * (D_MM / 2.0)]
    }

    fn at_string(&self, turned_deg: f64) -> RimReading {
        let [front, rear] = self.ends(turned_deg);
        RimReading {
            front: tape(STRING_MM - front.y, 0.2),
            rear: tape(STRING_MM - rear.y, 0.2),
        }
    }
}

#[test]
fn half_a_turn_takes_run_out_out_of_a_rim() {
    let wheels = [
        AskewWheel::new(0.4, -1.5, 0.3),
        AskewWheel::new(-0.1, 2.0, 0.2),
    ];
    for from_deg in [0.0, 30.0, 75.0, 140.0, 250.0] {
        let [left, right] = [0, 1].map(|index: usize| WheelAtString::HalfTurned {
            first: wheels[index].at_string(from_deg),
            second: wheels[index].at_string(from_deg + 180.0),
        });
        let axle = AxleAtStrings {
            left,
            right,
            diameter: length(D_MM, 1.0, Source::Diameter),
        };
        let square = Strings::Presumed {
            standard: Angle::ZERO,
        };
        let toe = axle.toe(&square).unwrap();
        // Gauged level, an askew rim with camber keeps ½ ε² tan γ at most.
        for (side, expected, askew, camber) in
            [(Side::Left, 0.4, 0.3, 1.5), (Side::Right, -0.1, 0.2, 2.0)]
        {
            let kept = 0.5 * f64::to_radians(askew) * askew * f64::to_radians(camber).tan();
            near("toe", toe.wheel(side).value.deg(), expected, 1.1 * kept);
            assert!(kept < 3e-5, "{kept}");
        }
        near("total", toe.total().unwrap().value.deg(), 0.3, 4e-5);
    }
}

#[test]
fn marks_carried_round_take_run_out_out_of_the_gaps() {
    let wheels = [
        AskewWheel::new(0.5, -1.0, 0.4),
        AskewWheel::new(-0.2, 1.5, 0.3),
    ];
    let marks = wheels.each_ref().map(|wheel| wheel.ends(0.0)[0]);
    let behind = [0, 1].map(|index: usize| {
        let hub = Vector3::new(0.0, HUB_MM, 0.0);
        let half = Rotation3::from_axis_angle(&wheels[index].axis, std::f64::consts::PI);
        hub + half * (marks[index] - hub)
    });
    // Each wheel's y is outboard on its own side.
    let gap = |points: [Vector3<f64>; 2]| tape(points[0].y + points[1].y, 0.3);
    let bar = Trammel {
        front_gap: gap(marks),
        rear_gap: gap(behind),
        diameter: length(D_MM, 1.0, Source::Diameter),
        below_hub: length(0.0, 2.0, Source::GaugingHeight),
        marks: Marks::CarriedRound,
    };
    // A mark on an askew rim with camber comes round a little higher or lower, which
    // keeps ε sin² γ of each wheel.
    let kept = 0.4 * f64::to_radians(1.0).sin().powi(2) + 0.3 * f64::to_radians(1.5).sin().powi(2);
    near("total", bar.total().unwrap().value.deg(), 0.3, 1.1 * kept);
    assert!(kept < 4e-4, "{kept}");
    // In front and behind at one standstill the run-out stays in.
    let standing = wheels.each_ref().map(|wheel| wheel.ends(0.0)[1]);
    let once = Trammel {
        rear_gap: gap(standing),
        ..bar
    };
    let off = once.total().unwrap().value.deg() - 0.3;
    assert!(off.abs() > 0.1, "{off}");
}
