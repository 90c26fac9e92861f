//! Figures of a car that cannot be.

use std::fmt;

use super::{AdjusterWay, AxleTargets, CarRecord, Corner, Limits, SideLimits};
use crate::text;
use crate::text::{Text, plain};

/// A figure that cannot be.
#[derive(Debug, Clone, PartialEq)]
pub struct BadRecord {
    /// Which one.
    pub key: Text,
    /// What was found, where it is a number.
    pub found: Option<f64>,
    /// What is wanted.
    pub wanted: Text,
}

impl BadRecord {
    /// The same in words.
    pub fn told(&self) -> Text {
        match self.found {
            Some(found) => text!(
                "{key} is {found}: {wanted}",
                key = &self.key,
                found = plain(found),
                wanted = &self.wanted
            ),
            None => Text::joined([self.key.clone(), self.wanted.clone()], ": "),
        }
    }
}

/// In English, for the command line.
impl fmt::Display for BadRecord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told().stored())
    }
}

/// Longest text of a record, in characters.
const LONGEST_TEXT: usize = 2000;

/// Everything in a record that cannot be; empty where all can.
pub fn judge(car: &CarRecord) -> Vec<BadRecord> {
    let mut bad = Vec::new();
    length_of_text(&mut bad, "name", &car.name, 80);
    if car.name.trim().is_empty() {
        bad.push(BadRecord {
            key: "name".into(),
            found: None,
            wanted: text!("a car needs a name"),
        });
    }
    for (key, written) in [
        ("notes", &car.notes),
        ("source", &car.source),
        ("holds.load", &car.holds.load),
        ("holds.ride_height_from", &car.holds.ride_height_from),
    ] {
        length_of_text(&mut bad, key, written, LONGEST_TEXT);
    }
    lengths(&mut bad, car);
    for (axle, targets) in [("front", &car.targets.front), ("rear", &car.targets.rear)] {
        axle_targets(&mut bad, axle, targets);
    }
    for (key, found, most) in [
        ("targets.thrust_deg", car.targets.thrust_deg, 10.0),
        (
            "targets.steering_wheel_deg",
            car.targets.steering_wheel_deg,
            180.0,
        ),
        ("targets.setback_mm", car.targets.setback_mm, 500.0),
        ("targets.turns.outer_deg", car.targets.turns.outer_deg, 60.0),
    ] {
        limits(&mut bad, key, found, most);
    }
    within(
        &mut bad,
        "targets.turns.inner_deg",
        car.targets.turns.inner_deg,
        (5.0, 60.0),
    );
    for (number, adjuster) in car.adjusters.iter().enumerate() {
        let key = text!("adjuster {number}", number = number + 1);
        length_of_text(&mut bad, key.clone(), &adjuster.name, 80);
        if adjuster.at.is_empty() {
            bad.push(BadRecord {
                key: key.clone(),
                found: None,
                wanted: text!("at least one corner in `at`"),
            });
        }
        way(&mut bad, &key, &adjuster.way);
    }
    bad
}

fn lengths(bad: &mut Vec<BadRecord>, car: &CarRecord) {
    const LENGTH_MM: (f64, f64) = (1.0, 20_000.0);
    within(bad, "wheelbase_mm", car.wheelbase_mm, LENGTH_MM);
    for (axle, record) in [("front", &car.front), ("rear", &car.rear)] {
        for (key, found) in [
            ("track_mm", record.track_mm),
            ("rim_flange_mm", record.rim_flange_mm),
            ("tyre_mm", record.tyre_mm),
            ("loaded_radius_mm", record.loaded_radius_mm),
        ] {
            within(bad, format!("{axle}.{key}"), found, LENGTH_MM);
        }
    }
    let steering = &car.steering;
    within(bad, "steering.ratio", steering.ratio, (1.0, 60.0));
    within(
        bad,
        "steering.axis_spacing_mm",
        steering.axis_spacing_mm,
        LENGTH_MM,
    );
    for (key, found) in [
        ("steering.axis_inboard_mm", steering.axis_inboard_mm),
        ("steering.axis_behind_mm", steering.axis_behind_mm),
    ] {
        within(bad, key, found, (-500.0, 500.0));
    }
    within(
        bad,
        "holds.ride_height_within_mm",
        car.holds.ride_height_within_mm,
        (0.1, 500.0),
    );
    for corner in Corner::ALL {
        let place = corner.words();
        let height = car.holds.ride_height_mm.get(corner);
        within(
            bad,
            Text::listed(["holds.ride_height_mm".into(), place.clone()]),
            height,
            (1.0, 2000.0),
        );
        let pressure = car.holds.tyre_kpa.get(corner);
        within(
            bad,
            Text::listed(["holds.tyre_kpa".into(), place]),
            pressure,
            (10.0, 1200.0),
        );
    }
}

fn axle_targets(bad: &mut Vec<BadRecord>, axle: &str, targets: &AxleTargets) {
    for (key, found, most) in [
        ("camber_deg", targets.camber_deg, 20.0),
        ("caster_deg", targets.caster_deg, 30.0),
        ("sai_deg", targets.sai_deg, 30.0),
        ("included_angle_deg", targets.included_angle_deg, 40.0),
        ("toe_deg", targets.toe_deg, 10.0),
        ("total_toe_deg", targets.total_toe_deg, 20.0),
    ] {
        limits(bad, &format!("targets.{axle}.{key}"), found, most);
    }
    let SideLimits {
        camber_deg,
        caster_deg,
        sai_deg,
        included_angle_deg,
    } = targets.most_difference;
    for (key, found) in [
        ("camber_deg", camber_deg),
        ("caster_deg", caster_deg),
        ("sai_deg", sai_deg),
        ("included_angle_deg", included_angle_deg),
    ] {
        let key = format!("targets.{axle}.most_difference.{key}");
        within(bad, key, found, (0.0, 20.0));
    }
}

fn way(bad: &mut Vec<BadRecord>, key: &Text, way: &AdjusterWay) {
    let mut length = |name: &str, found: Option<f64>, range: (f64, f64)| {
        within(bad, Text::listed([key.clone(), name.into()]), found, range);
    };
    match way {
        AdjusterWay::TieRod {
            pitch_mm, arm_mm, ..
        } => {
            length("pitch_mm", *pitch_mm, (0.2, 10.0));
            length("arm_mm", *arm_mm, (10.0, 1000.0));
        }
        AdjusterWay::ArmShims {
            joint_height_mm,
            bolt_spacing_mm,
            arm_mm,
            effect_deg_per_mm,
            stock_mm,
            ..
        } => {
            length("joint_height_mm", *joint_height_mm, (10.0, 2000.0));
            length("bolt_spacing_mm", *bolt_spacing_mm, (10.0, 2000.0));
            length("arm_mm", *arm_mm, (10.0, 2000.0));
            for effect in effect_deg_per_mm.iter().flatten().flatten() {
                length("effect_deg_per_mm", Some(*effect), (-10.0, 10.0));
            }
            for thickness in stock_mm {
                length("stock_mm", Some(*thickness), (0.05, 50.0));
            }
        }
        AdjusterWay::Eccentric {
            throw_mm,
            lever_mm,
            mark_deg,
            ..
        } => {
            length("throw_mm", *throw_mm, (0.1, 100.0));
            length("lever_mm", *lever_mm, (10.0, 2000.0));
            length("mark_deg", *mark_deg, (0.5, 180.0));
        }
        AdjusterWay::ContactShim { plate_mm } => length("plate_mm", *plate_mm, (10.0, 1000.0)),
        AdjusterWay::StrutBolt { lever_mm } => length("lever_mm", *lever_mm, (10.0, 1000.0)),
        AdjusterWay::Other { deg_per_unit, .. } => {
            length("deg_per_unit", *deg_per_unit, (-45.0, 45.0));
        }
    }
}

fn length_of_text(bad: &mut Vec<BadRecord>, key: impl Into<Text>, written: &str, longest: usize) {
    let count = written.chars().count();
    if count > longest {
        bad.push(BadRecord {
            key: key.into(),
            found: Some(count as f64),
            wanted: text!("at most {most} characters", most = longest),
        });
    }
}

fn within(
    bad: &mut Vec<BadRecord>,
    key: impl Into<Text>,
    found: Option<f64>,
    (low, high): (f64, f64),
) {
    if let Some(found) = found
        && !(low..=high).contains(&found)
    {
        bad.push(BadRecord {
            key: key.into(),
            found: Some(found),
            wanted: text!(
                "a number from {low} to {high}",
                low = plain(low),
                high = plain(high)
            ),
        });
    }
}

fn limits(bad: &mut Vec<BadRecord>, key: &str, limits: Limits, most: f64) {
    for (name, found) in [
        ("target", limits.target),
        ("low", limits.low),
        ("high", limits.high),
    ] {
        within(bad, format!("{key}.{name}"), found, (-most, most));
    }
    let ordered = |low: Option<f64>, high: Option<f64>| low.zip(high).is_none_or(|(l, h)| l <= h);
    if !(ordered(limits.low, limits.high)
        && ordered(limits.low, limits.target)
        && ordered(limits.target, limits.high))
    {
        bad.push(BadRecord {
            key: key.into(),
            found: None,
            wanted: text!("low, target and high must rise in this order"),
        });
    }
}
