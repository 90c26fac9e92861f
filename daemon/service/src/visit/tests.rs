use std::collections::BTreeMap;

use super::*;
use crate::car::{CarRecord, Corner, Corners};

fn opened() -> Entry {
    Entry::Opened {
        car: Box::new(CarRecord {
            name: "Wicket".to_owned(),
            ..CarRecord::default()
        }),
        software: "0.1.0".to_owned(),
    }
}

fn run(stage: Stage, findings: &[(Quantity, Place, f64)], covariance: &[&[f64]]) -> Entry {
    Entry::Run(Box::new(Run {
        procedure: Procedure::Swing,
        stage,
        method: "made up".to_owned(),
        evidence: serde_json::Value::Null,
        findings: findings
            .iter()
            .map(|(quantity, place, value)| FindingRecord {
                quantity: *quantity,
                place: *place,
                value: *value,
                standard: 0.05,
                degrees_of_freedom: None,
                budget: Vec::new(),
                advice: String::new(),
                caveat: String::new(),
            })
            .collect(),
        covariance: covariance.iter().map(|row| row.to_vec()).collect(),
        boards: Vec::new(),
        software: "0.1.0".to_owned(),
    }))
}

fn camber(stage: Stage, value: f64) -> Entry {
    run(stage, &[(Quantity::Camber, Place::FrontLeft, value)], &[])
}

fn back(number: u32) -> Entry {
    Entry::TakenBack {
        number,
        why: String::new(),
    }
}

fn prepared(point: Point, done: bool, note: &str) -> Entry {
    Entry::Prepared {
        point,
        done,
        note: note.to_owned(),
    }
}

/// Entries numbered from 1, after an opening.
fn noted(entries: impl IntoIterator<Item = Entry>) -> Vec<Noted<Entry>> {
    std::iter::once(opened())
        .chain(entries)
        .zip(1..)
        .map(|(what, number)| Noted {
            number,
            at: format!("2026-05-30T14:{number:02}:00Z"),
            what,
        })
        .collect()
}

#[test]
fn without_an_opening_there_is_no_visit() {
    assert!(Visit::of(&[]).is_none());
    let mut entries = noted([camber(Stage::Before, 1.0)]);
    entries.remove(0);
    assert!(Visit::of(&entries).is_none());
}

#[test]
fn the_last_finding_that_was_not_taken_back_stands_in_its_own_stage() {
    use Stage::{After, Before};
    for (name, entries, before, after, newest) in [
        ("nothing", vec![], None, None, None),
        (
            "measured twice",
            vec![camber(Before, 1.0), camber(Before, 2.0)],
            Some(2.0),
            None,
            Some(2.0),
        ),
        (
            "the second taken back",
            vec![camber(Before, 1.0), camber(Before, 2.0), back(3)],
            Some(1.0),
            None,
            Some(1.0),
        ),
        (
            "all taken back",
            vec![camber(Before, 1.0), back(2)],
            None,
            None,
            None,
        ),
        (
            "before and after",
            vec![camber(Before, 1.0), camber(After, 0.5)],
            Some(1.0),
            Some(0.5),
            Some(0.5),
        ),
        (
            "a stage measured late is still that stage, and the newest",
            vec![camber(After, 0.5), camber(Before, 1.0)],
            Some(1.0),
            Some(0.5),
            Some(1.0),
        ),
        (
            "another wheel is another finding",
            vec![run(
                Before,
                &[
                    (Quantity::Camber, Place::FrontRight, 3.0),
                    (Quantity::Camber, Place::FrontLeft, 1.0),
                ],
                &[],
            )],
            Some(1.0),
            None,
            Some(1.0),
        ),
        (
            "twice in one run: the last",
            vec![run(
                Before,
                &[
                    (Quantity::Camber, Place::FrontLeft, 1.0),
                    (Quantity::Camber, Place::FrontLeft, 1.5),
                ],
                &[],
            )],
            Some(1.5),
            None,
            Some(1.5),
        ),
    ] {
        let entries = noted(entries);
        let visit = Visit::of(&entries).expect(name);
        let (quantity, place) = (Quantity::Camber, Place::FrontLeft);
        let value = |standing: Option<Standing<'_>>| standing.map(|s| s.finding.value);
        assert_eq!(
            value(visit.standing(Before, quantity, place)),
            before,
            "{name}"
        );
        assert_eq!(
            value(visit.standing(After, quantity, place)),
            after,
            "{name}"
        );
        assert_eq!(value(visit.newest(quantity, place)), newest, "{name}");
    }
}

#[test]
fn a_run_taken_back_is_kept_as_such() {
    let entries = noted([
        camber(Stage::Before, 1.0),
        camber(Stage::Before, 2.0),
        back(2),
    ]);
    let visit = Visit::of(&entries).unwrap();
    let numbers = |runs: &[Noted<&Run>]| runs.iter().map(|run| run.number).collect::<Vec<_>>();
    assert_eq!(numbers(&visit.runs), [3]);
    assert_eq!(numbers(&visit.taken_back), [2]);
}

#[test]
fn anything_can_be_taken_back_but_the_opening() {
    let moved = Entry::Moved(Move {
        adjuster: "tie rod".to_owned(),
        corner: Corner::FrontLeft,
        amount: vec![0.5],
        amount_standard: None,
        seen_to: Vec::new(),
    });
    let note = Entry::Note {
        text: "worn".to_owned(),
    };
    let conditions = |load: &str| {
        Entry::Conditions(Conditions {
            load: load.to_owned(),
            tyre_kpa: Corners::default(),
            ..Conditions::default()
        })
    };
    let entries = noted([
        conditions("empty"),
        conditions("two people"),
        moved,
        note,
        Entry::Stage {
            stage: Stage::After,
        },
        prepared(Point::Floor, true, ""),
    ]);
    let visit = Visit::of(&entries).unwrap();
    assert_eq!(visit.conditions.as_ref().unwrap().what.load, "two people");
    assert_eq!((visit.moves.len(), visit.notes.len()), (1, 1));
    assert_eq!(visit.stage, Stage::After);
    assert_eq!(visit.prepared.len(), 1);

    let mut all = entries;
    for number in 1..=7 {
        if number != 2 {
            let next = u32::try_from(all.len()).unwrap() + 1;
            all.push(Noted {
                number: next,
                at: String::new(),
                what: back(number),
            });
        }
    }
    let visit = Visit::of(&all).unwrap();
    assert_eq!(visit.car.name, "Wicket");
    // The state entered before is that of the car again.
    assert_eq!(visit.conditions.as_ref().unwrap().what.load, "empty");
    assert_eq!((visit.moves.len(), visit.notes.len()), (0, 0));
    assert_eq!(visit.stage, Stage::Preparing);
    assert!(visit.prepared.is_empty());
}

#[test]
fn a_point_is_open_again_when_it_is_said_so() {
    let entries = noted([
        prepared(Point::Floor, true, "level"),
        prepared(Point::Brake, true, ""),
        prepared(Point::Brake, false, "the prop slipped"),
    ]);
    let visit = Visit::of(&entries).unwrap();
    let seen: BTreeMap<Point, &str> = visit
        .prepared
        .iter()
        .map(|(point, noted)| (*point, noted.what))
        .collect();
    assert_eq!(seen, BTreeMap::from([(Point::Floor, "level")]));
}

#[test]
fn all_that_stands_comes_in_the_order_of_a_sheet() {
    let entries = noted([run(
        Stage::Before,
        &[
            (Quantity::Thrust, Place::Car, 0.1),
            (Quantity::Camber, Place::RearLeft, 1.0),
            (Quantity::Caster, Place::FrontLeft, 4.0),
            (Quantity::Camber, Place::FrontRight, 2.0),
        ],
        &[],
    )]);
    let visit = Visit::of(&entries).unwrap();
    let values: Vec<f64> = visit
        .all_standing(Stage::Before)
        .iter()
        .map(|standing| standing.finding.value)
        .collect();
    assert_eq!(values, [2.0, 1.0, 4.0, 0.1]);
    assert!(visit.all_standing(Stage::After).is_empty());
}

#[test]
fn findings_of_one_run_keep_their_covariance_and_others_have_none() {
    let both = &[
        (Quantity::Camber, Place::FrontLeft, 1.0),
        (Quantity::Camber, Place::FrontRight, 2.0),
    ];
    let entries = noted([
        run(Stage::Before, both, &[&[0.04, 0.03], &[0.03, 0.05]]),
        run(Stage::After, both, &[]),
    ]);
    let visit = Visit::of(&entries).unwrap();
    let at = |stage, place| visit.standing(stage, Quantity::Camber, place).unwrap();
    let left = at(Stage::Before, Place::FrontLeft);
    let right = at(Stage::Before, Place::FrontRight);
    assert_eq!(left.covariance(&right), 0.03);
    assert_eq!(right.covariance(&right), 0.05);
    let after = at(Stage::After, Place::FrontRight);
    assert_eq!(left.covariance(&after), 0.0);
    assert_eq!(at(Stage::After, Place::FrontLeft).covariance(&after), 0.0);
}
