//! The calibration of one board: which it is, how far to trust it now, and the
//! procedure that is making another.

use hubplumb_core::calibrate::{
    Ages, CalibrationFit, CalibrationProcedure, Edge, Ended, Face, FitError, Hint, Hold,
    KeptCalibration, Parameter, Phase, PosesProcedure, Quality, ReversalProcedure, ReversalResult,
    Standing, Warmth,
};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::live::BoardPipeline;
use hubplumb_core::reading::RawSample;
use time::{Date, OffsetDateTime};

use super::{DeskError, Kind};
use crate::calibration_store::{StoreError, StoredCalibration};

/// A chip that warmed by less than this needs no new figures, °C: a hundredth of a degree of camber.
const WARMED_C: f64 = 0.5;

/// Where the calibration in force comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// There is none.
    Absent,
    /// From the configuration; is one kept that it hides?
    Configured {
        /// Date of the one that is hidden.
        hides: Option<OffsetDateTime>,
    },
    /// From the store.
    Stored(Box<StoredCalibration>),
    /// There is a file, and it cannot be used.
    Unreadable(StoreError),
}

#[derive(Debug)]
struct Running {
    run: u64,
    kind: Kind,
    procedure: CalibrationProcedure,
}

/// What a board holds.
#[derive(Debug)]
pub struct HeldCalibration {
    board: String,
    class: ChipFigures,
    origin: Origin,
    figures_at_c: Option<f64>,
    today: Date,
    run: u64,
    running: Option<Running>,
}

/// What is known of a board's calibration at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationNow {
    /// Where it comes from.
    pub origin: Origin,
    /// How a stored one stands.
    pub standing: Option<Standing>,
    /// How old its parts are.
    pub ages: Ages,
    /// The figures it goes by now.
    pub figures: ChipFigures,
    /// The procedure that runs, or ran and is not put away.
    pub procedure: Option<ProcedureNow>,
}

/// A procedure at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureNow {
    /// Rises with every start on this board.
    pub run: u64,
    /// Which kind.
    pub kind: Kind,
    /// The step at hand.
    pub phase: Phase,
    /// What to do now.
    pub hint: Hint,
    /// How far the hold is.
    pub hold: Hold,
    /// Poses or rests taken.
    pub taken: usize,
    /// How many more there are to be, at least.
    pub to_go: usize,
    /// Faces that were not up.
    pub missing_faces: Vec<Face>,
    /// Pairs of axes not shown.
    pub missing_edges: Vec<Edge>,
    /// Would it solve on command?
    pub can_solve: bool,
    /// Why the poses have no calibration in them.
    pub trouble: Option<FitError>,
    /// Why it ended without a result.
    pub ended: Option<Ended>,
    /// Its result.
    pub result: Option<ResultNow>,
}

/// A result that waits to be kept or discarded.
#[derive(Debug, Clone, PartialEq)]
pub enum ResultNow {
    /// Of poses.
    Poses {
        /// How well they agree.
        quality: Quality,
        /// Offset, g.
        offset_g: [f64; 3],
        /// What it leaves.
        figures: Box<ChipFigures>,
        /// Temperature over the poses.
        warmth: Option<Warmth>,
        /// Are cross-axis terms known from data sheets only?
        by_prior: bool,
    },
    /// Of a reversal.
    Reversal(Box<ReversalResult>),
}

impl HeldCalibration {
    /// That of a board of a class, with the configuration's numbers or none.
    pub fn new(board: String, class: ChipFigures, configured: bool) -> Self {
        Self {
            board,
            class,
            origin: if configured {
                Origin::Configured { hides: None }
            } else {
                Origin::Absent
            },
            figures_at_c: None,
            today: OffsetDateTime::now_utc().date(),
            run: 0,
            running: None,
        }
    }

    /// The identity it is kept under.
    pub fn board(&self) -> &str {
        &self.board
    }

    /// Another board answers now, or the first one: what the store has of it comes into force.
    pub fn found(
        &mut self,
        board: &str,
        loaded: Result<Option<StoredCalibration>, StoreError>,
        pipeline: &mut BoardPipeline,
    ) {
        board.clone_into(&mut self.board);
        self.running = None;
        if let Origin::Configured { hides } = &mut self.origin {
            *hides = loaded.ok().flatten().map(|stored| stored.date);
            return;
        }
        self.origin = match loaded {
            Ok(Some(stored)) => Origin::Stored(Box::new(stored)),
            Ok(None) => Origin::Absent,
            Err(error) => Origin::Unreadable(error),
        };
        self.come_into_force(pipeline);
    }

    /// A result was kept.
    pub fn kept(&mut self, stored: StoredCalibration, pipeline: &mut BoardPipeline) {
        self.running = None;
        self.origin = Origin::Stored(Box::new(stored));
        self.come_into_force(pipeline);
    }

    fn come_into_force(&mut self, pipeline: &mut BoardPipeline) {
        let calibration = match &self.origin {
            Origin::Stored(stored) => stored.kept.calibration,
            Origin::Absent | Origin::Unreadable(_) => {
                hubplumb_core::calibration::Calibration::none()
            }
            Origin::Configured { .. } => return,
        };
        pipeline.recalibrate(calibration);
        self.trust_now(pipeline);
    }

    /// The chip is so warm now.
    pub fn warmed(&mut self, now_c: f64, pipeline: &mut BoardPipeline) {
        if self
            .figures_at_c
            .is_none_or(|then_c| (now_c - then_c).abs() >= WARMED_C)
        {
            self.figures_at_c = Some(now_c);
            self.trust_now(pipeline);
        }
    }

    /// It is this day now.
    pub fn dated(&mut self, today: Date, pipeline: &mut BoardPipeline) {
        if self.today != today {
            self.today = today;
            self.trust_now(pipeline);
        }
    }

    /// The figures as they are today, at the temperature of now.
    pub fn trust_now(&self, pipeline: &mut BoardPipeline) {
        match &self.origin {
            Origin::Stored(stored) => {
                let ages = stored.ages(self.today);
                pipeline.trust(stored.kept.figures(&self.class, self.figures_at_c, ages));
            }
            Origin::Absent | Origin::Unreadable(_) => pipeline.trust(self.class),
            Origin::Configured { .. } => {}
        }
    }

    /// Begins a calibration.
    pub fn begin(&mut self, kind: Kind, pipeline: &BoardPipeline) -> Result<(), DeskError> {
        if matches!(self.origin, Origin::Configured { .. }) {
            return Err(DeskError::Configured);
        }
        if let Some(running) = &self.running
            && running.procedure.phase() != Phase::Ended
        {
            return Err(DeskError::Running);
        }
        let procedure = match kind {
            Kind::Poses => CalibrationProcedure::Poses(PosesProcedure::start(self.class)),
            Kind::Reversal { sensing, about } => {
                if !matches!(self.origin, Origin::Stored(_)) {
                    return Err(DeskError::NotCalibrated);
                }
                CalibrationProcedure::Reversal(ReversalProcedure::start(
                    sensing.dir(),
                    about.dir(),
                    pipeline.calibration(),
                    pipeline.chip(),
                )?)
            }
        };
        self.run += 1;
        self.running = Some(Running {
            run: self.run,
            kind,
            procedure,
        });
        Ok(())
    }

    /// Is the board being calibrated? A result that waits is not under way any more.
    pub fn is_under_way(&self) -> bool {
        let running = self
            .running
            .as_ref()
            .map(|running| running.procedure.phase());
        running.is_some_and(|phase| !matches!(phase, Phase::Ended | Phase::Solved))
    }

    /// Takes one reading, not calibrated.
    pub fn observe(&mut self, raw: &RawSample) {
        if let Some(running) = &mut self.running {
            running.procedure.observe(raw);
        }
    }

    /// The board went away.
    pub fn lost(&mut self) {
        if let Some(running) = &mut self.running {
            running.procedure.end(Ended::BoardLost);
        }
    }

    /// Takes back a pose, the last one if none is named.
    pub fn take_back(&mut self, pose: Option<usize>) -> Result<(), DeskError> {
        self.poses()?.take_back(pose)?;
        Ok(())
    }

    /// Solves the poses taken so far.
    pub fn solve(&mut self) -> Result<(), DeskError> {
        Ok(self.poses()?.solve()?)
    }

    /// Puts the procedure away, with or without a result.
    pub fn put_away(&mut self) -> Result<(), DeskError> {
        self.running.take().map(|_| ()).ok_or(DeskError::NotRunning)
    }

    /// The result as it is to be kept.
    pub fn result(&self, now: OffsetDateTime) -> Result<StoredCalibration, DeskError> {
        let running = self.running.as_ref().ok_or(DeskError::NotRunning)?;
        match &running.procedure {
            CalibrationProcedure::Poses(poses) => {
                let fit = poses.outcome().ok_or(DeskError::NoResult)??;
                Ok(StoredCalibration {
                    board: self.board.clone(),
                    date: now,
                    kept: KeptCalibration::of_fit(fit, &self.class),
                    poses: fit.quality().poses,
                    residual_rms_g: fit.quality().residual_rms_g,
                    temperature_span_c: fit.warmth().map(|warmth| warmth.span_c),
                    covariance: covariance(fit),
                    settled_date: None,
                })
            }
            CalibrationProcedure::Reversal(reversal) => {
                let result = reversal.outcome().ok_or(DeskError::NoResult)??;
                let Origin::Stored(stored) = &self.origin else {
                    return Err(DeskError::NotCalibrated);
                };
                Ok(StoredCalibration {
                    kept: stored.kept.with_reversal(result),
                    settled_date: Some(now),
                    ..(**stored).clone()
                })
            }
        }
    }

    /// What is known now.
    pub fn look(&self, pipeline: &BoardPipeline) -> CalibrationNow {
        let (standing, ages) = match &self.origin {
            Origin::Stored(stored) => {
                let ages = stored.ages(self.today);
                (Some(stored.kept.standing(self.figures_at_c, ages)), ages)
            }
            _ => (None, Ages::default()),
        };
        CalibrationNow {
            origin: self.origin.clone(),
            standing,
            ages,
            figures: pipeline.chip(),
            procedure: self.running.as_ref().map(|running| self.procedure(running)),
        }
    }

    fn poses(&mut self) -> Result<&mut PosesProcedure, DeskError> {
        match self.running.as_mut().map(|running| &mut running.procedure) {
            None => Err(DeskError::NotRunning),
            Some(CalibrationProcedure::Reversal(_)) => Err(DeskError::NoPoses),
            Some(CalibrationProcedure::Poses(poses)) => Ok(poses),
        }
    }

    fn procedure(&self, running: &Running) -> ProcedureNow {
        let procedure = &running.procedure;
        let now = ProcedureNow {
            run: running.run,
            kind: running.kind,
            phase: procedure.phase(),
            hint: procedure.hint(),
            hold: procedure.hold(),
            taken: 0,
            to_go: 0,
            missing_faces: Vec::new(),
            missing_edges: Vec::new(),
            can_solve: false,
            trouble: None,
            ended: procedure.ended(),
            result: None,
        };
        match procedure {
            CalibrationProcedure::Poses(poses) => ProcedureNow {
                taken: poses.poses().len(),
                to_go: poses.poses_to_go(),
                missing_faces: poses.missing_faces().collect(),
                missing_edges: poses.missing_edges(),
                can_solve: poses.can_solve(),
                trouble: poses.trouble().cloned(),
                result: poses
                    .outcome()
                    .and_then(Result::ok)
                    .map(|fit| self.fitted(fit)),
                ..now
            },
            CalibrationProcedure::Reversal(reversal) => ProcedureNow {
                taken: reversal.rests(),
                to_go: 2_usize.saturating_sub(reversal.rests()),
                result: reversal
                    .outcome()
                    .and_then(Result::ok)
                    .map(|result| ResultNow::Reversal(Box::new(*result))),
                ..now
            },
        }
    }

    fn fitted(&self, fit: &CalibrationFit) -> ResultNow {
        ResultNow::Poses {
            quality: *fit.quality(),
            offset_g: fit.calibration().accel_offset_g(),
            figures: Box::new(fit.figures(&self.class)),
            warmth: fit.warmth().copied(),
            by_prior: fit.prior_dominated().next().is_some(),
        }
    }
}

fn covariance(fit: &CalibrationFit) -> Vec<[f64; 9]> {
    Parameter::ALL
        .into_iter()
        .map(|row| Parameter::ALL.map(|column| fit.covariance(row, column)))
        .collect()
}
