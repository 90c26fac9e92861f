//! Toe found by light and by rims, against wheels turned in space.
//!
//! The model throws a ray at a plane and turns matrices; it knows none of the
//! formulas tested.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::toe::{Reflection, Spot};
use nalgebra::{Rotation3, Unit, Vector3};

use super::{length, near};

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
        (0.0, 0.0, 1.0, 270.0),
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
