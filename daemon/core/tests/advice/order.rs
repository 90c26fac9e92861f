//! The order of work, and what changes what.

use hubplumb_core::adjust::{
    Available, Axle, Caution, Corner, Deviation, Figure, How, Place, Plan, StepKind, WheelAngle,
    cross_effects, work_plan,
};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;

const fn corner(axle: Axle, side: Side) -> Corner {
    Corner { axle, side }
}

fn off(axle: Axle, side: Side, angle: WheelAngle, deg: f64) -> Deviation {
    Deviation {
        corner: corner(axle, side),
        angle,
        wanted: Estimate::from_deg(deg, 0.05),
    }
}

/// Everything can be adjusted, but no camber at the rear.
fn available() -> Vec<Available> {
    let mut all = Vec::new();
    for side in Side::BOTH {
        for (axle, sets, place) in [
            (Axle::Front, WheelAngle::Caster, Place::ControlArm),
            (Axle::Front, WheelAngle::Camber, Place::ControlArm),
            (Axle::Front, WheelAngle::Toe, Place::TieRod),
            (Axle::Rear, WheelAngle::Toe, Place::RearLink),
        ] {
            all.push(Available {
                corner: corner(axle, side),
                sets,
                place,
            });
        }
    }
    all
}

fn names(plan: &Plan) -> Vec<String> {
    let axle = |axle| match axle {
        Axle::Front => "front",
        Axle::Rear => "rear",
    };
    let name = |kind: StepKind| match kind {
        StepKind::Set { corner, angle, .. } => {
            format!("{} {:?} {angle:?}", axle(corner.axle), corner.side)
        }
        StepKind::FindCause { corner, angle } => {
            format!("why {} {:?} {angle:?}", axle(corner.axle), corner.side)
        }
        StepKind::CheckToe(which) => format!("check {} toe", axle(which)),
        other => format!("{other:?}"),
    };
    plan.steps.iter().map(|s| name(s.kind)).collect()
}

const END: [&str; 4] = ["Lock", "Settle", "MeasureAgain", "ResetSteeringSensor"];

#[test]
fn rear_before_front_and_caster_camber_toe() {
    let deviations = [
        off(Axle::Front, Side::Right, WheelAngle::Toe, 0.3),
        off(Axle::Front, Side::Left, WheelAngle::Camber, -0.5),
        off(Axle::Rear, Side::Left, WheelAngle::Toe, 0.2),
        off(Axle::Front, Side::Left, WheelAngle::Caster, 1.0),
        off(Axle::Rear, Side::Right, WheelAngle::Camber, 0.4),
        off(Axle::Front, Side::Right, WheelAngle::Camber, 0.05),
    ];
    let plan = work_plan(&deviations, &available());
    let mut expected = vec![
        "RuleOutWear",
        "why rear Right Camber",
        "rear Left Toe",
        "front Left Caster",
        "front Left Camber",
        "HoldSteeringWheel",
        "check front toe",
        "front Right Toe",
    ];
    expected.extend(END);
    assert_eq!(names(&plan), expected);
    assert_eq!(plan.left_alone, [deviations[5]]);
}

#[test]
fn what_moves_toe_has_toe_checked() {
    let check = |deviation: Deviation, expected: &[&str]| {
        let plan = work_plan(&[deviation], &available());
        let expected: Vec<&str> = expected.iter().copied().chain(END).collect();
        assert_eq!(names(&plan), expected);
    };
    check(
        off(Axle::Rear, Side::Left, WheelAngle::Toe, 0.3),
        &[
            "RuleOutWear",
            "rear Left Toe",
            "HoldSteeringWheel",
            "check front toe",
        ],
    );
    check(
        off(Axle::Front, Side::Left, WheelAngle::Camber, 0.3),
        &[
            "RuleOutWear",
            "front Left Camber",
            "HoldSteeringWheel",
            "check front toe",
        ],
    );
    check(
        off(Axle::Front, Side::Left, WheelAngle::Toe, 0.3),
        &["RuleOutWear", "HoldSteeringWheel", "front Left Toe"],
    );
}

#[test]
fn nothing_off_is_nothing_to_do() {
    let within = off(Axle::Front, Side::Left, WheelAngle::Toe, 0.09);
    let plan = work_plan(&[within], &available());
    assert_eq!((plan.steps.len(), plan.left_alone.len()), (0, 1));
}

#[test]
fn every_setting_has_its_cautions() {
    let plan = work_plan(
        &[off(Axle::Front, Side::Left, WheelAngle::Toe, 0.5)],
        &available(),
    );
    let set = plan
        .steps
        .iter()
        .find(|s| matches!(s.kind, StepKind::Set { .. }))
        .unwrap();
    for caution in [
        Caution::StandsNotJack,
        Caution::ChockWheels,
        Caution::MakersTorque,
        Caution::NewLocknuts,
        Caution::ThreadEngaged,
        Caution::LockBeforeDriving,
        Caution::NeverHeatOrBend,
    ] {
        assert!(set.cautions.contains(&caution), "{caution:?}");
    }
    assert!(plan.steps.iter().all(|s| !s.cautions.is_empty()));
}

#[test]
fn what_changes_what() {
    use Axle::{Front, Rear};
    use WheelAngle::{Camber, Caster, Toe};
    let check = |set, place, axle, on, expected: Option<How>| {
        let found = cross_effects(set, place, axle)
            .into_iter()
            .find(|e| e.on == on);
        assert_eq!(found.map(|e| e.how), expected, "{set:?} {place:?} {on:?}");
    };
    let (with_it, against) = (Some(How::WithIt), Some(How::AgainstIt));
    let (stays, again) = (Some(How::Stays), Some(How::MeasureAgain));
    check(Camber, Place::ControlArm, Front, Figure::Sai, against);
    check(
        Camber,
        Place::ControlArm,
        Front,
        Figure::IncludedAngle,
        stays,
    );
    check(Camber, Place::StrutTop, Front, Figure::IncludedAngle, stays);
    check(Camber, Place::StrutToKnuckle, Front, Figure::Sai, stays);
    check(
        Camber,
        Place::StrutToKnuckle,
        Front,
        Figure::IncludedAngle,
        with_it,
    );
    check(Camber, Place::ControlArm, Front, Figure::Toe, again);
    check(Caster, Place::ControlArm, Front, Figure::Camber, again);
    check(Caster, Place::ControlArm, Front, Figure::Toe, again);
    check(Toe, Place::TieRod, Front, Figure::Caster, stays);
    check(
        Toe,
        Place::TieRod,
        Front,
        Figure::Camber,
        Some(How::ALittle),
    );
    check(
        Toe,
        Place::RearLink,
        Rear,
        Figure::Thrust,
        Some(How::ByHalf),
    );
    check(Toe, Place::RearLink, Rear, Figure::SteeringWheel, again);
    check(Camber, Place::HubFace, Rear, Figure::Toe, stays);
    check(Camber, Place::HubFace, Rear, Figure::Thrust, stays);
    check(Camber, Place::HubFace, Rear, Figure::Sai, None);
}
