//! Camber by the board on a hub, and play.

use hubplumb_core::angle::Angle;
use hubplumb_core::check::{
    CheckRefusal, CheckSetup, Grip, Hint, HubSetup, Note, PlaySetup, Quantity,
};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::live::WheelSetup;
use hubplumb_core::side::Side;
use nalgebra::{Rotation3, Vector3};

use crate::made::{
    Dice, Faults, finding, floor, found, holds, on_hub, play, profile, readings, refused, seated,
    wheel,
};

#[test]
fn camber_on_a_hub_is_within_its_interval() {
    let check = |side: Side, camber: f64, roll: f64, stops: usize| {
        let setup = HubSetup {
            seated: seated(&WheelSetup {
                // The room is level: a floor said to fall to one side adds its fall to camber.
                floor: floor(roll, 0.02),
                ..wheel(side, ChipFigures::GOOD, 0.01)
            }),
            hold_us: 2_000_000,
            stops,
        };
        let bounce = profile(
            &(0..stops).map(|i| (i as f64, 4.0)).collect::<Vec<_>>(),
            1.0,
        );
        let pose = |t: f64| {
            let part = bounce(t).fract();
            on_hub(side, camber + part * (1.0 - part), 0.0)
        };
        let faults = Faults::none(ChipFigures::GOOD);
        let stream = readings(5.0 * stops as f64, pose, &faults, &mut Dice::of(2));
        let done = play(CheckSetup::CamberOnHub(setup), &[(side, stream)]);
        assert_eq!(done.stops().len(), stops);
        let result = found(&done);
        let camber_found = finding(&result, Quantity::Camber, Some(side));
        // Left side of the floor higher: its normal leans to the right, so that against it the
        // top of the left wheel leans out by that and the right one's in.
        let truth = camber + side.sign() * roll;
        assert!(holds(camber_found, truth), "{camber_found:?} {truth}");
        assert!(camber_found.expanded().deg() < 0.08, "{camber_found:?}");
    };
    for side in Side::BOTH {
        check(side, -1.5, 0.0, 1);
        check(side, 0.75, 0.0, 3);
        check(side, 0.75, 0.4, 1);
    }
}

/// A wheel rocked with this amplitude peak to peak, degrees, once a second.
fn rocked(
    grip: Grip,
    peak_to_peak: f64,
    shaken_g: f64,
    cycles: f64,
) -> hubplumb_core::check::Check {
    let chip = ChipFigures::GOOD;
    let side = Side::Right;
    let base = on_hub(side, -0.5, 0.0);
    let axis = match grip {
        Grip::TopBottom => Vector3::x_axis(),
        Grip::FrontRear => Vector3::z_axis(),
    };
    let (from, to) = (4.0, 4.0 + cycles);
    let pose = |t: f64| {
        let inside = t > from && t < to;
        let phase = (t - from) * std::f64::consts::TAU;
        let angle = if inside {
            // Starts and ends smoothly, at rest.
            let ease = ((t - from).min(to - t) / 0.5).min(1.0);
            0.5 * peak_to_peak.to_radians() * phase.sin() * ease
        } else {
            0.0
        };
        Rotation3::from_axis_angle(&axis, angle) * base
    };
    let faults = Faults {
        shaken: (shaken_g > 0.0).then_some((from, to, shaken_g)),
        ..Faults::none(chip)
    };
    let stream = readings(20.0, pose, &faults, &mut Dice::of(11));
    let setup = PlaySetup {
        wheel: wheel(side, chip, 0.1),
        grip,
        rock_us: 8_000_000,
    };
    play(CheckSetup::Play(setup), &[(side, stream)])
}

#[test]
fn play_is_the_middle_size_of_the_rocks() {
    for (grip, quantity) in [
        (Grip::TopBottom, Quantity::PlayTopBottom),
        (Grip::FrontRear, Quantity::PlayFrontRear),
    ] {
        for truth in [0.1, 0.4, 1.5] {
            let result = found(&rocked(grip, truth, 0.01, 6.0));
            let play = finding(&result, quantity, Some(Side::Right));
            let error = play.estimate.value.deg() - truth;
            // Noise at the turning points adds a little; a third of a tenth is asked for no more.
            assert!(
                error.abs() < 0.01 + 0.01 * truth,
                "{grip:?} {truth}: {error}"
            );
            assert!(result.notes.iter().any(|n| matches!(n, Note::Rocks(4..))));
        }
    }
}

#[test]
fn no_play_is_an_answer_and_no_shaking_is_none() {
    let result = found(&rocked(Grip::TopBottom, 0.0, 0.01, 6.0));
    assert!(result.findings.is_empty(), "{result:?}");
    let [Note::NoPlayAbove(least)] = result.notes[..] else {
        panic!("{:?}", result.notes);
    };
    assert!(
        least > Angle::from_deg(0.003) && least < Angle::from_deg(0.05),
        "{least:?}"
    );
    let quiet = refused(&rocked(Grip::TopBottom, 0.0, 0.0, 6.0));
    assert!(matches!(quiet, CheckRefusal::NotRocked { .. }), "{quiet:?}");
    // Shaken once is no rocking.
    let once = refused(&rocked(Grip::FrontRear, 1.0, 0.01, 1.0));
    assert!(matches!(once, CheckRefusal::TooFew { .. }), "{once:?}");
}

#[test]
fn a_check_given_up_says_so() {
    let setup = HubSetup {
        seated: seated(&wheel(Side::Left, ChipFigures::GOOD, 0.1)),
        hold_us: 2_000_000,
        stops: 2,
    };
    let mut check = play(CheckSetup::CamberOnHub(setup), &[]);
    assert_eq!(check.progress().hint, Hint::LetRest);
    check.board_lost();
    assert!(!check.is_over(), "nothing was gathered: it waits");
    check.cancel();
    assert_eq!(refused(&check), CheckRefusal::Cancelled);
}
