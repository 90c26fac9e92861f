//! The run-out procedure on made wheels.

use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::{Board, Dir, Vec3};
use hubplumb_core::levelling::{
    DirectionUnknown, Hint, Outboard, OutboardBy, Phase, RunOutProcedure, RunOutRefusal,
    RunOutResult, RunOutSetup,
};
use hubplumb_core::reading::Sample;
use hubplumb_core::side::Side;
use proptest::prelude::*;

use crate::made_wheel::{At, Wheel, profile};

const LEFT: Wheel = Wheel {
    sign: 1.0,
    askew: ([0.3, -0.8, 0.5], 67.0),
    lever_m: [0.05, 0.11, 0.03],
    offset_g: [0.012, -0.008, 0.02],
    noise_g: 1e-3,
};

const fn at(lean: f64, turn: f64) -> At {
    At { lean, turn }
}

/// On the ground, jacked up, four quarter turns, let down again.
const QUARTERS: [(At, f64); 7] = [
    (at(-0.9, 0.0), 3.0),
    (at(3.0, 0.0), 3.0),
    (at(3.0, 92.0), 3.0),
    (at(3.0, 180.0), 3.0),
    (at(3.0, 271.0), 3.0),
    (at(3.0, 360.0), 0.0),
    (at(-0.9, 360.0), 3.0),
];

fn setup(wheel: &Wheel, outboard: Outboard) -> RunOutSetup {
    RunOutSetup {
        side: if wheel.sign > 0.0 {
            Side::Left
        } else {
            Side::Right
        },
        chip: ChipFigures::GOOD,
        outboard,
        jacked: true,
        body: None,
    }
}

fn feed(procedure: &mut RunOutProcedure, samples: &[Sample]) {
    for sample in samples {
        procedure.sample(sample);
    }
}

fn seconds(stops: &[(At, f64)], over: f64) -> f64 {
    stops.iter().map(|(_, rest)| rest + over).sum()
}

fn play(wheel: &Wheel, outboard: Outboard, stops: &[(At, f64)]) -> RunOutProcedure {
    let mut procedure = RunOutProcedure::start(setup(wheel, outboard));
    feed(
        &mut procedure,
        &wheel.readings(seconds(stops, 2.0), profile(stops, 2.0)),
    );
    procedure
}

#[track_caller]
fn result(procedure: &RunOutProcedure) -> &RunOutResult {
    procedure
        .result()
        .unwrap_or_else(|| panic!("{:?} {:?}", procedure.phase(), procedure.refusal()))
}

/// The axis is outboard and within four of its stated sigmas of the truth.
#[track_caller]
fn near_truth(wheel: &Wheel, found: &RunOutResult) {
    let truth = Dir::along(Vec3::<Board>::from_array(wheel.outboard())).unwrap();
    let off = found.axis.outboard.angle_to(&truth);
    let up = found.last_up().unwrap();
    let spread = found.axis.about(up).unwrap();
    let limit = spread.lean.rad().hypot(spread.heading.rad()) * 4.0;
    assert!(off.rad() < limit, "{off:?} of {spread:?}");
    assert!(limit < 0.002, "{spread:?}");
}

#[test]
fn quarter_turns_of_a_jacked_wheel_end_it_by_themselves_in_either_sense_and_side() {
    let check = |sign: f64, outboard: Outboard, by: OutboardBy| {
        let wheel = Wheel { sign, ..LEFT };
        let procedure = play(&wheel, outboard, &QUARTERS);
        let found = result(&procedure);
        near_truth(&wheel, found);
        assert_eq!((found.outboard_by, found.stops), (by, 4));
        assert!(found.wobble_watched && found.arc.deg() > 265.0, "{found:?}");
        // The ground rest is not among them, and the lean is that of the jacked corner.
        assert!((found.lean_there.deg() - 3.0).abs() < 1.3, "{found:?}");
    };
    for sign in [1.0, -1.0] {
        check(sign, Outboard::ForwardRolling, OutboardBy::ForwardRolling);
        let truth = Dir::along(Vec3::<Board>::from_array(LEFT.outboard())).unwrap();
        check(
            sign,
            Outboard::AwayFromCar(nearest(truth)),
            OutboardBy::AwayFromCar,
        );
        check(sign, Outboard::Declared(truth), OutboardBy::DeclaredFace);
    }
}

/// The printed axis nearest to a direction.
fn nearest(to: Dir<Board>) -> Dir<Board> {
    [Dir::x_axis(), Dir::y_axis(), Dir::z_axis()]
        .into_iter()
        .flat_map(|axis| [axis, -axis])
        .max_by(|a, b| a.dot(&to).total_cmp(&b.dot(&to)))
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn any_three_stops_or_more_and_any_mounting(
        x in -1.0..1.0f64, y in -1.0..1.0f64, z in -1.0..1.0f64, angle in 0.0..180.0, left: bool,
        lean in -4.0..6.0, first in 65.0..150.0f64, second in 65.0..110.0f64,
    ) {
        prop_assume!(x.abs() + y.abs() + z.abs() > 0.1);
        let wheel = Wheel { sign: if left { 1.0 } else { -1.0 }, askew: ([x, y, z], angle), ..LEFT };
        let stops = [(at(lean, 10.0), 3.0), (at(lean, 10.0 + first), 3.0), (at(lean, 10.0 + first + second), 3.0)];
        let mut procedure = play(&wheel, Outboard::ForwardRolling, &stops);
        prop_assert_eq!(procedure.phase(), Phase::Taken);
        prop_assert_eq!(procedure.progress().hint, Hint::TurnOnOrFinish);
        procedure.finish();
        near_truth(&wheel, result(&procedure));
        // Three stops fix a cone and leave nothing to see a wobble by.
        prop_assert!(!result(&procedure).wobble_watched);
    }
}

#[test]
fn one_slow_spin_is_read_while_it_turns() {
    let stops = [(at(2.0, 0.0), 3.0), (at(2.0, 400.0), 3.0)];
    for wheel in [LEFT, Wheel { sign: -1.0, ..LEFT }] {
        let mut procedure = RunOutProcedure::start(setup(&wheel, Outboard::ForwardRolling));
        feed(&mut procedure, &wheel.readings(14.0, profile(&stops, 8.0)));
        let found = result(&procedure);
        near_truth(&wheel, found);
        assert_eq!(found.spins, 1);
    }
}

#[test]
fn without_a_gyro_a_declared_side_is_enough_and_rolling_is_not() {
    let strip = |mut sample: Sample| {
        sample.rate_radps = None;
        sample
    };
    let readings = LEFT.readings(seconds(&QUARTERS, 2.0), profile(&QUARTERS, 2.0));
    let readings: Vec<Sample> = readings.into_iter().map(strip).collect();
    let truth = Dir::along(Vec3::<Board>::from_array(LEFT.outboard())).unwrap();
    let mut procedure = RunOutProcedure::start(setup(&LEFT, Outboard::Declared(truth)));
    feed(&mut procedure, &readings);
    near_truth(&LEFT, result(&procedure));
    let mut procedure = RunOutProcedure::start(setup(&LEFT, Outboard::ForwardRolling));
    feed(&mut procedure, &readings);
    assert_eq!(
        procedure.refusal(),
        Some(&RunOutRefusal::DirectionUnknown(DirectionUnknown::NoGyro))
    );
}

#[test]
fn what_is_not_sound_is_refused_with_its_evidence() {
    let check =
        |stops: &[(At, f64)], outboard: Outboard, expected: &dyn Fn(&RunOutRefusal) -> bool| {
            let mut procedure = play(&LEFT, outboard, stops);
            procedure.finish();
            let refusal = procedure.refusal();
            assert!(
                refusal.is_some_and(expected),
                "{refusal:?} {:?}",
                procedure.result()
            );
        };
    let quarter = |turn: f64, lean: f64| (at(lean, turn), 3.0);
    let forward = Outboard::ForwardRolling;
    // A short arc.
    let short = [
        quarter(0.0, 2.0),
        quarter(30.0, 2.0),
        quarter(60.0, 2.0),
        quarter(95.0, 2.0),
    ];
    check(
        &short,
        forward,
        &|r| matches!(r, RunOutRefusal::ShortArc { found, .. } if (found.deg() - 95.0).abs() < 1.0),
    );
    // The jack gave way by a degree on the way.
    let sank = [
        quarter(0.0, 3.0),
        quarter(90.0, 3.0),
        quarter(180.0, 2.0),
        quarter(270.0, 3.0),
    ];
    check(
        &sank,
        forward,
        &|r| matches!(r, RunOutRefusal::Wobbled { found, limit } if found > limit),
    );
    // Turned to and fro.
    let both_ways = [
        quarter(0.0, 2.0),
        quarter(90.0, 2.0),
        quarter(180.0, 2.0),
        quarter(-90.0, 2.0),
    ];
    check(&both_ways, forward, &|r| {
        matches!(
            r,
            RunOutRefusal::DirectionUnknown(DirectionUnknown::BothWays { .. })
        )
    });
    // Let down after two stops.
    let let_down = [quarter(0.0, 3.0), quarter(90.0, 3.0), (at(-1.0, 90.0), 3.0)];
    check(
        &let_down,
        forward,
        &|r| matches!(r, RunOutRefusal::CornerMoved { found } if (found.deg() - 4.0).abs() < 0.2),
    );
    // Hardly anything.
    check(&short[..2], forward, &|r| {
        matches!(r, RunOutRefusal::TooFewStops { found: 2, .. })
    });
    // The axis lies across what was declared.
    let (across, _) = Dir::along(Vec3::<Board>::from_array(LEFT.outboard()))
        .unwrap()
        .square_pair();
    check(
        &QUARTERS,
        Outboard::AwayFromCar(across),
        &|r| matches!(r, RunOutRefusal::OffDeclared { found, .. } if found.deg() > 89.0),
    );
}

#[test]
fn a_corner_let_down_after_enough_stops_ends_it_with_them() {
    let stops = [
        (at(3.0, 0.0), 3.0),
        (at(3.0, 80.0), 3.0),
        (at(3.0, 160.0), 3.0),
        (at(-1.0, 160.0), 3.0),
    ];
    let procedure = play(&LEFT, Outboard::ForwardRolling, &stops);
    let found = result(&procedure);
    near_truth(&LEFT, found);
    assert_eq!(found.stops, 3);
}

#[test]
fn losses_end_it_only_once_it_has_begun() {
    let readings = LEFT.readings(seconds(&QUARTERS, 2.0), profile(&QUARTERS, 2.0));
    let run = |until: usize, then: fn(&mut RunOutProcedure)| {
        let mut procedure = RunOutProcedure::start(setup(&LEFT, Outboard::ForwardRolling));
        feed(&mut procedure, &readings[..until]);
        then(&mut procedure);
        procedure
    };
    assert_eq!(run(100, RunOutProcedure::board_lost).refusal(), None);
    assert_eq!(
        run(900, RunOutProcedure::board_lost).refusal(),
        Some(&RunOutRefusal::BoardLost)
    );
    // In the middle of the first quarter turn.
    assert_eq!(
        run(900, RunOutProcedure::saturated).refusal(),
        Some(&RunOutRefusal::Saturated)
    );
    assert_eq!(
        run(900, RunOutProcedure::cancel).refusal(),
        Some(&RunOutRefusal::Cancelled)
    );
    let mut procedure = RunOutProcedure::start(setup(&LEFT, Outboard::ForwardRolling));
    let holed: Vec<Sample> = readings
        .iter()
        .filter(|s| !(8_600_000..9_200_000).contains(&s.at.us()))
        .copied()
        .collect();
    feed(&mut procedure, &holed);
    assert!(
        matches!(procedure.refusal(), Some(RunOutRefusal::Gap { gap_ms }) if *gap_ms > 590),
        "{:?}",
        procedure.refusal()
    );
}

#[test]
fn the_body_board_is_listened_to_while_the_wheel_rests_on_a_jack() {
    let body = ChipFigures::GOOD;
    let mut procedure = RunOutProcedure::start(RunOutSetup {
        body: Some(body),
        ..setup(&LEFT, Outboard::ForwardRolling)
    });
    // It leans while the corner is up, and trembles while the wheel is turned by hand.
    let lean = |t: f64| {
        let up = ((t - 3.0) / 2.0).clamp(0.0, 1.0);
        0.03 * up
    };
    for sample in LEFT.readings(seconds(&QUARTERS, 2.0), profile(&QUARTERS, 2.0)) {
        procedure.sample(&sample);
        let t = sample.at.us() as f64 * 1e-6;
        procedure.body_sample(&Sample {
            accel_g: Vec3::new(0.0, lean(t).sin(), lean(t).cos()),
            ..sample
        });
    }
    let found = result(&procedure).body.unwrap();
    assert!((found.accel_g.y() - 0.03).abs() < 2e-5, "{found:?}");
    assert!(found.noise_g < 2e-4, "{found:?}");
}
