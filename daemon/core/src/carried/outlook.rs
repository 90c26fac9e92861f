//! How far a board can get, before anybody has carried it.
//!
//! The same least squares over passes as a person usually makes them: half of
//! them with the block turned end for end, leaning by some degrees on the way.

use nalgebra::{Matrix3, Vector3};

use super::carry::Carry;
use super::path::Swept;
use super::rest::RestSeen;
use super::solve::solve;
use super::{CarriedSetup, Place};
use crate::angle::Angle;
use crate::time::HostTime;

/// Passes after which nobody goes on.
pub const MOST_PASSES: usize = 16;
/// A usual way from wheel to wheel, s.
pub const USUAL_S: f64 = 6.0;

/// Usual ways, as docs/CARRIED.md found them: a mean lean of 1.5° whose direction differs from pass to pass,
/// rests that last a second longer than they must; by judgement 2° of camber between the rests, the heading back to what it was with 0.02 rad of winding, the block level to 0.5°.
const MEAN_LEAN_RAD: f64 = 0.026;
const LONGER_S: f64 = 1.0;
/// From one direction of leaning to the next: the golden angle, so that no few of them cancel, rad.
const NEXT_LEAN_RAD: f64 = 2.4;
const NET_LEAN_RAD: f64 = 0.035;
const WINDING_RAD: f64 = 0.02;
const LEVEL_RAD: f64 = 0.009;

/// Half width of the 95 % interval of total toe after so many passes of so many seconds.
pub fn expanded_after(setup: &CarriedSetup, passes: usize, seconds: f64) -> Option<Angle> {
    let (rests, carries) = usual(setup, passes, seconds);
    let solved = solve(&rests, &carries, setup).ok()?;
    let total = solved.total(setup.start.is_front())?;
    Some(total.estimate.expanded())
}

/// The fewest passes, a multiple of four, that reach what is asked; none where none do.
pub fn passes_needed(setup: &CarriedSetup, seconds: f64) -> Option<usize> {
    (4..=MOST_PASSES).step_by(4).find(|passes| {
        expanded_after(setup, *passes, seconds).is_some_and(|found| found <= setup.wanted)
    })
}

fn usual(setup: &CarriedSetup, passes: usize, seconds: f64) -> (Vec<RestSeen>, Vec<Carry>) {
    let hold_s = setup.hold_us as f64 * 1e-6 + LONGER_S;
    let mut place = match setup.start {
        Place::Edge => Place::FrontLeft,
        wheel => wheel,
    };
    let (mut at_s, mut turned) = (0.0, false);
    let mut rests = Vec::new();
    let mut carries = Vec::new();
    let mut rest = |place: Place, turned: bool, at_s: &mut f64| {
        let from = HostTime::from_us(micros(*at_s));
        *at_s += hold_s;
        rests.push(RestSeen {
            from,
            to: HostTime::from_us(micros(*at_s)),
            place,
            turned,
            force_g: Vector3::z(),
            rate_radps: Vector3::zeros(),
            // The flanks of the window cost a fifth of it.
            rate_variance: setup.chip.gyro_noise_radps_rthz.powi(2) / (1.6 * hold_s),
            force_standard_g: 0.0,
        });
        rests.len() - 1
    };
    let mut before = rest(place, turned, &mut at_s);
    for pass in 0..passes {
        if pass == passes / 2 {
            at_s += seconds;
            turned = !turned;
            before = rest(place, turned, &mut at_s);
        }
        at_s += seconds;
        place = place.across().unwrap_or(place);
        let after = rest(place, turned, &mut at_s);
        let sign = if pass % 2 == 0 { 1.0 } else { -1.0 };
        carries.push(usual_carry((before, after), seconds, (sign, pass as f64)));
        before = after;
    }
    (rests, carries)
}

fn usual_carry((before, after): (usize, usize), seconds: f64, (sign, pass): (f64, f64)) -> Carry {
    let up = Vector3::z();
    let (s, c) = (NEXT_LEAN_RAD * pass).sin_cos();
    let aside = Vector3::new(c, s, 0.0) * MEAN_LEAN_RAD;
    let matrix = up * Vector3::new(NET_LEAN_RAD, 0.0, 0.0).transpose() * sign
        + Matrix3::from_diagonal_element(WINDING_RAD / 3f64.sqrt());
    Carry {
        before,
        after,
        heading_rad: 0.0,
        bias_radps: Vector3::zeros(),
        by_lean: [sign * LEVEL_RAD, -sign * LEVEL_RAD],
        by_slope: [0.0, sign * NET_LEAN_RAD],
        by_earth: aside * seconds,
        swept: Swept {
            seconds,
            by_bias: (up + aside) * seconds,
            by_matrix: matrix,
            by_force: up * aside.transpose() * seconds,
            by_stamp: 0.0,
        },
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "minutes of a person's work, in µs"
)]
fn micros(seconds: f64) -> i64 {
    (seconds * 1e6) as i64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chip::ChipFigures;
    use crate::floor::FloorSlope;
    use crate::frames::Dir;

    fn setup(chip: ChipFigures, wanted_deg: f64) -> CarriedSetup {
        let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
        CarriedSetup {
            wanted: Angle::from_deg(wanted_deg),
            ..CarriedSetup::usual(chip, Dir::y_axis(), floor)
        }
    }

    #[test]
    fn more_passes_and_quicker_ways_get_nearer() {
        let of = |passes, seconds| {
            let setup = setup(ChipFigures::CHEAP, 0.05);
            expanded_after(&setup, passes, seconds).unwrap().deg()
        };
        assert!(of(4, 6.0) > of(8, 6.0) && of(8, 6.0) > of(16, 6.0));
        assert!(of(4, 12.0) > of(4, 6.0) && of(4, 6.0) > of(4, 3.0));
    }

    #[test]
    fn the_passes_that_are_needed_go_by_chip_and_by_what_is_asked() {
        let check = |chip, wanted_deg, wanted: Option<usize>| {
            let found = passes_needed(&setup(chip, wanted_deg), USUAL_S);
            assert_eq!(found, wanted, "{wanted_deg}");
        };
        check(ChipFigures::GOOD, 0.05, Some(4));
        check(ChipFigures::CHEAP, 0.05, Some(4));
        check(ChipFigures::GOOD, 0.005, None);
        check(ChipFigures::CHEAP, 0.01, None);
    }

    #[test]
    fn what_is_foretold_is_what_the_study_measured() {
        // Mean half widths of docs/CARRIED.md for four passes of six seconds, to a quarter.
        for (chip, measured_deg) in [(ChipFigures::GOOD, 0.025), (ChipFigures::CHEAP, 0.0385)] {
            let foretold = expanded_after(&setup(chip, 0.05), 4, 6.0).unwrap().deg();
            let ratio = foretold / measured_deg;
            assert!((0.75..1.25).contains(&ratio), "{foretold} {measured_deg}");
        }
    }
}
