use super::*;
use crate::car;
use crate::http::visit_views::{EnteredFigures, StringDistances};
use crate::present::entered_run;
use crate::visit::{Entry, Move, Noted, Stage};

/// Steering arm of 120 mm and a pitch of 1.5 mm: 0.716° a turn (derived, check value 28 of the
/// geometry reference).
const CAR: &str = r#"
name = "Marten 1600"
[front]
rim_flange_mm = 400
[rear]
rim_flange_mm = 400
[[adjuster]]
name = "rod"
at = ["front_left", "front_right"]
way = { kind = "tie_rod", pitch_mm = 1.5, arm_mm = 120, rod = "behind" }
[targets.front]
total_toe_deg = { target = 0.2, low = 0.1, high = 0.3 }
[targets.rear]
toe_deg = { target = 0.1, low = 0.0, high = 0.2 }
"#;

fn strings(mm: [f64; 4]) -> Entry {
    let figures = EnteredFigures::Strings {
        front_diameter: None,
        rear_diameter: None,
        wheels: Corner::ALL
            .into_iter()
            .zip(mm)
            .map(|(corner, more)| StringDistances {
                corner,
                ahead: format!("{:.1} mm", 100.0 + more),
                behind: "100".to_owned(),
                turned_ahead: None,
                turned_behind: None,
                hub: None,
            })
            .collect(),
        reading_standard: Some("0.05 mm".to_owned()),
        direction_standard: Some("0.01°".to_owned()),
        run_out: Some("0".to_owned()),
    };
    let car = car::read(CAR).unwrap();
    Entry::Run(Box::new(
        entered_run(&figures, &car, Stage::Before).unwrap(),
    ))
}

fn steps(entries: Vec<Entry>) -> Vec<WorkStepView> {
    let opened = Entry::Opened {
        car: Box::new(car::read(CAR).unwrap()),
        software: "0".to_owned(),
    };
    let entries: Vec<Noted<Entry>> = std::iter::once(opened)
        .chain(entries)
        .zip(1..)
        .map(|(what, number)| Noted {
            number,
            at: "2026-05-14T10:00:00Z".to_owned(),
            what,
        })
        .collect();
    work(&Visit::of(&entries).unwrap())
}

fn moved(turns: f64) -> Entry {
    Entry::Moved(Move {
        adjuster: "rod".to_owned(),
        corner: Corner::FrontLeft,
        amount: vec![turns],
        amount_standard: None,
        seen_to: Vec::new(),
    })
}

#[test]
fn nothing_off_is_nothing_to_do() {
    // 0.7 mm of 400 mm is 0.1°.
    assert!(steps(vec![strings([0.7, 0.7, 0.7, 0.7])]).is_empty());
}

#[test]
fn a_tie_rod_is_told_in_turns_and_flats() {
    let steps = steps(vec![strings([-3.5, 0.7, 0.7, 0.7])]);
    let step = steps.first().expect("front left is off");
    assert_eq!(step.adjuster.as_deref(), Some("rod"));
    assert_eq!(step.known_from, "the lengths in the car's record");
    // 0.1° wanted, −0.501° found, 0.716° a turn.
    let turns = step.amount[0][0];
    assert!((turns - 0.601 / 0.716).abs() < 0.01, "{step:#?}");
    assert!(
        step.say.contains("longer") && step.say.contains("5 flats"),
        "{}",
        step.say
    );
    assert!(!step.cautions.is_empty() && !step.after.is_empty());
}

#[test]
fn the_rear_is_first_and_the_front_is_set_to_what_it_will_be() {
    let steps = steps(vec![strings([-2.0, -2.0, 4.0, 0.7])]);
    let aims: Vec<(Place, f64)> = steps.iter().map(|step| (step.place, step.aim)).collect();
    assert_eq!(aims[0].0, Place::RearLeft, "{aims:?}");
    assert_eq!(steps[0].adjuster, None, "nothing adjusts it");
    for (place, aim) in &aims[1..] {
        assert!((aim - 0.1).abs() < 1e-9, "{place:?} {aim}");
    }
    assert_eq!(aims.len(), 3, "{aims:?}");
}

#[test]
fn a_move_teaches_what_a_turn_does() {
    // Half a turn moved it by 0.6 mm of 400 mm, a quarter of what the lengths foretell: that is
    // no better knowledge but a contradiction, and is told.
    let contradicted = steps(vec![
        strings([-3.5, 0.7, 0.7, 0.7]),
        moved(0.5),
        strings([-2.9, 0.7, 0.7, 0.7]),
    ]);
    assert!(
        contradicted[0].say.contains("moved less"),
        "{}",
        contradicted[0].say
    );
    // Half a turn moved it by 2.4 mm, 0.344°, near to what the lengths foretell: it counts.
    let taught = steps(vec![
        strings([-3.5, 0.7, 0.7, 0.7]),
        moved(0.5),
        strings([-1.1, 0.7, 0.7, 0.7]),
    ]);
    assert_eq!(taught[0].known_from, "one move");
    let [turns, doubt] = taught[0].amount[0];
    // 0.2576° more at about 0.69° a turn.
    assert!(
        (turns - 0.2576 / 0.69).abs() < 0.03 && doubt > 0.0,
        "{turns} ± {doubt}"
    );
}
