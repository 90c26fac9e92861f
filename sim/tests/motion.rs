//! Scripts, and what boards feel of them.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::board::{Placement, sense};
use hubplumb_sim::car::{CarState, Wheel};
use hubplumb_sim::motion::{ScriptError, Slip, StepProblem, Timeline};
use hubplumb_sim::{Jet, Mount, Scenario, Script, Step, render};
use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;

fn scenario(name: &str) -> Scenario {
    Scenario::shipped(name).expect("shipped")
}

fn driven(scenario: &Scenario, script: &Script) -> Timeline {
    let mut timeline = scenario.timeline();
    timeline
        .extend(script, 0.0)
        .expect("the script can be done");
    timeline
}

fn steer(to_deg: f64, over_s: f64) -> Step {
    Step::SteerTo {
        to_deg,
        over_s,
        slip: None,
    }
}

/// Board axes to level, at an instant.
fn attitude(timeline: &Timeline, mount: Mount, placement: &Placement, t_s: f64) -> Rotation3<f64> {
    let frame = timeline
        .mount_frame(mount, t_s)
        .mounted(&placement.rotation);
    timeline.slipped(mount, frame, t_s).to_level
}

/// Integrates what a perfect gyro reads and compares it with how the board really turned.
///
/// Midpoint steps of 1 ms: the error is of the order of (rate of turn)³ step², below 1e-6 rad for
/// the moves of a garage.
fn check_gyro(timeline: &Timeline, mount: Mount, placement: &Placement) {
    let step_s = 1e-3;
    let mut turned = attitude(timeline, mount, placement, 0.0);
    let mut count = 0_u32;
    while f64::from(count) * step_s < timeline.end_s() {
        let middle_s = (f64::from(count) + 0.5) * step_s;
        let rate = sense(timeline, mount, placement, middle_s).rate_radps;
        turned *= Rotation3::from_scaled_axis(rate * step_s);
        count += 1;
    }
    let end = attitude(timeline, mount, placement, f64::from(count) * step_s);
    // The Frobenius norm of the difference of two rotations θ apart is 2 √2 sin(θ/2).
    let apart_rad = (turned.matrix() - end.matrix()).norm() / 2.0_f64.sqrt();
    assert!(apart_rad < 1e-6, "{mount}: {apart_rad:.2e} rad");
}

#[test]
fn the_gyro_integrates_to_the_rotation_in_every_shipped_scenario() {
    for name in Scenario::shipped_names() {
        let scenario = scenario(name);
        let timeline = driven(&scenario, scenario.script());
        for board in scenario.boards() {
            check_gyro(&timeline, board.mount, &board.placement);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_gyro_integrates_to_the_rotation_for_any_move(
        first in -30.0..30.0_f64, second in -30.0..30.0_f64, over_s in 1.0..4.0_f64,
        tilt in prop::array::uniform3(-180.0..180.0_f64), locked in any::<bool>(),
    ) {
        let scenario = scenario("body-roll");
        let timeline = driven(&scenario, &Script::new(vec![
            Step::Brake { locked },
            steer(first, over_s),
            Step::BoardSlip { mount: Mount::FrontRight, by_deg: [0.5, -1.0, 2.0] },
            steer(second, over_s),
        ]));
        let placement = Placement {
            rotation: Placement::tilted(Rotation3::identity(), tilt),
            lever_m: Vector3::new(0.1, -0.1, 0.05),
        };
        check_gyro(&timeline, Mount::FrontRight, &placement);
    }
}

#[test]
fn a_free_brake_lets_the_wheel_roll_round_its_steering_axis() {
    let scenario = scenario("garage-good");
    let car = scenario.car();
    let timeline = driven(
        &scenario,
        &Script::new(vec![Step::Brake { locked: false }, steer(20.0, 2.0)]),
    );
    let end = timeline.state(10.0);
    for (wheel, forward) in [(Wheel::FrontLeft, -1.0), (Wheel::FrontRight, 1.0)] {
        let index = wheel.index();
        let ground = car.corner(wheel).ground_offsets().expect("steers");
        assert!(
            ground.steering_offset_m.abs() > 1e-3,
            "the car has a scrub radius"
        );
        // r_k Δδ / R, geometry reference §3, "unlocked".
        let expected = forward * ground.steering_offset_m * end.axis_turn[index].value
            / car.corner(wheel).radius_m;
        assert!(
            (end.rolled[index].value - expected).abs() < 1e-12,
            "{wheel}"
        );
    }
    let locked = driven(&scenario, &Script::new(vec![steer(20.0, 2.0)])).state(10.0);
    assert_eq!(locked.rolled, [Jet::default(); 4]);
}

#[test]
fn rolling_forward_turns_every_wheel_by_distance_over_radius() {
    let scenario = scenario("body-roll");
    let timeline = driven(
        &scenario,
        &Script::new(vec![Step::RollForward {
            distance_m: 0.5,
            over_s: 3.0,
        }]),
    );
    let state = timeline.state(5.0);
    for wheel in Wheel::ALL {
        let expected = 0.5 / scenario.car().corner(wheel).radius_m;
        assert!((state.rolled[wheel.index()].value - expected).abs() < 1e-12);
        // Rolling forward the top of the wheel moves forward, on both sides.
        let middle = timeline.mount_frame(
            [
                Mount::FrontLeft,
                Mount::FrontRight,
                Mount::RearLeft,
                Mount::RearRight,
            ][wheel.index()],
            1.5,
        );
        assert!(middle.omega_radps.y > 0.1, "{wheel}");
        assert!(middle.velocity_mps.x > 0.1, "{wheel}");
    }
}

#[test]
fn a_slip_stays_with_the_wheel_it_happened_to() {
    let scenario = scenario("brake-slip");
    let end: CarState = driven(&scenario, scenario.script()).state(1e3);
    assert!((end.rolled[1].value.to_degrees() - 1.0).abs() < 1e-9);
    assert_eq!(end.rolled[0].value, 0.0);
    assert!(end.steer.value.abs() < 1e-12);
}

#[test]
fn steps_that_cannot_be_done_are_refused_by_number() {
    let spin = Step::Spin {
        wheel: Wheel::FrontLeft,
        by_deg: 90.0,
        over_s: 1.0,
    };
    let up = Step::Jack {
        wheel: Wheel::FrontLeft,
        up: true,
        over_s: 1.0,
    };
    let roll = Step::RollForward {
        distance_m: 1.0,
        over_s: 2.0,
    };
    let free = Step::Brake { locked: false };
    let rest = Step::Rest {
        for_s: 1.0,
        label: None,
    };
    let slip = Step::BrakeSlip {
        slip: Slip {
            wheel: Wheel::FrontLeft,
            by_deg: 1.0,
        },
        over_s: 0.5,
    };
    let cases = [
        (
            vec![rest.clone(), spin.clone()],
            2,
            StepProblem::SpinOnGround {
                wheel: Wheel::FrontLeft,
            },
        ),
        (vec![up.clone(), spin], 2, StepProblem::BrakeLocked),
        (vec![roll.clone()], 1, StepProblem::BrakeLocked),
        (
            vec![free.clone(), up.clone(), roll],
            3,
            StepProblem::RollJacked {
                wheel: Wheel::FrontLeft,
            },
        ),
        (
            vec![up.clone(), up],
            2,
            StepProblem::JackAlready {
                wheel: Wheel::FrontLeft,
                up: true,
            },
        ),
        (vec![free, slip], 2, StepProblem::BrakeFree),
        (
            vec![steer(51.0, 1.0)],
            1,
            StepProblem::SteerRange { to_deg: 51.0 },
        ),
        (
            vec![steer(10.0, 0.0)],
            1,
            StepProblem::Duration { seconds: 0.0 },
        ),
    ];
    for (steps, number, problem) in cases {
        let scenario = scenario("garage-good").with_script(Script::new(steps));
        assert_eq!(render(&scenario), Err(ScriptError { number, problem }));
    }
}

#[test]
fn what_was_read_stays_true_when_the_script_grows() {
    let scenario = scenario("garage-good");
    let mut timeline = driven(&scenario, &Script::new(vec![steer(15.0, 2.0)]));
    let times = [0.3, 1.0, 1.9, 2.5, 6.9];
    let before: Vec<_> = times.map(|t| timeline.state(t)).into();
    timeline
        .extend(&Script::new(vec![steer(-15.0, 3.0)]), 7.0)
        .expect("can be done");
    assert_eq!(before, times.map(|t| timeline.state(t)));
    assert!((timeline.end_s() - 10.0).abs() < 1e-12);
    assert!((timeline.state(20.0).steer.value.to_degrees() + 15.0).abs() < 1e-9);
}

#[test]
fn a_corner_is_up_or_down_whenever_it_was_moved() {
    // Times of which hardly one is a round number of seconds.
    for step in 0..2_000 {
        let after_s = 20.0 + (0.618_033_988_75 * f64::from(step)) % 60.0;
        let wheel = Wheel::FrontRight;
        let jack = |up| Step::Jack {
            wheel,
            up,
            over_s: 3.0,
        };
        let spin = Step::Spin {
            wheel,
            by_deg: 90.0,
            over_s: 2.0,
        };
        let roll = Step::RollForward {
            distance_m: 0.1,
            over_s: 1.0,
        };
        let script = Script::new(vec![jack(true), spin, jack(false), roll]);
        let scenario = scenario("oblique-mounts");
        let mut timeline = driven(&scenario, &Script::new(Vec::new()));
        timeline.extend(&script, after_s).unwrap();
    }
}

#[test]
fn a_sweep_reaches_both_sides_and_comes_back() {
    let scenario = scenario("garage-good");
    let timeline = driven(
        &scenario,
        &Script::new(vec![Step::Sweep {
            amplitude_deg: 28.0,
            over_s: 4.0,
            times: 2,
        }]),
    );
    let steer_deg = |t: f64| timeline.state(t).steer.value.to_degrees();
    for (t, expected) in [
        (0.0, 0.0),
        (2.0, 28.0),
        (6.0, -28.0),
        (10.0, 28.0),
        (12.0, 0.0),
    ] {
        assert!((steer_deg(t) - expected).abs() < 1e-9, "at {t}");
    }
    assert!((timeline.end_s() - 12.0).abs() < 1e-12);
}

#[test]
fn an_idling_engine_and_a_knock_shake_and_leave_no_trace() {
    let scenario = scenario("garage-good");
    let board = scenario.board(Mount::FrontLeft).expect("a board");
    let timeline = driven(
        &scenario,
        &Script::new(vec![
            Step::Idle { on: true },
            Step::Rest {
                for_s: 4.0,
                label: None,
            },
            Step::Idle { on: false },
            Step::Rest {
                for_s: 2.0,
                label: None,
            },
            Step::Knock {
                wheel: Wheel::FrontLeft,
                peak_g: 0.5,
            },
            Step::Rest {
                for_s: 4.0,
                label: None,
            },
        ]),
    );
    let quiet = scenario.timeline();
    let shaken = |from_s: f64| {
        (0..500)
            .map(|i| {
                let t = from_s + f64::from(i) * 1e-3;
                let now = sense(&timeline, board.mount, &board.placement, t).force_g;
                (now - sense(&quiet, board.mount, &board.placement, t).force_g).norm()
            })
            .fold(0.0, f64::max)
    };
    let (idling, stopped, knocked, after) = (shaken(2.0), shaken(5.0), shaken(6.0), shaken(9.0));
    assert!((0.003..0.02).contains(&idling), "{idling}");
    assert_eq!(stopped, 0.0);
    assert!((0.2..0.6).contains(&knocked), "{knocked}");
    assert_eq!(after, 0.0);
}

#[test]
fn a_board_is_laid_as_the_script_says_and_strapped_on_as_it_was() {
    let scenario = scenario("bench");
    let mount = Mount::FrontLeft;
    let placement = &scenario.board(mount).expect("a board").placement;
    let mut timeline = scenario.timeline();
    let strapped = attitude(&timeline, mount, placement, 0.0);
    let ways = [
        [0.0, 0.0, 1.0],
        [0.0, 0.0, -1.0],
        [0.3, -2.0, 0.0],
        [-0.3, 2.0, 0.0],
        [1.0, 1.0, 1.0],
    ];
    for up in ways {
        let lay = Step::LayBoard {
            mount,
            up,
            over_s: 2.0,
        };
        timeline
            .extend(&Script::new(vec![lay]), 0.0)
            .expect("it can be laid");
        let at_s = timeline.end_s() + 0.1;
        let up_now = attitude(&timeline, mount, placement, at_s).inverse() * Vector3::z();
        let off = (up_now - Vector3::from(up).normalize()).norm();
        assert!(off < 1e-9, "{up:?}: {up_now:?}");
        // What it feels is gravity again, and nothing turns.
        let sensed = sense(&timeline, mount, placement, at_s);
        assert!(sensed.rate_radps.norm() < 1e-12);
        assert!((sensed.force_g.normalize() - up_now).norm() < 1e-9);
    }
    let half = Step::TurnBoard {
        mount,
        by_deg: [0.0, 180.0, 0.0],
        over_s: 3.0,
    };
    let before = attitude(&timeline, mount, placement, timeline.end_s());
    timeline
        .extend(&Script::new(vec![half]), 0.0)
        .expect("it can be turned");
    let after = attitude(&timeline, mount, placement, timeline.end_s());
    let turned = before.inverse() * after;
    assert!((turned * Vector3::y() - Vector3::y()).norm() < 1e-9);
    assert!((turned * Vector3::x() + Vector3::x()).norm() < 1e-9);
    let strap = Step::StrapBoard { mount, over_s: 2.0 };
    timeline
        .extend(&Script::new(vec![strap]), 0.0)
        .expect("it can be strapped on");
    let again = attitude(&timeline, mount, placement, timeline.end_s() + 1.0);
    assert!((again.matrix() - strapped.matrix()).norm() < 1e-9);
}

#[test]
fn a_board_that_is_not_there_or_a_way_that_is_none_is_refused() {
    let check = |step: Step, expected: StepProblem| {
        let error = scenario("bench")
            .timeline()
            .extend(&Script::new(vec![step]), 0.0);
        assert_eq!(error.expect_err("refused").problem, expected);
    };
    let lay = |mount, up| Step::LayBoard {
        mount,
        up,
        over_s: 1.0,
    };
    check(
        lay(Mount::Body, [0.0, 0.0, 1.0]),
        StepProblem::NoBoard { mount: Mount::Body },
    );
    check(lay(Mount::FrontLeft, [0.0; 3]), StepProblem::NoDirection);
}

#[test]
fn a_tap_is_felt_by_one_board_and_a_slammed_door_by_all_alike() {
    const MOUNTS: [Mount; 5] = [
        Mount::FrontLeft,
        Mount::FrontRight,
        Mount::RearLeft,
        Mount::RearRight,
        Mount::Body,
    ];
    let scenario = scenario("bent-knuckle");
    let felt = |step: Step| {
        let mut timeline = scenario.timeline();
        timeline.extend(&Script::new(vec![step]), 1.0).unwrap();
        MOUNTS.map(|mount| {
            let strongest = (0..200).map(|k| {
                let shake = timeline.shake(mount, 1.0 + f64::from(k) * 1e-3);
                shake.accel_g.norm()
            });
            strongest.fold(0.0, f64::max)
        })
    };
    for (index, mount) in MOUNTS.into_iter().enumerate() {
        let felt_g = felt(Step::Tap { mount, peak_g: 1.5 });
        for (other, other_g) in felt_g.iter().enumerate() {
            assert_eq!(*other_g > 1.0, other == index, "{mount}: {felt_g:?}");
            assert!(
                other == index || *other_g < 0.1 * felt_g[index],
                "{felt_g:?}"
            );
        }
    }
    let felt_g = felt(Step::Slam { peak_g: 1.5 });
    assert!(
        felt_g
            .iter()
            .all(|g| (g - felt_g[0]).abs() < 1e-12 && *g > 1.0),
        "{felt_g:?}"
    );
    let nowhere = Script::new(vec![Step::Tap {
        mount: Mount::FrontLeft,
        peak_g: f64::NAN,
    }]);
    assert!(scenario.timeline().extend(&nowhere, 0.0).is_err());
}
