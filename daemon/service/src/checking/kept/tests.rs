use hubplumb_core::carried::Place;
use hubplumb_core::check::evidence::{
    BarEvidence, BarTake, CarriedEvidence, CentringEvidence, HeightStop, HeightsEvidence,
    HubEvidence, PlainAccel, PlainCarriedChip, PlainCarriedRest, PlainFloor, PlainPass, PlainRest,
    PlainSteer, PlainTurn, PlayEvidence, TurnedBy, TurningPoint, TurnsEvidence,
};
use hubplumb_core::check::{BarTurn, Evidence, Grip, SeatBy};
use hubplumb_core::side::Side;
use proptest::prelude::*;
use serde_json::{Value, json};

use super::{KINDS, KeptError, from_json, to_json};

/// Numbers in an order of their own, none alike, of all sizes.
struct Numbers(Vec<f64>, usize);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.1 += 1;
        self.0[(self.1 - 1) % self.0.len()]
    }

    fn two(&mut self) -> [f64; 2] {
        [self.next(), self.next()]
    }

    fn three(&mut self) -> [f64; 3] {
        [self.next(), self.next(), self.next()]
    }
}

fn rest(of: &mut Numbers, degrees_of_freedom: f64) -> PlainRest {
    PlainRest {
        from_us: -3,
        to_us: i64::MAX,
        count: 812,
        accel_g: of.three(),
        noise_rad: of.next(),
        degrees_of_freedom,
    }
}

fn floor(of: &mut Numbers) -> PlainFloor {
    PlainFloor {
        roll_rad: of.two(),
        pitch_rad: of.two(),
    }
}

fn accel(of: &mut Numbers) -> PlainAccel {
    PlainAccel {
        offset_g: of.next(),
        scale: of.next(),
        cross_rad: of.next(),
    }
}

fn hub(of: &mut Numbers, side: Side, seat_by: SeatBy) -> HubEvidence {
    HubEvidence {
        side,
        spindle: of.three(),
        seat_by,
        seat_rad: of.next(),
        floor: floor(of),
        accel: accel(of),
        stops: vec![rest(of, 17.25), rest(of, f64::INFINITY)],
    }
}

fn carried(of: &mut Numbers) -> CarriedEvidence {
    let rest = |of: &mut Numbers, place, turned| PlainCarriedRest {
        from_us: 5,
        to_us: 3_000_007,
        place,
        turned,
        force_g: of.three(),
        rate_radps: of.three(),
        rate_variance: of.next(),
        force_standard_g: of.next(),
    };
    CarriedEvidence {
        start: Place::RearLeft,
        wanted_rad: of.next(),
        to_left: of.three(),
        chip: PlainCarriedChip {
            gyro_noise_radps_rthz: of.next(),
            gyro_drift_radps: of.next(),
            gyro_scale: of.next(),
            gyro_cross_rad: of.next(),
            gyro_tempco_radps_per_c: of.next(),
            gyro_per_g_radps: of.next(),
            accel_offset_g: of.next(),
        },
        seat_rad: of.next(),
        seat_lean_rad: of.next(),
        faces_rad: of.two(),
        lean_rad: of.next(),
        faces_lean_rad: of.next(),
        floor: floor(of),
        stamp_s: of.next(),
        rests: vec![
            rest(of, Place::RearLeft, false),
            rest(of, Place::Edge, true),
        ],
        passes: vec![PlainPass {
            before: 0,
            after: 1,
            heading_rad: of.next(),
            bias_radps: of.three(),
            by_lean: of.two(),
            by_slope: of.two(),
            by_earth_s: of.three(),
            seconds: of.next(),
            by_bias_s: of.three(),
            by_matrix_rad: [of.three(), of.three(), of.three()],
            by_force_gs: [of.three(), of.three(), of.three()],
            by_stamp: of.next(),
        }],
    }
}

/// One of each kind, with every choice of words somewhere in them.
fn each(of: &mut Numbers) -> [Evidence; 7] {
    let takes = [None]
        .into_iter()
        .chain(BarTurn::ALL.map(Some))
        .map(|turn| BarTake {
            rest: rest(of, 9.0),
            faces_out: turn != Some(BarTurn::OtherFace),
            same_end_up: turn.is_none(),
            turn,
        })
        .collect();
    [
        Evidence::CamberOnHub(hub(of, Side::Left, SeatBy::Declared)),
        Evidence::CamberOnBar(BarEvidence {
            side: Side::Right,
            outboard: of.three(),
            floor: floor(of),
            accel: accel(of),
            seat_rad: of.next(),
            faces_rad: of.next(),
            reseat_rad: of.next(),
            rim_rad: of.next(),
            takes,
        }),
        Evidence::Play(PlayEvidence {
            side: Side::Left,
            grip: Grip::FrontRear,
            points: vec![TurningPoint {
                at_us: 1_700_000_000_000_001,
                angle_rad: of.next(),
            }],
            range_rad: of.next(),
            seconds: of.next(),
            shaken_ratio: of.next(),
            gyro_noise_radps_rthz: of.next(),
            gyro_scale: of.next(),
            rest_noise_rad: of.next(),
        }),
        Evidence::Centring(CentringEvidence {
            by: TurnedBy::SteeringWheel,
            positions: vec![
                PlainSteer {
                    turned: None,
                    steer_rad: [Some(of.two()), None],
                },
                PlainSteer {
                    turned: Some(Side::Right),
                    steer_rad: [Some(of.two()), Some(of.two())],
                },
            ],
            scale: of.two(),
        }),
        Evidence::TurnOut(TurnsEvidence {
            by: TurnedBy::Plates,
            turns: vec![PlainTurn {
                turn: Side::Left,
                inner_rad: of.two(),
                outer_rad: of.two(),
            }],
            scale: of.two(),
            straight_rad: of.two(),
            return_rad: of.next(),
        }),
        Evidence::Heights(HeightsEvidence {
            wheel: HubEvidence {
                stops: Vec::new(),
                ..hub(of, Side::Right, SeatBy::RunOut)
            },
            ride_height_mm: of.next(),
            height_standard_mm: of.next(),
            stops: vec![
                HeightStop {
                    height_mm: of.next(),
                    rest: rest(of, 4.0),
                    toe_typed_rad: Some(of.two()),
                    toe_moved_rad: None,
                },
                HeightStop {
                    height_mm: of.next(),
                    rest: rest(of, 4.0),
                    toe_typed_rad: None,
                    toe_moved_rad: Some(of.two()),
                },
            ],
        }),
        Evidence::CarriedToe(carried(of)),
    ]
}

/// Through the text of a store, and back.
fn through_text(evidence: &Evidence) -> Evidence {
    let text = to_json(evidence).to_string();
    let json: Value = serde_json::from_str(&text).expect("JSON");
    from_json(&json).expect("evidence")
}

/// Equal numbers and equal signs of zero: Rust prints floats so that they come back.
fn check_alike(evidence: &Evidence) {
    let back = through_text(evidence);
    assert_eq!(&back, evidence);
    assert_eq!(format!("{back:?}"), format!("{evidence:?}"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_number_comes_back_bit_for_bit(
        numbers in prop::collection::vec(
            prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO,
            61,
        )
    ) {
        for evidence in each(&mut Numbers(numbers, 0)) {
            check_alike(&evidence);
        }
    }
}

#[test]
fn words_come_back() {
    let of = &mut Numbers(vec![0.25], 0);
    for by in [TurnedBy::Gyro, TurnedBy::Plates, TurnedBy::SteeringWheel] {
        let [.., turns, _, _] = each(of);
        let Evidence::TurnOut(turns) = turns else {
            panic!("the fifth is of turns");
        };
        check_alike(&Evidence::TurnOut(TurnsEvidence { by, ..turns }));
    }
    for grip in [Grip::TopBottom, Grip::FrontRear] {
        let [_, _, play, ..] = each(of);
        let Evidence::Play(play) = play else {
            panic!("the third is of play");
        };
        check_alike(&Evidence::Play(PlayEvidence { grip, ..play }));
    }
}

#[test]
fn each_kind_is_named() {
    let named = each(&mut Numbers(vec![0.5], 0)).map(|evidence| {
        let json = to_json(&evidence);
        json["kind"].as_str().map(str::to_owned)
    });
    assert_eq!(named, KINDS.map(|kind| Some(kind.to_owned())));
}

/// Every path of a JSON object that leads to a field, depth first.
fn fields(json: &Value, at: &str, found: &mut Vec<String>) {
    match json {
        Value::Object(object) => {
            for (key, value) in object {
                let path = format!("{at}/{key}");
                fields(value, &path, found);
                found.push(path);
            }
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                fields(item, &format!("{at}/{index}"), found);
            }
        }
        _ => {}
    }
}

fn holder<'a, 'p>(json: &'a mut Value, path: &'p str) -> (&'a mut Value, &'p str) {
    let (before, key) = path.rsplit_once('/').expect("a path");
    (json.pointer_mut(before).expect("its holder"), key)
}

#[test]
fn a_field_that_is_missing_or_too_much_is_told() {
    for evidence in each(&mut Numbers(vec![0.5], 0)) {
        let whole = to_json(&evidence);
        let mut paths = Vec::new();
        fields(&whole, "", &mut paths);
        for path in paths.iter().filter(|path| *path != "/kind") {
            let mut less = whole.clone();
            let (object, key) = holder(&mut less, path);
            object.as_object_mut().expect("an object").remove(key);
            let key = key.to_owned();
            let told = from_json(&less).expect_err(path).to_string();
            assert!(
                told.contains(&format!("missing field `{key}`")),
                "{path}: {told}"
            );

            let mut more = whole.clone();
            let (object, _) = holder(&mut more, path);
            object["colour"] = json!(1);
            let told = from_json(&more).expect_err(path).to_string();
            assert!(told.contains("unknown field `colour`"), "{path}: {told}");
        }
    }
}

#[test]
fn what_is_no_evidence_is_told() {
    let told = |json: Value| from_json(&json).expect_err("no evidence");
    assert_eq!(told(json!([1])), KeptError::NoObject);
    assert_eq!(told(json!({})), KeptError::NoKind);
    assert_eq!(told(json!({ "kind": 3 })), KeptError::NoKind);
    assert_eq!(
        told(json!({ "kind": "weight" })),
        KeptError::UnknownKind {
            kind: "weight".to_owned()
        }
    );
    let [hub, ..] = each(&mut Numbers(vec![0.5], 0));
    let mut wrong = to_json(&hub);
    wrong["stops"][1]["noise_rad"] = json!("much");
    assert_eq!(
        told(wrong).to_string(),
        "the evidence of `camber_on_hub`, at stops[1].noise_rad: invalid type: string \"much\", expected f64"
    );
}
