//! The cases of the joint solution that scipy solved as well, as evidence. They are made by
//! `tests/reference/joint_reference.py`.

use hubplumb_core::angle::Angle;
use hubplumb_core::chip::{ChipFigures, SettledAxis};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Board, Dir, Vec3};
use hubplumb_core::joint::evidence::{
    BodyEvidence, DeclaredSpindle, Jackings, RestEvidence, RunOutEvidence, SwingEvidence,
    TurnEvidence, WheelEvidence,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::BodyMotion;
use serde_json::Value;

const CASES: &str = include_str!("../reference/joint_cases.json");

/// All cases.
///
/// # Panics
/// When the file is no JSON.
pub fn cases() -> Vec<Value> {
    let mut all: Value = serde_json::from_str(CASES).expect("JSON");
    let cases = all["cases"].as_array_mut().expect("cases");
    std::mem::take(cases)
}

/// A number of a case.
///
/// # Panics
/// When it is none.
pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn angle(value: &Value) -> Angle {
    Angle::from_rad(number(value))
}

/// A list of a case.
///
/// # Panics
/// When it is none.
pub fn list<T>(value: &Value, of: impl Fn(&Value) -> T) -> Vec<T> {
    value.as_array().expect("a list").iter().map(of).collect()
}

fn vector(value: &Value) -> Vec3<Board> {
    Vec3::from_array(list(value, number).try_into().expect("three numbers"))
}

fn direction(value: &Value) -> Dir<Board> {
    Dir::along(vector(value)).expect("a direction")
}

/// A pair of value and standard uncertainty, rad.
fn estimate(value: &Value) -> Estimate {
    Estimate::new(angle(&value[0]), angle(&value[1]))
}

/// Nothing where there is null.
pub fn there(value: &Value) -> Option<&Value> {
    Some(value).filter(|value| !value.is_null())
}

fn count(value: &Value) -> usize {
    usize::try_from(value.as_u64().expect("a count")).expect("small")
}

fn chip(value: &Value) -> ChipFigures {
    ChipFigures {
        accel_offset_g: number(&value["accel_offset_g"]),
        accel_scale: number(&value["accel_scale"]),
        accel_cross_rad: number(&value["accel_cross_rad"]),
        gyro_scale: number(&value["gyro_scale"]),
        gyro_cross_rad: number(&value["gyro_cross_rad"]),
        angles_only: value["angles_only"] == true,
        accel_settled: there(&value["settled"]).map(|settled| SettledAxis {
            along: direction(&settled["along"]),
            felt_g: vector(&settled["felt_g"]),
            offset_g: number(&settled["offset_g"]),
        }),
        ..ChipFigures::IDEAL
    }
}

fn rest(value: &Value) -> RestEvidence {
    RestEvidence {
        rest: count(&value["rest"]),
        accel_g: vector(&value["accel_g"]),
        noise_g: number(&value["noise_g"]),
        degrees_of_freedom: f64::INFINITY,
        plate: there(&value["plate"]).map(estimate),
        per_metre_g: there(&value["per_metre_g"])
            .map(|parts| list(parts, number).try_into().expect("nine numbers")),
    }
}

fn position(value: &Value) -> RunOutEvidence {
    RunOutEvidence {
        accel_g: vector(&value["accel_g"]),
        noise_g: number(&value["noise_g"]),
        degrees_of_freedom: f64::INFINITY,
        still: value["still"] == true,
    }
}

fn wheel(value: &Value) -> WheelEvidence {
    WheelEvidence {
        side: if value["side"] == "left" {
            Side::Left
        } else {
            Side::Right
        },
        chip: chip(&value["chip"]),
        rests: list(&value["rests"], rest),
        turns: list(&value["turns"], |turn| TurnEvidence {
            from: count(&turn["from"]),
            to: count(&turn["to"]),
            turn_rad: vector(&turn["turn_rad"]),
            noise_rad: number(&turn["noise_rad"]),
        }),
        run_out: list(&value["run_out"], |group| list(group, position)),
        declared: there(&value["declared"]).map(|declared| DeclaredSpindle {
            outboard: direction(&declared["outboard"]),
            heading: angle(&declared["heading_rad"]),
            lean: angle(&declared["lean_rad"]),
        }),
        toe: estimate(&value["toe"]),
    }
}

fn body(value: &Value) -> BodyEvidence {
    BodyEvidence {
        chip: chip(&value["chip"]),
        rests: list(&value["rests"], rest),
        jacked: there(&value["jacked"]).map(|jacked| Jackings {
            left: position(&jacked["left"]),
            right: position(&jacked["right"]),
            pitch_difference: angle(&jacked["pitch_difference_rad"]),
        }),
        forward: there(&value["forward"]).map(|forward| {
            (
                direction(&forward["direction"]),
                angle(&forward["standard_rad"]),
            )
        }),
    }
}

/// The evidence of a case's session.
///
/// # Panics
/// When something in it is missing.
pub fn evidence(session: &Value) -> SwingEvidence {
    SwingEvidence {
        floor: FloorSlope {
            roll: estimate(&session["floor"]["roll"]),
            pitch: estimate(&session["floor"]["pitch"]),
        },
        wheels: list(&session["wheels"], wheel),
        body: there(&session["body"]).map(body),
        unwatched: BodyMotion {
            roll: angle(&session["unwatched"][0]),
            pitch: angle(&session["unwatched"][1]),
        },
        rests: count(&session["rests"]),
    }
}
