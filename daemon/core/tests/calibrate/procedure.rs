//! Guided calibrations on a bench, by poses and end for end.

use hubplumb_core::calibrate::{
    Ages, CalibrationProcedure, Ended, Face, FitError, Hint, KeptCalibration, NoSuchPose,
    Parameter, Phase, PosesProcedure, ReversalProcedure, TurnEvidence,
};
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;

use crate::made_board::{Dice, EDGES, FACES, MadeBoard, length};

const GYRO_OFFSET_RADPS: [f64; 3] = [0.03, -0.01, 0.02];

/// A board on a bench, at 100 Hz, in front of a procedure.
struct Bench {
    board: MadeBoard,
    has_gyro: bool,
    dice: Dice,
    us: i64,
    up: [f64; 3],
    procedure: CalibrationProcedure,
}

impl Bench {
    fn new(seed: u64, procedure: CalibrationProcedure) -> Self {
        let mut dice = Dice::new(seed);
        Self {
            board: MadeBoard::random(&mut dice, 0.03, 0.01, 0.005),
            has_gyro: true,
            dice,
            us: 0,
            up: [0.0, 0.0, 1.0],
            procedure,
        }
    }

    fn by_poses(seed: u64) -> Self {
        let poses = PosesProcedure::start(ChipFigures::RAW);
        Self::new(seed, CalibrationProcedure::Poses(poses))
    }

    fn feed(&mut self, rate_radps: [f64; 3]) {
        self.us += 10_000;
        let read = self.board.read(self.up);
        let (noise, hum) = (self.dice.triple(2.8e-3), self.dice.triple(6e-4));
        let rate = Vec3::from_array(std::array::from_fn(|i| {
            rate_radps[i] + GYRO_OFFSET_RADPS[i] + hum[i]
        }));
        self.procedure.observe(&RawSample {
            at: HostTime::from_us(self.us),
            accel_g: Vec3::from_array(std::array::from_fn(|i| read[i] + noise[i])),
            rate_radps: self.has_gyro.then_some(rate),
            temperature_c: Some(25.0),
        });
    }

    fn rest(&mut self, ms: i64) {
        for _ in 0..ms / 10 {
            self.feed([0.0; 3]);
        }
    }

    /// Carried over to another way up within a second, and laid down.
    fn lay(&mut self, up: [f64; 3]) {
        let to = up.map(|c| c / length(up));
        let from = self.up;
        for step in 1..=100 {
            let s = f64::from(step) / 100.0;
            let way: [f64; 3] = std::array::from_fn(|i| {
                from[i] * (1.0 - s) + to[i] * s + [0.3, 0.2, 0.25][i] * s * (1.0 - s)
            });
            self.up = way.map(|c| c / length(way));
            self.feed([1.0, 0.7, -0.4]);
        }
        self.rest(6_000);
    }

    /// Turned about its own Y within two seconds, and put down.
    fn turn_about_y(&mut self, by_deg: f64) {
        let by_rad = by_deg.to_radians();
        let from = self.up;
        for step in 1..=200 {
            let s = f64::from(step) / 200.0;
            // A fixed direction seen from a board that turns goes the other way round.
            let (sin, cos) = (-by_rad * s).sin_cos();
            // Lifted and put down again, which no hand does without a wobble.
            let wobble = 0.05 * (std::f64::consts::PI * s).sin();
            self.up = [
                from[0] * cos + from[2] * sin + wobble,
                from[1],
                from[2] * cos - from[0] * sin,
            ];
            self.feed([0.0, by_rad / 2.0, 0.0]);
        }
        self.rest(6_000);
    }

    fn poses(&mut self) -> &mut PosesProcedure {
        match &mut self.procedure {
            CalibrationProcedure::Poses(poses) => poses,
            CalibrationProcedure::Reversal(_) => panic!("a reversal"),
        }
    }

    fn reversal(&self) -> &ReversalProcedure {
        match &self.procedure {
            CalibrationProcedure::Reversal(reversal) => reversal,
            CalibrationProcedure::Poses(_) => panic!("poses"),
        }
    }
}

#[test]
fn whoever_follows_the_hints_is_led_to_a_result() {
    let mut bench = Bench::by_poses(21);
    bench.rest(7_000);
    let mut laid = 1;
    let mut others = EDGES[3..].iter();
    loop {
        match bench.procedure.hint() {
            Hint::LayFace(face) => bench.lay(face.up().vec().to_array()),
            Hint::LayEdge(edge) => {
                let up = EDGES[..3]
                    .iter()
                    .find(|up| edge.is_shown_by(&Dir::along(Vec3::from_array(**up)).unwrap()));
                bench.lay(*up.unwrap());
            }
            Hint::LayAnyOtherWay => bench.lay(*others.next().unwrap()),
            Hint::Finished => break,
            other => panic!("{other:?} after {laid}"),
        }
        laid += 1;
        assert!(laid <= 12, "led in circles");
    }
    assert_eq!(laid, 12);
    assert_eq!(bench.procedure.phase(), Phase::Solved);
    let truth = bench.board.numbers();
    let fit = bench.poses().outcome().unwrap().unwrap().clone();
    for (parameter, truth) in Parameter::ALL.into_iter().zip(truth) {
        let off = (fit.value(parameter) - truth).abs();
        assert!(off < 4.0 * fit.standard(parameter), "{parameter:?} {off}");
    }
}

#[test]
fn a_hold_is_told_and_a_pose_held_once_is_taken() {
    let mut bench = Bench::by_poses(22);
    assert_eq!(bench.procedure.phase(), Phase::Lay);
    assert_eq!(bench.procedure.hint(), Hint::LayFace(Face::PlusZ));
    bench.rest(3_000);
    assert_eq!(bench.procedure.phase(), Phase::Hold);
    assert_eq!(bench.procedure.hint(), Hint::HoldStill);
    let hold = bench.procedure.hold();
    assert!(
        hold.held_us > 1_000_000 && hold.needed_us == 4_000_000,
        "{hold:?}"
    );
    bench.rest(4_000);
    assert_eq!(bench.procedure.phase(), Phase::Taken);
    assert_eq!(bench.procedure.hint(), Hint::LayFace(Face::MinusZ));
    assert_eq!(bench.procedure.hold().held_us, 0);
}

#[test]
fn six_faces_are_solved_on_command_only() {
    let mut bench = Bench::by_poses(23);
    for up in FACES {
        assert!(!bench.poses().can_solve());
        assert!(matches!(
            bench.poses().solve(),
            Err(FitError::TooFewPoses { .. })
        ));
        bench.lay(up);
    }
    assert!(matches!(bench.procedure.hint(), Hint::LayEdge(_)));
    assert!(bench.poses().can_solve());
    bench.poses().solve().unwrap();
    assert_eq!(bench.procedure.phase(), Phase::Solved);
}

#[test]
fn a_pose_that_does_not_fit_is_named_and_can_be_done_again() {
    let mut bench = Bench::by_poses(24);
    for up in FACES.into_iter().chain(EDGES) {
        if bench.procedure.is_over() {
            break;
        }
        if up == EDGES[2] {
            // Its wire pulls: 30 mg more along its edge, all the while.
            let good = bench.board;
            bench.board.offset_g = std::array::from_fn(|i| good.offset_g[i] + 0.03 * up[i]);
            bench.lay(up);
            bench.board = good;
        } else {
            bench.lay(up);
        }
        if bench.poses().trouble().is_some() {
            break;
        }
    }
    let worst = match bench.poses().trouble() {
        Some(FitError::PosesDisagree { worst, .. }) => *worst,
        other => panic!("{other:?}"),
    };
    assert_eq!(bench.procedure.hint(), Hint::TakeBack(worst));
    assert_eq!(worst, 8, "the ninth pose was the bad one");
    bench.poses().take_back(Some(worst)).unwrap();
    bench.lay(EDGES[2]);
    assert_eq!(bench.procedure.phase(), Phase::Solved);
}

#[test]
fn a_pose_that_is_not_there_cannot_be_taken_back() {
    let mut bench = Bench::by_poses(25);
    let none = NoSuchPose { pose: 0, taken: 0 };
    assert_eq!(bench.poses().take_back(None), Err(none));
    bench.rest(6_000);
    let far = NoSuchPose { pose: 7, taken: 1 };
    assert_eq!(bench.poses().take_back(Some(7)), Err(far));
    assert!(bench.poses().take_back(None).is_ok());
    assert!(bench.poses().poses().is_empty());
}

#[test]
fn what_ended_stays_ended() {
    for why in [Ended::Cancelled, Ended::BoardLost] {
        let mut bench = Bench::by_poses(26);
        bench.procedure.end(why);
        bench.procedure.end(Ended::Cancelled);
        bench.rest(6_000);
        assert_eq!(bench.procedure.ended(), Some(why));
        assert_eq!(bench.procedure.phase(), Phase::Ended);
        assert!(bench.poses().poses().is_empty());
    }
}

/// Along Z, turned about Y; the board leans by 0.4°.
fn end_for_end(seed: u64, has_gyro: bool) -> Bench {
    let chip = ChipFigures::RAW;
    let procedure =
        ReversalProcedure::start(Dir::z_axis(), Dir::y_axis(), Calibration::none(), chip);
    let mut bench = Bench::new(seed, CalibrationProcedure::Reversal(procedure.unwrap()));
    bench.has_gyro = has_gyro;
    bench.up = [0.0, 1.0, 0.007];
    bench
}

#[test]
fn half_a_turn_takes_the_offset_out() {
    let check = |has_gyro: bool, seen: TurnEvidence| {
        let mut bench = end_for_end(31, has_gyro);
        assert_eq!(bench.procedure.hint(), Hint::StandFirst);
        bench.rest(6_000);
        assert_eq!(bench.procedure.phase(), Phase::Taken);
        assert_eq!(bench.procedure.hint(), Hint::TurnOver);
        bench.turn_about_y(180.0);
        assert_eq!(bench.procedure.phase(), Phase::Solved);
        let result = *bench.reversal().outcome().unwrap().unwrap();
        assert_eq!(result.seen, seen);
        assert!(result.is_gain() && !result.is_more_than_was_left());
        // What Z reads when it is level: the offset, and what Y leaks into it.
        let truth = bench.board.read([0.0, 1.0, 0.0])[2];
        let off = (result.reversal.offset_g - truth).abs();
        assert!(off < 4.0 * result.settled.offset_g, "{off} {result:?}");
        let moved = result.calibration.accel_offset_g()[2] - result.reversal.offset_g;
        assert!(moved.abs() < 1e-12);
    };
    check(true, TurnEvidence::Gyro);
    check(false, TurnEvidence::MotionOnly);
}

#[test]
fn an_offset_that_moved_is_told_as_more_than_was_left() {
    let mut bench = end_for_end(35, true);
    let chip = ChipFigures::CHEAP;
    let moved = MadeBoard {
        offset_g: [0.0, 0.0, 0.006],
        scale: [0.0; 3],
        cross: [0.0; 3],
    };
    bench.board = moved;
    let procedure =
        ReversalProcedure::start(Dir::z_axis(), Dir::y_axis(), Calibration::none(), chip);
    bench.procedure = CalibrationProcedure::Reversal(procedure.unwrap());
    bench.rest(6_000);
    bench.turn_about_y(180.0);
    let result = *bench.reversal().outcome().unwrap().unwrap();
    assert!(
        result.is_more_than_was_left() && result.is_gain(),
        "{result:?}"
    );
}

#[test]
fn a_board_that_was_not_turned_is_refused() {
    let check = |by_deg: f64, off_deg: f64| {
        let mut bench = end_for_end(32, true);
        bench.rest(6_000);
        bench.turn_about_y(by_deg);
        match bench.procedure.ended() {
            Some(Ended::NotTurned { off }) => assert!(
                (off.deg() - off_deg).abs() < 2.0,
                "{by_deg}: {} off",
                off.deg()
            ),
            other => panic!("{by_deg}: {other:?}"),
        }
    };
    check(90.0, 90.0);
    check(360.0, 180.0);
    check(150.0, 30.0);
}

#[test]
fn a_board_that_stays_where_it_is_waits_for_its_turn() {
    let mut bench = end_for_end(33, true);
    bench.rest(20_000);
    assert_eq!(bench.procedure.phase(), Phase::Taken);
    assert_eq!(bench.reversal().rests(), 1);
}

#[test]
fn a_kept_reversal_settles_its_axis_and_new_poses_unsettle_it() {
    let mut bench = Bench::by_poses(34);
    for up in FACES.into_iter().chain(EDGES).take(12) {
        bench.lay(up);
    }
    let fit = bench.poses().outcome().unwrap().unwrap().clone();
    let kept = KeptCalibration::of_fit(&fit, &ChipFigures::RAW);
    let chip = kept.figures(&ChipFigures::RAW, Some(25.0), Ages::default());
    assert!(
        chip.accel_offset_g < 3e-4 && chip.accel_settled.is_none(),
        "{chip:?}"
    );
    assert_eq!(chip.gyro_scale, ChipFigures::RAW.gyro_scale);

    let reversal =
        ReversalProcedure::start(Dir::z_axis(), Dir::y_axis(), kept.calibration, chip).unwrap();
    bench.procedure = CalibrationProcedure::Reversal(reversal);
    bench.up = [0.0, 1.0, 0.01];
    bench.rest(6_000);
    bench.turn_about_y(180.0);
    let result = *bench.reversal().outcome().unwrap().unwrap();
    // Right after twelve poses there is nothing to find.
    assert!(!result.is_more_than_was_left(), "{result:?}");
    let after = kept.with_reversal(&result);
    let chip = after.figures(&ChipFigures::RAW, Some(25.0), Ages::default());
    let settled = chip.accel_settled.unwrap();
    assert_eq!(settled.along, Dir::z_axis());
    assert_eq!(settled.offset_g, result.settled.offset_g);
    assert_eq!(result.before_g, kept.left.accel_offset_g);
    assert_eq!(
        KeptCalibration::of_fit(&fit, &ChipFigures::RAW).settled,
        None
    );
}
