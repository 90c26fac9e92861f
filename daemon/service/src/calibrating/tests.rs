//! What a board holds, without a link.

use hubplumb_core::calibrate::{KeptCalibration, LeftFigures, Phase, Standing};
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::live::BoardPipeline;
use hubplumb_core::mounting::BoardAxis;
use time::{Duration, OffsetDateTime};

use super::*;
use crate::calibration_store::StoredCalibration;
use crate::http::calibration_views::{CalibrationSource, CalibrationState};
use crate::present::calibration_view;

const UNIT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
const REVERSAL: Kind = Kind::Reversal {
    sensing: BoardAxis::ZPlus,
    about: BoardAxis::YPlus,
};

fn calibration(x_g: f64) -> Calibration {
    Calibration::from_parts([x_g, 0.0, 0.0], UNIT, [0.0; 3], UNIT).unwrap()
}

fn stored(x_g: f64, days: i64) -> StoredCalibration {
    StoredCalibration {
        board: "a".to_owned(),
        date: OffsetDateTime::now_utc() - Duration::days(days),
        kept: KeptCalibration {
            calibration: calibration(x_g),
            left: LeftFigures {
                accel_offset_g: 1e-4,
                accel_scale: 1e-4,
                accel_cross_rad: 1e-4,
                gyro_cross_rad: 0.02,
            },
            temperature_c: Some(20.0),
            settled: None,
        },
        poses: 12,
        residual_rms_g: 1e-4,
        temperature_span_c: Some(0.5),
        covariance: Vec::new(),
        settled_date: None,
    }
}

struct Bench {
    held: HeldCalibration,
    pipeline: BoardPipeline,
}

impl Bench {
    fn new(configured: bool) -> Self {
        let in_force = if configured {
            calibration(0.05)
        } else {
            Calibration::none()
        };
        Self {
            held: HeldCalibration::new("a".to_owned(), ChipFigures::RAW, configured),
            pipeline: BoardPipeline::new(in_force, ChipFigures::RAW, None),
        }
    }

    fn found(&mut self, stored: Option<StoredCalibration>) {
        self.held.found("a", Ok(stored), &mut self.pipeline);
    }

    fn offset_x_g(&self) -> f64 {
        self.pipeline.calibration().accel_offset_g()[0]
    }

    fn begin(&mut self, kind: Kind) -> Result<(), DeskError> {
        self.held.begin(kind, &self.pipeline)
    }
}

#[test]
fn numbers_of_the_configuration_win_and_say_so() {
    let mut bench = Bench::new(true);
    bench.found(Some(stored(0.01, 3)));
    assert_eq!(bench.offset_x_g(), 0.05);
    let view = calibration_view(&bench.held.look(&bench.pipeline));
    assert_eq!(view.state, CalibrationState::Valid);
    assert_eq!(view.source, Some(CalibrationSource::Configured));
    assert!(view.say.contains("is not used"), "{}", view.say);
    for kind in [Kind::Poses, REVERSAL] {
        assert_eq!(bench.begin(kind), Err(DeskError::Configured));
    }
}

#[test]
fn a_stored_calibration_is_in_force_with_figures_that_grow_as_the_chip_warms() {
    let mut bench = Bench::new(false);
    assert_eq!(bench.begin(REVERSAL), Err(DeskError::NotCalibrated));
    bench.found(Some(stored(0.01, 0)));
    assert_eq!(bench.offset_x_g(), 0.01);
    let mut offsets_g = Vec::new();
    for now_c in [20.0, 20.3, 24.0, 31.0] {
        bench.held.warmed(now_c, &mut bench.pipeline);
        offsets_g.push(bench.pipeline.chip().accel_offset_g);
    }
    assert_eq!(
        offsets_g[0], offsets_g[1],
        "0.3 °C are not worth new figures"
    );
    assert!(offsets_g[1] < offsets_g[2] && offsets_g[2] < offsets_g[3]);
    let now = bench.held.look(&bench.pipeline);
    assert!(
        matches!(now.standing, Some(Standing::Old(_))),
        "11 °C apart"
    );
    assert_eq!(calibration_view(&now).state, CalibrationState::Old);
}

#[test]
fn another_board_at_the_port_has_another_calibration() {
    let mut bench = Bench::new(false);
    bench.found(Some(stored(0.01, 0)));
    bench.begin(Kind::Poses).unwrap();
    bench.held.found("b", Ok(None), &mut bench.pipeline);
    assert_eq!(bench.held.board(), "b");
    assert!(!bench.pipeline.calibration().is_done());
    let now = bench.held.look(&bench.pipeline);
    assert_eq!(
        now.procedure, None,
        "what was begun on one board is not gone on with"
    );
    assert_eq!(now.figures, ChipFigures::RAW);
}

#[test]
fn a_calibration_that_is_known_by_a_socket_says_so() {
    let check = |board: &str, told: bool| {
        let mut bench = Bench::new(false);
        let stored = StoredCalibration {
            board: board.to_owned(),
            ..stored(0.01, 1)
        };
        bench
            .held
            .found(board, Ok(Some(stored)), &mut bench.pipeline);
        let view = calibration_view(&bench.held.look(&bench.pipeline));
        assert_eq!(view.say.contains("USB socket"), told, "{}", view.say);
        assert!(view.say.contains("yesterday"), "{}", view.say);
    };
    check("path-usb-1-1.4:1.0", true);
    check("usb-1a86-7523-A17", false);
}

#[test]
fn one_runs_at_a_time_until_it_ends_or_is_put_away() {
    let mut bench = Bench::new(false);
    bench.begin(Kind::Poses).unwrap();
    assert_eq!(bench.begin(Kind::Poses), Err(DeskError::Running));
    assert_eq!(
        bench.held.result(OffsetDateTime::now_utc()),
        Err(DeskError::NoResult)
    );
    bench.held.lost();
    let ended = bench.held.look(&bench.pipeline).procedure.unwrap();
    assert_eq!(ended.phase, Phase::Ended);
    bench.begin(Kind::Poses).unwrap();
    assert_eq!(bench.held.put_away(), Ok(()));
    assert_eq!(bench.held.put_away(), Err(DeskError::NotRunning));
}
