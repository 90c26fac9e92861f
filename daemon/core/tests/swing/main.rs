//! Whole swings of made corners through the procedure.
//!
//! The truth is a rotation model of its own (`made_car`, Rodrigues' formula);
//! its conventions are those of ISO 8855.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
#![allow(missing_docs, reason = "a test has no public documentation")]
#![allow(
    clippy::cast_possible_truncation,
    reason = "sample counts of a made recording"
)]

mod made_car;
mod mixed_boards;
mod on_body;
mod under_way;

use Phase::{
    AwaitStraight, AwaitTurn, Done, HoldReturn, HoldStop, HoldStraight, StopTaken, Turning,
};
use hubplumb_core::angle::Angle;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::live::WheelSetup;
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{
    AngleKind, BodyMotion, Cause, Phase, Refusal, SteerSource, SwingProcedure, SwingSetup,
    SwingWheel, WheelOutcome,
};
use made_car::{Corner, Moment, swing_profile};
use proptest::prelude::*;

const LEFT: Corner = Corner {
    sign: 1.0,
    caster: 5.0,
    sai: 13.0,
    camber: -0.5,
    toe: 0.1,
    floor_roll: 0.0,
    floor_pitch: 0.0,
};

fn setup(corners: &[Corner], source: SteerSource, chip: ChipFigures) -> SwingSetup {
    let deg = Angle::from_deg;
    let trust = MountingTrust {
        camber: Angle::ZERO,
        pitch: Angle::ZERO,
        heading: Angle::ZERO,
    };
    SwingSetup {
        wheels: corners
            .iter()
            .map(|corner| {
                let side = side_of(corner);
                // The made board sits upright against the wheel, not against the hub's pitch.
                let mounting =
                    Mounting::declared(side, BoardAxis::ZPlus, BoardAxis::YPlus, trust).unwrap();
                let floor = FloorSlope {
                    roll: Estimate::from_deg(corner.floor_roll, 0.0),
                    pitch: Estimate::from_deg(corner.floor_pitch, 0.0),
                };
                SwingWheel {
                    wheel: WheelSetup {
                        side,
                        chip,
                        mounting,
                        floor,
                    },
                    run_out: Vec::new(),
                    toe: Estimate::from_deg(corner.toe, 0.0),
                }
            })
            .collect(),
        steer_source: source,
        body: BodyMotion {
            roll: Angle::ZERO,
            pitch: Angle::ZERO,
        },
        body_board: None,
        hold_us: 3_000_000,
        plate_standard: deg(0.0),
    }
}

fn side_of(corner: &Corner) -> Side {
    if corner.sign > 0.0 {
        Side::Left
    } else {
        Side::Right
    }
}

/// Plays the corners through a procedure; gives it and the phases it went through.
fn play(
    setup: SwingSetup,
    corners: &[Corner],
    steer: impl Fn(f64) -> f64,
    roll: impl Fn(f64) -> f64,
    seconds: f64,
) -> (SwingProcedure, Vec<Phase>) {
    let mut procedure = SwingProcedure::start(setup).unwrap();
    let mut phases = vec![procedure.phase()];
    let streams: Vec<_> = corners
        .iter()
        .map(|c| {
            c.readings(
                seconds,
                |t| Moment {
                    steer: steer(t),
                    roll_on_spindle: roll(t),
                },
                [0.02, -0.05, 0.01],
            )
        })
        .collect();
    for i in 0..streams[0].len() {
        for (corner, stream) in corners.iter().zip(&streams) {
            procedure.sample(side_of(corner), &stream[i]);
        }
        if phases.last() != Some(&procedure.phase()) {
            phases.push(procedure.phase());
        }
    }
    (procedure, phases)
}

fn check_angles(corner: &Corner, outcome: &WheelOutcome, limit_deg: f64) {
    let axis = outcome
        .axis
        .as_ref()
        .unwrap_or_else(|refusal| panic!("{corner:?}: {refusal}"));
    let found = [
        ("camber", outcome.camber.estimate, corner.camber),
        ("caster", axis.caster.estimate, corner.caster),
        ("SAI", axis.sai.estimate, corner.sai),
        (
            "included angle",
            axis.included.estimate,
            corner.sai + corner.camber,
        ),
    ];
    for (name, estimate, truth) in found {
        let off = estimate.value.deg() - truth;
        assert!(
            off.abs() < limit_deg,
            "{name} of {corner:?}: {:.5}°, off by {off:.5}°",
            estimate.value.deg()
        );
    }
}

const STOPS: [(f64, f64); 4] = [(0.0, 5.0), (19.0, 5.0), (-21.0, 5.0), (0.0, 6.0)];

#[test]
fn both_wheels_from_one_swing_without_any_command() {
    let right = Corner {
        sign: -1.0,
        caster: 6.2,
        sai: 12.4,
        camber: 0.4,
        toe: -0.2,
        ..LEFT
    };
    let corners = [LEFT, right];
    let (procedure, phases) = play(
        setup(&corners, SteerSource::Gyro, ChipFigures::IDEAL),
        &corners,
        swing_profile(&STOPS, 2.0),
        |_| 0.0,
        27.0,
    );
    assert_eq!(
        phases,
        [
            AwaitStraight,
            HoldStraight,
            AwaitTurn,
            Turning,
            HoldStop,
            StopTaken,
            Turning,
            HoldStop,
            StopTaken,
            Turning,
            HoldReturn,
            Done
        ]
    );
    assert_eq!(procedure.rests().len(), 4);
    for (corner, outcome) in corners.iter().zip(procedure.outcome()) {
        check_angles(corner, outcome.as_ref().unwrap(), 0.005);
    }
    let truths = [
        (AngleKind::Camber, LEFT.camber - right.camber),
        (AngleKind::Caster, LEFT.caster - right.caster),
        (AngleKind::Sai, LEFT.sai - right.sai),
    ];
    for (angle, truth) in truths {
        let found = procedure.differences().iter().find(|of| of.angle == angle);
        let off = found.unwrap().estimate.value.deg() - truth;
        assert!(off.abs() < 0.01, "{angle:?}: off by {off}");
    }
}

#[test]
fn the_two_reading_figure_stands_beside_and_is_the_rule() {
    let (procedure, _) = play(
        setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL),
        &[LEFT],
        swing_profile(&[(0.0, 5.0), (20.0, 5.0), (-20.0, 5.0), (0.0, 6.0)], 2.0),
        |_| 0.0,
        27.0,
    );
    let outcome = procedure.outcome()[0].as_ref().unwrap();
    let axis = outcome.axis.as_ref().unwrap();
    let by_rule = axis.caster.two_reading.unwrap().deg();
    // ±20° about the axis are not ±20° in plan, so the published 5.017 is met within a few hundredths only.
    assert!((by_rule - 5.017).abs() < 0.1, "{by_rule}");
    assert!(by_rule != axis.caster.estimate.value.deg());
    assert_eq!(outcome.camber.two_reading, None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn ideal_boards_give_exact_angles(
        left: bool, caster in -2.0..12.0, sai in 4.0..18.0, camber in -4.0..3.0, toe in -1.0..1.0,
        floor_roll in -2.0..2.0, floor_pitch in -2.0..2.0, out in 9.0..28.0f64, back in 9.0..28.0f64, plates: bool,
    ) {
        let corner = Corner { sign: if left { 1.0 } else { -1.0 }, caster, sai, camber, toe, floor_roll, floor_pitch };
        let source = if plates { SteerSource::Plates } else { SteerSource::Gyro };
        let (mut procedure, phases) = play(
            setup(&[corner], source, ChipFigures::IDEAL),
            &[corner],
            swing_profile(&[(0.0, 5.0), (out, 5.0), (-back, 5.0), (0.0, 6.0)], 2.0),
            |_| 0.0,
            27.0,
        );
        if plates {
            prop_assert_eq!(phases.last(), Some(&Phase::AwaitPlates));
            procedure.enter_plate(1, side_of(&corner), Angle::from_deg(corner.plate(out))).unwrap();
            procedure.enter_plate(2, side_of(&corner), Angle::from_deg(corner.plate(-back))).unwrap();
        }
        prop_assert_eq!(procedure.phase(), Done, "{:?}", phases);
        check_angles(&corner, procedure.outcome()[0].as_ref().unwrap(), 0.005);
    }
}

#[test]
fn more_stops_than_needed_are_all_used() {
    let stops = [
        (0.0, 5.0),
        (10.0, 4.5),
        (22.0, 4.5),
        (-9.0, 4.5),
        (-18.0, 4.5),
        (0.0, 6.0),
    ];
    let (procedure, _) = play(
        setup(&[LEFT], SteerSource::Gyro, ChipFigures::GOOD),
        &[LEFT],
        swing_profile(&stops, 2.0),
        |_| 0.0,
        39.0,
    );
    assert_eq!(procedure.rests().len(), 6);
    check_angles(&LEFT, procedure.outcome()[0].as_ref().unwrap(), 0.005);
}

#[test]
fn a_rest_near_straight_ahead_is_no_stop_and_a_broken_rest_is_forgotten() {
    // 4° is too near; at 15° the hand slips after 1.5 s; then a proper stop.
    let stops = [
        (0.0, 5.0),
        (4.0, 3.0),
        (15.0, 1.5),
        (20.0, 5.0),
        (-20.0, 5.0),
        (0.0, 6.0),
    ];
    let (procedure, _) = play(
        setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL),
        &[LEFT],
        swing_profile(&stops, 2.0),
        |_| 0.0,
        36.0,
    );
    assert_eq!(procedure.rests().len(), 4);
    check_angles(&LEFT, procedure.outcome()[0].as_ref().unwrap(), 0.005);
}

#[test]
fn a_brake_that_slips_is_refused_and_camber_stands() {
    for source in [SteerSource::Gyro, SteerSource::Plates] {
        let slip = |t: f64| if t > 13.0 { (t - 13.0).min(1.0) } else { 0.0 };
        let (mut procedure, _) = play(
            setup(&[LEFT], source, ChipFigures::GOOD),
            &[LEFT],
            swing_profile(&STOPS, 2.0),
            slip,
            27.0,
        );
        if source == SteerSource::Plates {
            // Without a gyro a hub that rolled does not look straight ahead; its plate does.
            assert_eq!(procedure.phase(), StopTaken);
            for (rest, steer) in [(1, 19.0), (2, -21.0), (3, 0.0)] {
                procedure
                    .enter_plate(rest, Side::Left, Angle::from_deg(LEFT.plate(steer)))
                    .unwrap();
            }
        }
        let outcome = procedure.outcome()[0].as_ref().unwrap();
        assert!(
            matches!(outcome.axis, Err(Refusal::HubRolled { .. })),
            "{:?}",
            outcome.axis
        );
        assert!(
            (outcome.camber.estimate.value.deg() - LEFT.camber).abs() < 0.05,
            "{:?}",
            outcome.camber
        );
    }
}

#[test]
fn a_wheel_that_came_to_rest_rolled_gives_the_same_angles() {
    // The declared upward side of the board points anywhere after the wheel has rolled.
    for rolled in [-170.0, -90.0, 37.0, 120.0] {
        let (procedure, phases) = play(
            setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL),
            &[LEFT],
            swing_profile(&STOPS, 2.0),
            |_| rolled,
            27.0,
        );
        assert_eq!(procedure.phase(), Done, "{phases:?}");
        check_angles(&LEFT, procedure.outcome()[0].as_ref().unwrap(), 0.005);
    }
}

#[test]
fn short_arcs_are_never_taken_for_stops() {
    let stops = [(0.0, 5.0), (6.0, 5.0), (-6.0, 5.0), (0.0, 6.0)];
    let (procedure, phases) = play(
        setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL),
        &[LEFT],
        swing_profile(&stops, 2.0),
        |_| 0.0,
        27.0,
    );
    assert_eq!(procedure.phase(), Turning, "{phases:?}");
    assert_eq!(procedure.rests().len(), 1);
}

#[test]
fn a_short_arc_by_plate_readings_is_refused_with_its_figures() {
    let (mut procedure, _) = play(
        setup(&[LEFT], SteerSource::Plates, ChipFigures::IDEAL),
        &[LEFT],
        swing_profile(&[(0.0, 5.0), (20.0, 5.0), (10.0, 5.0), (0.0, 6.0)], 2.0),
        |_| 0.0,
        27.0,
    );
    procedure
        .enter_plate(1, Side::Left, Angle::from_deg(20.0))
        .unwrap();
    procedure
        .enter_plate(2, Side::Left, Angle::from_deg(10.0))
        .unwrap();
    let refused = procedure.outcome()[0]
        .as_ref()
        .unwrap()
        .axis
        .clone()
        .unwrap_err();
    assert!(
        matches!(refused, Refusal::ArcTooShort { right, .. } if right == Angle::ZERO),
        "{refused}"
    );
}

#[test]
fn a_board_that_goes_away_ends_the_swing_only_once_it_has_begun() {
    let mut procedure =
        SwingProcedure::start(setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL)).unwrap();
    procedure.board_lost(Side::Left);
    assert_eq!(procedure.phase(), AwaitStraight);
    for sample in LEFT.readings(
        5.0,
        |_| Moment {
            steer: 0.0,
            roll_on_spindle: 0.0,
        },
        [0.0; 3],
    ) {
        procedure.sample(Side::Left, &sample);
    }
    assert_eq!(procedure.phase(), AwaitTurn);
    procedure.board_lost(Side::Left);
    assert_eq!(
        procedure.refusal(),
        Some(&Refusal::BoardLost { side: Side::Left })
    );
}

#[test]
fn a_gap_in_the_readings_of_a_turn_is_refused() {
    let mut procedure =
        SwingProcedure::start(setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL)).unwrap();
    let profile = swing_profile(&STOPS, 2.0);
    for sample in LEFT.readings(
        27.0,
        |t| Moment {
            steer: profile(t),
            roll_on_spindle: 0.0,
        },
        [0.0; 3],
    ) {
        // 0.4 s are lost in the middle of the first turn.
        if !(5_800_000..6_200_000).contains(&sample.at.us()) {
            procedure.sample(Side::Left, &sample);
        }
    }
    assert_eq!(
        procedure.refusal(),
        Some(&Refusal::Gap {
            side: Side::Left,
            gap_ms: 410
        })
    );
}

#[test]
fn a_board_without_gyro_is_told_to_use_plates() {
    let mut procedure =
        SwingProcedure::start(setup(&[LEFT], SteerSource::Gyro, ChipFigures::IDEAL)).unwrap();
    for mut sample in LEFT.readings(
        5.0,
        |_| Moment {
            steer: 0.0,
            roll_on_spindle: 0.0,
        },
        [0.0; 3],
    ) {
        sample.rate_radps = None;
        procedure.sample(Side::Left, &sample);
    }
    assert_eq!(
        procedure.refusal(),
        Some(&Refusal::NoGyro { side: Side::Left })
    );
}

#[test]
fn unwatched_body_roll_is_the_largest_uncertainty_and_as_large_as_it_acts() {
    let mut with_body = setup(&[LEFT], SteerSource::Gyro, ChipFigures::GOOD);
    with_body.body = BodyMotion {
        roll: Angle::from_deg(0.2),
        pitch: Angle::from_deg(0.1),
    };
    let (procedure, _) = play(
        with_body,
        &[LEFT],
        swing_profile(&STOPS, 2.0),
        |_| 0.0,
        27.0,
    );
    let axis = procedure.outcome()[0]
        .as_ref()
        .unwrap()
        .axis
        .clone()
        .unwrap();
    assert_eq!(axis.caster.angle, AngleKind::Caster);
    let largest = axis.caster.budget.largest().unwrap();
    assert_eq!(largest.cause, Cause::BodyMotion);
    // 0.2° of roll in phase with the steer costs 0.57° of caster (roll / sin 20°: derived,
    // and found by an independent rigid-body simulation).
    assert!(
        (largest.standard.deg() - 0.57).abs() < 0.03,
        "{}",
        largest.standard.deg()
    );
}
