//! A made-up visit with something of everything.

use crate::car::{Corner, Limits, read};
use crate::http::visit_views::*;
use crate::text::Text;
use crate::visit::{AfterMove, BoardUsed, Conditions, Place, Point, Procedure, Quantity, Stage};

pub(super) fn verdict(word: VerdictWord) -> VerdictView {
    VerdictView {
        verdict: word,
        chance_inside: 0.6,
        say: Text::from("the ± reaches across the lower limit"),
        would_decide: Text::from("a ± of 0.04° or less, e.g. by turning the board end for end"),
    }
}

pub(super) fn finding(
    stage: Stage,
    quantity: Quantity,
    place: Place,
    (value, expanded): (f64, f64),
    limits: Option<(f64, f64, f64)>,
) -> VisitFindingView {
    let word = limits.map(|(low, _, high)| {
        if value - expanded >= low && value + expanded <= high {
            VerdictWord::Inside
        } else if value + expanded < low || value - expanded > high {
            VerdictWord::Outside
        } else {
            VerdictWord::Undecided
        }
    });
    VisitFindingView {
        number: if stage == Stage::After { 30 } else { 10 },
        at: "2026-05-30T14:03:22Z".to_owned(),
        stage,
        procedure: Procedure::Swing,
        quantity,
        name: quantity.words(),
        place,
        place_words: place.words(),
        value,
        standard: expanded / 2.0,
        expanded,
        unit: quantity.unit(),
        sense: quantity.sense(value),
        also: Vec::new(),
        limits: limits.map(|(low, target, high)| Limits {
            target: Some(target),
            low: Some(low),
            high: Some(high),
        }),
        verdict: word.map(verdict),
        largest_contributor: Text::from("floor"),
        budget: Vec::new(),
        advice: Text::from(String::new()),
        caveat: Text::from(String::new()),
    }
}

fn findings() -> Vec<VisitFindingView> {
    let camber = Some((-1.0, -0.5, 0.0));
    let caster = Some((3.75, 4.5, 5.25));
    let sai = Some((8.75, 9.5, 10.25));
    let mut all = Vec::new();
    for (quantity, place, before, after, limits) in [
        (
            Quantity::Camber,
            Place::FrontLeft,
            (-1.32, 0.06),
            Some((-0.55, 0.06)),
            camber,
        ),
        (
            Quantity::Camber,
            Place::FrontRight,
            (0.21, 0.07),
            Some((-0.04, 0.07)),
            camber,
        ),
        (
            Quantity::Camber,
            Place::RearLeft,
            (-1.12, 0.08),
            None,
            Some((-1.5, -1.0, -0.5)),
        ),
        (
            Quantity::Caster,
            Place::FrontLeft,
            (4.62, 0.22),
            Some((4.51, 0.21)),
            caster,
        ),
        (
            Quantity::Caster,
            Place::FrontRight,
            (3.1, 0.21),
            Some((3.81, 0.21)),
            caster,
        ),
        (
            Quantity::Sai,
            Place::FrontLeft,
            (9.41, 0.2),
            Some((9.46, 0.2)),
            sai,
        ),
        (
            Quantity::Sai,
            Place::FrontRight,
            (9.7, 0.2),
            Some((9.66, 0.2)),
            sai,
        ),
        (
            Quantity::TotalToe,
            Place::Front,
            (0.62, 0.05),
            Some((0.14, 0.05)),
            Some((0.0, 0.15, 0.3)),
        ),
        (
            Quantity::Thrust,
            Place::Car,
            (0.05, 0.06),
            None,
            Some((-0.15, 0.0, 0.15)),
        ),
        (Quantity::Setback, Place::Front, (4.2, 2.1), None, None),
    ] {
        all.push(finding(Stage::Before, quantity, place, before, limits));
        if let Some(after) = after {
            all.push(finding(Stage::After, quantity, place, after, limits));
        }
    }
    let mut play = finding(
        Stage::Preparing,
        Quantity::Play,
        Place::FrontRight,
        (0.09, 0.03),
        None,
    );
    play.caveat = Text::from("rocked by hand: indicative only");
    all.push(play);
    all.push(finding(
        Stage::Adjusting,
        Quantity::Camber,
        Place::FrontLeft,
        (-0.81, 0.06),
        camber,
    ));
    all
}

fn curve() -> CurveView {
    let line = |place, camber: fn(f64) -> f64| CurveLineView {
        place,
        points: [-20.0, -10.0, 0.0, 10.0, 20.0]
            .map(|x| [x, camber(x), 0.06])
            .to_vec(),
        fitted: (-20..=20).map(f64::from).map(|x| [x, camber(x)]).collect(),
    };
    CurveView {
        along: Text::from("steer angle"),
        along_unit: "°".to_owned(),
        up: Text::from("camber"),
        up_unit: "°".to_owned(),
        lines: vec![
            line(Place::FrontLeft, |x| -0.55 - 0.08 * x + 0.002 * x * x),
            line(Place::FrontRight, |x| -0.04 + 0.066 * x + 0.002 * x * x),
        ],
    }
}

fn run(number: u32, stage: Stage, taken_back: bool) -> RunView {
    RunView {
        number,
        at: "2026-05-30T14:03:22Z".to_owned(),
        stage,
        procedure: Procedure::Swing,
        name: Text::from("steering swing"),
        method: Text::from("both wheels, five rests, steer angles by gyro"),
        boards: vec![BoardUsed {
            id: "usb-0042".to_owned(),
            name: "left board".to_owned(),
            mount: "front left hub".to_owned(),
            calibration: "by twelve poses, 12 days old, leaves 0.02°".to_owned(),
        }],
        software: "0.1.7".to_owned(),
        taken_back,
        why_taken_back: if taken_back { "the car was bumped" } else { "" }.to_owned(),
        curve: (!taken_back && stage == Stage::After).then(curve),
    }
}

fn difference(stage: Stage, value_deg: f64, word: VerdictWord) -> SideDifferenceView {
    SideDifferenceView {
        stage,
        quantity: Quantity::Caster,
        front: true,
        value_deg,
        standard_deg: 0.07,
        expanded_deg: 0.14,
        correlation: 0.6,
        most_deg: Some(0.5),
        verdict: Some(verdict(word)),
    }
}

fn step() -> WorkStepView {
    WorkStepView {
        order: 1,
        quantity: Quantity::Camber,
        place: Place::FrontRight,
        adjuster: Some("upper arm shims".to_owned()),
        value: -0.04,
        expanded: 0.07,
        aim: -0.5,
        unit: Quantity::Camber.unit(),
        say: Text::from("0.5 mm out at both bolts"),
        amount: vec![[0.5, 0.1], [0.5, 0.1]],
        amount_unit: Text::from("mm"),
        known_from: Text::from("geometry"),
        reason: Text::from(String::new()),
        changes: Vec::new(),
        cautions: Vec::new(),
        after: Vec::new(),
    }
}

/// A whole visit, adjusted and measured again.
pub(super) fn visit() -> VisitView {
    let car = read(include_str!("../../../../docs/car.example.toml")).unwrap();
    let mut conditions = Conditions::default();
    for corner in Corner::ALL {
        conditions.tyre_kpa.set(corner, 182.0);
    }
    conditions.ride_height_mm.set(Corner::FrontLeft, 347.0);
    conditions.load = "empty, a third of a tank".to_owned();
    conditions.place_c = Some(17.5);
    VisitView {
        id: 3,
        mark: "0d1f".to_owned(),
        car_id: Some(1),
        car,
        began_at: "2026-05-30T13:20:00Z".to_owned(),
        software: "0.1.6".to_owned(),
        at_hand: true,
        stage: Stage::After,
        entries: 31,
        preparation: Point::ALL
            .iter()
            .map(|point| PointView {
                point: *point,
                title: point.title(),
                say: point.say(),
                cautions: Vec::new(),
                done_at: (*point != Point::Tread).then(|| "2026-05-30T13:25:00Z".to_owned()),
                note: if *point == Point::Floor {
                    "0.12° down to the left".to_owned()
                } else {
                    String::new()
                },
            })
            .collect(),
        conditions: Some(conditions),
        conditions_off: vec![Text::from(
            "ride height front right: 352 mm wanted, not measured",
        )],
        findings: findings(),
        differences: vec![
            difference(Stage::Before, 1.52, VerdictWord::Outside),
            difference(Stage::After, 0.7, VerdictWord::Outside),
        ],
        runs: vec![
            run(9, Stage::Before, true),
            run(10, Stage::Before, false),
            run(30, Stage::After, false),
        ],
        moves: vec![MoveView {
            number: 20,
            at: "2026-05-30T13:50:00Z".to_owned(),
            adjuster: "upper arm shims".to_owned(),
            corner: Corner::FrontRight,
            say: Text::from("+1.5 mm and −0.5 mm"),
            seen_to: vec![AfterMove::Locked],
        }],
        meaning: MeaningView {
            rule_out_first: vec![Text::from(
                "Worn bushes of the upper arm: rock the wheel with the brake held.",
            )],
            candidates: vec![CandidateView {
                code: "sagged_spring".to_owned(),
                place: Place::FrontRight,
                title: Text::from("Sagged spring"),
                fit: Text::from("fits well"),
                evidence: vec![Text::from("camber is 0.25° more out than the other side")],
                next: Text::from("measure both ride heights"),
            }],
            heed: vec![Text::from("After an accident: licensed practice first.")],
        },
        work: vec![step()],
        notes: vec![NoteView {
            number: 12,
            at: "2026-05-30T13:40:00Z".to_owned(),
            text: "left tyre worn inside".to_owned(),
        }],
    }
}
