use hubplumb_core::check::evidence::{
    CentringEvidence, HeightStop, HeightsEvidence, HubEvidence, PlainAccel, PlainFloor, PlainRest,
    PlainSteer, PlainTurn, PlayEvidence, TurnedBy, TurningPoint, TurnsEvidence,
};
use hubplumb_core::check::{Grip, SeatBy};
use hubplumb_core::side::Side;
use serde_json::json;

use super::*;
use crate::car::{Corner, SteeringRecord};
use crate::http::visit_views::StringDistances;
use crate::store::{NewEntry, Recording};
use crate::visit::Entry;

const AT: &str = "2026-05-01T10:00:00Z";

fn car() -> CarRecord {
    CarRecord {
        name: "Marten 1600".to_owned(),
        wheelbase_mm: Some(2600.0),
        steering: SteeringRecord {
            ratio: Some(16.0),
            axis_spacing_mm: Some(1300.0),
            ..SteeringRecord::default()
        },
        ..CarRecord::default()
    }
}

/// A visit of that car with these entries; it is the first of its store.
fn visit(entries: Vec<(Entry, Vec<Recording>)>) -> Store {
    let store = Store::in_memory().unwrap();
    let car = store.add_car(&car(), AT).unwrap();
    store.begin_visit(car, "0.0.1", AT).unwrap();
    for (what, recordings) in entries {
        let entry = NewEntry {
            ask: None,
            at: AT.to_owned(),
            what,
            recordings,
        };
        store.add(1, &entry).unwrap();
    }
    store
}

fn one(run: Run, recordings: Vec<Recording>) -> Recomputed {
    let store = visit(vec![(Entry::Run(Box::new(run)), recordings)]);
    let mut runs = recompute(&store, 1).unwrap();
    assert_eq!(runs.len(), 1);
    runs.remove(0)
}

fn entered() -> Run {
    let wheel = |corner, ahead: &str, behind: &str| StringDistances {
        corner,
        ahead: ahead.to_owned(),
        behind: behind.to_owned(),
        turned_ahead: None,
        turned_behind: None,
        hub: None,
    };
    let figures = EnteredFigures::Strings {
        front_diameter: Some("406,4".to_owned()),
        rear_diameter: Some("16 in".to_owned()),
        wheels: vec![
            wheel(Corner::FrontLeft, "101,2 mm", "100"),
            wheel(Corner::FrontRight, "100", "100"),
            wheel(Corner::RearLeft, "102.13", "100"),
            wheel(Corner::RearRight, "99.29 mm", "100 mm"),
        ],
        reading_standard: None,
        direction_standard: None,
        run_out: None,
    };
    present::entered_run(&figures, &car(), Stage::Before).unwrap()
}

/// A rest of a board whose upright axis is −y, leaning so far about its x, rad.
fn rest(lean_rad: f64) -> PlainRest {
    PlainRest {
        from_us: 1_000_000,
        to_us: 3_000_000,
        count: 200,
        accel_g: [0.0, -1.0, lean_rad],
        noise_rad: 2.3e-5,
        degrees_of_freedom: f64::INFINITY,
    }
}

fn hub(side: Side) -> HubEvidence {
    HubEvidence {
        side,
        spindle: [0.0, 0.0, 1.0],
        seat_by: SeatBy::RunOut,
        seat_rad: 3.1e-4,
        floor: PlainFloor {
            roll_rad: [1.7e-3, 3.0e-4],
            pitch_rad: [-0.9e-3, 3.0e-4],
        },
        accel: PlainAccel {
            offset_g: 4.0e-4,
            scale: 1.0e-3,
            cross_rad: 2.0e-4,
        },
        stops: vec![rest(-0.0217), rest(-0.0213), rest(-0.0216)],
    }
}

fn steer(turned: Option<Side>, deg: f64) -> PlainSteer {
    PlainSteer {
        turned,
        steer_rad: [
            Some([deg.to_radians(), 2.0e-4]),
            Some([0.97 * deg.to_radians(), 2.0e-4]),
        ],
    }
}

/// Evidence that is solved, by the mount it was taken at.
fn checked() -> Vec<(Option<Mount>, Evidence)> {
    let turn = |turn, inner: f64, outer: f64| PlainTurn {
        turn,
        inner_rad: [inner.to_radians(), 3.0e-4],
        outer_rad: [outer.to_radians(), 3.0e-4],
    };
    let points = (0..14).map(|i: i32| TurningPoint {
        at_us: i64::from(i) * 400_000,
        angle_rad: f64::from(i % 2) * 4.1e-3 + f64::from(i % 3) * 1e-5,
    });
    let height = |height_mm: f64, lean_rad| HeightStop {
        height_mm,
        rest: rest(lean_rad),
        toe_typed_rad: None,
        toe_moved_rad: None,
    };
    vec![
        (
            Some(Mount::RearRight),
            Evidence::CamberOnHub(hub(Side::Right)),
        ),
        (
            Some(Mount::FrontLeft),
            Evidence::Play(PlayEvidence {
                side: Side::Left,
                grip: Grip::TopBottom,
                points: points.collect(),
                range_rad: 4.3e-3,
                seconds: 5.6,
                shaken_ratio: 50.0,
                gyro_noise_radps_rthz: 7.0e-5,
                gyro_scale: 0.01,
                rest_noise_rad: 2.0e-5,
            }),
        ),
        (
            None,
            Evidence::Centring(CentringEvidence {
                by: TurnedBy::Gyro,
                positions: vec![
                    steer(None, 0.0),
                    steer(Some(Side::Left), 36.1),
                    steer(Some(Side::Right), -35.2),
                    steer(None, 0.1),
                ],
                scale: [1.0e-3, 1.0e-3],
            }),
        ),
        (
            None,
            Evidence::TurnOut(TurnsEvidence {
                by: TurnedBy::Plates,
                turns: vec![turn(Side::Left, 20.3, 18.4), turn(Side::Right, 19.8, 18.1)],
                scale: [0.0, 0.0],
                straight_rad: [2.0e-4, 2.0e-4],
                return_rad: 1.0e-3,
            }),
        ),
        (
            Some(Mount::FrontLeft),
            Evidence::Heights(HeightsEvidence {
                wheel: HubEvidence {
                    stops: Vec::new(),
                    ..hub(Side::Left)
                },
                ride_height_mm: 350.0,
                height_standard_mm: 1.0,
                stops: vec![
                    height(330.0, -0.0301),
                    height(345.0, -0.0238),
                    height(360.0, -0.0182),
                    height(375.0, -0.0119),
                ],
            }),
        ),
    ]
}

fn check_run(mount: Option<Mount>, evidence: &Evidence) -> Run {
    let found = CheckFound {
        run: 3,
        kind: kind(evidence),
        mount,
        at_us: 77,
        evidence: evidence.clone(),
        result: solve(evidence).unwrap(),
    };
    present::check_run(&found, &car(), Stage::After, Vec::new()).unwrap()
}

/// Every finding is there again, to the last bit, and nothing else.
fn check_found_again(run: &Run) {
    let again = one(run.clone(), Vec::new());
    assert_eq!(again.procedure, run.procedure);
    let Again::Findings(pairs) = &again.again else {
        panic!("{again:?}");
    };
    assert_eq!(pairs.len(), run.findings.len());
    for (pair, finding) in pairs.iter().zip(&run.findings) {
        assert_eq!(
            (pair.quantity, pair.place),
            (finding.quantity, finding.place)
        );
        assert_eq!(pair.stored, pair.now);
        assert_eq!(pair.stored, Some(Told::of(finding)));
        assert_eq!(pair.difference_sigmas, Some(0.0));
        assert!(pair.stored.is_some_and(|told| told.standard > 0.0));
    }
    assert!(again.agrees());
}

#[test]
fn entered_figures_are_found_again() {
    check_found_again(&entered());
}

#[test]
fn checks_are_found_again() {
    for (mount, evidence) in checked() {
        check_found_again(&check_run(mount, &evidence));
    }
}

#[test]
fn a_changed_value_is_noticed() {
    for (by_sigmas, same) in [(0.009, true), (0.011, false), (-5.0, false)] {
        let mut run = entered();
        let finding = &mut run.findings[1];
        finding.value -= by_sigmas * finding.standard;
        let again = one(run, Vec::new());
        assert_eq!(again.agrees(), same, "{by_sigmas}");
        let Again::Findings(pairs) = again.again else {
            panic!("figures are there");
        };
        let off = pairs[1].difference_sigmas.unwrap();
        assert!((off - by_sigmas).abs() < 1e-9, "{off}, not {by_sigmas}");
        assert!(pairs[0].agrees() && pairs[2].agrees());
    }
}

#[test]
fn a_changed_uncertainty_is_noticed() {
    let mut run = entered();
    run.findings[0].standard *= 0.5;
    let again = one(run, Vec::new());
    assert!(!again.agrees());
    let Again::Findings(pairs) = again.again else {
        panic!("figures are there");
    };
    assert!((pairs[0].standard_change.unwrap() - 1.0).abs() < 1e-9);
}

#[test]
fn findings_that_come_or_go_are_noticed() {
    let mut more = entered();
    let mut another = more.findings[0].clone();
    another.quantity = Quantity::Play;
    more.findings.push(another);
    let mut less = entered();
    less.findings.remove(0);
    let figures = entered().findings.len();
    for (run, length, at) in [(more, figures + 1, figures), (less, figures, figures - 1)] {
        let again = one(run, Vec::new());
        assert!(!again.agrees());
        let Again::Findings(pairs) = again.again else {
            panic!("figures are there");
        };
        assert_eq!(pairs.len(), length);
        assert!(pairs[at].stored.is_none() != pairs[at].now.is_none());
        assert_eq!(pairs[at].difference_sigmas, None);
    }
}

/// A run cannot be computed again, and this is told.
fn check_cannot(run: Run, recordings: Vec<Recording>, wanted: &str) {
    let again = one(run, recordings);
    assert!(!again.agrees());
    let Again::Cannot(why) = again.again else {
        panic!("{again:?}");
    };
    assert!(why.contains(wanted), "{why}, not {wanted}");
}

#[test]
fn what_cannot_be_computed_again_says_why() {
    let swing = Run {
        procedure: Procedure::Swing,
        ..entered()
    };
    let file = |name: &str, text: &str| Recording {
        name: name.to_owned(),
        content: text.as_bytes().to_vec(),
    };
    let session = |table: &str| {
        let board = json!({ "role": "left", "file": table });
        json!({ "boards": [board] }).to_string()
    };
    for (recordings, wanted) in [
        (vec![], "its recording was not kept"),
        (vec![file("left.csv", "")], "its session.json was not kept"),
        (
            vec![file("session.json", &session("left.csv"))],
            "its recording left.csv was not kept",
        ),
        (
            vec![file("session.json", &session("/etc/hostname"))],
            "its recording /etc/hostname was not kept",
        ),
        (vec![file("../session.json", "{}")], "is no name of a file"),
        (vec![file("session.json", "{")], "session.json"),
    ] {
        check_cannot(swing.clone(), recordings, wanted);
    }

    let mut other = entered();
    other.evidence = json!({ "way": "compass" });
    check_cannot(other, vec![], "compass");
    let mut other = entered();
    other.evidence["wheels"][0]["ahead"] = "a hand".into();
    check_cannot(other, vec![], "a hand");
    let mut other = check_run(None, &checked()[3].1);
    other.evidence["turns"] = json!([]);
    let refused = solve(&kept::from_json(&other.evidence).unwrap()).unwrap_err();
    check_cannot(other, vec![], &refused.to_string());
}

#[test]
fn what_was_taken_back_is_left_out() {
    let back = Entry::TakenBack {
        number: 2,
        why: String::new(),
    };
    let run = |run| (Entry::Run(Box::new(run)), Vec::new());
    let store = visit(vec![
        run(Run {
            evidence: json!(null),
            ..entered()
        }),
        run(entered()),
        (back, Vec::new()),
    ]);
    let runs = recompute(&store, 1).unwrap();
    let numbers: Vec<u32> = runs.iter().map(|run| run.number).collect();
    assert_eq!(numbers, [3]);
    assert!(runs[0].agrees());
    assert_eq!(
        recompute(&store, 9).unwrap_err(),
        StoreFault::NoVisit { id: 9 }
    );
}
