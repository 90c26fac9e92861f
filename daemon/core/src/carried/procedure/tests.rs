use nalgebra::{UnitQuaternion, Vector3};

use super::super::staged::{Staged, TOE_DEG, TRACK_M, Way, against, four_passes, way};
use super::*;
use crate::chip::ChipFigures;
use crate::floor::FloorSlope;
use crate::frames::Dir;

fn setup() -> CarriedSetup {
    let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
    CarriedSetup::usual(ChipFigures::GOOD, Dir::y_axis(), floor)
}

/// Carries, with a rest after each, and feeds it.
fn carried(setup: &CarriedSetup, ways: &[Way]) -> CarriedToe {
    let staged = Staged::following(ways);
    let mut toe = CarriedToe::new(*setup).unwrap();
    for sample in &staged.samples {
        toe.observe(sample);
    }
    toe
}

#[test]
fn passes_there_and_back_both_ways_round_give_total_toe() {
    let toe = carried(&setup(), &four_passes());
    let solved = toe.finish().unwrap();
    let total = solved.total(true).unwrap().estimate;
    let error = total.value.deg() - TOE_DEG[0] - TOE_DEG[1];
    assert!(error.abs() < 2e-4, "{error}");
    assert_eq!((solved.passes, toe.left_out().len()), (4, 0));
    assert!(total.expanded().deg() < 0.05);
    assert!(solved.total(false).is_none());
    let progress = toe.progress();
    assert_eq!(progress.phase, Phase::Enough);
    assert_eq!(
        (progress.place, progress.turned),
        (Some(Place::FrontLeft), true)
    );
}

#[test]
fn what_is_shown_follows_what_is_done() {
    let check = |ways: &[Way], phase: Phase, place, turned, passes| {
        let progress = carried(&setup(), ways).progress();
        let found = (
            progress.phase,
            progress.place,
            progress.turned,
            progress.passes,
        );
        assert_eq!(found, (phase, place, turned, passes));
    };
    let all = four_passes();
    let (left, right) = (Some(Place::FrontLeft), Some(Place::FrontRight));
    check(&all[..0], Phase::Taken, left, false, 0);
    check(&all[..1], Phase::Taken, right, false, 1);
    check(&all[..2], Phase::Taken, left, false, 2);
    check(&all[..3], Phase::Taken, left, true, 2);
    check(&all[..4], Phase::Taken, right, true, 3);
}

#[test]
fn a_pass_that_spoils_toe_is_left_out_with_its_figure() {
    let check = |way: Way, wanted: fn(&LeftOut) -> bool| {
        let toe = carried(&setup(), &[way]);
        let left_out = toe.left_out();
        assert!(left_out.len() == 1 && wanted(&left_out[0]), "{left_out:?}");
        assert_eq!(toe.progress().last_left_out, Some(left_out[0]));
        assert_eq!((toe.carries().len(), toe.progress().place), (0, None));
        assert!(toe.finish().is_err());
    };
    let usual = way(false, false);
    let to = |by_m| Way { by_m, ..usual };
    check(
        Way {
            lean_deg: 50.0,
            ..usual
        },
        |why| matches!(why, LeftOut::TiltedTooMuch { .. }),
    );
    check(
        Way {
            aside_deg: 80.0,
            ..usual
        },
        |why| matches!(why, LeftOut::TurnedTooMuch { .. }),
    );
    check(
        Way {
            over_s: 24.0,
            lean_deg: 30.0,
            aside_deg: 30.0,
            ..usual
        },
        // It begins so slowly that its begin may be taken for a rest that creeps.
        |why| matches!(why, LeftOut::TooSlow { .. } | LeftOut::RestNotStill { .. }),
    );
    check(to([0.0, -0.65, 0.0]), |why| {
        matches!(why, LeftOut::NoWheelThere { .. })
    });
    check(to([1.0, -TRACK_M, 0.0]), |why| {
        matches!(why, LeftOut::NoWheelThere { .. })
    });
    // From the left wheel to the left there is none.
    check(to([0.0, TRACK_M, 0.0]), |why| {
        matches!(why, LeftOut::NoWheelThere { .. })
    });
    let skew = UnitQuaternion::from_scaled_axis(Vector3::z() * 0.3);
    check(Way { to: skew, ..usual }, |why| {
        matches!(why, LeftOut::RestsTurned { .. })
    });
}

#[test]
fn a_block_that_leans_otherwise_at_the_same_wheel_is_seated_otherwise() {
    let mut ways = four_passes();
    let tipped = UnitQuaternion::from_scaled_axis(Vector3::x() * 1f64.to_radians());
    ways[1].to = against(true, false) * tipped;
    let toe = carried(&setup(), &ways[..2]);
    assert!(
        matches!(toe.left_out(), [LeftOut::SeatedOtherwise { .. }]),
        "{:?}",
        toe.left_out()
    );
}

#[test]
fn one_way_is_no_toe_and_an_angle_board_no_gyro() {
    let toe = carried(&setup(), &four_passes()[..1]);
    assert!(matches!(
        toe.finish(),
        Err(Refusal::TooFewPasses { counted: 1, .. })
    ));
    let angles = CarriedSetup {
        chip: ChipFigures::ANGLES,
        ..setup()
    };
    assert!(matches!(CarriedToe::new(angles), Err(Refusal::NoGyro)));
    let blind = CarriedSetup {
        chip: ChipFigures::INCLINOMETER,
        ..setup()
    };
    assert!(matches!(CarriedToe::new(blind), Err(Refusal::NoGyro)));
}

#[test]
fn a_chip_that_cannot_get_there_says_so_beforehand() {
    let of = |chip, wanted_deg| {
        CarriedToe::strict(CarriedSetup {
            wanted: Angle::from_deg(wanted_deg),
            ..CarriedSetup::usual(chip, Dir::y_axis(), setup().floor)
        })
    };
    assert!(of(ChipFigures::GOOD, 0.05).is_ok());
    let refused = of(ChipFigures::GOOD, 0.005);
    assert!(
        matches!(refused, Err(Refusal::CannotReach { best, .. }) if best.deg() > 0.005),
        "{refused:?}"
    );
    assert!(of(ChipFigures::RAW, 0.02).is_err());
}
