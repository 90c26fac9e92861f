use serde_json::Value;

use super::*;
use crate::car::{self, Corner};
use crate::sheet::{self, SheetOptions};
use crate::store::{NewEntry, Store};
use crate::text::Language;
use crate::visit::{
    BoardUsed, Conditions, Entry, FindingRecord, Move, Place, Point, Procedure, Quantity, Run,
    ShareRecord, Stage,
};

const AT: &str = "2026-05-30T14:00:00Z";
const CAR: &str = include_str!("../../../../../docs/car.example.toml");
const SWING: &str = "Steering swing with 5 rests, steer angles by the boards' gyros, the body watched by a board; all rests of both wheels in one least-squares solution.";

fn finding(quantity: Quantity, place: Place, value: f64, standard: f64) -> FindingRecord {
    FindingRecord {
        quantity,
        place,
        value,
        standard,
        degrees_of_freedom: None,
        budget: vec![ShareRecord {
            cause: "run-out".to_owned(),
            share: 0.8,
        }],
        advice: "Measure again.".to_owned(),
        caveat: "At 19.5° of the inner wheel.".to_owned(),
    }
}

fn run(stage: Stage, findings: &[(Quantity, Place, f64, f64)]) -> Entry {
    let record = |(quantity, place, value, standard): &(Quantity, Place, f64, f64)| {
        finding(*quantity, *place, *value, *standard)
    };
    Entry::Run(Box::new(Run {
        procedure: Procedure::Swing,
        stage,
        method: SWING.to_owned(),
        evidence: Value::Null,
        findings: findings.iter().map(record).collect(),
        covariance: Vec::new(),
        boards: vec![BoardUsed {
            id: "usb-0042".to_owned(),
            name: "left board".to_owned(),
            mount: "front left".to_owned(),
            calibration: String::new(),
        }],
        software: "0.1.0".to_owned(),
    }))
}

fn before() -> Entry {
    use Place::{Car, Front, FrontLeft, FrontRight, RearLeft, RearRight, RightTurn};
    run(
        Stage::Before,
        &[
            (Quantity::Camber, FrontLeft, -1.52, 0.05),
            (Quantity::Camber, FrontRight, 0.02, 0.05),
            (Quantity::Caster, FrontLeft, 3.2, 0.1),
            (Quantity::Caster, FrontRight, 4.6, 0.1),
            (Quantity::Sai, FrontLeft, 11.4, 0.1),
            (Quantity::Sai, FrontRight, 9.4, 0.1),
            (Quantity::IncludedAngle, FrontLeft, 9.9, 0.1),
            (Quantity::IncludedAngle, FrontRight, 9.4, 0.1),
            (Quantity::Toe, FrontLeft, 0.42, 0.03),
            (Quantity::Toe, FrontRight, -0.12, 0.03),
            (Quantity::Toe, RearLeft, 0.45, 0.03),
            (Quantity::Toe, RearRight, 0.1, 0.03),
            (Quantity::TotalToe, Front, 0.3, 0.04),
            (Quantity::Thrust, Car, 0.18, 0.02),
            (Quantity::Setback, Front, 4.2, 1.0),
            (Quantity::TurnOuter, RightTurn, 17.2, 0.2),
        ],
    )
}

fn conditions() -> Conditions {
    let mut found = Conditions {
        place_c: Some(17.5),
        ..Conditions::default()
    };
    found.tyre_kpa.set(Corner::FrontLeft, 151.5);
    found.tread_mm.set(Corner::RearLeft, 3.5);
    found.tread_mm.set(Corner::RearRight, 6.5);
    found.ride_height_mm.set(Corner::FrontRight, 330.5);
    found
}

fn moved(adjuster: &str, amount: Vec<f64>) -> Entry {
    Entry::Moved(Move {
        adjuster: adjuster.to_owned(),
        corner: Corner::FrontLeft,
        amount,
        amount_standard: None,
        seen_to: Vec::new(),
    })
}

/// A visit with something of everything, among it a move that went the wrong way.
fn kept() -> (Store, i64) {
    let store = Store::in_memory().unwrap();
    let car = store.add_car(&car::read(CAR).unwrap(), AT).unwrap();
    let id = store.begin_visit(car, "0.1.0", AT).unwrap();
    let prepared = |point| Entry::Prepared {
        point,
        done: true,
        note: "a note of a person".to_owned(),
    };
    let entries = [
        prepared(Point::Floor),
        Entry::Conditions(conditions()),
        before(),
        Entry::Stage {
            stage: Stage::Adjusting,
        },
        moved("tie rod", vec![-0.5]),
        run(
            Stage::Adjusting,
            &[(Quantity::Toe, Place::FrontLeft, 0.82, 0.03)],
        ),
        moved("upper arm shims", vec![1.5, -0.5]),
        run(
            Stage::After,
            &[(Quantity::Camber, Place::FrontLeft, -0.95, 0.05)],
        ),
    ];
    for what in entries {
        let entry = NewEntry {
            ask: None,
            at: AT.to_owned(),
            what,
            recordings: Vec::new(),
        };
        store.add(id, &entry).unwrap();
    }
    (store, id)
}

/// Keys of what is the same in every language: what a person wrote, what is stored, times, units.
const SAME: [&str; 12] = [
    "car",
    "record",
    "conditions",
    "boards",
    "budget",
    "note",
    "adjuster",
    "software",
    "at",
    "began_at",
    "along_unit",
    "up_unit",
];

/// Goes through a view told in both languages.
fn compare(english: &Value, german: &Value, texts: &mut Vec<[String; 2]>) {
    match (english, german) {
        (Value::String(english), Value::String(german)) => {
            texts.push([english.clone(), german.clone()]);
        }
        (Value::Array(english), Value::Array(german)) => {
            assert_eq!(english.len(), german.len());
            for (english, german) in english.iter().zip(german) {
                compare(english, german, texts);
            }
        }
        (Value::Object(english), Value::Object(german)) => {
            for (key, value) in english {
                if !SAME.contains(&key.as_str()) {
                    compare(value, &german[key], texts);
                }
            }
        }
        (english, german) => assert_eq!(english, german, "only words differ"),
    }
}

fn assert_no_english(texts: &[[String; 2]]) {
    for [english, german] in texts {
        assert!(
            !english.contains(' ') || english != german,
            "told in English: {english}"
        );
        assert!(!has_point(german), "a point in a figure: {german}");
    }
}

/// A figure with the decimal point of English.
fn has_point(told: &str) -> bool {
    let letters: Vec<char> = told.chars().collect();
    letters
        .windows(3)
        .any(|three| three[0].is_ascii_digit() && three[1] == '.' && three[2].is_ascii_digit())
}

#[test]
fn a_visit_is_told_in_german_from_end_to_end() {
    let (store, id) = kept();
    let view = visit_of(&store, id).unwrap();
    assert!(!view.work.is_empty() && !view.meaning.candidates.is_empty());
    assert!(!view.conditions_off.is_empty() && !view.differences.is_empty());
    let json = || serde_json::to_value(&view).unwrap();
    let mut texts = Vec::new();
    compare(&json(), &Language::German.tell(json), &mut texts);
    let sentences = texts.iter().filter(|[told, _]| told.contains(' ')).count();
    assert!(sentences > 100, "{sentences}");
    assert_no_english(&texts);
    let told = |german: &str| texts.iter().any(|[_, told]| told.contains(german));
    for wanted in [
        "Boden vermessen",
        "Lenkschwenk mit 5 Halten",
        "Seitenschlag",
        "Bei 19,5° des kurveninneren Rades.",
        "Reifendruck vorn links: 180\u{a0}kPa verlangt, 151,5\u{a0}kPa gefunden",
        "Es ging andersherum.",
        "Spurstange",
    ] {
        assert!(told(wanted), "{wanted}: {texts:#?}");
    }
}

#[test]
fn what_a_car_lacks_is_told_in_german() {
    let store = Store::in_memory().unwrap();
    let bare = car::read("name = \"Bare\"").unwrap();
    let id = store.add_car(&bare, AT).unwrap();
    let view = car_view(store.car(id).unwrap());
    let json = || serde_json::to_value(&view).unwrap();
    let mut texts = Vec::new();
    compare(&json(), &Language::German.tell(json), &mut texts);
    let missing = texts.iter().filter(|[told, _]| told.contains(' ')).count();
    assert_eq!(missing, 13, "{texts:?}");
    assert_no_english(&texts);
}

/// The words between the marks of a document.
fn words(html: &str) -> Vec<String> {
    let body = html.split_once("</style>").unwrap().1;
    body.split('<')
        .filter_map(|part| part.split_once('>'))
        .map(|(_, words)| words.trim().to_owned())
        .filter(|words| !words.is_empty())
        .collect()
}

#[test]
fn a_sheet_is_told_in_german_from_end_to_end() {
    let (store, id) = kept();
    let written = |language| {
        let options = SheetOptions {
            language,
            made_at: AT.to_owned(),
            ..SheetOptions::default()
        };
        sheet::of(&store, id, &options).unwrap()
    };
    let (english, german) = (written(Language::English), written(Language::German));
    assert!(german.contains("lang=\"de\"") && english.contains("lang=\"en\""));
    assert!(german.contains("\"Seite\\20 \" counter(page)"), "{german}");
    // What a person wrote, and moments.
    let same = [
        "Wicket 1300",
        "tie rod",
        "toe eccentric",
        "upper arm shims",
        "wheel centre to the lip of the wing",
        "a note of a person",
        "left board (usb-0042)",
        "2026-05-30 14:00 UTC",
        "hubplumb 0.1.0",
    ];
    let (english, german) = (words(&english), words(&german));
    assert_eq!(english.len(), german.len());
    for (english, german) in english.iter().zip(&german) {
        if same.contains(&german.as_str()) {
            continue;
        }
        assert!(
            !english.contains(' ') || !english.contains(char::is_alphabetic) || english != german,
            "told in English: {english}"
        );
        assert!(
            !has_point(german) || german.contains("hubplumb "),
            "a point in a figure: {german}"
        );
    }
    let told = |wanted: &str| german.iter().any(|words| words.contains(wanted));
    for wanted in [
        "−1,52°",
        "± 0,10°",
        "Zu beachten",
        "Sturz",
        "außerhalb",
        "151,5",
    ] {
        assert!(told(wanted), "{wanted}");
    }
}
