//! Camber by a board on a bar, turned between takes.

use BarTurn::{Both, OtherEnd, OtherFace};
use hubplumb_core::angle::Angle;
use hubplumb_core::check::{
    BarSetup, BarTurn, Check, CheckCause, CheckRefusal, CheckSetup, Ended, Hint, Note, Phase,
    Quantity,
};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;
use nalgebra::{Rotation3, Vector3};

use crate::made::{
    Dice, Faults, covers, finding, floor, found, holds, on_hub, play, profile, readings, refused,
};

const DEG: f64 = std::f64::consts::PI / 180.0;

fn setup(side: Side, turn: Option<BarTurn>, pairs: usize) -> BarSetup {
    let [seat, faces, reseat, rim] = BarSetup::USUAL;
    BarSetup {
        side,
        chip: ChipFigures::CHEAP,
        outboard: BoardAxis::ZPlus,
        floor: floor(0.0, 0.03),
        hold_us: 1_500_000,
        pairs,
        turn,
        seat,
        faces,
        reseat,
        rim,
    }
}

/// What is wrong with the bar and its rim, degrees.
#[derive(Clone, Copy, Default)]
struct Wrong {
    seat: f64,
    wedge: f64,
    rim: f64,
    reseat: [f64; 8],
}

/// Axis of a turn in the bar's axes: x across, y along it, z outboard.
fn axis(turn: BarTurn) -> Vector3<f64> {
    match turn {
        OtherFace => Vector3::y(),
        OtherEnd => Vector3::z(),
        Both => Vector3::x(),
    }
}

/// A bar that is held, turned by `angle` about an axis, held again, turned again …
fn bar(
    side: Side,
    camber: f64,
    turns: &[(Vector3<f64>, f64)],
    wrong: Wrong,
) -> (impl Fn(f64) -> Rotation3<f64> + use<>, f64) {
    const HELD_S: f64 = 3.5;
    const OVER_S: f64 = 3.0;
    let about_x = |deg: f64| Rotation3::from_axis_angle(&Vector3::x_axis(), deg * DEG);
    let rim = on_hub(side, camber + wrong.rim, 0.0);
    let turns = turns.to_vec();
    let seconds = HELD_S * (turns.len() + 1) as f64 + OVER_S * turns.len() as f64;
    let stage = profile(
        &(0..=turns.len())
            .map(|i| (i as f64, HELD_S))
            .collect::<Vec<_>>(),
        OVER_S,
    );
    let pose = move |t: f64| {
        let stage = stage(t);
        let (done, part) = (stage.floor() as usize, stage.fract());
        let mut bar = Rotation3::identity();
        for (i, (axis, angle)) in turns.iter().enumerate() {
            let share = if i < done {
                1.0
            } else {
                part * f64::from(u8::from(i == done))
            };
            bar *= Rotation3::from_scaled_axis(axis * (angle * DEG * share));
        }
        // The wedge is there when the other face is at the rim.
        let faces_in = bar.matrix()[(2, 2)] < 0.0;
        let wedge = if faces_in { wrong.wedge } else { 0.0 };
        let near = stage.round() as usize;
        rim * about_x(wrong.reseat[near.min(7)]) * bar * about_x(wedge + wrong.seat)
    };
    (pose, seconds)
}

fn half_turns(turns: &[BarTurn]) -> Vec<(Vector3<f64>, f64)> {
    turns.iter().map(|turn| (axis(*turn), 180.0)).collect()
}

#[test]
fn a_turn_takes_out_what_it_can() {
    // Seat half a degree off, offset 5 mg: 0.29°.
    let check = |side: Side, turns: &[BarTurn], offset_g: f64, seat: f64, within: f64| {
        let wrong = Wrong {
            seat,
            ..Wrong::default()
        };
        let (pose, seconds) = bar(side, -1.2, &half_turns(turns), wrong);
        let faults = Faults {
            accel_offset_g: Vector3::new(0.0, 0.0, offset_g),
            ..Faults::none(ChipFigures::CHEAP)
        };
        let stream = readings(seconds, pose, &faults, &mut Dice::of(3));
        let setup = BarSetup {
            pairs: turns.len().div_ceil(2),
            ..setup(side, None, 1)
        };
        let done = play(CheckSetup::CamberOnBar(setup), &[(side, stream)]);
        let result = found(&done);
        let camber = finding(&result, Quantity::Camber, Some(side));
        let error = camber.estimate.value.deg() + 1.2;
        assert!(error.abs() < within, "{side:?} {turns:?}: {error}");
        assert!(result.notes.contains(&Note::Turned(turns[0])), "{result:?}");
        camber.clone()
    };
    for side in Side::BOTH {
        check(side, &[OtherFace], 5e-3, 0.5, 0.03);
        check(side, &[OtherEnd], 0.0, 0.5, 0.03);
        check(side, &[Both], 5e-3, 0.0, 0.03);
        // Ends, faces, ends: everything is known.
        check(side, &[OtherEnd, OtherFace, OtherEnd], 5e-3, 0.5, 0.03);
    }
    // What a turn leaves is the largest cause.
    let cause = |turns: &[BarTurn]| {
        let camber = check(Side::Left, turns, 0.0, 0.0, 0.03);
        camber.shares[0].cause
    };
    assert_eq!(cause(&[OtherEnd]), CheckCause::AccelOffset);
    assert_eq!(cause(&[Both]), CheckCause::BarSeat);
}

#[test]
fn the_stated_interval_holds_the_truth_95_times_in_100() {
    let trials = 200;
    for turns in [
        &[OtherFace][..],
        &[OtherEnd],
        &[OtherFace, OtherFace, OtherFace],
    ] {
        let mut held = 0;
        for seed in 0..trials {
            let mut dice = Dice::of(seed);
            let base = setup(Side::Left, None, turns.len().div_ceil(2));
            let wrong = Wrong {
                seat: dice.normal(base.seat.deg()),
                wedge: dice.normal(base.faces.deg()),
                rim: dice.normal(base.rim.deg()),
                reseat: [0; 8].map(|_| dice.normal(base.reseat.deg())),
            };
            let (pose, seconds) = bar(Side::Left, 0.7, &half_turns(turns), wrong);
            let faults = Faults {
                accel_offset_g: dice.vector(base.chip.accel_offset_g),
                ..Faults::none(base.chip)
            };
            let stream = readings(seconds, pose, &faults, &mut dice);
            // The floor is level, and somebody surveyed it wrong.
            let setup = BarSetup {
                floor: floor(dice.normal(0.03), 0.03),
                ..base
            };
            let done = play(CheckSetup::CamberOnBar(setup), &[(Side::Left, stream)]);
            let result = found(&done);
            held += usize::from(holds(
                finding(&result, Quantity::Camber, Some(Side::Left)),
                0.7,
            ));
        }
        covers(held, trials as usize, &format!("{turns:?}"));
    }
}

#[test]
fn what_is_no_turn_is_refused() {
    let check = |turns: &[(Vector3<f64>, f64)],
                 asked: Option<BarTurn>,
                 expected: &dyn Fn(&CheckRefusal) -> bool| {
        let (pose, seconds) = bar(Side::Right, 0.4, turns, Wrong::default());
        let faults = Faults::none(ChipFigures::GOOD);
        let stream = readings(seconds, pose, &faults, &mut Dice::of(5));
        let done = play(
            CheckSetup::CamberOnBar(setup(Side::Right, asked, 1)),
            &[(Side::Right, stream)],
        );
        let refusal = refused(&done);
        assert!(expected(&refusal), "{turns:?}: {refusal:?}");
    };
    let (x, y, z) = (Vector3::x(), Vector3::y(), Vector3::z());
    // Taken off, waved about, and put back as it was.
    check(
        &[(y, 360.0)],
        None,
        &|r| matches!(r, CheckRefusal::NotTurned { found } if found.deg() < 5.0),
    );
    check(
        &[(y, 90.0)],
        None,
        &|r| matches!(r, CheckRefusal::NoHalfTurn { found, .. } if (found.deg() - 90.0).abs() < 3.0),
    );
    check(&[(z, 180.0)], Some(OtherFace), &|r| {
        *r == CheckRefusal::OtherTurn {
            asked: OtherFace,
            found: OtherEnd,
        }
    });
    check(&[(x, -180.0)], Some(OtherEnd), &|r| {
        *r == CheckRefusal::OtherTurn {
            asked: OtherEnd,
            found: Both,
        }
    });
}

#[test]
fn a_bar_turned_faster_than_the_gyro_reads_is_told_so() {
    let (pose, seconds) = bar(Side::Left, -1.0, &half_turns(&[OtherEnd]), Wrong::default());
    let stream = readings(
        seconds,
        pose,
        &Faults::none(ChipFigures::CHEAP),
        &mut Dice::of(4),
    );
    let mut check = Check::start(CheckSetup::CamberOnBar(setup(
        Side::Left,
        Some(OtherEnd),
        1,
    )))
    .unwrap();
    // The turn begins at 3.5 s; readings from there on are at the end of the range, and so are
    // none, already within the first second of it.
    for sample in stream.iter().filter(|s| s.at.us() < 4_300_000) {
        check.sample(Side::Left, sample);
    }
    assert_eq!(check.phase(), Phase::Moving);
    check.saturated();
    assert!(
        matches!(
            check.ended(),
            Some(Ended::Refused {
                refusal: CheckRefusal::Saturated,
                ..
            })
        ),
        "{:?}",
        check.ended()
    );
}

#[test]
fn a_board_without_gyro_sees_swapped_ends_only() {
    let run = |turn: BarTurn, asked| {
        let (pose, seconds) = bar(Side::Left, 1.0, &half_turns(&[turn]), Wrong::default());
        let chip = ChipFigures::INCLINOMETER;
        let mut stream = readings(seconds, pose, &Faults::none(chip), &mut Dice::of(9));
        for sample in &mut stream {
            sample.rate_radps = None;
        }
        let setup = BarSetup {
            chip,
            ..setup(Side::Left, asked, 1)
        };
        play(CheckSetup::CamberOnBar(setup), &[(Side::Left, stream)])
    };
    let done = run(OtherEnd, Some(OtherEnd));
    assert!(holds(
        finding(&found(&done), Quantity::Camber, Some(Side::Left)),
        1.0
    ));
    let unseen = run(OtherFace, Some(OtherFace));
    assert_eq!(refused(&unseen), CheckRefusal::TurnUnseen);
}

#[test]
fn a_bar_that_lies_is_not_taken() {
    let lying = Rotation3::from_axis_angle(&Vector3::x_axis(), 0.1);
    let faults = Faults::none(ChipFigures::GOOD);
    let stream = readings(4.0, |_| lying, &faults, &mut Dice::of(1));
    let check = play(
        CheckSetup::CamberOnBar(setup(Side::Left, None, 1)),
        &[(Side::Left, stream)],
    );
    assert!(!check.is_over() && check.stops().is_empty());
    assert_eq!(check.progress().hint, Hint::SetBarUpright);
    assert_ne!(check.phase(), Phase::Taken);
    let too_soft = BarSetup {
        seat: Angle::from_deg(f64::NAN),
        ..setup(Side::Left, None, 1)
    };
    assert!(Check::start(CheckSetup::CamberOnBar(too_soft)).is_err());
}
