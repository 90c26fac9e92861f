//! Swings on a body that rolls and pitches, with boards strapped on anyhow.

use hubplumb_core::angle::Angle;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Board, Dir, Vec3};
use hubplumb_core::joint::evidence::RunOutEvidence;
use hubplumb_core::levelling::{
    Outboard, RunOutProcedure, RunOutResult, RunOutSetup, forward_by, jackings,
};
use hubplumb_core::live::WheelSetup;
use hubplumb_core::reading::Sample;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{
    BodyGivenUp, BodyMotion, BodyUse, Cause, Finding, Phase, SteerSource, SwingBody,
    SwingProcedure, SwingSetup, SwingWheel,
};

use crate::made_car::{Corner, Moment, V, swing_profile, turned, unit};
use crate::{LEFT, STOPS, side_of};

const RIGHT: Corner = Corner {
    sign: -1.0,
    caster: 6.2,
    sai: 12.4,
    camber: 0.4,
    toe: -0.2,
    ..LEFT
};
const CORNERS: [Corner; 2] = [LEFT, RIGHT];
const SECONDS: f64 = 27.0;

/// ±0.4° of roll at 20° of steer, and pitch to both sides.
fn body_at(steer_deg: f64) -> [f64; 2] {
    let (s, c) = steer_deg.to_radians().sin_cos();
    let (s20, c20) = 20_f64.to_radians().sin_cos();
    [0.4 * s / s20, 0.15 * (1.0 - c) / (1.0 - c20)]
}

/// A board strapped on askew and read by a chip with a good one's errors.
fn askew(sample: &Sample, axis: V, angle_deg: f64) -> Sample {
    let own = |v: Vec3<Board>| turned(v.to_array(), unit(axis), -angle_deg.to_radians());
    let accel = own(sample.accel_g);
    Sample {
        accel_g: Vec3::new(
            accel[0] * 1.0002 + 0.0002,
            accel[1] - 0.0003,
            accel[2] * 0.9998 + 0.00025,
        ),
        rate_radps: sample.rate_radps.map(|rate| Vec3::from_array(own(rate))),
        ..*sample
    }
}

const ASKEW: [(V, f64); 2] = [([0.3, -0.8, 0.5], 67.0), ([-0.6, 0.2, 0.4], 140.0)];
const BODY_ASKEW: (V, f64) = ([0.1, 0.9, -0.3], 33.0);

const SQUARE: [V; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn wheel_samples(index: usize) -> Vec<Sample> {
    let steer = swing_profile(&STOPS, 2.0);
    let (axis, angle) = ASKEW[index];
    CORNERS[index]
        .readings_on_body(
            SECONDS,
            |t| Moment {
                steer: steer(t),
                roll_on_spindle: 50.0,
            },
            |t| body_at(steer(t)),
            [0.02, -0.05, 0.01],
        )
        .iter()
        .map(|sample| askew(sample, axis, angle))
        .collect()
}

fn body_samples(body: impl Fn(f64) -> [f64; 2]) -> Vec<Sample> {
    LEFT.body_readings(SECONDS, SQUARE, body)
        .iter()
        .map(|sample| askew(sample, BODY_ASKEW.0, BODY_ASKEW.1))
        .collect()
}

/// The wheel turned by quarters on the jack, which leans it by degrees.
fn run_out(index: usize) -> RunOutResult {
    let corner = Corner {
        camber: 3.5,
        ..CORNERS[index]
    };
    let forward = corner.sign;
    let quarters = [(0.0, 3.0), (92.0, 3.0), (180.0, 3.0), (271.0, 4.0)];
    let turn = swing_profile(&quarters, 2.0);
    let (axis, angle) = ASKEW[index];
    let mut procedure = RunOutProcedure::start(RunOutSetup {
        side: side_of(&corner),
        chip: ChipFigures::GOOD,
        outboard: Outboard::ForwardRolling,
        jacked: true,
        body: None,
    });
    let samples = corner.readings(
        19.0,
        |t| Moment {
            steer: 0.0,
            roll_on_spindle: forward * turn(t),
        },
        [0.02, -0.05, 0.01],
    );
    for sample in &samples {
        procedure.sample(&askew(sample, axis, angle));
    }
    procedure.result().unwrap().clone()
}

fn jacked(roll_deg: f64) -> RunOutEvidence {
    let still = LEFT.body_readings(0.01, SQUARE, |_| [roll_deg, 0.6]);
    RunOutEvidence {
        accel_g: askew(&still[0], BODY_ASKEW.0, BODY_ASKEW.1).accel_g,
        noise_g: 5e-5,
        degrees_of_freedom: f64::INFINITY,
        still: true,
    }
}

fn body_board() -> SwingBody {
    SwingBody {
        chip: ChipFigures::GOOD,
        jacked: jackings(jacked(2.0), jacked(-2.0), Angle::from_deg(0.2)),
        forward: None,
    }
}

fn setup(body_board: Option<&SwingBody>) -> SwingSetup {
    let wheels = [0, 1].map(|index| {
        let found = run_out(index);
        SwingWheel {
            wheel: WheelSetup {
                side: side_of(&CORNERS[index]),
                chip: ChipFigures::GOOD,
                mounting: found.mounting(found.last_up().unwrap()).unwrap(),
                floor: FloorSlope::presumed_level(Angle::from_deg(0.02)),
            },
            run_out: found.evidence,
            toe: Estimate::from_deg(CORNERS[index].toe, 0.02),
        }
    });
    SwingSetup {
        wheels: wheels.to_vec(),
        steer_source: SteerSource::Gyro,
        body: BodyMotion {
            roll: Angle::from_deg(0.4),
            pitch: Angle::from_deg(0.15),
        },
        body_board: body_board.copied(),
        hold_us: 3_000_000,
        plate_standard: Angle::ZERO,
    }
}

/// Plays the swing; `body` is what the body board sends, if anything.
fn play(setup: SwingSetup, body: &[Sample]) -> SwingProcedure {
    let mut procedure = SwingProcedure::start(setup).unwrap();
    let streams = [wheel_samples(0), wheel_samples(1)];
    for (i, (left, right)) in streams[0].iter().zip(&streams[1]).enumerate() {
        procedure.sample(Side::Left, left);
        procedure.sample(Side::Right, right);
        if let Some(sample) = body.get(i) {
            procedure.body_sample(sample);
        }
    }
    assert_eq!(procedure.phase(), Phase::Done, "{:?}", procedure.refusal());
    procedure
}

/// Error and half the 95 % interval of every finding, degrees, with the finding.
fn judged(procedure: &SwingProcedure) -> Vec<(f64, f64, Finding)> {
    let mut all = Vec::new();
    for (corner, outcome) in CORNERS.iter().zip(procedure.outcome()) {
        let outcome = outcome.as_ref().unwrap();
        let axis = outcome.axis.as_ref().unwrap();
        let truths = [corner.camber, corner.caster, corner.sai];
        for (finding, truth) in [&outcome.camber, &axis.caster, &axis.sai]
            .into_iter()
            .zip(truths)
        {
            let error = finding.estimate.value.deg() - truth;
            let expanded = finding.estimate.expanded().deg();
            assert!(error.abs() < expanded, "{corner:?} {finding:?}: {error}");
            all.push((error, expanded, finding.clone()));
        }
    }
    all
}

fn watched_body() -> Vec<Sample> {
    let steer = swing_profile(&STOPS, 2.0);
    body_samples(|t| body_at(steer(t)))
}

#[test]
fn a_body_board_mounted_anyhow_takes_the_body_out_of_caster() {
    let without = judged(&play(setup(None), &[]));
    let with = play(setup(Some(&body_board())), &watched_body());
    assert_eq!(with.body(), BodyUse::Watching);
    let with = judged(&with);
    for index in [1, 4] {
        let (caught, unwatched) = (&with[index], &without[index]);
        // Unwatched, 0.4° of roll in phase with the steer is about 1.15° of caster;
        // two wheels on one body see a part of it.
        assert!(unwatched.0.abs() > 0.5, "{unwatched:?}");
        assert!(caught.0.abs() < 0.05 * unwatched.0.abs(), "{caught:?}");
        assert!(
            caught.1 < 0.15 && unwatched.1 > 1.5,
            "{caught:?} {unwatched:?}"
        );
        assert_eq!(
            unwatched.2.budget.largest().unwrap().cause,
            Cause::BodyMotion
        );
    }
}

#[test]
fn a_declared_heading_does_as_well_within_its_uncertainty() {
    // The car's forward direction in the board's own axes, a few degrees off.
    let (axis, angle) = BODY_ASKEW;
    let forward = turned([1.0, 0.05, 0.0], unit(axis), -angle.to_radians());
    let declared = SwingBody {
        jacked: None,
        forward: Some((
            Dir::along(Vec3::from_array(forward)).unwrap(),
            Angle::from_deg(5.0),
        )),
        ..body_board()
    };
    let found = judged(&play(setup(Some(&declared)), &watched_body()));
    for (error, expanded, finding) in [&found[1], &found[4]] {
        assert!(
            error.abs() < 0.08 && *expanded < 0.25,
            "{finding:?}: {error}"
        );
    }
}

#[test]
fn a_body_board_that_is_lost_or_moves_is_done_without_and_told() {
    let steer = swing_profile(&STOPS, 2.0);
    let check = |samples: &[Sample], body: SwingBody, expected: fn(&BodyGivenUp) -> bool| {
        let swing = play(setup(Some(&body)), samples);
        let BodyUse::GivenUp(why) = swing.body() else {
            panic!("{:?}", swing.body());
        };
        assert!(expected(&why), "{why}");
        // The interval says what was not watched.
        for index in [1, 4] {
            let found = &judged(&swing)[index];
            assert_eq!(found.2.budget.largest().unwrap().cause, Cause::BodyMotion);
        }
    };
    let whole = watched_body();
    check(&whole[..900], body_board(), |why| {
        matches!(why, BodyGivenUp::NotStill { rest: 2 })
    });
    // Somebody leans on the car, to and fro, at the first stop.
    let leant_on = body_samples(|t| {
        let [roll, pitch] = body_at(steer(t));
        let push = if (6.5..12.5).contains(&t) {
            0.3 * (9.0 * t).sin()
        } else {
            0.0
        };
        [roll + push, pitch]
    });
    check(&leant_on, body_board(), |why| {
        matches!(why, BodyGivenUp::NotStill { rest: 1 })
    });
    // The board slides on its tape.
    let slid = body_samples(|t| {
        let [roll, pitch] = body_at(steer(t));
        [roll + if t > 13.0 { 0.5 } else { 0.0 }, pitch]
    });
    check(
        &slid,
        body_board(),
        |why| matches!(why, BodyGivenUp::Slipped { found, .. } if found.deg() > 0.4),
    );
    let unknown = SwingBody {
        jacked: None,
        ..body_board()
    };
    check(&whole, unknown, |why| *why == BodyGivenUp::NoHeading);
}

#[test]
fn the_body_board_may_go_while_the_first_rest_is_awaited_and_not_after() {
    let mut swing = SwingProcedure::start(setup(Some(&body_board()))).unwrap();
    swing.body_lost();
    assert_eq!(swing.body(), BodyUse::Watching);
    for (left, right) in wheel_samples(0).iter().zip(&wheel_samples(1)).take(500) {
        swing.sample(Side::Left, left);
        swing.sample(Side::Right, right);
    }
    assert_eq!(swing.phase(), Phase::AwaitTurn);
    swing.body_lost();
    assert_eq!(swing.body(), BodyUse::GivenUp(BodyGivenUp::Lost));
    assert!(!swing.is_over());
}

#[test]
fn left_and_right_share_what_they_share() {
    let swing = play(setup(Some(&body_board())), &watched_body());
    let differences = swing.differences();
    assert_eq!(differences.len(), 4);
    for difference in differences {
        let index = difference.angle as usize;
        let truth = [
            LEFT.camber - RIGHT.camber,
            LEFT.caster - RIGHT.caster,
            LEFT.sai - RIGHT.sai,
            LEFT.sai + LEFT.camber - RIGHT.sai - RIGHT.camber,
        ][index];
        let error = difference.estimate.value.deg() - truth;
        assert!(
            error.abs() < difference.estimate.expanded().deg(),
            "{difference:?}"
        );
        assert!(difference.correlation.abs() <= 1.0);
    }
    // The same rolling body is in both casters.
    assert!(differences[1].correlation > 0.05, "{:?}", differences[1]);
}

#[test]
fn the_two_jackings_show_which_way_the_body_board_points() {
    let found = forward_by(&body_board().jacked.unwrap()).unwrap();
    let (axis, angle_deg) = BODY_ASKEW;
    let forward = turned(SQUARE[0], unit(axis), -angle_deg.to_radians());
    let truth = Dir::along(Vec3::from_array(forward)).unwrap();
    // Told square to gravity, while the jacked body noses down by 0.6°.
    let off = found.angle_to(&truth).deg();
    assert!(off < 0.7, "{off}");
}
