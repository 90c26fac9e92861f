//! Faults as a scenario writes them, and on a port.

#![expect(
    clippy::expect_used,
    reason = "a step that does not work must fail its test"
)]

use std::fs;
use std::time::{Duration, Instant};

use hubplumb_sim::{
    Fault, FaultKind, FaultName, FaultPlan, LiveSim, Mount, Scenario, ScenarioError, Speaker,
};

const LEFT: Mount = Mount::FrontLeft;

fn with(faults: &str) -> Result<Scenario, ScenarioError> {
    let shipped = Scenario::shipped_toml("garage-good").expect("shipped");
    Scenario::from_toml(&format!("{shipped}\n{faults}"))
}

#[test]
fn a_scenario_writes_faults_down_or_draws_them() {
    let scenario = with(
        "[[fault]]\nmount = \"front_right\"\nkind = \"corrupt\"\nfrom_s = 12\nto_s = 15\nshare_percent = 5\n\
         [[fault]]\nmount = \"front_left\"\nkind = \"clock-jump\"\nfrom_s = 3\nby_s = -0.4\n\
         [[fault]]\nmount = \"front_left\"\nkind = \"twin\"\nfrom_s = 20\nother = \"front_right\"\n",
    )
    .expect("sound");
    let written: Vec<_> = scenario.faults().faults().to_vec();
    let expected = [
        (LEFT, FaultKind::ClockJump { by_s: -0.4 }, 3.0, 3.0),
        (
            Mount::FrontRight,
            FaultKind::Corrupt { share: 0.05 },
            12.0,
            15.0,
        ),
        (
            LEFT,
            FaultKind::Twin {
                of: Mount::FrontRight,
            },
            20.0,
            f64::INFINITY,
        ),
    ];
    assert_eq!(written.len(), expected.len());
    for (fault, (mount, kind, from_s, to_s)) in written.iter().zip(expected) {
        assert_eq!((fault.mount, fault.kind), (mount, kind));
        assert_eq!((fault.from_s, fault.to_s), (from_s, to_s));
    }
    let draw = "[faults]\nto_s = 1000\nkinds = [\"stall\", \"stuck-axis\"]\nlasts_s = [1, 2]\n";
    let drawn = with(draw).expect("sound");
    assert!(drawn.faults().faults().len() > 60);
    for fault in drawn.faults().faults() {
        assert!(
            matches!(fault.kind.name(), FaultName::Stall | FaultName::StuckAxis),
            "{fault}"
        );
    }
    assert_eq!(with(draw).expect("sound").faults(), drawn.faults());
}

#[test]
fn a_fault_that_cannot_be_is_refused_by_its_key() {
    let refused = |keys: &str| {
        with(&format!(
            "[[fault]]\nmount = \"front_left\"\nfrom_s = 1\n{keys}"
        ))
        .expect_err("it cannot be")
        .to_string()
    };
    for (keys, named) in [
        ("kind = \"drop\"", "share_percent"),
        ("kind = \"drop\"\nshare_percent = 101", "share_percent"),
        ("kind = \"delay\"\nby_s = -1", "by_s"),
        ("kind = \"stuck-axis\"\naxis = 6", "axis"),
        ("kind = \"swapped\"\nother = \"front_left\"", "other"),
        ("kind = \"twin\"\nother = \"body\"", "other"),
        ("kind = \"mute\"\nto_s = 0.5", "to_s"),
        ("kind = \"gremlin\"", "gremlin"),
    ] {
        let told = refused(keys);
        assert!(told.contains(named), "{keys}: {told}");
    }
}

#[test]
fn a_board_says_the_same_with_faults_that_are_not_on() {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let late = FaultPlan::new(vec![Fault {
        mount: LEFT,
        kind: FaultKind::Corrupt { share: 1.0 },
        from_s: 2.0,
        to_s: 3.0,
    }]);
    let said = |scenario: &Scenario| {
        let mut speaker = Speaker::of(scenario, LEFT).expect("a board");
        let timeline = scenario.timeline();
        [1.0, 2.0, 3.0, 4.0].map(|until_s| {
            let said = speaker.says(&timeline, until_s - 1e-6);
            speaker.carries(said, until_s - 1e-6).pieces.concat()
        })
    };
    let (sound, faulty) = (said(&scenario), said(&scenario.clone().with_faults(late)));
    assert!(sound[0].len() > 2000);
    assert_eq!(sound[..2], faulty[..2]);
    assert_ne!(sound[2], faulty[2]);
    assert_eq!(sound[3], faulty[3]);
}

#[test]
fn a_plug_that_the_plan_pulls_takes_the_port_away_for_as_long() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = FaultPlan::new(vec![Fault {
        mount: LEFT,
        kind: FaultKind::Unplug,
        from_s: 0.5,
        to_s: 1.0,
    }]);
    let scenario = Scenario::shipped("garage-good")
        .expect("shipped")
        .with_faults(plan);
    let sim = LiveSim::start(scenario, folder.path(), 1.0).expect("the car");
    let port = folder.path().join("front_left");
    let began = Instant::now();
    let mut seen = Vec::new();
    while began.elapsed() < Duration::from_millis(1500) {
        let there = fs::symlink_metadata(&port).is_ok();
        if seen.last() != Some(&there) {
            seen.push(there);
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(seen, [true, false, true], "at {} s", sim.now_s());
}
