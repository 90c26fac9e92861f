use super::*;
use crate::car::{AxleRecord, Corner};
use crate::http::visit_views::{GapPair, SpotPlace, StringDistances};

fn wheel(corner: Corner, ahead: &str, behind: &str) -> StringDistances {
    StringDistances {
        corner,
        ahead: ahead.to_owned(),
        behind: behind.to_owned(),
        turned_ahead: None,
        turned_behind: None,
        hub: None,
    }
}

fn strings(wheels: Vec<StringDistances>) -> EnteredFigures {
    EnteredFigures::Strings {
        front_diameter: Some("406,4".to_owned()),
        rear_diameter: Some("16 in".to_owned()),
        wheels,
        reading_standard: None,
        direction_standard: None,
        run_out: None,
    }
}

fn found(run: &Run, quantity: Quantity, place: Place) -> f64 {
    run.findings
        .iter()
        .find(|finding| finding.quantity == quantity && finding.place == place)
        .map_or_else(
            || panic!("no {quantity:?} at {place:?}"),
            |finding| finding.value,
        )
}

fn car() -> CarRecord {
    CarRecord {
        name: "Marten 1600".to_owned(),
        wheelbase_mm: Some(2600.0),
        steering: crate::car::SteeringRecord {
            ratio: Some(16.0),
            ..crate::car::SteeringRecord::default()
        },
        ..CarRecord::default()
    }
}

#[test]
fn strings_give_toe_thrust_and_steering_wheel() {
    // 1.2 mm at 406.4 mm is 0.1692°, the example of the geometry reference; written as a person
    // would: ahead nearer by it is toe-out for a string outside the wheel.
    let run = entered_run(
        &strings(vec![
            wheel(Corner::FrontLeft, "101,2 mm", "100"),
            wheel(Corner::FrontRight, "100", "100"),
            wheel(Corner::RearLeft, "102.1279", "100"),
            wheel(Corner::RearRight, "99.2907 mm", "100 mm"),
        ]),
        &car(),
        Stage::Preparing,
    )
    .unwrap();
    assert_eq!(
        (run.procedure, run.stage),
        (Procedure::ToeStrings, Stage::Before)
    );
    let check = |quantity, place, expected: f64, within: f64| {
        let value = found(&run, quantity, place);
        assert!(
            (value - expected).abs() < within,
            "{quantity:?} {place:?}: {value}, not {expected}"
        );
    };
    check(Quantity::Toe, Place::FrontLeft, 0.1692, 1e-4);
    check(Quantity::Toe, Place::FrontRight, 0.0, 1e-9);
    // Rear +0.30 and −0.10: thrust +0.20 to the right, total 0.20 (2004 Mercury Monterey and
    // Subaru manuals, as the geometry reference quotes them).
    check(Quantity::Toe, Place::RearLeft, 0.30, 1e-4);
    check(Quantity::Toe, Place::RearRight, -0.10, 1e-4);
    check(Quantity::TotalToe, Place::Rear, 0.20, 1e-4);
    check(Quantity::Thrust, Place::Car, 0.20, 1e-4);
    // Dog-track: 2.6 m at 0.2° is 9.08 mm.
    check(Quantity::DogTrack, Place::Car, 9.08, 0.01);
    check(Quantity::SteerAhead, Place::Car, 0.1692 / 2.0 - 0.2, 1e-4);
    check(
        Quantity::SteeringWheel,
        Place::Car,
        16.0 * (0.1692 / 2.0 - 0.2),
        2e-3,
    );
    assert_eq!(run.covariance.len(), 8);
}

#[test]
fn gaps_give_total_toe_at_the_stated_diameter() {
    // 1/16 in at 28.65 in is 0.125° (1988 Lincoln data sheet, as the geometry reference quotes it).
    let run = entered_run(
        &EnteredFigures::Gap {
            front: true,
            diameter: Some("28.65 in".to_owned()),
            below_hub: None,
            pairs: vec![GapPair {
                ahead: "55 in".to_owned(),
                behind: "55 1/16 in".to_owned(),
            }],
            carried_round: true,
            reading_standard: None,
            run_out: None,
        },
        &car(),
        Stage::After,
    )
    .unwrap();
    let total = found(&run, Quantity::TotalToe, Place::Front);
    assert!((total - 0.125).abs() < 5e-4, "{total}");
    assert_eq!(run.stage, Stage::After);
}

#[test]
fn a_spot_moves_by_twice_the_toe() {
    // Reflection doubles the angle: 4 m away, 0.25° throws the spot 4000·tan 0.5° = 34.907 mm.
    let run = entered_run(
        &EnteredFigures::Spot {
            corner: Corner::FrontLeft,
            distance: "4 m".to_owned(),
            spot: SpotPlace {
                forward: "34.9072".to_owned(),
                up: None,
            },
            half_turned: None,
            reading_standard: None,
            beam_standard: None,
        },
        &car(),
        Stage::Before,
    )
    .unwrap();
    let toe = found(&run, Quantity::Toe, Place::FrontLeft);
    assert!((toe - 0.25).abs() < 1e-4, "{toe}");
}

#[test]
fn a_slip_plate_only_shows_the_way() {
    // 5 m/km is 0.2865° (limits of Japan and China, as the geometry reference quotes them).
    let run = entered_run(
        &EnteredFigures::Slip {
            corner: Corner::FrontRight,
            readings: vec!["5".to_owned(), "5,0 m/km".to_owned()],
        },
        &car(),
        Stage::Before,
    )
    .unwrap();
    let finding = &run.findings[0];
    assert!((finding.value - 0.2865).abs() < 1e-3, "{}", finding.value);
    assert!(finding.standard > 0.1, "{}", finding.standard);
    assert!(finding.caveat.contains("Indicative"));
}

#[test]
fn what_is_wrong_names_its_field() {
    let check = |figures: &EnteredFigures, car: &CarRecord, told: &str| {
        let problem = entered_run(figures, car, Stage::Before).unwrap_err();
        assert!(problem.detail().contains(told), "{}", problem.detail());
    };
    let two = |ahead: &str| {
        vec![
            wheel(Corner::FrontLeft, ahead, "100"),
            wheel(Corner::FrontRight, "100", "100"),
        ]
    };
    check(&strings(two("1o1")), &car(), "front left, ahead");
    check(&strings(two("600")), &car(), "more than the diameter");
    check(
        &strings(vec![wheel(Corner::FrontLeft, "1", "1")]),
        &car(),
        "No axle has both",
    );
    let mut half = two("101");
    half[0].turned_ahead = Some("100".to_owned());
    check(&strings(half), &car(), "one distance of two");
    let EnteredFigures::Strings { wheels, .. } = strings(two("101")) else {
        panic!("strings are strings");
    };
    let bare = EnteredFigures::Strings {
        front_diameter: None,
        rear_diameter: None,
        wheels,
        reading_standard: None,
        direction_standard: None,
        run_out: None,
    };
    check(&bare, &car(), "front diameter");
    let known = CarRecord {
        front: AxleRecord {
            rim_flange_mm: Some(406.4),
            ..AxleRecord::default()
        },
        ..car()
    };
    assert!(entered_run(&bare, &known, Stage::Before).is_ok());
}

#[test]
fn how_it_was_measured_is_stored_in_english_and_told_in_german() {
    use crate::text::{Language, Text};
    let spot = |half_turned| EnteredFigures::Spot {
        corner: Corner::FrontLeft,
        distance: "4 m".to_owned(),
        spot: SpotPlace {
            forward: "34.9".to_owned(),
            up: None,
        },
        half_turned,
        reading_standard: None,
        beam_standard: None,
    };
    let gap = |carried_round| EnteredFigures::Gap {
        front: true,
        diameter: Some("400".to_owned()),
        below_hub: None,
        pairs: vec![GapPair {
            ahead: "1400".to_owned(),
            behind: "1401".to_owned(),
        }],
        carried_round,
        reading_standard: None,
        run_out: None,
    };
    let all = [
        strings(vec![
            wheel(Corner::FrontLeft, "101", "100"),
            wheel(Corner::FrontRight, "100", "100"),
        ]),
        gap(true),
        gap(false),
        spot(None),
        spot(Some(SpotPlace {
            forward: "33".to_owned(),
            up: None,
        })),
        EnteredFigures::Slip {
            corner: Corner::FrontLeft,
            readings: vec!["5".to_owned()],
        },
        EnteredFigures::Setback {
            front: true,
            left: "1200".to_owned(),
            right: "1204".to_owned(),
            reading_standard: None,
        },
    ];
    for figures in all {
        let asked = || entered_run(&figures, &car(), Stage::Before).unwrap();
        let run = asked();
        assert_eq!(Language::German.tell(asked), run, "stored in English");
        let told = Text::recalled(&run.method);
        assert_eq!(told.told_in(Language::English), run.method);
        assert_ne!(told.told_in(Language::German), run.method);
    }
}
