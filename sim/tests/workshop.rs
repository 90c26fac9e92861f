//! A whole visit on the simulated car: steps, and the truth while they go on.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::board::sense;
use hubplumb_sim::car::{Car, CarState};
use hubplumb_sim::motion::{Rocked, ScriptError, StepProblem, Timeline};
use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step, Wheel};
use nalgebra::Vector3;

fn bent() -> Scenario {
    Scenario::shipped("bent-knuckle").expect("shipped")
}

/// The scenario with some of its text replaced.
fn bent_with(changes: &[(&str, &str)]) -> Scenario {
    let text = Scenario::shipped_toml("bent-knuckle").expect("shipped");
    let text = changes.iter().fold(text.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "the file has {old:?}");
        text.replace(old, new)
    });
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{error}"))
}

/// The same with rims that run true and a tape that is read exactly.
fn exact() -> Scenario {
    let text = Scenario::shipped_toml("bent-knuckle").expect("shipped");
    let kept = text.lines().filter(|line| !line.starts_with("rim ="));
    let text = kept.collect::<Vec<_>>().join("\n");
    let text = text.replace("tape_sigma_mm = 0.3", "tape_sigma_mm = 0.0");
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{error}"))
}

fn driven(scenario: &Scenario, steps: Vec<Step>) -> Timeline {
    let mut timeline = scenario.timeline();
    timeline
        .extend(&Script::new(steps), 0.0)
        .unwrap_or_else(|error| panic!("{error}"));
    timeline
}

fn adjust(wheel: Wheel, adjuster: &str, by: f64) -> Step {
    Step::Adjust {
        wheel,
        adjuster: adjuster.to_owned(),
        by,
        clock_deg: None,
        over_s: 1.0,
    }
}

fn rest() -> Step {
    Step::Rest {
        for_s: 1.0,
        label: None,
    }
}

fn camber_toe_deg(car: &Car, wheel: Wheel) -> (f64, f64) {
    let angles = car.corner(wheel).angles_in(&car.rest_to_floor());
    (angles.camber_rad.to_degrees(), angles.toe_rad.to_degrees())
}

#[track_caller]
fn check(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found:.6} instead of {expected:.6}"
    );
}

#[test]
fn the_shipped_visit_begins_wrong_and_ends_right() {
    let scenario = bent();
    let truth = scenario.truth();
    let left = truth.wheel(Wheel::FrontLeft).expect("a wheel");
    // The knuckle is 1.2° low in camber and included angle; SAI is the maker's.
    check("camber", left.camber_deg, -1.0, 1e-3);
    check("SAI", left.sai_deg.expect("steers"), 9.0, 1e-6);
    check("included", left.included_deg.expect("steers"), 8.0, 1e-3);
    assert!(truth.stance.front_total_toe_deg < -0.2);
    // (0.55 − 0.12) / 2, reference §4.
    check("thrust", truth.stance.thrust_deg, 0.215, 1e-3);

    let after = truth.rests.last().expect("a rest");
    assert_eq!(after.label.as_deref(), Some("after"));
    assert!(truth.rests[0].changed.is_empty());
    let of = |wheel: Wheel| &after.changed[wheel.index()];
    let targets = scenario.targets();
    let within = |name: &str, found: f64| {
        let [value, tolerance] = targets[name];
        assert!((found - value).abs() < tolerance, "{name}: {found}");
    };
    let (left, right) = (of(Wheel::FrontLeft), of(Wheel::FrontRight));
    for wheel in [left, right] {
        within("front_camber_deg", wheel.camber_deg);
        within("front_caster_deg", wheel.caster_deg.expect("steers"));
        within("front_sai_deg", wheel.sai_deg.expect("steers"));
        within("front_included_deg", wheel.included_deg.expect("steers"));
    }
    within("front_total_toe_deg", left.toe_deg + right.toe_deg);
    let (rear_left, rear_right) = (of(Wheel::RearLeft), of(Wheel::RearRight));
    within("rear_toe_deg", rear_left.toe_deg);
    within("rear_toe_deg", rear_right.toe_deg);
    within("thrust_deg", 0.5 * (rear_left.toe_deg - rear_right.toe_deg));
}

#[test]
fn backlash_is_lost_motion_and_a_bounce_shows_the_rest() {
    let scenario = bent_with(&[("backlash = 0.02", "backlash = 0.2")]);
    let toe = |steps: Vec<Step>| {
        let timeline = driven(&scenario, steps);
        camber_toe_deg(timeline.car(), Wheel::FrontLeft).1
    };
    let rod = |by| adjust(Wheel::FrontLeft, "tie_rod", by);
    let (none, half, whole) = (
        toe(vec![]),
        toe(vec![rod(0.5)]),
        toe(vec![rod(0.9), rod(-0.2)]),
    );
    check("within", toe(vec![rod(0.1)]), none, 1e-12);
    // 1.25 mm on 110 mm: 0.651° a turn, less 0.1 turn of lost motion.
    check("beyond", half - none, 0.4 * 0.651, 0.003);
    check("back", whole - none, 0.8 * 0.651, 0.006);

    let shims = || {
        vec![
            adjust(Wheel::FrontRight, "front_shim", 2.0),
            adjust(Wheel::FrontRight, "rear_shim", 2.0),
        ]
    };
    let camber = |more: Vec<Step>| {
        let timeline = driven(&scenario, [shims(), more].concat());
        camber_toe_deg(timeline.car(), Wheel::FrontRight).0
    };
    let before = camber_toe_deg(scenario.car(), Wheel::FrontRight).0;
    let bounced = camber(vec![Step::Bounce { over_s: 1.0 }]) - before;
    // s / L (reference §9); the rod, which holds the steering arm, turns the wheel by half a degree
    // besides, and 3.4° of caster make 0.03° of camber of that.
    check("bounced", bounced, (2e-3_f64 / 0.229).to_degrees(), 0.04);
    check("unsettled", camber(vec![]) - before, 0.6 * bounced, 1e-3);
    let rolled = vec![
        Step::Brake { locked: false },
        Step::RollForward {
            distance_m: 1.0,
            over_s: 2.0,
        },
    ];
    check("rolled", camber(rolled) - before, bounced, 1e-9);
}

#[test]
fn boards_follow_an_adjustment_without_a_jump() {
    let scenario = bent();
    let mount = Mount::RearLeft;
    let placement = scenario.board(mount).expect("a board").placement;
    let timeline = driven(
        &scenario,
        vec![
            rest(),
            adjust(Wheel::RearLeft, "toe_eccentric", -30.0),
            rest(),
        ],
    );
    let level = |t_s: f64| timeline.board_frame(mount, &placement, t_s).to_level;
    let mut last = level(0.0);
    let mut turned_rad = 0.0;
    for step in 1..3000 {
        let now = level(f64::from(step) * 1e-3);
        let by = (last.inverse() * now).angle();
        assert!(by < 1e-4, "{by} rad within a millisecond");
        turned_rad += by;
        last = now;
    }
    let (begun, ended) = (timeline.car_at(0.5), timeline.car_at(2.5));
    let toe = |car: &Car| camber_toe_deg(car, Wheel::RearLeft).1;
    check(
        "way",
        turned_rad.to_degrees(),
        toe(begun) - toe(ended),
        1e-3,
    );
    check("end", toe(timeline.car()), toe(ended), 0.0);
}

#[test]
fn a_rocked_wheel_shows_its_play() {
    let scenario = bent();
    let wheel = Wheel::FrontRight;
    let mount = Mount::FrontRight;
    let placement = scenario.board(mount).expect("a board").placement;
    // From end to end: the play of the scenario and twice 0.02° that a wheel without any gives.
    for (about, play_deg) in [(Rocked::TopBottom, 0.25), (Rocked::FrontRear, 0.06)] {
        let jacked = Step::Jack {
            wheel,
            up: true,
            over_s: 1.0,
        };
        let rock = Step::Rock {
            wheel,
            about,
            cycles: 2,
            hold_s: 1.0,
            over_s: 0.5,
        };
        let timeline = driven(&scenario, vec![jacked, rock]);
        let level = |t_s: f64| timeline.board_frame(mount, &placement, t_s).to_level;
        let (one, other) = (level(2.0), level(3.5));
        let apart = (one.inverse() * other).angle().to_degrees();
        check("end to end", apart, play_deg + 0.04, 1e-6);
        check(
            "back",
            (level(1.0).inverse() * level(9.0)).angle(),
            0.0,
            1e-9,
        );
    }
    let on_ground = Step::Rock {
        wheel,
        about: Rocked::TopBottom,
        cycles: 1,
        hold_s: 1.0,
        over_s: 0.5,
    };
    let refused = scenario
        .timeline()
        .extend(&Script::new(vec![on_ground]), 0.0);
    assert_eq!(
        refused,
        Err(ScriptError {
            number: 1,
            problem: StepProblem::RockOnGround { wheel }
        })
    );
}

#[test]
fn a_bar_turned_end_for_end_cancels_its_seat() {
    let scenario = exact();
    let mount = Mount::FrontLeft;
    let placement = scenario.board(mount).expect("a board").placement;
    // The floor slopes; what gravity tells is camber against the level.
    for wheel in Wheel::ALL {
        let hold = |reversed| {
            let step = Step::HoldBar {
                mount,
                wheel,
                reversed,
                over_s: 1.0,
            };
            let timeline = driven(&scenario, vec![step, rest()]);
            let force = sense(&timeline, mount, &placement, 1.5).force_g;
            // The board's z looks outward.
            -(force.z / force.norm()).asin().to_degrees()
        };
        let spindle = scenario
            .car()
            .knuckle_frame(wheel, &CarState::default())
            .to_level
            * scenario.car().corner(wheel).spindle;
        let camber_deg = (-spindle.z).asin().to_degrees();
        let (one, other) = (hold(false), hold(true));
        check("one way", one, camber_deg + 0.35, 1e-3);
        check("both ways", 0.5 * (one + other), camber_deg, 1e-3);
    }
}

#[test]
fn a_board_goes_to_another_hub_and_back() {
    let scenario = bent();
    let mount = Mount::FrontLeft;
    let placement = scenario.board(mount).expect("a board").placement;
    let moved = Step::MoveBoard {
        mount,
        wheel: Wheel::RearRight,
        over_s: 1.0,
    };
    let back = Step::StrapBoard { mount, over_s: 1.0 };
    let timeline = driven(&scenario, vec![rest(), moved, rest(), back, rest()]);
    let frame = |t_s: f64| timeline.board_frame(mount, &placement, t_s);
    let outward = frame(2.5).to_level * Vector3::z();
    let state = CarState::default();
    let spindle = scenario
        .car()
        .knuckle_frame(Wheel::RearRight, &state)
        .to_level
        * scenario.car().corner(Wheel::RearRight).spindle;
    check("its face", outward.dot(&spindle), 1.0, 1e-12);
    let (begun, ended) = (frame(0.5), frame(4.5));
    assert_eq!(begun.to_level, ended.to_level);
    assert_eq!(begun.position_m, ended.position_m);
}

#[test]
fn locks_tell_how_far_the_steering_wheel_is_off_centre() {
    let scenario = bent();
    let steps = vec![Step::LockToLock {
        rest_s: 2.0,
        over_s: 2.0,
    }];
    let timeline = driven(&scenario, steps);
    let wheel = |t_s: f64| {
        let car = timeline.car_at(t_s);
        car.steering_wheel_rad(timeline.state(t_s).steer.value)
            .to_degrees()
    };
    let (left, right) = (wheel(3.0), wheel(9.0));
    check("left", left, 36.0 * 16.0 - 3.0, 1e-9);
    check("right", right, -35.4 * 16.0 - 3.0, 1e-9);
    let mid = scenario.truth().stance.mid_lock_wheel_deg.expect("locks");
    check("middle", mid, 0.5 * (left + right), 1e-9);
    let beyond = Step::SteerTo {
        to_deg: -35.5,
        over_s: 2.0,
        slip: None,
    };
    let refused = scenario.timeline().extend(&Script::new(vec![beyond]), 0.0);
    assert!(matches!(
        refused,
        Err(ScriptError {
            problem: StepProblem::BeyondLock { .. },
            ..
        })
    ));
}

#[test]
fn a_shifted_axle_and_a_wheel_set_back_show_in_the_stance() {
    let scenario = bent_with(&[(
        "[[damage]]\n",
        "[[damage]]\nwhat = { axle_shifted = { turned_deg = 0.3, sideways_mm = 8 } }\n\n\
         [[damage]]\nwheel = \"front_right\"\nwhat = { set_back = { by_mm = 10 } }\n\n[[damage]]\n",
    )]);
    let (stance, before) = (scenario.truth().stance, bent().truth().stance);
    check("thrust", stance.thrust_deg - before.thrust_deg, 0.3, 1e-9);
    check(
        "rear toe",
        stance.rear_total_toe_deg,
        before.rear_total_toe_deg,
        1e-9,
    );
    // Setback angle = atan((x_L − x_R) / track), reference §4.
    check(
        "setback",
        stance.front_setback_deg,
        (10.0_f64 / 1260.0).atan().to_degrees(),
        1e-6,
    );
    // 8 mm to the left behind: the line through the middles points to the right, over 2180 mm.
    let line_deg = (8.0_f64 / 2175.0).atan().to_degrees();
    check("centreline", stance.centreline_deg, line_deg, 1e-3);
}

#[test]
fn a_step_that_makes_no_sense_says_what_there_is() {
    let scenario = bent();
    let refused = |step| {
        let done = scenario.timeline().extend(&Script::new(vec![step]), 0.0);
        done.expect_err("refused").problem.to_string()
    };
    let said = refused(adjust(Wheel::FrontLeft, "camber_bolt", 1.0));
    assert!(said.contains("tie_rod, front_shim, rear_shim"), "{said}");
    let said = refused(adjust(Wheel::FrontLeft, "front_shim", 900.0));
    assert!(said.contains("do not reach"), "{said}");
    let said = refused(Step::SetHeight {
        wheels: Wheel::ALL.into(),
        to_mm: 400.0,
        over_s: 1.0,
    });
    assert!(said.contains("150"), "{said}");
}

#[test]
fn a_running_car_tells_its_truth_after_an_adjustment() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(bent(), folder.path(), 20.0).expect("starts");
    let toe = |sim: &LiveSim| sim.truth().wheel(Wheel::RearLeft).expect("a wheel").toe_deg;
    let (before, strings) = (toe(&sim), sim.read_strings(0.35, 0.75));
    let ends_s = sim
        .drive(&Script::new(vec![
            adjust(Wheel::RearLeft, "toe_eccentric", -15.7),
            Step::Bounce { over_s: 1.0 },
        ]))
        .expect("can be done");
    while sim.now_s() < ends_s {
        std::thread::yield_now();
    }
    // e sin β over the lever: 5 mm, 180 mm.
    let turned = (5.0 * 15.7_f64.to_radians().sin() / 180.0)
        .asin()
        .to_degrees();
    check("toe", toe(&sim), before - turned, 1e-6);
    check(
        "thrust",
        sim.truth().stance.thrust_deg,
        0.215 - 0.5 * turned,
        1e-3,
    );
    let now = sim.read_strings(0.35, 0.75);
    let gap = |readings: &[hubplumb_sim::StringReading]| {
        let [front, rear] = readings[Wheel::RearLeft.index()].true_mm;
        front - rear
    };
    assert!(gap(&now) < gap(&strings) - 2.0);
    assert!(sim.read_trammel(true, 0.35).gap_read_mm < 0.0);
}
