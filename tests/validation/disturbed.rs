//! What goes wrong in a garage: an engine that idles, a wheel that is knocked,
//! a stop at which something shifted. The findings must stand within what is
//! stated, or what was wrong must be told.

use hubplumb_core::session::{SessionError, WindowKind};
use hubplumb_core::swing::Refusal;
use hubplumb_sim::motion::Slip;
use hubplumb_sim::{Step, Wheel};
use hubplumb_tests::measured::{disturbed, rest, run_out, steer};

const SEED: u64 = 20_261_125;

/// The usual job with something put in at a stop to the left.
fn job(at_left_stop: &[Step]) -> Vec<Step> {
    let mut steps = run_out();
    steps.extend([rest(5.0), steer(20.0)]);
    steps.extend_from_slice(at_left_stop);
    steps.extend([steer(-20.0), rest(5.0), steer(0.0), rest(5.0)]);
    steps
}

/// Caster and SAI within three standard uncertainties of the truth; gives
/// their standard uncertainties.
fn check(scenario: &str, steps: &[Step]) -> [f64; 2] {
    let found = disturbed(scenario, steps, SEED).expect("a solution");
    let offs = found.offs().expect("findings");
    for (name, off) in ["camber", "caster", "SAI"].iter().zip(offs) {
        println!(
            "{scenario}, seed {SEED}, {name}: off {:+.4}°, standard {:.4}°",
            off.error_deg, off.standard_deg
        );
        assert!(
            off.error_deg.abs() <= 3.0 * off.standard_deg,
            "{scenario}, seed {SEED}, {name}: {off:?}"
        );
    }
    [offs[1].standard_deg, offs[2].standard_deg]
}

#[test]
fn an_idling_engine_costs_little() {
    for scenario in ["garage-good", "garage-cheap"] {
        let quiet = check(scenario, &job(&[rest(5.0)]));
        let mut steps = vec![Step::Idle { on: true }];
        steps.extend(job(&[rest(5.0)]));
        let idling = check(scenario, &steps);
        for (idling, quiet) in idling.iter().zip(quiet) {
            assert!(*idling < 1.5 * quiet, "{scenario}: {idling} after {quiet}");
        }
    }
}

#[test]
fn a_knock_in_the_middle_of_a_stop_does_no_harm() {
    let knock = Step::Knock {
        wheel: Wheel::FrontLeft,
        peak_g: 0.5,
    };
    for scenario in ["garage-good", "garage-cheap"] {
        check(scenario, &job(&[rest(4.0), knock.clone(), rest(4.0)]));
    }
}

#[test]
fn a_stop_that_does_not_fit_is_left_out_and_told() {
    // The hub rolls by a degree while it is held at the second of two stops to
    // the left, and rolls back on the way.
    let slip = |by_deg: f64| Step::BrakeSlip {
        slip: Slip {
            wheel: Wheel::FrontLeft,
            by_deg,
        },
        over_s: 1.0,
    };
    for scenario in ["garage-good", "garage-cheap"] {
        let mut steps = run_out();
        steps.extend([rest(5.0), steer(12.0), rest(5.0), steer(20.0)]);
        steps.extend([slip(1.0), rest(5.0), slip(-1.0)]);
        steps.extend([
            steer(-20.0),
            rest(5.0),
            steer(-10.0),
            rest(5.0),
            steer(0.0),
            rest(5.0),
        ]);
        check(scenario, &steps);
        let found = disturbed(scenario, &steps, SEED).expect("a solution");
        let axis = found.outcome.wheels[0].as_ref().expect("a wheel");
        let left_out = &axis.axis.as_ref().expect("an axis").left_out;
        println!("{scenario}: left out {left_out:?}");
        assert_eq!(left_out, &[2], "{scenario}");
    }
}

#[test]
fn a_brake_that_slips_for_good_is_refused() {
    for (scenario, by_deg) in [
        ("garage-good", 1.0),
        ("garage-cheap", 1.0),
        ("garage-cheap", -1.0),
    ] {
        let mut steps = run_out();
        steps.extend([rest(5.0), steer(20.0), rest(5.0)]);
        steps.push(Step::SteerTo {
            to_deg: -20.0,
            over_s: 4.0,
            slip: Some(Slip {
                wheel: Wheel::FrontLeft,
                by_deg,
            }),
        });
        steps.extend([rest(5.0), steer(0.0), rest(5.0)]);
        let found = disturbed(scenario, &steps, SEED).expect("a session");
        let wheel = found.outcome.wheels[0].as_ref().expect("camber stands");
        assert!(
            matches!(wheel.axis, Err(Refusal::HubRolled { .. })),
            "{scenario}: {:?}",
            wheel.axis
        );
    }
}

#[test]
fn a_short_arc_on_the_bearing_is_refused() {
    let wheel = Wheel::FrontLeft;
    let mut steps = vec![rest(3.0), Step::Brake { locked: false }];
    steps.push(Step::Jack {
        wheel,
        up: true,
        over_s: 3.0,
    });
    steps.push(rest(3.0));
    for _ in 0..2 {
        steps.push(Step::Spin {
            wheel,
            by_deg: 40.0,
            over_s: 2.0,
        });
        steps.push(rest(3.0));
    }
    steps.extend([
        Step::Jack {
            wheel,
            up: false,
            over_s: 3.0,
        },
        Step::Brake { locked: true },
    ]);
    steps.extend([
        rest(5.0),
        steer(20.0),
        rest(5.0),
        steer(-20.0),
        rest(5.0),
        steer(0.0),
        rest(5.0),
    ]);
    let refused = disturbed("garage-good", &steps, SEED).map(|found| found.outcome.windows);
    match refused {
        Err(SessionError::ShortArc { arc_deg, .. }) => {
            assert!((60.0..100.0).contains(&arc_deg), "{arc_deg}");
        }
        other => panic!(
            "{:?}",
            other.map(|windows| windows
                .iter()
                .filter(|w| w.kind == WindowKind::RunOutStop)
                .count())
        ),
    }
}
