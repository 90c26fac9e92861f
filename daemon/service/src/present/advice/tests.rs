use hubplumb_core::adjust::{AdjustError, Contradiction, LearnError};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::gum::GumError;
use hubplumb_core::side::Side;

use super::*;
use crate::present::advice_trouble::{adjust_trouble, learn_trouble};

/// Words in which a torque could be given.
const TORQUE_UNITS: [&str; 8] = [
    "nm",
    "newton",
    "lb",
    "ft",
    "foot",
    "kgf",
    "kgm",
    "inch-pound",
];

/// All words are there, each its own, and none holds a figure.
pub(in crate::present) fn assert_words(all: &[Text]) {
    let all: Vec<String> = all.iter().map(Text::stored).collect();
    for (index, words) in all.iter().enumerate() {
        assert!(words.len() >= 2, "nothing is said at {index}");
        assert!(!all[..index].contains(words), "twice: {words}");
        assert_no_torque(words);
    }
}

/// A figure in the words could only be invented; what was measured is formatted in.
fn assert_no_torque(words: &str) {
    assert!(
        !words.chars().any(|c| c.is_ascii_digit()),
        "a figure in: {words}"
    );
    let lower = words.to_lowercase();
    for word in lower.split(|c: char| !(c.is_alphanumeric() || c == '-')) {
        assert!(!TORQUE_UNITS.contains(&word), "`{word}` in: {words}");
    }
}

fn all<T: Copy>(values: &[T], words: impl Fn(T) -> Text) -> Vec<Text> {
    values.iter().map(|v| words(*v)).collect()
}

fn corners() -> Vec<Corner> {
    let of = |axle| Side::BOTH.map(|side| Corner { axle, side });
    [of(Axle::Rear), of(Axle::Front)].concat()
}

#[test]
fn everything_has_words() {
    assert_words(&all(&WheelAngle::ALL, wheel_angle_words));
    assert_words(&all(&Way::ALL, way_words));
    assert_words(&all(&Way::ALL, way_command));
    assert_words(&all(&Knob::ALL, knob_words));
    assert_words(&all(&Unit::ALL, unit_words));
    assert_words(&all(&Place::ALL, place_words));
    assert_words(&all(&Figure::ALL, figure_words));
    assert_words(&all(&How::ALL, how_words));
    assert_words(&all(&Reason::ALL, reason_words));
    assert_words(&all(&Caution::ALL, caution_words));
    assert_words(&all(&TargetState::ALL, target_words));
    assert_words(&all(&Dimension::ALL, dimension_words));
    for index in 0..2 {
        assert_words(&all(&ContradictionKind::ALL, |k| {
            contradiction_words(k)[index].clone()
        }));
    }
    for angle in WheelAngle::ALL {
        let turns = [Turn::More, Turn::Less, Turn::Stop];
        assert_words(&all(&turns, |turn| turn_words(angle, turn)));
    }
}

#[test]
fn every_step_has_words() {
    let mut steps = vec![
        StepKind::RuleOutWear,
        StepKind::HoldSteeringWheel,
        StepKind::CheckToe(Axle::Rear),
        StepKind::CheckToe(Axle::Front),
        StepKind::Lock,
        StepKind::Settle,
        StepKind::MeasureAgain,
        StepKind::ResetSteeringSensor,
    ];
    for corner in corners() {
        for angle in WheelAngle::ALL {
            steps.push(StepKind::FindCause { corner, angle });
            steps.extend(Place::ALL.map(|place| StepKind::Set {
                corner,
                angle,
                place,
            }));
        }
    }
    assert_words(&steps.into_iter().map(step_words).collect::<Vec<_>>());
}

#[test]
fn the_cautions_say_what_matters() {
    let check = |caution, needed: &[&str]| {
        let words = caution_words(caution).stored();
        for part in needed {
            assert!(words.contains(part), "`{part}` in: {words}");
        }
    };
    check(Caution::StandsNotJack, &["stands", "jack alone", "level"]);
    check(Caution::MakersTorque, &["maker's torque value"]);
    check(Caution::NewLocknuts, &["new locknuts", "maker"]);
    check(Caution::NeverHeatOrBend, &["Never heat or bend"]);
    check(Caution::LicensedPractice, &["accident"]);
}

#[test]
fn a_torque_would_be_found() {
    for bad in ["tighten to 90", "ninety Nm", "ninety lb-ft or foot pounds"] {
        assert!(
            std::panic::catch_unwind(|| assert_no_torque(bad)).is_err(),
            "{bad}"
        );
    }
}

#[test]
fn every_refusal_is_told() {
    let deg = |value| Estimate::from_deg(value, 0.05);
    let mut troubles: Vec<_> = [
        AdjustError::Dimension {
            dimension: Dimension::Pitch,
            found: 0.0,
        },
        AdjustError::NotFinite,
        AdjustError::DoesNotSet {
            angle: WheelAngle::Toe,
            wanted_rad: 0.1,
        },
        AdjustError::BeyondThread {
            needed_turns: -3.0,
            left_turns: 1.0,
        },
        AdjustError::NegativePack {
            at_front: true,
            present_mm: 1.0,
            change_mm: -2.0,
        },
        AdjustError::PackTooThick {
            at_front: false,
            wanted_mm: 9.0,
            most_mm: 8.0,
        },
        AdjustError::NotSeparable { apart_deg: 1.0 },
        AdjustError::BeyondReach {
            needed: 4.0,
            reach: 2.0,
        },
        AdjustError::EffectUnknown {
            found_rad: 0.0,
            standard_rad: 1.0,
        },
        AdjustError::Stock { found: 0, most: 12 },
    ]
    .iter()
    .map(adjust_trouble)
    .collect();
    troubles.extend(
        [
            LearnError::Contradiction(Contradiction {
                kind: ContradictionKind::WrongWay,
                angle: WheelAngle::Toe,
                expected: deg(0.5),
                seen: deg(-0.5),
                sigmas: -12.0,
            }),
            LearnError::Shape {
                found: 1,
                needed: 2,
            },
            LearnError::Readings(GumError::NotFinite),
        ]
        .iter()
        .map(learn_trouble),
    );
    for (index, found) in troubles.iter().enumerate() {
        assert!(!found.what.is_empty() && !found.meaning.is_empty() && !found.remedy.is_empty());
        assert!(
            troubles[..index]
                .iter()
                .all(|other| other.code != found.code)
        );
    }
    let wrong_way = &troubles[10];
    assert!(
        wrong_way.what.contains("+0.50°") && wrong_way.what.contains("-0.50°"),
        "{wrong_way:?}"
    );
}
